"""The chart of a search: its first two goals against each other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.theme import HEIGHT, Theme
from tappetry.presentation.searched import HEADINGS, NAMES, known
from tappetry.records.problems import BadInput, Where
from tappetry.search.goals import Goal
from tappetry.services.search import Searched

CAM, STANDING = Column("cam", "cam"), Column("standing", "standing")
NAMED = Column("named", "name beside its mark")
MOST_NAMES = 12
"""Camshafts up to which each has its name beside its mark; of more only those that no other one beats, and of
more of them than that none. [1]"""
UNBEATEN, BEATEN = "no other one beats it", "beaten"


def require_two(goals: Sequence[Goal]) -> None:
    """A front is drawn between two goals.

    Raises
    ------
    BadInput
        There is only one.
    """
    if len(goals) < 2:
        raise BadInput.at(
            Where("chart"), "a front is drawn between two goals", goals[0].value, "--goal twice"
        )


def front_chart(found: Searched) -> Chart:
    """The camshafts of a search by its first two goals, with names beside marks as far as there is room.

    Where there are only two goals the unbeaten are joined by a line.

    Raises
    ------
    BadInput
        It has only one goal.
    """
    require_two(found.wish.goals)
    across, up = found.wish.goals[:2]
    x, y = _column(across), _column(up)
    named = {UNBEATEN: len(found.front) <= MOST_NAMES}
    named[BEATEN] = len(found.front) + len(found.beaten) <= MOST_NAMES
    rows = tuple(
        (
            each.camshaft.name,
            standing,
            known(across, each.figures),
            known(up, each.figures),
            each.camshaft.name if named[standing] else None,
        )
        for standing, group in ((UNBEATEN, found.front), (BEATEN, found.beaten))
        for each in group
    )

    def draw(data: Any, theme: Theme) -> Any:
        import altair as alt

        base = alt.Chart(data, width=theme.width, height=HEIGHT).encode(
            x=alt.X(field=x.name, type="quantitative", scale=alt.Scale(zero=False), title=x.heading),
            y=alt.Y(field=y.name, type="quantitative", scale=alt.Scale(zero=False), title=y.heading),
        )
        ranks = alt.Scale(domain=[UNBEATEN, BEATEN], range=list(theme.series[:2]))
        shapes = alt.Scale(domain=[UNBEATEN, BEATEN], range=["circle", "cross"])
        legend = alt.Legend(title=None, symbolSize=70)
        points = base.mark_point(filled=True, size=60).encode(
            color=alt.Color(field=STANDING.name, type="nominal", scale=ranks, legend=legend),
            shape=alt.Shape(field=STANDING.name, type="nominal", scale=shapes, legend=legend),
        )
        names = base.mark_text(align="left", dx=7, dy=-7, color=theme.ink).encode(
            text=alt.Text(field=NAMED.name, type="nominal")
        )
        marked = points + names.transform_filter(f"isValid(datum.{NAMED.name})")
        if len(found.wish.goals) > 2:  # with a third goal the front is no line between two
            return marked
        return marked + base.mark_line(color=theme.series[0], strokeWidth=1).transform_filter(
            alt.FieldEqualPredicate(field=STANDING.name, equal=UNBEATEN)
        )

    return Chart(f"Camshafts for {found.job}", (CAM, STANDING, x, y, NAMED), rows, draw)


def _column(goal: Goal) -> Column:
    title, unit = HEADINGS[goal].replace("N.m", "N·m").rsplit(" ", 1)
    return Column(NAMES[goal], title, unit)
