"""`tappetry simulate`: torque and power of an engine with a camshaft, from its gas in motion."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tappetry.cli.streams import answer, note, show, stage
from tappetry.records.problems import BadInput, Where

if TYPE_CHECKING:
    from tappetry.services.breathing import Described
    from tappetry.services.shop import Shop
    from tappetry.services.simulate import Point, Simulated
    from tappetry.simulation.roughness import Roughness


DRAWINGS = ("torque", "filling", "lift", "indicator", "waves")
"""Pictures of an engine with its gas in motion."""


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument(
        "engine",
        metavar="ENGINE",
        help="a variant that the shop says how it breathes; or, with --valves or --shelf, a job's file",
    )
    parser.add_argument(
        "--cam", action="append", metavar="GRIND", help="a camshaft (default: the factory's); may be repeated"
    )
    parser.add_argument(
        "--throttle", type=float, default=1.0, metavar="SHARE", help="open share of the throttle (default: 1)"
    )
    parser.add_argument(
        "--idle", action="store_true", help="where it turns itself and no more, and its vacuum"
    )
    parser.add_argument("--speed", type=float, metavar="RPM", help="one speed, with everything behind it")
    parser.add_argument("--from", type=float, dest="first", metavar="RPM", help="first speed (default: 1000)")
    parser.add_argument(
        "--to", type=float, dest="last", metavar="RPM", help="last speed (default: the redline)"
    )
    parser.add_argument("--step", type=float, metavar="RPM", help="from speed to speed (default: 500)")
    parser.add_argument(
        "--calibration", metavar="NAME", help="with the constants that `tappetry calibrate` kept under a name"
    )
    parser.add_argument(
        "--keep", metavar="NAME", help="keep the result in the shop's folder, for `tappetry repeat`"
    )
    parser.add_argument(
        "--sweep",
        metavar="NAME=LOW..HIGH..STEP",
        help="one number of the engine at several values: advance, separation, intake-centreline, compression"
        " or runner-length",
    )
    parser.add_argument(
        "--shelf",
        action="store_true",
        help="camshafts beside the factory's, of --cam or all there are: strength, idle, launch, knock",
    )
    parser.add_argument(
        "--cruise", type=float, metavar="KMH", help="with --shelf and a job: steady at this speed as well"
    )
    parser.add_argument(
        "--valves", action="store_true", help="the valve train in motion, for each spring, in place of torque"
    )
    parser.add_argument(
        "--spring",
        action="append",
        metavar="NAME",
        help="with --valves: this spring alone; may be repeated",
    )
    parser.add_argument(
        "--chart",
        type=Path,
        metavar="FILE",
        help="torque and power, or the valves, as a .svg or .png picture",
    )
    parser.add_argument(
        "--draw",
        choices=DRAWINGS,
        help="with --chart: what it shows (default: waves at one speed, else torque)",
    )


def run(arguments: argparse.Namespace) -> int:
    """Simulate each camshaft and print curves, or one point; or turn the valve train."""
    if arguments.valves:
        from tappetry.cli.simulate_valves import run_valves

        return run_valves(arguments)
    if arguments.spring:
        raise BadInput.at(
            Where("tappetry simulate", field="--spring"), "springs are asked for with --valves alone", ""
        )
    _refuse_what_does_not_go_together(arguments)
    if arguments.sweep is not None:
        from tappetry.cli.simulate_sweep import run_sweep

        return run_sweep(arguments)
    if arguments.shelf:
        from tappetry.cli.simulate_shelf import run_shelf

        return run_shelf(arguments)
    return _run_curves(arguments)


def _run_curves(arguments: argparse.Namespace) -> int:
    """Look at everything that was asked for, then turn each camshaft, keep, draw and tell."""
    from tappetry.services.shop import open_shop
    from tappetry.services.simulate import make_ready, speeds_of

    cams = arguments.cam or [""]
    if arguments.chart is not None:
        from tappetry.presentation.charts.chart import require_picture
        from tappetry.presentation.charts.lines import distinct

        require_picture(arguments.chart)
        distinct(cams)
    drawing = _drawing(arguments)
    shop = open_shop()
    asked = [arguments.speed, arguments.first, arguments.last, arguments.step]
    described = [described_of(shop, arguments, cam) for cam in cams]
    speeds = speeds_of(described[0], *asked)
    if arguments.keep is not None:
        from tappetry.services.kept_results import require_keepable

        require_keepable(shop, arguments.keep)
    with stage("kernels made ready (some ten seconds the first time)"):
        make_ready(shop, arguments.engine)
    remarks = tuple(calibration_remarks(shop, arguments))
    found = [_turned(arguments, each, speeds, remarks) for each in described]
    if arguments.keep is not None:
        from tappetry.services.kept_results import keep_result

        note(f"  {keep_result(shop, arguments.keep, found, arguments.throttle, arguments.calibration)}")
    if arguments.chart is not None:
        from tappetry.cli.simulate_drawings import drawn
        from tappetry.presentation.charts.chart import write

        note(f"  {write(drawn(drawing, found), arguments.chart)}")
    _tell_all(shop, arguments, found)
    return 0


def _turned(
    arguments: argparse.Namespace, described: Described, speeds: Sequence[float], remarks: Sequence[str]
) -> Simulated:
    """An engine at idle or over speeds [rpm], with remarks before its own."""
    from dataclasses import replace

    from tappetry.services.simulate import idle_described, simulate_described

    note(f"  {described.variant} with {described.cam}, {described.cam_name}:")
    if arguments.idle:
        found = idle_described(described, arguments.speed, tell)
    else:
        found = simulate_described(described, speeds, tell)
    return replace(found, remarks=(*remarks, *found.remarks))


def _tell_all(shop: Shop, arguments: argparse.Namespace, found: Sequence[Simulated]) -> None:
    """Print what was found, as data or as tables."""
    if arguments.json:
        from tappetry.services.model_sources import SOURCES
        from tappetry.services.simulate import versions

        answer(
            {
                "engine": arguments.engine,
                "versions": versions(shop),
                "sources": SOURCES,
                "calibrated_by": arguments.calibration,
                "curves": [curve_data(each) for each in found],
            }
        )
    else:
        from tappetry.cli.simulate_tables import pages
        from tappetry.services.simulate import vacuum_limit

        whole = arguments.throttle == 1.0 and not arguments.idle
        show(*pages(found, vacuum_limit(shop) if arguments.idle else None, full_load=whole))


def described_of(shop: Shop, arguments: argparse.Namespace, cam: str) -> Described:
    """The engine that is asked for with a camshaft, calibrated where that is asked for."""
    from tappetry.services.simulate import JUST_SHUT, described_at

    throttle = JUST_SHUT if arguments.idle else arguments.throttle
    described = described_at(shop, arguments.engine, cam, throttle)
    if arguments.calibration is None:
        return described
    from tappetry.services.calibrating import calibrated, kept_calibration

    return calibrated(described, kept_calibration(shop, arguments.calibration))


def calibration_remarks(shop: Shop, arguments: argparse.Namespace) -> Sequence[str]:
    """What to know of the calibration that is used, if any is."""
    if arguments.calibration is None:
        return []
    from tappetry.services.calibrating import kept_calibration, remarks_of

    return remarks_of(kept_calibration(shop, arguments.calibration))


def _drawing(arguments: argparse.Namespace) -> str:
    """What is drawn; refused where it is not of what is simulated."""
    one = len(arguments.cam or [""]) == 1
    turned = one and arguments.speed is not None and not arguments.idle
    asked = arguments.draw or ("waves" if turned else "torque")
    where = Where("tappetry simulate", field="--draw")
    if arguments.draw is not None and arguments.chart is None:
        raise BadInput.at(where, "nothing says where to draw", asked, "--chart FILE beside it")
    if arguments.chart is not None and arguments.idle and asked != "lift":
        raise BadInput.at(where, "an idle is one point, and no line", asked, "no --idle")
    if asked in ("indicator", "waves") and not turned:
        raise BadInput.at(where, "that is drawn of one camshaft at one speed", asked, "one --cam and --speed")
    if asked == "lift" and not one:
        raise BadInput.at(where, "that is drawn of one camshaft", asked, "one --cam")
    return str(asked)


def _refuse_what_does_not_go_together(arguments: argparse.Namespace) -> None:
    given = {
        "--idle": arguments.idle,
        "--speed": arguments.speed is not None,
        "--from": arguments.first is not None,
        "--to": arguments.last is not None,
        "--step": arguments.step is not None,
        "--throttle": arguments.throttle != 1.0,
        "--shelf": arguments.shelf,
        "--draw": arguments.draw is not None,
        "--cruise": arguments.cruise is not None,
        "--calibration": arguments.calibration is not None,
        "--keep": arguments.keep is not None,
        "several --cam": len(arguments.cam or []) > 1,
    }
    refused: tuple[str, ...]
    if arguments.sweep is not None:
        option, refused = "--sweep", ("--idle", "--shelf", "--cruise", "--keep", "--draw", "several --cam")
    elif arguments.shelf:
        option, refused = "--shelf", ("--idle", "--speed", "--throttle", "--calibration", "--keep", "--draw")
    elif arguments.cruise is not None:
        option, refused = "--cruise", ("--cruise",)
    elif arguments.idle:
        option, refused = "--idle", ("--throttle", "--from", "--to", "--step")
    else:
        option = "--speed"
        refused = ("--from", "--to", "--step") if given["--speed"] else ()
    beside = [name for name in refused if given[name]]
    if beside:
        expected = "--shelf beside it" if option == "--cruise" else "without it"
        where = Where("tappetry simulate", field=option)
        raise BadInput.at(where, "that does not go together", ", ".join(beside), expected)
    if arguments.cruise is not None and not 20.0 <= arguments.cruise <= 250.0:
        where = Where("tappetry simulate", field="--cruise")
        raise BadInput.at(where, "no such speed to cruise at", f"{arguments.cruise:g}", "20 to 250 km/h")


def tell(point: Point) -> None:
    """Say that a point is done."""
    from tappetry.services.simulate import rpm

    note(f"  {rpm(point):5.0f} rpm {point.brake_torque:6.1f} N.m")


def curve_data(found: Simulated) -> dict[str, Any]:
    """A curve with what it was made with."""
    return {
        "cam": found.described.cam,
        "cam_name": found.described.cam_name,
        "fuel": found.described.fuel,
        "air": air_data(found),
        "points": [
            {**point_data(point), **unevenness_data(uneven)}
            for point, uneven in zip(found.points, found.unevenness, strict=True)
        ],
        "remarks": list(found.remarks),
        "made_with": {
            "cells": {
                "air_path": found.mesh.air_path,
                "runner": found.mesh.runner,
                "primary": found.mesh.primary,
                "tail": found.mesh.tail,
            },
            "courant": found.mesh.courant,
            "settled_change": found.settling.change,
            "settled_swing": found.settling.swing,
        },
    }


def air_data(found: Simulated) -> dict[str, Any]:
    """The air that it was simulated in, and what standards multiply its power at full load by."""
    from dataclasses import asdict

    from tappetry.services.corrected import corrections

    air = found.described.engine.air
    return {
        "dry_pressure_kpa": air.dry_pressure / 1e3,
        "vapour_pressure_kpa": air.vapour_pressure / 1e3,
        "temperature_k": air.temperature,
        "power_corrections": [asdict(each) for each in corrections(air)],
    }


def unevenness_data(uneven: Roughness) -> dict[str, Any]:
    """How unevenly it burns, with the unit at the end of each name."""
    import math

    return {
        "roughness_percent": None if uneven.variation is None else uneven.variation * 100.0,
        "roughness_why_not": uneven.why_not,
        "phase_spread_deg": None if uneven.spread is None else math.degrees(uneven.spread),
        "flame_velocity_m_per_s": uneven.flame_velocity,
        "flame_temperature_k": uneven.flame_temperature,
    }


def point_data(point: Point) -> dict[str, Any]:
    """A point with the unit at the end of each name."""
    import math

    from tappetry.services.simulate import fuel_for_work, rpm

    friction, fuel = point.friction, fuel_for_work(point)
    return {
        "speed_rpm": rpm(point),
        "torque_nm": point.brake_torque,
        "power_kw": point.brake_power / 1e3,
        "brake_pressure_kpa": point.brake_pressure / 1e3,
        "indicated_pressure_kpa": point.indicated_pressure / 1e3,
        "closed_pressure_kpa": point.closed_pressure / 1e3,
        "pumping_pressure_kpa": point.pumping_pressure / 1e3,
        "friction_pressure_kpa": {
            "crankshaft": friction.crankshaft / 1e3,
            "pistons": friction.pistons / 1e3,
            "gas_load": friction.gas_load / 1e3,
            "valve_train": friction.valve_train / 1e3,
            "auxiliaries": friction.auxiliaries / 1e3,
            "accessories": friction.accessories / 1e3,
            "total": friction.total / 1e3,
        },
        "manifold_pressure_kpa": point.manifold_pressure / 1e3,
        "manifold_vacuum_kpa": (point.ambient_pressure - point.manifold_pressure) / 1e3,
        "collector_pressure_kpa": point.collector_pressure / 1e3,
        "volumetric_efficiency": point.volumetric_efficiency,
        "air_flow_kg_per_s": point.air_flow,
        "fuel_flow_kg_per_s": point.fuel_flow,
        "fuel_consumption_g_per_kwh": None if fuel is None else fuel * 3.6e9,
        "trapped_air_g": [air * 1e3 for air in point.trapped_air],
        "residual_share": list(point.residual_share),
        "effective_compression_ratio": point.effective_compression_ratio,
        "exhaust_temperature_k": point.exhaust_temperature,
        "peak_pressure_kpa": point.peak_pressure / 1e3,
        "peak_angle_deg": math.degrees(point.peak_angle),
        "burned_temperature_k": point.burned_temperature,
        "knock_integral": point.knock_integral,
        "half_burned_deg": math.degrees(point.half_burned),
        "retarded_deg": math.degrees(point.retarded),
        "wall_heat_share": point.wall_heat_share,
        "blow_by_share": point.blow_by_share,
        "beyond_bench": point.beyond_bench,
        "cycle_change": point.cycle_change,
        "cycles": point.cycles,
        "steps": point.steps,
        "mass_error": point.mass_error,
        "energy_error": point.energy_error,
    }
