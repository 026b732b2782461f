"""What a constraint said is remembered for that constraint alone, however many come and go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from tappetry.kitting.expand import build
from tappetry.kitting.problem import Constraint, Problem
from tests.kitting.small_shops import small_shop

Views = Mapping[str, Mapping[str, Any]]


@pytest.fixture
def problem() -> Problem:
    return build(small_shop(3).request())


def says(problem: Problem, root: str, answer: bool) -> bool | None:
    """The verdict of a constraint that is gone afterwards, as one for a preference that cannot be held."""

    def holds(views: Views) -> bool:
        return answer

    constraint = Constraint("any", "", "", "preference", root, {root: frozenset({"state"})}, holds)
    (first, *_) = problem.grouped(constraint.reads)[0]
    return problem.verdict(constraint, (first,))


def test_a_constraint_that_is_gone_leaves_nothing_behind(problem: Problem) -> None:
    """Another object may take its place in memory."""
    root = next(iter(problem.slots))
    assert [says(problem, root, answer) for answer in (True, False) * 20] == [True, False] * 20
