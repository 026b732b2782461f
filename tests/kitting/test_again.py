"""A request solved again under other plans, each against the same plan solved alone."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tappetry.jobs.reader import read_job
from tappetry.kitting.many import again
from tappetry.kitting.many.again import Again
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import attempt
from tappetry.records.plan import OwnPart, Plan
from tappetry.services.kits import identify_job, request_of
from tests.kitting.small_shops import small_shop
from tests.kitting.support import demo
from tests.kitting.test_many import assert_same

pytestmark = pytest.mark.slow


def plans(request: Request, chance: random.Random, count: int) -> Iterator[Plan]:
    """Plans that pin, refuse, decline or bring something else."""
    numbers = [part.number for part in request.catalogue.parts]
    needs = list(request.knowledge.needs)
    for _ in range(count):
        plan = request.plan
        yield replace(plan, pins=(*plan.pins, chance.choice(numbers)))
        yield replace(plan, pins=tuple(chance.sample(numbers, 2)))
        yield replace(plan, pins=(), refused_parts=tuple(chance.sample(numbers, 2)))
        yield replace(plan, declined={chance.choice(needs): "not wanted"})
        yield replace(plan, own_parts=(OwnPart(chance.choice(needs), "own", {"size": 1.0, "kind": "a"}),))


@settings(max_examples=100)
@given(number=st.integers(0, 2**32))
def test_another_plan_gets_the_kit_that_it_gets_alone(number: int) -> None:
    request = small_shop(number).request()
    solver = Again(request)
    for plan in plans(request, random.Random(number), 2):
        asked = replace(request, plan=plan)
        assert_same(solver.attempt(asked)[1], attempt(asked)[1])


@pytest.mark.parametrize("name", ["J1", "J3", "J5"])
def test_every_part_pinned_gets_the_kit_that_it_gets_alone(name: str) -> None:
    job = read_job(demo().jobs / f"{name}.yaml", demo().knowledge)
    request = request_of(demo(), job, identify_job(demo(), job))
    solver = Again(request)
    numbers = [part.number for part in request.catalogue.parts if request.catalogue.carries(part.number)]
    for number in random.Random(name).sample(numbers, 40):
        asked = replace(request, plan=replace(request.plan, pins=(number,)))
        problem, found = solver.attempt(asked)
        alone, expected, _ = attempt(asked)
        assert_same(found, expected)
        if found is not None:
            assert list(problem.slots) == list(alone.slots)
            assert problem.offered.keys() == alone.offered.keys()
            assert problem.standings.keys() == alone.standings.keys()


def test_only_what_a_plan_touches_is_solved_again(monkeypatch: pytest.MonkeyPatch) -> None:
    job = read_job(demo().jobs / "J1.yaml", demo().knowledge)
    request = request_of(demo(), job, identify_job(demo(), job))
    solver = Again(request)
    assert solver.attempt(request)[1] is not None
    built: list[list[str]] = []
    build = again.build

    def watched(asked: Request, needs: list, rules: list) -> object:
        built.append([need.id for need in needs])
        return build(asked, needs, rules)

    monkeypatch.setattr(again, "build", watched)
    solver.attempt(replace(request, plan=replace(request.plan, pins=("WDW-PLUG8",))))
    assert built == [["spark-plugs"]]
