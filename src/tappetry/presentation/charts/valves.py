"""Charts of valves: their lift with what the port passes, and how near the piston comes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.columns import column
from tappetry.presentation.charts.lines import distinct, limits, panel, stacked
from tappetry.presentation.charts.theme import Theme
from tappetry.presentation.measures import METRIC, Measures
from tappetry.services.breathing import Described
from tappetry.services.drawings import Closeness
from tappetry.services.valves import valve_by_angle

VALVE = Column("valve", "valve")
ANGLE = Column("crank_angle_deg", "crank angle after top dead centre of gas exchange", "°")
LIFT = Column("lift_mm", "lift", "mm")
AREA = Column("effective_area_cm2", "effective area", "cm²")
LINE = Column("line", "line")
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


def approach(pairs: Mapping[str, Closeness], measures: Measures = METRIC) -> Chart:
    """Lift of each valve beside the room that the piston leaves it, and the clearance with its limit.

    Raises
    ------
    BadInput
        There is nothing to draw.
    """
    lift = column("lift", "lift, and room to the piston", "length", measures)
    clearance = column("clearance", "clearance", "length", measures)
    limit = column("limit", "limit of the clearance", "length", measures)
    rows = tuple(
        (
            what,
            math.degrees(angle),
            measures.of(value, "length"),
            None if is_room else measures.of(left, "length"),
            None if is_room else measures.of(pair.limit, "length"),
        )
        for name, pair in pairs.items()
        for what, values, is_room in (
            (f"{name} valve", pair.approach.lifts, False),
            (f"piston below {name} valve", pair.approach.rooms, True),
        )
        for angle, value, left in zip(pair.approach.angles, values, pair.approach.clearances, strict=True)
    )
    series = distinct([str(row[0]) for row in rows])

    def draw(data: Any, theme: Theme) -> Any:
        below = panel(data, theme, ANGLE, clearance, LINE, series)
        return stacked(
            panel(data, theme, ANGLE, lift, LINE, series, last=False),
            limits(below.transform_filter(f"isValid(datum.{clearance.name})"), limit),
        )

    return Chart("Valves and pistons around overlap", (LINE, ANGLE, lift, clearance, limit), rows, draw)
