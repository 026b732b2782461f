"""The bounded search for a purchase against trying every one, and against constraint programming."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from benchmarks.demo_shop import jobs, question, shop
from benchmarks.large_catalogue import large_catalogue
from tappetry.kitting.alternatives import groups_apart
from tappetry.kitting.choose import best_of_few, best_of_many
from tappetry.kitting.expand import build, narrow
from tappetry.kitting.packs import TooMany
from tappetry.kitting.prefer import decide
from tappetry.kitting.problem import Problem
from tappetry.kitting.purchase import Found
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import ordered_preferences, suppliers_of
from tappetry.kitting.solver import solve
from tappetry.records.part import Fill, Part, Supplier
from tests.kitting.small_shops import SmallNeed, SmallShop, SmallSlot, small_shop

NUMBERS = st.integers(0, 2**32)
Search = Callable[[Problem, Mapping[str, Supplier]], Found | None]


def decided(request: Request) -> Problem:
    """A request as far as the program takes it before it chooses."""
    problem = build(request)
    if narrow(problem) is None:
        decide(problem, ordered_preferences(request))
    return problem


def found(search: Search, problem: Problem, request: Request) -> Found | None:
    """What a search finds; an example that is too much for it is left out."""
    try:
        return search(problem, suppliers_of(request))
    except TooMany:
        assume(False)
        raise


def agree(all_tried: Found | None, bounded: Found | None) -> None:
    """Trying every purchase and bounding leave the same one, or both none."""
    if all_tried is None or bounded is None:
        assert all_tried is bounded is None
        return
    assert bounded.rank == all_tried.rank
    assert bounded.tie == all_tried.tie
    assert dict(bounded.units) == dict(all_tried.units)
    assert {root: bounded.chosen[root].key for root in bounded.chosen} == {
        root: all_tried.chosen[root].key for root in bounded.chosen
    }


@pytest.mark.slow
@given(NUMBERS)
def test_bounds_leave_what_trying_all_finds(number: int) -> None:
    request = small_shop(number).request()
    problem = decided(request)
    assume(all(state.options for state in problem.slots.values()))
    agree(found(best_of_few, problem, request), found(best_of_many, problem, request))


# In these shops another slot decides whether a piece out of a box would do.
@pytest.mark.parametrize("number", [639430559, 1058536380, 825049085])
def test_what_decides_about_a_box_is_settled_before_it_is_bought(number: int) -> None:
    request = small_shop(number).request()
    problem = decided(request)
    agree(best_of_few(problem, suppliers_of(request)), best_of_many(problem, suppliers_of(request)))


# In these shops rules speak of what lies in boxes, and say the same whatever stands in the other slots.
@pytest.mark.parametrize("number", [23, 186, 221])
def test_nothing_is_settled_that_decides_about_no_box(number: int) -> None:
    assert len(list(groups_apart(decided(small_shop(number).request())))) == 1


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3))
def test_bounds_find_what_constraint_programming_finds(seed: int) -> None:
    catalogue = large_catalogue(shop().catalogue, 20_000, seed)
    for job in jobs():
        request = question(job, catalogue).request
        problem = decided(request)
        bounded = best_of_many(problem, suppliers_of(request))
        assert bounded is not None
        solution = solve(problem, [], suppliers_of(request))
        assert solution.proved
        assert dict(sorted(bounded.units.items())) == dict(solution.units)
        assert bounded.rank[:2] == tuple(stage.value for stage in solution.stages[:2])


@pytest.mark.slow
def test_in_a_hurry_a_good_purchase_is_found_and_said_not_to_be_proved(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("tappetry.kitting.purchase.HURRIED_NODES", 20)
    catalogue = large_catalogue(shop().catalogue, 20_000, 0)
    unproved = 0
    for job in jobs():
        request = replace(question(job, catalogue).request, hurried=True)
        problem = decided(request)
        hurried = best_of_many(problem, suppliers_of(request))
        problem.request = replace(request, hurried=False)
        best = best_of_many(problem, suppliers_of(request))
        assert hurried is not None
        assert best is not None
        assert best.proved
        assert hurried.rank >= best.rank
        assert hurried.rank[0] <= 1.05 * best.rank[0]
        assert hurried.rank == best.rank if hurried.proved else True
        unproved += not hurried.proved
    assert unproved


def goods(supplier: str, number: str, need: str, cost: str) -> Part:
    return Part(number, supplier, number, (Fill(need, 1),), "each", 1, Decimal(cost), Decimal(99), 3)


@pytest.mark.parametrize(
    ("free_over", "bought", "landed"),
    [
        ("49.00", {("SA", "a"), ("SA", "cheap")}, 4900),  # 45 + 4 is enough
        ("50.00", {("SA", "a"), ("SA", "dear")}, 5000),  # 1 more for the goods, 10 less for the freight
        ("51.00", {("SA", "a"), ("SA", "cheap")}, 5900),  # nothing reaches it: 45 + 4 + 10
    ],
)
def test_a_dearer_part_is_bought_where_it_saves_the_freight(
    free_over: str, bought: set[tuple[str, str]], landed: int
) -> None:
    needs = tuple(SmallNeed(need, (SmallSlot(need, 1),)) for need in ("n0", "n1"))
    parts = (
        goods("SA", "a", "n0", "45.00"),
        goods("SA", "cheap", "n1", "4.00"),
        goods("SA", "dear", "n1", "5.00"),
        goods("SB", "other", "n1", "4.00"),
    )
    suppliers = (
        Supplier("SA", "SA", freight=Decimal(10), free_over=Decimal(free_over)),
        Supplier("SB", "SB", freight=Decimal(1)),
    )
    request = SmallShop(needs, parts, suppliers).request()
    for search in (best_of_few, best_of_many):
        best = search(decided(request), suppliers_of(request))
        assert best is not None
        assert (set(best.units), best.rank[0]) == (bought, landed)
