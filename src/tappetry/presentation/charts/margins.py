"""The chart of proofs: each margin with its band, as a share of its limit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tappetry.presentation.bars import LIMIT_AT, bar
from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.theme import Theme
from tappetry.presentation.words import outcome
from tappetry.records.verdict import Proof

TITLE = Column("proof", "proof")
OUTCOME = Column("outcome", "outcome")
VALUE = Column("value", "value, in the unit of its row")
LIMIT = Column("limit", "limit, in the unit of its row")
UNIT = Column("unit", "unit")
MARGIN = Column("margin_percent", "margin, of its limit", "%")
LOW = Column("low_percent", "least margin of its band", "%")
HIGH = Column("high_percent", "greatest margin of its band", "%")

ROW_HEIGHT = 18
"""Of one proof. [px]"""

SHAPES = {
    "pass": "circle",
    "NOTE": "diamond",
    "DOUBT": "triangle-right",
    "WARN": "triangle-up",
    "SIGN": "square",
    "STOP": "cross",
    "UNKNOWN": "triangle-down",
}


def margins(proofs: Sequence[Proof]) -> Chart:
    """The margin of each proof that has a number and a limit; 0 is the limit, and what keeps it lies right.

    The scale is that of the bars in a quote: from -67 to 100 % of the limit, and what lies beyond stands at
    the end.

    Raises
    ------
    BadInput
        No proof has a number.
    """
    placed = [(proof, bar(proof)) for proof in proofs]
    rows = tuple(
        (
            proof.title,
            outcome(proof),
            proof.value,
            proof.limit,
            proof.unit,
            _percent(place.value),
            _percent(place.low),
            _percent(place.high),
        )
        for proof, place in placed
        if place is not None
    )

    def draw(data: Any, theme: Theme) -> Any:
        return _drawn(data, theme, [str(row[0]) for row in rows], {row[1] for row in rows})

    columns = (TITLE, OUTCOME, VALUE, LIMIT, UNIT, MARGIN, LOW, HIGH)
    return Chart("Margins and their bands", columns, rows, draw)


def _percent(place: float) -> float:
    return 100.0 * (place - LIMIT_AT) / (1.0 - LIMIT_AT)


def _drawn(data: Any, theme: Theme, titles: Sequence[str], seen: set[str]) -> Any:
    import altair as alt

    def across(column: Column) -> Any:
        axis = alt.Axis(title=MARGIN.heading)
        scale = alt.Scale(domain=[_percent(0.0), 100.0], nice=False)
        return alt.X(field=column.name, type="quantitative", axis=axis, scale=scale)

    up = alt.Y(
        field=TITLE.name,
        type="nominal",
        sort=list(dict.fromkeys(titles)),
        axis=alt.Axis(title=None, grid=True, labelLimit=int(0.625 * theme.width)),
    )
    outcomes = [each for each in theme.outcomes if each in seen]
    colour = alt.Color(
        field=OUTCOME.name,
        type="nominal",
        scale=alt.Scale(domain=outcomes, range=[theme.outcomes[each] for each in outcomes]),
        legend=alt.Legend(title=None, symbolSize=60),
    )
    shape = alt.Shape(
        field=OUTCOME.name,
        type="nominal",
        scale=alt.Scale(domain=outcomes, range=[SHAPES[each] for each in outcomes]),
        legend=alt.Legend(title=None, symbolSize=60),
    )
    drawn = alt.Chart(data, width=theme.width, height=alt.Step(ROW_HEIGHT))
    limit = drawn.mark_rule(color=theme.ink, strokeWidth=1).encode(x=alt.datum(0.0))
    band = drawn.mark_rule(strokeWidth=3, opacity=0.5).encode(
        x=across(LOW), x2=alt.X2(field=HIGH.name), y=up, color=colour
    )
    value = drawn.mark_point(size=55, opacity=1).encode(x=across(MARGIN), y=up, color=colour, shape=shape)
    return limit + band + value
