"""The invented shop under other part numbers and other prices: every job still solves, at the least cost.

Renaming every part and moving every price by up to a fifth leaves engines, needs and rules as they are.
What the solver buys is held against the optimum of a mixed integer programme (HiGHS) over the same slots,
which decides the shop's preferences one after the other and then the landed cost.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache
from itertools import product
from typing import Any

import pytest

from tappetry.catalogue.catalogue import Catalogue
from tappetry.jobs.reader import read_job
from tappetry.kitting.expand import build, narrow
from tappetry.kitting.options import Option
from tappetry.kitting.prefer import reads_of, regret
from tappetry.kitting.problem import Constraint, Problem
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import attempt, ordered_preferences
from tappetry.kitting.solution import Solution
from tappetry.knowledge.model import Preference
from tappetry.records.part import Part
from tappetry.services.kits import identify_job, request_of
from tests.kitting import milp
from tests.kitting.support import demo

pytestmark = pytest.mark.slow

JOBS = ("J1", "J3", "J5")
FEW_SEEDS = range(5)
MORE_SEEDS = range(5, 25)


def shuffled(catalogue: Catalogue, seed: int) -> tuple[Catalogue, dict[str, str]]:
    """The same goods under other numbers, each cost and price up to a fifth dearer or cheaper."""
    chance = random.Random(seed)
    numbers = sorted({part.number for part in catalogue.parts})
    new = [f"Z{index:04d}" for index in range(len(numbers))]
    chance.shuffle(new)
    renamed = dict(zip(numbers, new, strict=True))

    def moved(amount: Decimal) -> Decimal:
        cents = round(int(amount * 100) * chance.uniform(0.8, 1.2))
        return Decimal(cents) / 100

    parts = tuple(
        replace(
            part,
            number=renamed[part.number],
            cost=moved(part.cost),
            price=moved(part.price),
            superseded_by=renamed.get(part.superseded_by, part.superseded_by),
        )
        for part in catalogue.parts
    )
    return replace(catalogue, parts=parts), renamed


@cache
def asked(job: str) -> Request:
    """The question that a job of the demo puts to the solver."""
    shop = demo()
    read = read_job(shop.jobs / f"{job}.yaml", shop.knowledge)
    return request_of(shop, read, identify_job(shop, read))


@cache
def as_listed(job: str) -> Solution:
    """What the solver buys for a job at the demo's own prices."""
    _, solution, _ = attempt(asked(job))
    assert solution is not None
    return solution


@pytest.mark.parametrize("seed", FEW_SEEDS)
@pytest.mark.parametrize("job", JOBS)
def test_the_least_landed_cost_under_other_prices(job: str, seed: int) -> None:
    compare(job, seed)


@pytest.mark.parametrize("seed", MORE_SEEDS)
@pytest.mark.parametrize("job", JOBS)
def test_the_least_landed_cost_under_many_other_prices(job: str, seed: int) -> None:
    compare(job, seed)


@pytest.mark.parametrize("job", JOBS)
def test_the_second_solver_agrees_on_the_demo_as_it_is(job: str) -> None:
    assert as_listed(job).landed_cost * 100 == oracle_cents(asked(job))


def compare(job: str, seed: int) -> None:
    catalogue, _ = shuffled(demo().catalogue, seed)
    request = replace(asked(job), catalogue=catalogue)
    _, solution, conflict = attempt(request)
    assert solution is not None, f"{job} no longer solves: {conflict}"
    assert solution.proved
    assert solution.landed_cost * 100 == oracle_cents(request)
    assert solution.landed_cost != as_listed(job).landed_cost, "the prices did not move"


def test_only_names_change_when_only_names_are_changed() -> None:
    """With the old prices under new numbers the same goods are bought."""
    catalogue, renamed = shuffled(demo().catalogue, 1)
    prices = {renamed[part.number]: (part.cost, part.price) for part in demo().catalogue.parts}
    parts = tuple(
        replace(part, cost=prices[part.number][0], price=prices[part.number][1]) for part in catalogue.parts
    )
    for job in JOBS:
        new = attempt(replace(asked(job), catalogue=replace(catalogue, parts=parts)))[1]
        assert new is not None
        assert {renamed[number]: units for (_, number), units in as_listed(job).units.items()} == {
            number: units for (_, number), units in new.units.items()
        }


# ---- the slots of a job as data for the second solver ------------------------------------------------------


def oracle_cents(request: Request) -> int:
    """The least landed cost, with the preferences of the shop decided first."""
    problem = build(request)
    assert narrow(problem) is None
    programme = Slots(problem)
    costs = [programme.costs(root, preference) for root, preference in ordered_preferences(request)]
    return milp.cheapest_cents(programme.purchase(), [cost for cost in costs if cost])


class Slots:
    """What is left of a problem after thinning out, with every combination tried here, option by option."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.options: dict[str, Sequence[Option]] = {
            root: state.options for root, state in problem.slots.items()
        }

    def purchase(self) -> milp.Purchase:
        ruled_out = [
            literals
            for constraint in self.problem.constraints
            for literals, views in self._combinations(list(constraint.reads))
            if constraint.holds(views) is False
        ]
        return milp.Purchase(
            slots={
                root: [milp.Kind(self.problem.slots[root].need.id, o.parts) for o in options]
                for root, options in self.options.items()
            },
            pieces={root: self._pieces(root) for root in self.options},
            ruled_out=ruled_out,
            suppliers=self.problem.request.catalogue.suppliers,
            not_beside=list(self._beside()),
        )

    def costs(self, root: str, preference: Preference) -> milp.Costs:
        """What it costs not to follow a preference, by the choices that are still open: 0 is the best."""
        reads = [name for name in reads_of(self.problem, root, preference) if name in self.options]
        regrets = {
            tuple(literal for literal in literals if len(self.options[literal[0]]) > 1): regret(
                self.problem, root, preference, views
            )
            for literals, views in self._combinations(reads)
        }
        ranks = {value: float(rank) for rank, value in enumerate(sorted(set(regrets.values())))}
        return {literals: ranks[value] for literals, value in regrets.items()} if len(ranks) > 1 else {}

    def _combinations(self, reads: list[str]) -> Iterator[tuple[list[milp.Literal], dict[str, Any]]]:
        roots = [root for root in reads if root in self.options]
        for indices in product(*(range(len(self.options[root])) for root in roots)):
            literals = list(zip(roots, indices, strict=True))
            yield literals, {root: self.options[root][index].view for root, index in literals}

    def _pieces(self, root: str) -> Mapping[int, int]:
        expression = self.problem.slots[root].slot.pieces
        reads = [name for name in self.problem.values.reads([expression]) if name != root]
        live = [name for name in reads if len(self.options.get(name, ())) > 1]
        assert not live, f"the pieces of {root} hang on {live}"
        views = {name: self.options[name][0].view for name in reads if name in self.options}
        return {
            index: self.problem.pieces(root, {**views, root: option.view})
            for index, option in enumerate(self.options[root])
            if option.parts
        }

    def _beside(self) -> Iterator[milp.Beside]:
        """What may not be bought beside a box that holds a piece which would do."""
        boxes: set[tuple[str, str]] = set()
        by_identity: dict[tuple[str, str], Part] = {}
        for options in self.options.values():
            for part in (part for option in options for part in option.parts if len(part.fills) > 1):
                boxes.add((part.supplier, part.number))
                by_identity[part.supplier, part.number] = part
        for identity, (root, options) in product(sorted(boxes), self.options.items()):
            box = by_identity[identity]
            inside = next((o for o in self.problem.offered[root] if box in o.parts), None)
            if inside is None:
                continue
            reasons = tuple(self._broken_with(root, inside))
            for index, option in enumerate(options):
                if option.state == "new" and box not in option.parts:
                    yield milp.Beside(box, (root, index), reasons)

    def _broken_with(self, root: str, inside: Option) -> Iterator[tuple[milp.Literal, ...]]:
        for constraint in self.problem.constraints:
            if self._is_a_rule(constraint) and root in constraint.reads:
                others = [name for name in constraint.reads if name != root]
                for literals, views in self._combinations(others):
                    if constraint.holds({**views, root: inside.view}) is False:
                        yield tuple(literals)

    @staticmethod
    def _is_a_rule(constraint: Constraint) -> bool:
        return constraint.kind in {"match", "rule", "proof"}


def test_the_prices_of_a_seed_stay_within_a_fifth() -> None:
    catalogue, renamed = shuffled(demo().catalogue, 3)
    by_number = {part.number: part for part in catalogue.parts}
    assert len(set(renamed.values())) == len(renamed)
    for part in demo().catalogue.parts:
        new = by_number[renamed[part.number]]
        assert abs(new.cost - part.cost) <= part.cost / 5 + Decimal("0.01")
        assert new.cost == new.cost.quantize(Decimal("0.01"))
