"""Charts of valve trains in motion: against the cam's intent, by engine speed, and orders of spring surge."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.lines import MOST_SERIES, distinct, panel, stacked
from tappetry.presentation.charts.theme import Theme
from tappetry.services.valve_motion import RPM, SpringMotion, ValveMotion
from tappetry.simulation.train_motion import ANGLES, rigid_lift

TRAIN = Column("train", "spring and valve")
SPEED = Column("speed_rpm", "engine speed", "rpm")
ANGLE = Column("crank_angle_deg", "crank angle from the nose", "°")
LIFT = Column("lift_mm", "lift of the valve", "mm")
FORCE = Column("cam_force_n", "force of the cam", "N")
LEAST = Column("least_force_n", "least contact force", "N")
SEATING = Column("seating_speed_m_per_s", "seating speed", "m/s")
SURGE = Column("surge_force_n", "surge at the head", "N")
ORDER = Column("order", "order of the cam")
SWING = Column("swing_um", "swing of the middle coil", "µm")

FIRST_ORDER, LAST_ORDER = 8, 24
"""Orders between which springs surge: below, coils follow the lift; above, lobes hold next to nothing."""

INTENT = "as the cam asks"
SHOWN = math.radians(200.0)
"""Crank angle from the nose up to which motion is drawn. [rad]"""


def by_angle(found: ValveMotion) -> Chart:
    """Lift against the cam's intent and the force of the cam at one speed; of each spring the limiting valve.

    Raises
    ------
    BadInput
        There is nothing to draw, or there are more springs than can be told apart.
    """
    turned = _turned(found)
    distinct([_name(each) for each in turned] + [INTENT])
    near = np.flatnonzero(np.abs(ANGLES) <= SHOWN)
    rows: list[tuple[str | float | None, ...]] = []
    if turned:
        meant = rigid_lift(turned[0].worst.side.train, ANGLES)
        rows += [(INTENT, math.degrees(ANGLES[k]), float(meant[k]) * 1e3, None) for k in near]
    for each in turned:
        motion = each.worst.motion
        rows += [
            (
                _name(each),
                math.degrees(ANGLES[k]),
                float(motion.valve_lift[0, k]) * 1e3,
                float(motion.cam_force[0, k]),
            )
            for k in near
        ]
    series = distinct([str(row[0]) for row in rows])

    def draw(data: Any, theme: Theme) -> Any:
        return stacked(
            panel(data, theme, ANGLE, LIFT, TRAIN, series, last=False),
            panel(data, theme, ANGLE, FORCE, TRAIN, series),
        )

    title = f"Valve motion at {found.speeds[0] / RPM:.0f} rpm, {_engine(found)}"
    return Chart(title, (TRAIN, ANGLE, LIFT, FORCE), tuple(rows), draw)


def by_speed(found: ValveMotion) -> Chart:
    """Least contact force, seating speed and surge by engine speed: of each spring the valve that limits it.

    Raises
    ------
    BadInput
        There is nothing to draw, or there are more springs than can be told apart.
    """
    rows = tuple(
        (
            _name(each),
            float(speed) / RPM,
            float(motion.least_force[k]),
            float(motion.seating_speed[k]) if math.isfinite(motion.seating_speed[k]) else None,
            float(motion.seat_swing[k]),
        )
        for each in _turned(found)
        for motion in (each.worst.motion,)
        for k, speed in enumerate(found.speeds)
    )
    series = distinct([row[0] for row in rows])

    def draw(data: Any, theme: Theme) -> Any:
        return stacked(
            panel(data, theme, SPEED, LEAST, TRAIN, series, last=False),
            panel(data, theme, SPEED, SEATING, TRAIN, series, last=False),
            panel(data, theme, SPEED, SURGE, TRAIN, series),
        )

    title = f"Valve trains by speed, {_engine(found)}"
    return Chart(title, (TRAIN, SPEED, LEAST, SEATING, SURGE), rows, draw)


def surge_orders(found: ValveMotion, spring: SpringMotion) -> Chart:
    """How far the coils of a spring swing in those orders of the cam that swing it most, by engine speed.

    Raises
    ------
    BadInput
        There is nothing to draw.
    """
    rows: list[tuple[str | float, ...]] = []
    name = _name(spring) if spring.sides else spring.candidate.spring
    if spring.sides:
        surge, below = spring.worst.motion.surge, found.speeds < found.limit(spring)
        resonant = np.max(surge[below][:, FIRST_ORDER:LAST_ORDER], axis=0)
        strongest = np.sort(np.argsort(resonant)[::-1][:MOST_SERIES]) + FIRST_ORDER
        rows = [
            (f"order {order}", float(speed) / RPM, float(surge[k, order]) * 1e6)
            for order in strongest
            for k, speed in enumerate(found.speeds)
            if below[k]
        ]
    series = distinct([str(row[0]) for row in rows])

    def draw(data: Any, theme: Theme) -> Any:
        return panel(data, theme, SPEED, SWING, ORDER, series)

    return Chart(
        f"Surge by orders of the cam, {name}, {_engine(found)}", (ORDER, SPEED, SWING), tuple(rows), draw
    )


def _turned(found: ValveMotion) -> list[SpringMotion]:
    return [each for each in found.springs if each.sides]


def _name(spring: SpringMotion) -> str:
    return f"{spring.candidate.spring}, {spring.worst.side.side}"


def _engine(found: ValveMotion) -> str:
    return f"{found.trains.variant} with {found.trains.cam}, {found.trains.cam_name}"
