"""The solver against brute force and a second solver, on small random shops; and what may never change it."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from itertools import product

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from tappetry.kitting.expand import build, narrow
from tappetry.kitting.kit import KitBuilder
from tappetry.kitting.resolve import attempt, ordered_preferences, preferences_by_need, suppliers_of
from tappetry.kitting.solution import Infeasible, Solution
from tappetry.kitting.solver import solve
from tests.kitting import milp
from tests.kitting.brute_force import Best, TooLarge, best, candidates, holds
from tests.kitting.small_shops import SmallShop, doubtful_shop, middling_shop, slots_of, small_shop

pytestmark = pytest.mark.slow

NUMBERS = st.integers(0, 2**32)


def quickly(shop: SmallShop) -> Solution | None:
    """What the program does: preferences first, then every choice that is left."""
    return attempt(shop.request())[1]


def generally(shop: SmallShop) -> Solution | None:
    """What the program does when too many choices are left: all rankings by constraint programming."""
    request = shop.request()
    problem = build(request)
    if narrow(problem) is not None:
        return None
    try:
        return solve(problem, ordered_preferences(request), suppliers_of(request))
    except Infeasible:
        return None


def assert_agrees(shop: SmallShop, expected: Best | None, found: Solution | None) -> None:
    """The same purchase, the same money, the same states."""
    if expected is None:
        assert found is None, f"nothing meets the rules, yet {dict(found.units)} is bought:{shop!r}"
        return
    if found is None:
        # A question that is open may be refused at once where no answer to it could mend the rules.
        assert "open" in expected.states.values(), f"refused, yet {expected} meets the rules:{shop!r}"
        return
    assert dict(found.units) == dict(expected.units), repr(shop)
    assert found.landed_cost * 100 == expected.landed_cents, repr(shop)
    assert {root: option.state for root, option in found.chosen.items()} == expected.states, repr(shop)
    assert found.proved


# ---- brute force -----------------------------------------------------------------------------------------


@settings(max_examples=100)
@given(number=NUMBERS)
@example(number=44)  # an open question that no answer could mend
@example(number=91)  # a box whose other pieces would do
@example(number=248)  # pieces of a box for a need that is not there stay over
@example(number=319)  # a piece of a box that would do, were it not for another need
def test_what_the_program_finds_is_what_brute_force_finds(number: int) -> None:
    compare_with_brute_force(quickly, number)


@settings(max_examples=40)
@given(number=NUMBERS)
@example(number=54)  # a box that is bought for its scarcest piece
@example(number=134)  # two boxes beside each other
@example(number=319)
def test_what_constraint_programming_finds_is_what_brute_force_finds(number: int) -> None:
    compare_with_brute_force(generally, number)


@settings(max_examples=600)
@given(number=NUMBERS)
def test_both_ways_find_what_brute_force_finds(number: int) -> None:
    compare_with_brute_force(quickly, number)
    compare_with_brute_force(generally, number)


@settings(max_examples=150)
@given(number=NUMBERS)
def test_what_hangs_on_unknown_facts_is_open_as_brute_force_finds(number: int) -> None:
    compare_with_brute_force(quickly, number, doubtful_shop)
    compare_with_brute_force(generally, number, doubtful_shop)


def compare_with_brute_force(
    way: Callable[[SmallShop], Solution | None],
    number: int,
    draw: Callable[[int], SmallShop] = small_shop,
) -> None:
    shop = draw(number)
    try:
        expected = best(shop)
    except TooLarge:
        assume(False)
        return
    assert_agrees(shop, expected, way(shop))


def test_the_small_shops_are_not_all_alike() -> None:
    """The properties say something only if most shops can be solved, some cannot, and purchases differ."""
    shops = [small_shop(number) for number in range(60)]
    found = [quickly(shop) for shop in shops]
    solved = [solution for solution in found if solution is not None]
    assert 30 <= len(solved) <= 55
    assert len({len(solution.units) for solution in solved}) >= 4
    assert any(len(part.fills) > 1 for s in solved for part in s.parts.values()), "no box is ever bought"
    assert any(option.state == "open" for s in solved for option in s.chosen.values())
    assert any(units > 1 for s in solved for units in s.units.values())


# ---- what may not change the result ------------------------------------------------------------------------


@settings(max_examples=40)
@given(number=NUMBERS, order=st.integers(0, 1000))
def test_the_order_of_the_parts_changes_nothing(number: int, order: int) -> None:
    shop = small_shop(number)
    parts = list(shop.parts)
    random.Random(order).shuffle(parts)
    assert told(replace(shop, parts=tuple(parts))) == told(shop)


@settings(max_examples=40)
@given(number=NUMBERS)
def test_the_order_of_the_suppliers_changes_nothing(number: int) -> None:
    shop = small_shop(number)
    assert told(replace(shop, suppliers=shop.suppliers[::-1])) == told(shop)


@settings(max_examples=40)
@given(number=NUMBERS)
def test_the_same_question_gives_the_same_bytes(number: int) -> None:
    assert told(small_shop(number)) == told(small_shop(number))


def told(shop: SmallShop) -> bytes:
    """The kit with every reason, or the refusal, as bytes."""
    request = shop.request()
    problem, solution, conflict = attempt(request)
    if solution is None:
        where = conflict.root if conflict else ""
        return f"refused {where}".encode()
    return repr(KitBuilder(problem, solution, preferences_by_need(request), {}).build()).encode()


@settings(max_examples=60)
@given(number=NUMBERS)
def test_another_part_never_makes_a_plan_unsolvable(number: int) -> None:
    """One more part in the lists can change the kit, and never take it away.

    The part fills needs for which something can be bought already. Where nothing could be bought before,
    the first part that fits takes the place of what the need says is done without one.
    """
    shop = small_shop(number)
    first = quickly(shop)
    assume(first is not None)
    chance = random.Random(number)
    offered = [need.id for need, slot in slots_of(shop) if candidates(shop, need, slot)]
    closed = {need.id for need, slot in slots_of(shop) if not candidates(shop, need, slot)}
    few = [need for need in dict.fromkeys(offered) if need not in closed]
    assume(few)
    like = chance.choice([part for part in shop.parts if part.pieces_for(few[0])])
    only = tuple(fill for fill in like.fills if fill.need == few[0])
    more = replace(
        like,
        number="more",
        supplier=chance.choice(shop.suppliers).code,
        cost=Decimal(chance.randint(1, 9000)) / 100,
        fills=only,
        attributes={**like.attributes_for(few[0]), "size": chance.choice((1.0, 2.0, 3.0, 4.0))},
    )
    second = quickly(replace(shop, parts=(*shop.parts, more)))
    assert second is not None, f"unsolvable with {more.number}:{shop!r}"
    assert first is not None
    if not any(need.prefer for need in shop.needs) and not any(
        "open" in option.state for option in first.chosen.values()
    ):
        assert second.landed_cost <= first.landed_cost, repr(shop)


# ---- a second solver ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", range(12))
def test_landed_cost_is_what_a_mixed_integer_programme_finds(number: int) -> None:
    compare_with_highs(middling_shop(number))


@pytest.mark.parametrize("number", range(12, 60))
def test_landed_cost_is_what_a_mixed_integer_programme_finds_more_often(number: int) -> None:
    compare_with_highs(middling_shop(number))


def compare_with_highs(shop: SmallShop) -> None:
    found = quickly(shop)
    try:
        cheapest = milp.cheapest_cents(purchase_of(shop))
    except milp.Infeasible:
        assert found is None, repr(shop)
        return
    assert found is not None, repr(shop)
    assert found.proved
    assert found.landed_cost * 100 == cheapest, repr(shop)


def purchase_of(shop: SmallShop) -> milp.Purchase:
    """A plain shop as data for the second solver: every rule is about one slot or a pair of slots."""
    kinds = {slot.root: candidates(shop, need, slot) for need, slot in slots_of(shop)}
    needs = {slot.root: need for need, slot in slots_of(shop)}
    ruled_out = []
    for _, slot in slots_of(shop):
        for rule in slot.match:
            roots = sorted(rule.that.roots())
            for pair in product(*(range(len(kinds[root])) for root in roots)):
                views = {root: kinds[root][index].view for root, index in zip(roots, pair, strict=True)}
                if not holds(rule, views):
                    ruled_out.append(tuple(zip(roots, pair, strict=True)))
    beside = []
    for box in (part for part in shop.parts if len(part.fills) > 1):
        for root, choices in kinds.items():
            inside = next((index for index, choice in enumerate(choices) if box in choice.parts), None)
            if inside is None:
                continue
            reasons = tuple(
                tuple(literal for literal in pair if literal[0] != root)
                for pair in ruled_out
                if (root, inside) in pair
            )
            beside += [milp.Beside(box, (root, i), reasons) for i in range(len(choices)) if i != inside]
    return milp.Purchase(
        slots={
            root: [milp.Kind(needs[root].id, c.parts) for c in choices] for root, choices in kinds.items()
        },
        pieces={
            slot.root: dict.fromkeys(range(len(kinds[slot.root])), slot.pieces) for _, slot in slots_of(shop)
        },
        ruled_out=ruled_out,
        suppliers={supplier.code: supplier for supplier in shop.suppliers},
        not_beside=beside,
    )
