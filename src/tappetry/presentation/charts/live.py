"""Charts that answer to the pointer: the same definition with what each point says, and the script for it."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from tappetry.presentation.charts.chart import Chart, specification
from tappetry.presentation.charts.theme import Theme

#: Points of a line that are not drawn, and still can be pointed at.
HIDDEN_POINT = {"opacity": 0, "size": 120}
#: What the script leaves behind for the app's own: it draws without evaluating text as program.
SNIPPET = """
window.drawChart = (place, specification, told) => vegaEmbed(place, specification, {
  actions: false,
  ast: true,
  defaultStyle: false,
  renderer: "canvas",
  tooltip: (handler, event, item, value) => told(value),
});
"""


def live_text(chart: Chart, theme: Theme) -> str:
    """The specification of a chart whose points say their row, as JSON."""
    made = specification(chart, theme)
    said = [
        {"field": column.name, "title": column.heading}
        | ({"type": "quantitative", "format": ",.4~g"} if _is_number(chart, place) else {"type": "nominal"})
        for place, column in enumerate(chart.columns)
    ]
    _say(made, said)
    return json.dumps(made, ensure_ascii=False, sort_keys=True, allow_nan=False)


@cache
def script() -> str:
    """The library that draws specifications in a browser, as it lies in the renderer of pictures."""
    import vl_convert

    made: str = vl_convert.javascript_bundle(SNIPPET)
    return made


def _is_number(chart: Chart, place: int) -> bool:
    return all(row[place] is None or isinstance(row[place], int | float) for row in chart.rows)


def _say(node: Any, said: list[dict[str, Any]]) -> None:
    """Let every mark that stands for rows say them."""
    if isinstance(node, list):
        for each in node:
            _say(each, said)
    elif isinstance(node, dict):
        mark, encoding = node.get("mark"), node.get("encoding", {})
        if isinstance(mark, dict) and any("field" in each for each in encoding.values()):
            encoding["tooltip"] = said
            if mark["type"] == "line" and not mark.get("point"):
                mark["point"] = HIDDEN_POINT
        for name in ("layer", "vconcat"):
            _say(node.get(name), said)
