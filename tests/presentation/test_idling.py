"""An idle in words: every verdict with its number, or why there is none."""

from __future__ import annotations

import pytest

from tappetry.presentation.idling import brakes, evenness
from tappetry.presentation.measures import METRIC
from tappetry.simulation.roughness import Roughness


@pytest.mark.parametrize(
    ("variation", "said"),
    [
        (0.031, "even (work differs by 3.1% from cycle to cycle)"),
        (0.051, "uneven enough to be felt (work differs by 5.1% from cycle to cycle)"),
        (0.128, "rough (work differs by 12.8% from cycle to cycle, and above 10% drivers complain)"),
    ],
)
def test_an_idle_is_judged_by_how_much_work_differs(variation: float, said: str) -> None:
    assert evenness(Roughness(variation, "", 0.1, 0.5, 2100.0, 0.3)) == said


def test_what_is_beyond_the_model_says_why() -> None:
    found = Roughness(None, "no flame", None, None, None, 0.7)
    assert evenness(found) == "too uneven to say, expect it to misfire (no flame)"


def test_brakes_have_enough_from_the_limit_on() -> None:
    limit = 33863.9
    assert brakes(limit, limit, METRIC) == "enough for power brakes, which want 34 kPa (10.0 inHg)"
    assert brakes(limit - 1.0, limit, METRIC).startswith("too little for power brakes")
