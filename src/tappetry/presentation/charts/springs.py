"""The chart of a valve spring: its load over lift, with seat, full lift, and where it is solid."""

from __future__ import annotations

from typing import Any

from tappetry.presentation.charts.chart import Chart, Column
from tappetry.presentation.charts.columns import column
from tappetry.presentation.charts.theme import HEIGHT, Theme
from tappetry.presentation.measures import METRIC, Measures
from tappetry.services.drawings import SpringTravel

PLACE = Column("place", "place")
SHAPES = ("circle", "square", "cross")


def load_over_lift(travel: SpringTravel, measures: Measures = METRIC) -> Chart:
    """The load of a spring from the seat to where its coils touch, with the place of full lift."""
    lift = column("lift", "lift of the valve", "length", measures)
    load = column("load", "load of the spring", "force", measures)
    places = (("on the seat", 0.0), ("at full lift", travel.full_lift), ("solid", travel.solid_lift))
    rows = tuple(
        (place, measures.of(at, "length"), measures.of(travel.load(at), "force")) for place, at in places
    )

    def draw(data: Any, theme: Theme) -> Any:
        import altair as alt

        names = [place for place, _ in places]
        across = alt.X(field=lift.name, type="quantitative", axis=alt.Axis(title=lift.heading, grid=False))
        up = alt.Y(field=load.name, type="quantitative", axis=alt.Axis(title=load.heading))
        base = alt.Chart(data, width=theme.width, height=HEIGHT).encode(x=across, y=up)
        legend = alt.Legend(title=None, symbolSize=90)
        marks = base.mark_point(size=110, filled=True).encode(
            color=alt.Color(
                field=PLACE.name,
                type="nominal",
                scale=alt.Scale(domain=names, range=[theme.series[0], theme.series[1], theme.series[3]]),
                legend=legend,
            ),
            shape=alt.Shape(
                field=PLACE.name,
                type="nominal",
                scale=alt.Scale(domain=names, range=list(SHAPES)),
                legend=legend,
            ),
        )
        return base.mark_line(color=theme.soft) + marks

    return Chart("Spring load over lift", (PLACE, lift, load), rows, draw)
