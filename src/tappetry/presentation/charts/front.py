"""The chart of what each day costs."""

from __future__ import annotations

from typing import Any

from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.lines import panel, stacked
from tappetry.presentation.charts.theme import Theme
from tappetry.services.front import Front

DAYS = Column("days", "last part after", "working days")
DAY = Column("day", "here on")


def cost_by_day(front: Front, job: str, landed: bool = True) -> Chart:
    """Total and landed cost, each in a panel, of the best kit by the working day of its last part.

    Without ``landed`` the total stands alone, for those who are not told what the shop pays. A cost holds
    until the next point: between two of them no kit is better.

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
    total, own = Column("total", "total", currency), Column("landed_cost", "landed cost", currency)
    costs = (total, own) if landed else (total,)

    ticks = sorted({point.days for point, _ in priced})

    def draw(data: Any, theme: Theme) -> Any:
        return stacked(
            *(
                panel(data, theme, DAYS, cost, zero=False, points=True, steps=True, ticks=ticks, last=last)
                for cost, last in zip(costs, [False] * (len(costs) - 1) + [True], strict=True)
            )
        )

    columns = (DAYS, DAY, *costs)
    return Chart(f"What each day costs, {job}", columns, tuple(row[: len(columns)] for row in rows), draw)
