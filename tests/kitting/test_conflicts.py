"""A conflict is the least that cannot hold together: enough, not one too many, and the same in any order.

On small random shops every combination of all that may stand in the slots is tried beside it, in
``together``. On the invented shop jobs are broken in ways that a counter knows.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.kitting.conflicts import Core, conflict_in, core_of
from tappetry.kitting.refusals import check_plan
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import attempt
from tappetry.records.plan import OwnPart
from tappetry.records.problems import OurFault, Refusal
from tests.kitting.small_shops import SmallShop, doubtful_shop, small_shop
from tests.kitting.together import Key, Wishes, days_of, together

#: What is told only where open slots or purchases are what clashes; ``together`` knows nothing of those.
LATER = {"question", "whole packs", "box"}


@dataclass(frozen=True)
class Broken:
    """A small shop whose request no kit meets."""

    number: int
    shop: SmallShop
    wishes: Wishes
    request: Request
    core: Core

    @property
    def keys(self) -> list[Key]:
        return [(element.kind, element.name, element.root) for element in self.core.elements]

    @property
    def facts(self) -> set[str]:
        return {name.removeprefix("engine.") for name in self.core.facts}

    @property
    def is_plain(self) -> bool:
        return not LATER.intersection(kind for kind, _, _ in self.keys)


def wished(shop: SmallShop, chance: random.Random) -> tuple[Request, Wishes]:
    """The request of a shop, now and then with a date and with a part that the customer brings."""
    request, wishes = shop.request(), Wishes()
    if chance.random() < 0.4:
        by = request.today + timedelta(days=chance.choice((0, 1, 4, 8)))
        request = replace(request, plan=replace(request.plan, need_by=by))
        wishes = replace(wishes, days=days_of(request.today, by))
    if chance.random() < 0.3:
        looks = {"size": chance.choice((1.0, 2.0, 3.0)), "kind": chance.choice("ab")}
        own = OwnPart(chance.choice(shop.needs).id, "brought", looks)
        request = replace(request, plan=replace(request.plan, own_parts=(own,)))
        wishes = replace(wishes, own=(own,))
    return request, wishes


def broken(numbers: Iterable[int]) -> Iterator[Broken]:
    """The shops of some numbers whose request no kit meets."""
    for number in numbers:
        shop = small_shop(number)
        request, wishes = wished(shop, random.Random(number))
        try:
            check_plan(request)
        except Refusal:
            continue
        if attempt(request)[1] is None:
            yield Broken(number, shop, wishes, request, core_of(request))


@pytest.fixture(scope="module")
def conflicts() -> list[Broken]:
    return list(broken(range(100)))


# ---- on small random shops -----------------------------------------------------------------------------


@pytest.mark.slow
def test_the_shops_break_in_every_way(conflicts: list[Broken]) -> None:
    kinds = {kind for case in conflicts for kind, _, _ in case.keys}
    assert kinds >= {"pin", "own part", "refusal", "need by", "match", "rule", "need", "catalogue"}
    assert sum(case.is_plain for case in conflicts) > 25
    assert any(case.facts for case in conflicts)


@pytest.mark.slow
def test_a_conflict_is_enough(conflicts: list[Broken]) -> None:
    for case in filter(lambda case: case.is_plain, conflicts):
        assert not together(case.shop, case.wishes, case.keys, case.shop.engine), case


@pytest.mark.slow
def test_no_element_of_a_conflict_is_one_too_many(conflicts: list[Broken]) -> None:
    for case in filter(lambda case: case.is_plain, conflicts):
        for key in case.keys:
            fewer = [other for other in case.keys if other != key]
            assert together(case.shop, case.wishes, fewer, case.shop.engine), (case, key)


@pytest.mark.slow
def test_its_facts_are_enough_and_none_is_one_too_many(conflicts: list[Broken]) -> None:
    for case in filter(lambda case: case.is_plain, conflicts):
        assert not together(case.shop, case.wishes, case.keys, case.facts), case
        for fact in case.facts:
            assert together(case.shop, case.wishes, case.keys, case.facts - {fact}), (case, fact)


def test_the_order_of_what_is_given_changes_nothing(conflicts: list[Broken]) -> None:
    for case in conflicts[::3]:
        chance = random.Random(case.number)
        shuffled = replace(
            case.shop,
            parts=tuple(chance.sample(case.shop.parts, len(case.shop.parts))),
            needs=tuple(chance.sample(case.shop.needs, len(case.shop.needs))),
            suppliers=case.shop.suppliers[::-1],
            pins=case.shop.pins[::-1],
            refused=case.shop.refused[::-1],
            engine=dict(reversed(list(case.shop.engine.items()))),
        )
        request = replace(shuffled.request(), plan=case.request.plan)
        assert core_of(request) == case.core, case


@pytest.mark.slow
@given(st.integers(0, 2**32))
def test_any_shop_that_breaks_has_a_conflict_without_a_thing_to_spare(number: int) -> None:
    for case in broken([number]):
        if case.is_plain:
            assert not together(case.shop, case.wishes, case.keys, case.facts), case
            for key in case.keys:
                fewer = [other for other in case.keys if other != key]
                assert together(case.shop, case.wishes, fewer, case.shop.engine), (case, key)


@pytest.mark.slow
@given(st.integers(0, 2**32))
def test_where_much_is_unknown_a_refusal_has_a_conflict_too(number: int) -> None:
    request = doubtful_shop(number).request()
    if attempt(request)[1] is None:
        assert core_of(request).grounds


def test_what_can_be_met_holds_no_conflict() -> None:
    met = [request for number in range(0, 120, 4) if attempt(request := small_shop(number).request())[1]]
    assert len(met) > 10
    for request in met:
        assert conflict_in(request) is None
    with pytest.raises(OurFault, match="nothing stands in the way"):
        core_of(met[0])
