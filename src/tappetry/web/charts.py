"""Charts on pages: a picture that the server draws, its table beside it, and a specification for a script.

Where the browser runs scripts, a figure is asked for its specification and answers to the pointer; everything
comes from this server, and nothing of it is evaluated as program text.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from fastapi import APIRouter, Response
from starlette.exceptions import HTTPException

from tappetry.presentation.charts.chart import Chart, drawing, specification_text
from tappetry.presentation.charts.live import live_text, script
from tappetry.presentation.charts.theme import DARK, LIGHT, Theme, narrow
from tappetry.presentation.words import decimal_figure

router = APIRouter()

THEMES = {
    ("light", "wide"): LIGHT,
    ("dark", "wide"): DARK,
    ("light", "narrow"): narrow(LIGHT),
    ("dark", "narrow"): narrow(DARK),
}
#: A picture is asked for by its ending.
ENDINGS = ("svg", "json")
#: How many drawings are remembered.
REMEMBERED = 128


@dataclass(frozen=True, slots=True)
class Figure:
    """A chart of a page: its address without ending, and what stands beside it in words."""

    address: str
    chart: Chart
    told: tuple[str, ...] = ()

    @property
    def rows(self) -> list[list[str]]:
        """The table beside the picture, as text."""
        return [[_cell(cell) for cell in row] for row in self.chart.rows]


def answer(chart: Chart | None, ending: str, theme: str, size: str) -> Response:
    """A chart as a picture, or as a specification for the script.

    Raises
    ------
    HTTPException
        There is no such chart, ending, theme or size.
    """
    looks: Theme | None = THEMES.get((theme, size))
    if chart is None or looks is None or ending not in ENDINGS:
        raise HTTPException(404)
    if ending == "json":
        return Response(live_text(chart, looks), media_type="application/json")
    return Response(_drawn(specification_text(chart, looks)), media_type="image/svg+xml")


@router.get("/static/charts.js")
def library() -> Response:
    """The script that draws specifications, out of the library that draws the pictures."""
    return Response(script(), media_type="text/javascript")


@lru_cache(maxsize=REMEMBERED)
def _drawn(text: str) -> str:
    return drawing(text)


def _cell(cell: float | int | str | None) -> str:
    if isinstance(cell, float):
        return decimal_figure(cell)
    return "" if cell is None else str(cell)
