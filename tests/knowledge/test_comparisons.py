"""What conditions do with an attribute: compare, ask, reckon; and the limits as numbers."""

from __future__ import annotations

import pytest

from tappetry.knowledge.comparisons import Compared, comparisons
from tappetry.knowledge.language import compile_expression
from tappetry.records.problems import Where

KNOWN = {"limits.most": 150.0, "engine.leak_max": 20.0, "engine.said": "much"}


def done_with(attribute: str, *texts: str) -> Compared:
    return comparisons(compile_expression(text, Where("test")) for text in texts)[attribute]


@pytest.mark.parametrize(
    ("text", "limits", "exact"),
    [
        ("engine.km > 100000", {100000.0}, set()),
        ("130000 >= engine.km || engine.km < 5", {130000.0, 5.0}, set()),
        ("!(engine.km <= limits.most) && plan.heads == 'off'", {150.0}, set()),
        ("engine.km <= engine.leak_max", {20.0}, set()),
        ("engine.km == 3", {3.0}, {3.0}),
        ("engine.km in [1, 2]", {1.0, 2.0}, {1.0, 2.0}),
        ("engine.km > (plan.heads == 'on' ? 7 : -9)", {7.0, -9.0}, set()),
        ("(plan.heads == 'on' ? engine.km : 4) > 2", {2.0}, set()),
        ("stated.km > 8 ? camshaft.fitted : engine.km > 9", {8.0, 9.0}, set()),
        ("has(engine.km) && engine.km > 1", {1.0}, set()),
    ],
)
def test_limits_are_found(text: str, limits: set[float], exact: set[float]) -> None:
    assert done_with("km", text).numbers(KNOWN) == (limits, exact)


@pytest.mark.parametrize(
    "text",
    [
        "engine.km",
        "engine.km + 1 > 3",
        "ceil(engine.km) > 3",
        "engine.km > 2 * limits.most",
        "plan.heads == 'on' ? engine.km : 1",
        "[engine.km].exists(k, k > 1)",
        "engine.km > engine.said",
        "engine.km > engine.nobody_says",
        "engine.km > camshaft.lift_in",
    ],
)
def test_a_value_that_is_reckoned_with_has_no_limits(text: str) -> None:
    assert done_with("km", text).numbers(KNOWN) is None


def test_what_one_condition_reckons_with_no_other_mends() -> None:
    assert done_with("km", "engine.km > 1", "engine.km / 2 > 1").numbers(KNOWN) is None


def test_who_asks_whether_it_is_stated_is_told() -> None:
    assert done_with("km", "has(engine.km) ? 1 : 2").asked
    assert not done_with("km", "engine.km > 1").asked
