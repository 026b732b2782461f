"""The chart of waves: pressure at the valves through a cycle, with what opens, closes and comes back."""

from __future__ import annotations

import math
from typing import Any

from tappetry.presentation.charts.chart import Cell, Chart, Column
from tappetry.presentation.charts.columns import column
from tappetry.presentation.charts.lines import panel
from tappetry.presentation.charts.theme import Theme
from tappetry.presentation.measures import METRIC, Measures
from tappetry.simulation.waves import AtValve, Waves

PLACE = Column("valve", "valve")
ANGLE = Column("crank_angle_deg", "crank angle from top dead centre of gas exchange", "°")
EVENT = Column("event", "event")
EVENTS = {"opens": "triangle-up", "closes": "triangle-down", "wave is back": "diamond"}
VALVES = ("at the intake valve", "at the exhaust valve")
FIRST = -360
"""Where the cycle is cut, so that gas exchange stands in the middle. [deg]"""


def pressure_at_valves(title: str, found: Waves, measures: Measures = METRIC) -> Chart:
    """Pressure in the pipes next to the valves of one cylinder, by crank angle, and waves that come back."""
    pressure = column("pressure", "pressure in the pipe", "pressure", measures)
    rows: list[tuple[Cell, ...]] = []
    for name, side in zip(VALVES, (found.intake, found.exhaust), strict=True):
        for degree in range(FIRST, FIRST + 721):
            rows.append((name, float(degree), measures.of(_at(side, degree), "pressure"), None))
        events = [("opens", side.opens), ("closes", side.closes)]
        for event, angle in [*events, *(("wave is back", each) for each in side.returns)]:
            at = (math.degrees(angle) - FIRST) % 720.0 + FIRST
            rows.append((name, at, measures.of(_at(side, at), "pressure"), event))

    def draw(data: Any, theme: Theme) -> Any:
        import altair as alt

        lines = panel(data, theme, ANGLE, pressure, PLACE, VALVES, zero=False)
        legend = alt.Legend(title=None, symbolSize=70, symbolFillColor=theme.soft)
        marks = (
            lines.mark_point(filled=True, size=70, opacity=1)
            .encode(
                strokeDash=alt.Undefined,
                shape=alt.Shape(
                    field=EVENT.name,
                    type="nominal",
                    scale=alt.Scale(domain=list(EVENTS), range=list(EVENTS.values())),
                    legend=legend,
                ),
            )
            .transform_filter(f"isValid(datum.{EVENT.name})")
        )
        return lines.transform_filter(f"!isValid(datum.{EVENT.name})") + marks

    return Chart(title, (PLACE, ANGLE, pressure, EVENT), tuple(rows), draw)


def _at(side: AtValve, degrees: float) -> float:
    """Pressure at a crank angle [deg], between two degrees in a straight line. [Pa]"""
    low = math.floor(degrees)
    first, second = (float(side.pressures[each % 720]) for each in (low, low + 1))
    return first + (degrees - low) * (second - first)
