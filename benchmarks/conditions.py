"""A condition of the shop through the program, beside the bare library of the expression language."""

from __future__ import annotations

from collections.abc import Iterator

import cel

from benchmarks.pairs import Pair, Size, pair
from tappetry.knowledge.language import compile_expression
from tappetry.records.problems import Where

TEXTS = (
    "plan.heads == 'off'",
    "camshaft.follower.contains('roller') && engine.mileage_km >= 100000",
    "has(springs.least_margin_in) ? springs.least_margin_in : limits.spring_to_solid_min_in",
    "engine.installed_height_in - springs.solid_in - lift_in >= limits.spring_to_solid_min_in",
)
ROOTS = {
    "plan": {"heads": "off"},
    "engine": {"mileage_km": 140_000.0, "installed_height_in": 1.8},
    "camshaft": {"follower": "hydraulic roller"},
    "springs": {"solid_in": 1.1},
    "limits": {"spring_to_solid_min_in": 0.06},
    "lift_in": 0.55,
}


def measure(size: Size) -> Iterator[Pair]:
    for text in TEXTS:
        expression = compile_expression(text, Where("benchmark"))
        needed = expression.project(ROOTS)
        bare = cel.compile(expression.text.replace("100000", "100000.0"))
        assert expression.evaluate(ROOTS) == bare.execute(needed), text
        yield pair(
            text[:34],
            lambda expression=expression: expression.evaluate(ROOTS),
            "the bare library",
            lambda bare=bare, needed=needed: bare.execute(needed),
            size.rounds,
            size.calls,
        )
