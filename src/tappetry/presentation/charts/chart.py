"""A chart: its data as a table, how it is drawn, and its specification, SVG and PNG."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tappetry.presentation.charts.theme import LIGHT, Theme, configuration
from tappetry.records.problems import BadInput, OurFault, Where
from tappetry.services.files import require_place, save

Cell = float | int | str | None
Draw = Callable[[Any, Theme], Any]

ENDINGS = (".svg", ".png")

SHARPNESS = 2.0
"""Points of a PNG for each point of the drawing. [1]"""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the data; ``unit`` is empty for words and for pure numbers."""

    name: str
    title: str
    unit: str = ""

    @property
    def heading(self) -> str:
        """What stands at the axis."""
        return f"{self.title} [{self.unit}]" if self.unit else self.title


@dataclass(frozen=True, slots=True)
class Chart:
    """What is shown, as data; ``draw`` makes of data and theme a chart that has no title yet.

    The data are the text alternative as well: nothing is drawn that does not stand in them.
    """

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    draw: Draw

    def __post_init__(self) -> None:
        """Refuse a chart of nothing and of what is no number."""
        where = Where(f"chart '{self.title}'")
        if not self.rows:
            raise BadInput.at(where, "there is nothing to draw", 0, "one row of data or more")
        for number, row in enumerate(self.rows, 1):
            for column, cell in zip(self.columns, row, strict=True):
                if isinstance(cell, float) and not math.isfinite(cell):
                    where = Where(f"chart '{self.title}'", field=f"row {number}, {column.name}")
                    raise BadInput.at(where, "this cannot be drawn", cell, "a finite number, or none")


def as_table(chart: Chart) -> dict[str, Any]:
    """The text alternative: the chart's data, JSON-able."""
    return {
        "title": chart.title,
        "columns": [{"name": each.name, "title": each.title, "unit": each.unit} for each in chart.columns],
        "rows": [list(row) for row in chart.rows],
    }


def specification(chart: Chart, theme: Theme = LIGHT) -> dict[str, Any]:
    """The chart as Vega-Lite, held against the schema of Vega-Lite.

    Raises
    ------
    OurFault
        The drawing is no Vega-Lite.
    """
    import altair

    names = [column.name for column in chart.columns]
    values = [dict(zip(names, row, strict=True)) for row in chart.rows]
    try:
        drawn = chart.draw(altair.InlineData(values=values), theme).properties(
            title=chart.title, description=f"{chart.title}. {_told(chart)}"
        )
        made: dict[str, Any] = drawn.to_dict(validate=True)
    except altair.SchemaValidationError as error:
        raise OurFault(f"the chart '{chart.title}' is no Vega-Lite: {error}", as_table(chart)) from error
    return {**made, "config": configuration(theme)}


def specification_text(chart: Chart, theme: Theme = LIGHT) -> str:
    """The specification as JSON, the same bytes for the same chart."""
    return json.dumps(specification(chart, theme), ensure_ascii=False, sort_keys=True, allow_nan=False)


def svg(chart: Chart, theme: Theme = LIGHT) -> str:
    """The chart as an SVG drawing; nothing is fetched."""
    return drawing(specification_text(chart, theme))


def drawing(text: str) -> str:
    """A specification as an SVG drawing; nothing is fetched."""
    import vl_convert

    drawn: str = vl_convert.vegalite_to_svg(text, allowed_base_urls=[])
    return drawn


def png(chart: Chart, theme: Theme = LIGHT) -> bytes:
    """The chart as a PNG picture; nothing is fetched."""
    import vl_convert

    drawn: bytes = vl_convert.vegalite_to_png(
        specification_text(chart, theme), scale=SHARPNESS, allowed_base_urls=[]
    )
    return drawn


def require_picture(file: Path) -> Path:
    """The name of a picture that can be made, before the work for it begins.

    Raises
    ------
    BadInput
        It ends like no picture that is made here, or cannot be written.
    """
    if file.suffix.lower() not in ENDINGS:
        raise BadInput.at(Where("--chart"), "no such kind of picture", file, " or ".join(ENDINGS))
    return require_place(file)


def write(chart: Chart, file: Path, theme: Theme = LIGHT) -> Path:
    """Write a chart as SVG or PNG, by the ending of the file, and return its path.

    Raises
    ------
    BadInput
        It ends like neither, or cannot be written.
    """
    as_drawing = require_picture(file).suffix.lower() == ".svg"
    return save(file, svg(chart, theme).encode() if as_drawing else png(chart, theme))


def _told(chart: Chart) -> str:
    return f"{len(chart.rows)} rows of " + ", ".join(column.heading for column in chart.columns)
