"""Charts of valves: their lift with what the port passes, and how near the piston comes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.lines import limits, panel, stacked
from tappetry.presentation.charts.theme import Theme
from tappetry.services.breathing import Described
from tappetry.services.valves import valve_by_angle

VALVE = Column("valve", "valve")
ANGLE = Column("crank_angle_deg", "crank angle after top dead centre of gas exchange", "°")
LIFT = Column("lift_mm", "lift", "mm")
AREA = Column("effective_area_cm2", "effective area", "cm²")
CLEARANCE = Column("clearance_mm", "piston-to-valve clearance", "mm")
LIMIT = Column("limit_mm", "limit", "mm")
VALVES = ("intake", "exhaust")


def lift_and_flow(described: Described) -> Chart:
    """Lift of both valves, and the area without loss that passes what the bench says, by crank angle."""
    both = (valve_by_angle(described.engine.intake), valve_by_angle(described.engine.exhaust))
    rows = tuple(
        (name, math.degrees(angle), float(lift) * 1e3, float(area) * 1e4)
        for name, found in zip(VALVES, both, strict=True)
        for angle, lift, area in zip(found.angles, found.lifts, found.areas, strict=True)
    )

    def draw(data: Any, theme: Theme) -> Any:
        return stacked(
            panel(data, theme, ANGLE, LIFT, VALVE, VALVES, last=False),
            panel(data, theme, ANGLE, AREA, VALVE, VALVES),
        )

    title = f"Lift and flow, {described.variant} with {described.cam}, {described.cam_name}"
    return Chart(title, (VALVE, ANGLE, LIFT, AREA), rows, draw)


def clearance(
    angles: Sequence[float],
    intake: Sequence[float],
    exhaust: Sequence[float],
    intake_limit: float,
    exhaust_limit: float,
) -> Chart:
    """Piston-to-valve clearance around overlap, with the limit of each valve as a thin line.

    Parameters
    ----------
    angles : sequence of float
        After top dead centre, crank angle. [rad]
    intake, exhaust : sequence of float
        Along the valve, as long as the angles. [m]
    intake_limit, exhaust_limit : float
        [m]

    Raises
    ------
    BadInput
        There is nothing to draw.
    """
    rows = tuple(
        (name, math.degrees(angle), float(each) * 1e3, limit * 1e3)
        for name, found, limit in (("intake", intake, intake_limit), ("exhaust", exhaust, exhaust_limit))
        for angle, each in zip(angles, found, strict=True)
    )

    def draw(data: Any, theme: Theme) -> Any:
        return limits(panel(data, theme, ANGLE, CLEARANCE, VALVE, VALVES), LIMIT)

    return Chart("Piston-to-valve clearance and its limits", (VALVE, ANGLE, CLEARANCE, LIMIT), rows, draw)
