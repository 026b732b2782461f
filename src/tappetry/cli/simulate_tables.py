"""Simulated curves and points as tables for a person."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from tappetry.cli.tables import heading, table
from tappetry.presentation.idling import brakes, evenness
from tappetry.presentation.measures import METRIC
from tappetry.services.corrected import corrections
from tappetry.services.simulate import fuel_for_work, rpm

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tappetry.services.simulate import Point, Simulated
    from tappetry.simulation.roughness import Roughness

LEGEND = (
    "bmep at the crankshaft, pumping and rubbing in bar; left: burned gas from the cycle before; late: "
    "degrees of the fire that knock has taken; degC: exhaust at the valves"
)
CAUTION = (
    "A model with stated walls, fuel and fire, not the engine itself: differences between camshafts say more "
    "than absolute figures."
)


def pages(
    curves: Sequence[Simulated], brake_vacuum: float | None = None, *, full_load: bool = False
) -> Iterator[RenderableType]:
    """One point with all behind it, one curve with its columns, or several camshafts side by side.

    Where they idle, `brake_vacuum` is what power brakes want [Pa]; at `full_load` power is told as standards
    correct it, of each camshaft.
    """
    for each in curves:
        told = each.described
        yield heading(f"{told.variant} with {told.cam}, {told.cam_name}, on {told.fuel}")
        if len(each.points) == 1:
            if len(curves) == 1:
                yield one_point(each.points[0], each.unevenness[0])
        elif len(curves) == 1:
            yield one_curve(each.points)
            yield Text(LEGEND)
        if len(each.points) > 1:
            hard, strong = each.best_torque, each.best_power
            yield Text(
                f"most torque {hard.brake_torque:.0f} N.m at {rpm(hard):.0f} rpm, "
                f"most power {strong.brake_power / 1e3:.0f} kW at {rpm(strong):.0f} rpm"
            )
        if brake_vacuum is not None:
            (point,), (uneven,) = each.points, each.unevenness
            vacuum = point.ambient_pressure - point.manifold_pressure
            yield Text(f"idle: {evenness(uneven)}; {brakes(vacuum, brake_vacuum, METRIC)}")
        if full_load:
            yield Text(_corrected(each))
        yield from (Text(f"note: {remark}") for remark in each.remarks)
    if len(curves) > 1:
        yield one_speed(curves) if len(curves[0].points) == 1 else side_by_side(curves)
    yield Text(CAUTION)


def _corrected(found: Simulated) -> str:
    """The most power as it is, and as each standard corrects it."""
    air, power = found.described.engine.air, found.best_power.brake_power / 1e3
    said = ", ".join(
        f"{each.standard} {power * each.factor:.0f}" + ("" if each.may_be_used else " (beyond its limits)")
        for each in corrections(air)
    )
    return (
        f"{power:.0f} kW in air of {air.pressure / 1e3:.1f} kPa, {air.vapour_pressure / 1e3:.1f} of it "
        f"vapour, and {air.temperature - 273.15:.0f} degC; corrected: {said} kW"
    )


def one_curve(points: Sequence[Point]) -> RenderableType:
    """A line for each speed."""
    names = ("rpm", "N.m", "kW", "filling", "bmep", "pump", "rub", "left", "late", "knock", "degC")
    return table(
        names,
        (
            (
                f"{rpm(each):.0f}",
                _whole(each.brake_torque),
                _whole(each.brake_power / 1e3),
                f"{each.volumetric_efficiency:.1%}",
                f"{each.brake_pressure / 1e5:.2f}",
                f"{each.pumping_pressure / 1e5:.2f}",
                f"{each.friction.total / 1e5:.2f}",
                f"{_mean(each.residual_share):.1%}",
                f"{math.degrees(each.retarded):.0f}",
                f"{each.knock_integral:.2f}",
                f"{each.exhaust_temperature - 273.15:.0f}",
            )
            for each in points
        ),
        right=names,
    )


def side_by_side(curves: Sequence[Simulated]) -> RenderableType:
    """Torque and power of several camshafts by speed, and what each gains over the first."""
    first = curves[0]
    names = ["rpm"]
    for each in curves:
        names += [f"{each.described.cam} N.m", f"{each.described.cam} kW"]
        names += [] if each is first else [f"{each.described.cam} gains"]
    rows = []
    for number, point in enumerate(first.points):
        row = [f"{rpm(point):.0f}"]
        for each in curves:
            other = each.points[number]
            row += [_whole(other.brake_torque), f"{other.brake_power / 1e3:.0f}"]
            row += [] if each is first else [f"{other.brake_torque - point.brake_torque:+.0f} N.m"]
        rows.append(row)
    return table(names, rows, right=names)


def one_speed(curves: Sequence[Simulated]) -> RenderableType:
    """Several camshafts at one speed each, or at idle: a line for each."""
    names = ("cam", "rpm", "N.m", "kW", "filling", "vacuum kPa", "residual", "uneven", "late", "pump bar")
    return table(
        names,
        (
            (
                each.described.cam,
                f"{rpm(point):.0f}",
                _whole(point.brake_torque),
                _whole(point.brake_power / 1e3),
                f"{point.volumetric_efficiency:.1%}",
                f"{(point.ambient_pressure - point.manifold_pressure) / 1e3:.1f}",
                f"{_mean(point.residual_share):.1%}",
                _uneven(uneven),
                f"{math.degrees(point.retarded):.0f}",
                f"{point.pumping_pressure / 1e5:.2f}",
            )
            for each in curves
            for point, uneven in zip(each.points, each.unevenness, strict=True)
        ),
        right=names[1:],
    )


def one_point(point: Point, uneven: Roughness) -> RenderableType:
    """Everything that is known of a point, a line each."""
    friction, degrees, fuel = point.friction, math.degrees, fuel_for_work(point)
    lines = [
        ("speed", f"{rpm(point):.0f} rpm"),
        ("torque", f"{point.brake_torque:.1f} N.m"),
        ("power", f"{round(point.brake_power / 1e3, 1) + 0.0:.1f} kW"),
        ("vacuum in the manifold", _vacuum(point)),
        ("pressure in the collectors", _bar(point.collector_pressure)),
        ("filling (volumetric efficiency)", f"{point.volumetric_efficiency:.1%}"),
        ("air", f"{point.air_flow * 1e3:.1f} g/s"),
        ("fuel", f"{point.fuel_flow * 1e3:.2f} g/s"),
        ("trapped air of a cylinder, least to most", _range([air * 1e6 for air in point.trapped_air], "mg")),
        ("residual, least to most", _range([100 * share for share in point.residual_share], "%", 1)),
        ("work from cycle to cycle", f"differs by {_uneven(uneven)}"),
        ("effective compression", f"{point.effective_compression_ratio:.2f}"),
        ("mean pressure at the crankshaft", _bar(point.brake_pressure)),
        ("  of compression and expansion", _bar(point.closed_pressure)),
        ("  of gas exchange", _bar(point.pumping_pressure)),
        ("  friction: crankshaft", _bar(-friction.crankshaft)),
        ("  friction: pistons and rods", _bar(-friction.pistons)),
        ("  friction: rings by gas load", _bar(-friction.gas_load)),
        ("  friction: valve train", _bar(-friction.valve_train)),
        ("  friction: oil and coolant pump", _bar(-friction.auxiliaries)),
        ("  friction: accessories", _bar(-friction.accessories)),
        ("highest pressure", f"{_bar(point.peak_pressure)} at {degrees(point.peak_angle):.0f} deg"),
        ("hottest burned gas", f"{point.burned_temperature - 273.15:.0f} degC"),
        (
            "half burned",
            f"{degrees(point.half_burned):.0f} deg, {degrees(point.retarded):.0f} of it for knock",
        ),
        ("knock integral", _knock(point)),
        ("heat to the cylinder walls", f"{point.wall_heat_share:.1%} of the fire"),
        ("past the rings", f"{point.blow_by_share:.2%} of the charge"),
        ("exhaust at the valves", f"{point.exhaust_temperature - 273.15:.0f} degC"),
        (
            "fuel for work",
            "no work" if fuel is None else f"{fuel * 3.6e9:.0f} g/kWh",
        ),
        ("turned", f"{point.cycles} cycles, the last in {point.steps} steps"),
        ("change in the last cycle", f"{point.cycle_change:.2%}"),
        ("missing in the balance", f"mass {point.mass_error:.0e}, energy {point.energy_error:.0e}"),
    ]
    return table(("what", "value"), lines)


def _whole(value: float) -> str:
    """A whole number, and no sign before nothing."""
    return f"{round(value):d}"


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _range(values: Sequence[float], unit: str, digits: int = 0) -> str:
    return f"{min(values):.{digits}f} to {max(values):.{digits}f} {unit}"


def _uneven(found: Roughness) -> str:
    return "beyond" if found.variation is None else f"{found.variation:.1%}"


def _knock(point: Point) -> str:
    return f"{point.knock_integral:.3f} (from 1 on it knocks)" if point.knock_integral else "not looked for"


def _vacuum(point: Point) -> str:
    from tappetry.quantities.units import from_si

    vacuum = point.ambient_pressure - point.manifold_pressure
    return f"{vacuum / 1e3:.1f} kPa, {from_si(vacuum, 'inHg', 'pressure'):.1f} inHg"


def _bar(pressure: float) -> str:
    return f"{pressure / 1e5:.2f} bar"
