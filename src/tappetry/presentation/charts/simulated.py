"""Charts of what was simulated: torque and power of camshafts, and how well they fill the cylinders."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.columns import column
from tappetry.presentation.charts.lines import distinct, panel, stacked
from tappetry.presentation.charts.theme import Theme
from tappetry.presentation.measures import METRIC, Measures
from tappetry.services.simulate import Point, Simulated, rpm

CAM = Column("cam", "cam")
SPEED = Column("speed_rpm", "engine speed", "rpm")
FILLING = Column("volumetric_efficiency_percent", "volumetric efficiency", "%")
VOLUME = Column("volume_cc", "volume of the cylinder", "cm³")
PRESSURE = Column("pressure_kpa", "pressure in the cylinder", "kPa")
ANGLE = Column("crank_angle_deg", "crank angle", "°")


def torque_power(found: Sequence[Simulated], measures: Measures = METRIC) -> Chart:
    """Torque and power at the crankshaft by speed, a line for each camshaft.

    Raises
    ------
    BadInput
        There is nothing to draw, or there are more camshafts than can be told apart.
    """
    name_of = _names(found)
    named = [(name_of(each), each.points) for each in found]
    return torque_power_of(f"Torque and power, {_engines(found)}", named, measures)


def torque_power_of(
    title: str, named: Sequence[tuple[str, Sequence[Point]]], measures: Measures = METRIC
) -> Chart:
    """Torque and power by speed, a line for each named curve.

    Raises
    ------
    BadInput
        There is nothing to draw, or there are more curves than can be told apart.
    """
    torque, power = (column(name, name, name, measures) for name in ("torque", "power"))
    rows = tuple(
        (
            name,
            rpm(point),
            measures.of(point.brake_torque, "torque"),
            measures.of(point.brake_power, "power"),
        )
        for name, points in named
        for point in points
    )
    series = distinct([row[0] for row in rows])

    def draw(data: Any, theme: Theme) -> Any:
        return stacked(
            panel(data, theme, SPEED, torque, CAM, series, zero=False, last=False, points=True),
            panel(data, theme, SPEED, power, CAM, series, points=True),
        )

    return Chart(title, (CAM, SPEED, torque, power), rows, draw)


def volumetric_efficiency(found: Sequence[Simulated]) -> Chart:
    """Air drawn in over displacement by speed, a line for each camshaft.

    Raises
    ------
    BadInput
        There is nothing to draw, or there are more camshafts than can be told apart.
    """
    name_of = _names(found)
    rows = tuple(
        (name_of(each), rpm(point), 100.0 * point.volumetric_efficiency)
        for each in found
        for point in each.points
    )
    series = distinct([row[0] for row in rows])

    def draw(data: Any, theme: Theme) -> Any:
        return panel(data, theme, SPEED, FILLING, CAM, series, zero=False, points=True)

    return Chart(f"Volumetric efficiency, {_engines(found)}", (CAM, SPEED, FILLING), rows, draw)


def pressure_volume(
    title: str, angles: Sequence[float], volumes: Sequence[float], pressures: Sequence[float]
) -> Chart:
    """Pressure over volume of one cylinder through a cycle, the pressure by its logarithm.

    Parameters
    ----------
    title : str
        Of which cylinder, at what speed.
    angles, volumes, pressures : sequence of float
        In their order through the cycle, of equal length. [rad], [m3], [Pa]

    Raises
    ------
    BadInput
        There is nothing to draw.
    """
    rows = tuple(
        (math.degrees(angle), volume * 1e6, pressure / 1e3)
        for angle, volume, pressure in zip(angles, volumes, pressures, strict=True)
    )

    def draw(data: Any, theme: Theme) -> Any:
        return panel(data, theme, VOLUME, PRESSURE, along=ANGLE, log=True)

    return Chart(title, (ANGLE, VOLUME, PRESSURE), rows, draw)


def _names(found: Sequence[Simulated]) -> Callable[[Simulated], str]:
    """What a line is called: by its camshaft, and where engines differ by its engine as well."""
    if len({each.described.variant for each in found}) > 1:
        return lambda each: f"{each.described.variant}, {each.described.cam}"
    return lambda each: f"{each.described.cam}, {each.described.cam_name}"


def _engines(found: Sequence[Simulated]) -> str:
    return ", ".join(dict.fromkeys(each.described.variant for each in found))
