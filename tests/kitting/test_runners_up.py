"""Runners-up on small random shops: brute force agrees on what each gives, and on what put it behind."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tappetry.kitting.candidates import Candidate, candidates
from tappetry.kitting.conflicts import core_of
from tappetry.kitting.runners_up import Forced, force
from tappetry.kitting.settled import Settled, settle
from tappetry.kitting.solution import Solution
from tests.kitting.brute_force import Choice, TooLarge, best, is_pinned, ranking
from tests.kitting.small_shops import SmallShop, small_shop
from tests.kitting.test_solver_properties import assert_agrees

pytestmark = pytest.mark.slow

NUMBERS = st.integers(0, 2**32)
#: The rankings after the preferences, as brute force has them.
LATER = ("cost", "suppliers", "arrival", "left over", "order")


def places(settled: Settled) -> Iterator[tuple[str, list[Candidate]]]:
    """Every slot that is settled, with its candidates."""
    for root, option in settled.solution.chosen.items():
        if option.state != "open":
            yield root, candidates(settled, root)


def forced_in(shop: SmallShop) -> Iterator[tuple[Settled, Candidate, Forced | None]]:
    """Every candidate of every slot, forced in."""
    settled = settle(shop.request())
    if settled is not None:
        for _, found in places(settled):
            for candidate in found:
                yield settled, candidate, force(settled, candidate)


def as_forced(shop: SmallShop, forced: Forced) -> SmallShop:
    """The same shop with the plan as it stands once a candidate is forced in."""
    return replace(shop, pins=forced.request.plan.pins, refused=forced.request.plan.refused_parts)


@settings(max_examples=60)
@given(number=NUMBERS)
def test_brute_force_agrees_on_every_runner_up(number: int) -> None:
    shop = small_shop(number)
    for _, candidate, forced in forced_in(shop):
        if forced is None or candidate.is_early:
            continue
        asked = as_forced(shop, forced)
        try:
            expected = best(asked)
        except TooLarge:
            assume(False)
        assert_agrees(asked, expected, forced.solution)


@settings(max_examples=60)
@given(number=NUMBERS)
def test_what_a_rule_bars_by_itself_stands_there_in_no_kit(number: int) -> None:
    """A part that fills one need of one place: any other may find another place."""
    shop = small_shop(number)
    for settled, candidate, forced in forced_in(shop):
        need = settled.problem.slots[candidate.root].need
        if not candidate.is_early or forced is None or len(need.slots) > 1 or len(candidate.part.fills) > 1:
            continue
        asked = as_forced(shop, forced)
        try:
            assert best(asked) is None, f"{candidate.part.number} at {candidate.root}:{shop!r}"
        except TooLarge:
            assume(False)


@settings(max_examples=60)
@given(number=NUMBERS)
def test_what_put_it_behind_is_the_first_ranking_in_which_it_is_worse(number: int) -> None:
    shop = small_shop(number)
    for settled, candidate, forced in forced_in(shop):
        if forced is None or forced.solution is None:
            continue
        assert forced.behind is not None
        if forced.behind.kind == "plan":
            continue
        if forced.behind.kind == "stays":
            assert candidate.part.pieces_for(forced.behind.id)
            continue
        before, after = ranked(shop, settled.solution), ranked(shop, forced.solution)
        assert before <= after, repr(shop)
        names = [p.id for need in shop.needs if not is_pinned(shop, need) for p in need.prefer]
        first = next(place for place, (a, b) in enumerate(zip(before, after, strict=True)) if a != b)
        if first < len(names):
            assert (forced.behind.kind, forced.behind.id) == ("preference", names[first]), repr(shop)
        else:
            assert forced.behind.kind == LATER[first - len(names)], repr(shop)


def ranked(shop: SmallShop, solution: Solution) -> tuple[Any, ...]:
    """A kit in the order in which brute force compares kits."""
    chosen = {root: Choice(o.state, o.view, o.parts) for root, o in solution.chosen.items()}
    return ranking(shop, chosen, solution.units)


@settings(max_examples=40)
@given(number=NUMBERS)
def test_no_part_is_told_twice_nor_beside_itself(number: int) -> None:
    settled = settle(small_shop(number).request())
    assume(settled is not None)
    assert settled is not None
    bought = {number for _, number in settled.solution.units}
    for _, found in places(settled):
        named = [number for each in found for number in (each.part.number, *each.alike)]
        assert len(named) == len(set(named))
        assert not bought & set(named)


@settings(max_examples=40)
@given(number=NUMBERS)
def test_what_breaks_has_grounds(number: int) -> None:
    for _, candidate, forced in forced_in(small_shop(number)):
        if forced is not None and forced.solution is None and not candidate.is_early:
            assert core_of(forced.request).grounds


def test_the_small_shops_have_runners_up_of_every_kind() -> None:
    """The properties say something only if many solve, many break, and different rankings decide."""
    every = [each for number in range(60) for each in forced_in(small_shop(number))]
    behind = {f.behind.kind for _, _, f in every if f is not None and f.behind is not None}
    assert {"preference", "cost", "stays", "plan"} <= behind
    broken = [c for _, c, f in every if f is not None and f.solution is None]
    assert sum(not candidate.is_early for candidate in broken) > 20
    assert sum(candidate.is_early for candidate in broken) > 10
    assert sum(f is not None and f.solution is not None for _, _, f in every) > 100
