"""How every chart looks: sizes, colours and dashes, in light and in dark."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

#: The first family is inside the renderer, so that every machine measures words alike; the second is inside
#: the setter of papers.
FONT = "Liberation Sans, Libertinus Serif, sans-serif"

WIDTH, HEIGHT = 480, 190
"""Of one panel. [px]"""

NARROW = 250
"""Of one panel on a telephone. [px]"""

WORDS_TO_A_SERIES = 160
"""How wide an entry of a legend is. [px]"""

#: How a series is dashed, in the order of the colours: told apart in grey as well.
DASHES: tuple[tuple[int, ...], ...] = ((), (7, 3), (2, 2), (9, 3, 2, 3), (12, 4), (4, 2, 1, 2, 1, 2))


@dataclass(frozen=True, slots=True)
class Theme:
    """The colours of a chart.

    Attributes
    ----------
    name : str
        As a person asks for it.
    paper, ink, soft, rule : str
        Ground; words; words beside them; lines of the grid.
    series : tuple of str
        Of lines that stand beside each other, in their order.
    outcomes : dict of str to str
        Of what each check comes to, by its name.
    width : int
        Of one panel. [px]
    """

    name: str
    paper: str
    ink: str
    soft: str
    rule: str
    series: tuple[str, ...]
    outcomes: dict[str, str]
    width: int = WIDTH


LIGHT = Theme(
    name="light",
    paper="#ffffff",
    ink="#1d2b33",
    soft="#5d6b73",
    rule="#dfe4e6",
    series=("#2f5d50", "#b07a1e", "#4d6f8c", "#a33a2a", "#7d6b91", "#5d6b73"),
    outcomes={
        "pass": "#2f5d50",
        "NOTE": "#4d6f8c",
        "DOUBT": "#b07a1e",
        "WARN": "#b07a1e",
        "SIGN": "#b07a1e",
        "STOP": "#a33a2a",
        "UNKNOWN": "#5d6b73",
    },
)

DARK = Theme(
    name="dark",
    paper="#1e2225",
    ink="#ebe8e1",
    soft="#a9b0b3",
    rule="#3b4246",
    series=("#8fd0ab", "#e8bd73", "#8cc4d2", "#f2978a", "#c0aede", "#a9b0b3"),
    outcomes={
        "pass": "#8fd0ab",
        "NOTE": "#8cc4d2",
        "DOUBT": "#e8bd73",
        "WARN": "#e8bd73",
        "SIGN": "#e8bd73",
        "STOP": "#f2978a",
        "UNKNOWN": "#a9b0b3",
    },
)


def narrow(theme: Theme) -> Theme:
    """The theme for a screen as narrow as a telephone's."""
    return replace(theme, width=NARROW)


def configuration(theme: Theme) -> dict[str, Any]:
    """The theme as the configuration of a specification."""
    words = {"labelColor": theme.soft, "titleColor": theme.ink, "labelFontSize": 11, "titleFontSize": 12}
    return {
        "background": theme.paper,
        "font": FONT,
        "numberFormat": "~f",
        "padding": 12,
        "view": {"stroke": None},
        "title": {"color": theme.ink, "fontSize": 15, "anchor": "start", "fontWeight": 600, "offset": 12},
        "axis": {
            **words,
            "titleFontWeight": "normal",
            "gridColor": theme.rule,
            "domainColor": theme.soft,
            "tickColor": theme.soft,
            "tickCount": 6,
            "labelFlush": False,
        },
        "legend": {
            **words,
            "orient": "top",
            "symbolSize": 500,
            "symbolStrokeWidth": 2,
            "labelLimit": 260,
            "columns": theme.width // WORDS_TO_A_SERIES,
        },
        "line": {"strokeWidth": 2},
        "point": {"size": 22, "filled": True, "opacity": 1},
        "concat": {"spacing": 18},
    }
