"""The timing diagram of camshafts: when each valve is open, about the dead centres of the crank."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from tappetry.engineering.ranges import Radian
from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.theme import WIDTH, Theme
from tappetry.services.cams import CamCard

CAM = Column("cam", "cam")
VALVE = Column("valve", "valve")
OPENS = Column("opens_deg", "crank angle after top dead centre of gas exchange", "°")
CLOSES = Column("closes_deg", "closes", "°")
DURATION = Column("duration_deg", "open for", "°")
EVENTS = Column("events", "opens and closes")
VALVES = ("exhaust", "intake")
#: Of one valve. [px]
ROW = 22
#: The dead centres, the ends of what is shown, and what the axis names. [degree]
CENTRES, ENDS, TICKS = (-180, 0, 180), (-270, 270), range(-270, 271, 90)


def timing_diagram(cards: Sequence[CamCard]) -> Chart:
    """A bar for each valve of each camshaft from opening to closing, at 0.050 in of lobe lift.

    Raises
    ------
    BadInput
        There is nothing to draw.
    """
    rows = tuple(row for card in cards for row in _rows(card))
    cams = list(dict.fromkeys(str(row[0]) for row in rows))

    def draw(data: Any, theme: Theme) -> Any:
        import altair as alt

        across = alt.X(
            field=OPENS.name,
            type="quantitative",
            scale=alt.Scale(domain=list(ENDS), nice=False),
            axis=alt.Axis(title=OPENS.heading, values=list(TICKS), tickCount=len(TICKS), grid=False),
        )
        up = alt.Y(
            field=CAM.name,
            type="nominal",
            sort=cams,
            axis=alt.Axis(title=None, labelLimit=int(0.5 * theme.width)),
        )
        beside = alt.YOffset(field=VALVE.name, type="nominal", sort=list(VALVES))
        drawn = alt.Chart(data, width=theme.width, height=alt.Step(ROW))
        bars = drawn.mark_bar(cornerRadius=2).encode(
            x=across,
            x2=alt.X2(field=CLOSES.name),
            y=up,
            yOffset=beside,
            color=alt.Color(
                field=VALVE.name,
                type="nominal",
                scale=alt.Scale(domain=list(VALVES), range=[theme.series[3], theme.series[2]]),
                legend=alt.Legend(title=None, symbolSize=120, symbolType="square"),
            ),
        )
        words = drawn.mark_text(align="left", dx=5, fontSize=11, color=theme.paper).encode(
            x=across, y=up, yOffset=beside, text=alt.Text(field=EVENTS.name, type="nominal")
        )
        centres = [
            drawn.mark_rule(color=theme.ink, strokeWidth=1, strokeDash=[3, 3]).encode(x=alt.datum(each))
            for each in CENTRES
        ]
        return alt.layer(*centres, bars, *([words] if theme.width >= WIDTH else []))

    columns = (CAM, VALVE, OPENS, CLOSES, DURATION, EVENTS)
    return Chart("Valve events at 0.050 in of lobe lift", columns, rows, draw)


def _rows(card: CamCard) -> Sequence[tuple[str | float, ...]]:
    name, events = f"{card.cam}, {card.name}", card.events
    intake = -math.degrees(events.intake_opens), 180.0 + math.degrees(events.intake_closes)
    exhaust = -180.0 - math.degrees(events.exhaust_opens), math.degrees(events.exhaust_closes)
    return [
        (name, valve, opens, closes, closes - opens, said)
        for valve, (opens, closes), said in (
            (
                "exhaust",
                exhaust,
                f"{_event(events.exhaust_opens, 'BBDC')} to {_event(-events.exhaust_closes, 'BTDC')}",
            ),
            (
                "intake",
                intake,
                f"{_event(events.intake_opens, 'BTDC')} to {_event(-events.intake_closes, 'BBDC')}",
            ),
        )
    ]


def _event(before: Radian, centre: str) -> str:
    """An event in degrees before a dead centre, told from the side on which it lies."""
    degrees = math.degrees(float(before))
    return f"{abs(degrees):.0f}° {centre if degrees >= 0 else 'A' + centre[1:]}"
