"""An idle in words: every verdict with its number, or why there is none."""

from __future__ import annotations

import math

import pytest

from tappetry.presentation.idling import brakes, by_overlap, evenness
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
    assert evenness(found) == (
        "not reckoned, with 70% burned gas in the charge (no flame); judge it by its overlap and its vacuum"
    )


def test_beyond_what_was_measured_the_number_is_an_index() -> None:
    said = evenness(Roughness(0.33, "", 0.1, 0.5, 2100.0, 0.47))
    assert "index of 33.0%" in said
    assert "47% of the charge is burned gas, and flames were measured up to 30%" in said
    assert "rough" not in said


@pytest.mark.parametrize(
    ("degrees", "expected"),
    [
        (25.5, "smooth"),
        (35, "smooth"),
        (36, "mild"),
        (48, "mild"),
        (49, "noticeable"),
        (61, "rough"),
        (72, "rough"),
        (73, "a racing engine's"),
    ],
)
def test_the_trade_expects_an_idle_by_its_overlap(degrees: float, expected: str) -> None:
    """Common practice, no source."""
    assert by_overlap(math.radians(degrees)).endswith(f"expects its idle to be {expected}")


def test_brakes_have_enough_from_the_limit_on() -> None:
    limit = 33863.9
    assert brakes(limit, limit, METRIC) == "enough for power brakes, which want 34 kPa (10.0 inHg)"
    assert brakes(limit - 1.0, limit, METRIC).startswith("too little for power brakes")
