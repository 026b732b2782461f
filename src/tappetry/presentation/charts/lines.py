"""Panels of lines over one axis, with series that are told apart by colour and dash."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tappetry.presentation.charts.chart import Column
from tappetry.presentation.charts.theme import DASHES, HEIGHT, Theme
from tappetry.records.problems import BadInput, Where

MOST_SERIES = len(DASHES)


def distinct(names: Sequence[str]) -> list[str]:
    """The series in the order in which they first stand there.

    Raises
    ------
    BadInput
        There are more than can be told apart.
    """
    series = list(dict.fromkeys(names))
    if len(series) > MOST_SERIES:
        raise BadInput.at(
            Where("chart"),
            "that many lines cannot be told apart",
            len(series),
            f"at most {MOST_SERIES} in one chart",
        )
    return series


def panel(
    data: Any,
    theme: Theme,
    x: Column,
    y: Column,
    of: Column | None = None,
    series: Sequence[str] = (),
    *,
    along: Column | None = None,
    zero: bool = True,
    last: bool = True,
    points: bool = False,
    steps: bool = False,
    log: bool = False,
    ticks: Sequence[float] | None = None,
) -> Any:
    """One panel: a line for each series, in the order of ``along`` (of ``x`` where it is not given).

    ``zero`` lets the axis upwards begin at nought, ``last`` says that the words of the shared axis stand
    below this panel, ``points`` marks each row, ``steps`` holds each value until the next, ``log`` spaces the
    axis upwards by the logarithm. ``ticks`` are the places that the axis across names; it finds its own
    without them.
    """
    import altair as alt

    places = alt.Undefined if ticks is None else list(ticks)
    across = alt.X(
        field=x.name,
        type="quantitative",
        scale=alt.Scale(zero=False, nice=along is not None),
        axis=alt.Axis(title=x.heading if last else None, labels=last, grid=False, values=places),
    )
    up = alt.Y(
        field=y.name,
        type="quantitative",
        scale=alt.Scale(type="log", nice=False) if log else alt.Scale(zero=zero),
        axis=alt.Axis(title=y.heading),
    )
    encoded: dict[str, Any] = {"x": across, "y": up}
    if along is not None:
        encoded["order"] = alt.Order(field=along.name, type="quantitative")
    drawn = alt.Chart(data, width=theme.width, height=HEIGHT).encode(**encoded)
    if of is None:
        colour = theme.series[0]
        return drawn.mark_line(
            color=colour,
            point={"color": colour} if points else False,
            interpolate="step-after" if steps else "linear",
        )
    count = len(series)
    legend = alt.Legend(title=None, symbolType="stroke")
    colours = alt.Scale(domain=list(series), range=list(theme.series[:count]))
    dashes = alt.Scale(domain=list(series), range=[list(dash) or [1, 0] for dash in DASHES[:count]])
    return drawn.mark_line(point=points).encode(
        color=alt.Color(field=of.name, type="nominal", scale=colours, legend=legend),
        strokeDash=alt.StrokeDash(field=of.name, type="nominal", scale=dashes, legend=legend),
    )


def limits(drawn: Any, limit: Column) -> Any:
    """The panel with the limit of each of its series as a thin line of the same colour and dash."""
    line = drawn.mark_line(strokeWidth=1).encode(y=drawn.encoding.y.copy())
    line.encoding.y.field = limit.name
    return drawn + line


def stacked(*panels: Any) -> Any:
    """Panels below each other over one axis."""
    import altair as alt

    return alt.vconcat(*panels)
