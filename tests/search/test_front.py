"""What no other one beats, and what the drawing of specifications asks for."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.search.exploring import Between, Judged, Specification, explore
from tappetry.search.front import undominated

FREE = (Between("x", -3.0, 3.0, 0.1), Between("y", -3.0, 3.0, 0.1))

small = st.integers(0, 4).map(float)
tables = st.integers(1, 3).flatmap(
    lambda goals: st.lists(st.lists(small, min_size=goals, max_size=goals), max_size=12)
)


def beats(one: Sequence[float], other: Sequence[float]) -> bool:
    return all(a >= b for a, b in zip(one, other, strict=True)) and list(one) != list(other)


@given(tables)
def test_the_front_is_that_of_brute_force(scores: list[list[float]]) -> None:
    expected = [not any(beats(other, each) for other in scores) for each in scores]
    assert undominated(scores).tolist() == expected


def judge(asked: Sequence[Specification]) -> list[Judged]:
    """Two centres that draw, at 0 and at 2 of x; below 1 of x nothing is allowed."""
    found = []
    for each in asked:
        x, y = each["x"], each["y"]
        broken = max(0.0, 1.0 - x)
        scores = () if broken > 1e-9 else (-(x**2 + y**2), -((x - 2.0) ** 2 + y**2))
        found.append(Judged(scores, broken if broken > 1e-9 else 0.0))
    return found


def test_the_drawing_comes_near_the_front_that_is_known() -> None:
    """Between 1, where the limit stands, and 2, where the second goal is best, on y = 0."""
    asked = explore(FREE, 2, judge, 24, 20, seed=3)
    allowed = [each for each in asked if each["x"] >= 1.0 - 1e-9]
    kept = undominated([judged.scores for judged in judge(allowed)])
    front = [each for each, stays in zip(allowed, kept, strict=True) if stays]
    assert all(1.0 - 1e-9 <= each["x"] <= 2.2 for each in front)
    assert max(abs(each["y"]) for each in front) <= 0.4
    assert len(front) >= 5
    last = asked[-24:]
    assert sum(each["x"] >= 1.0 - 1e-9 for each in last) > sum(each["x"] >= 1.0 - 1e-9 for each in asked[:24])


def test_one_seed_one_drawing() -> None:
    first, again = (explore(FREE, 2, judge, 10, 4, seed=5) for _ in range(2))
    assert first == again
    assert explore(FREE, 2, judge, 10, 4, seed=6) != first


def test_every_number_is_one_of_its_steps() -> None:
    for each in explore(FREE, 2, judge, 10, 2, seed=1):
        for name, value in each.items():
            steps = (value + 3.0) / 0.1
            assert steps == pytest.approx(round(steps)), name
            assert -3.0 <= value <= 3.0 + 1e-9
