"""The chart of what each day costs."""

from __future__ import annotations

from typing import Any

from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.lines import panel, stacked
from tappetry.presentation.charts.theme import Theme
from tappetry.services.front import Front

DAYS = Column("days", "last part after", "working days")
DAY = Column("day", "here on")


def cost_by_day(front: Front, job: str) -> Chart:
    """Total and landed cost, each in a panel, of the best kit by the working day of its last part.

    A cost holds until the next point: between two of them no kit is better.

    Raises
    ------
    BadInput
        No kit is on the front.
    """
    priced = [(point, point.kit.totals) for point in front.points if point.kit.totals is not None]
    rows = tuple(
        (point.days, point.day.isoformat(), float(totals.total), float(point.kit.landed_cost))
        for point, totals in priced
    )
    currency = " and ".join(dict.fromkeys(totals.currency for _, totals in priced))
    total, landed = Column("total", "total", currency), Column("landed_cost", "landed cost", currency)

    ticks = sorted({point.days for point, _ in priced})

    def draw(data: Any, theme: Theme) -> Any:
        return stacked(
            panel(data, theme, DAYS, total, zero=False, points=True, steps=True, ticks=ticks, last=False),
            panel(data, theme, DAYS, landed, zero=False, points=True, steps=True, ticks=ticks),
        )

    return Chart(f"What each day costs, {job}", (DAYS, DAY, total, landed), rows, draw)
