"""What to ask next on small random shops: against brute force, by its definitions, and as answers come in."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from tappetry.kitting.asking import measure
from tappetry.kitting.asking.case import Bought, Case, Outcome
from tappetry.records.evidence import Grade
from tests.kitting.asking import Doubtful, Tried, doubtful, hangs_on, not_decided, parts_of, settles
from tests.kitting.brute_force import TooLarge

NUMBERS = st.integers(0, 2**32)


def exhausted(asked: Doubtful) -> list[Tried]:
    """Every engine by brute force, where that can be done."""
    try:
        return asked.every()
    except TooLarge:
        assume(False)
        raise


def nothing_known(_: measure.Answers) -> dict[str, Grade]:
    return {}


# ---- against brute force -----------------------------------------------------------------------------------


@pytest.mark.slow
@settings(max_examples=60)
@given(number=NUMBERS)
@example(number=3)
def test_every_case_is_what_brute_force_finds(number: int) -> None:
    asked = doubtful(number)
    every = exhausted(asked)
    cases = asked.cases()
    assert [case.values for case in cases] == [dict(each.values) for each in every]
    for case, each in zip(cases, every, strict=True):
        assert case.outcome is not None
        assert bool(case.outcome.refused) == (each.best is None), repr(asked)
        if each.best is not None:
            units = {part: bought.quantity for part, bought in case.outcome.lines.items()}
            assert units == dict(each.best.units), repr(asked)
            assert case.outcome.landed * 100 == each.best.landed_cents, repr(asked)
            assert (case.outcome.total, case.outcome.days) == (each.total, each.days)
            assert case.outcome.open == each.open


@pytest.mark.slow
@settings(max_examples=60)
@given(number=NUMBERS)
@example(number=3)
def test_what_is_measured_is_what_the_definitions_say(number: int) -> None:
    asked = doubtful(number)
    every = exhausted(asked)
    cases = asked.cases()
    parts = measure.parts_of(cases)
    assert parts == parts_of(every)
    assert measure.unsettled(cases, parts, {}) == not_decided(every, parts)
    for name in asked.tried:
        worth = measure.worth(cases, [name], parts, nothing_known)
        assert (worth.lines, worth.money, worth.days) == settles(every, name), repr(asked)
        telling = measure.Telling(cases, asked.tried)
        assert telling.matters(name) == hangs_on(every, name, lambda each: each.effect)
        for part in parts:
            waits = name in telling.waits_for(part)
            assert waits == hangs_on(every, name, lambda each, part=part: each.units(part)), repr(asked)


@pytest.mark.slow
def test_the_small_shops_are_not_all_alike() -> None:
    """The properties say something only if answers change kits, refuse some, and leave others alone."""
    found = [(asked, asked.cases()) for asked in map(doubtful, range(80))]
    tellings = [measure.Telling(cases, asked.tried) for asked, cases in found]
    told = [(name, telling.matters(name)) for telling in tellings for name in telling.tried]
    assert 20 < sum(1 for _, matters in told if matters) < len(told) - 20
    assert {name for name, matters in told if matters} == {"hot", "cold", "unseen", "count", "model"}
    refused = [[bool(case.outcome and case.outcome.refused) for case in cases] for _, cases in found]
    assert sum(1 for each in refused if any(each) and not all(each)) >= 3


# ---- as answers come in ------------------------------------------------------------------------------------


@pytest.mark.slow
@settings(max_examples=60)
@given(number=NUMBERS)
@example(number=3)
def test_an_answer_never_unsettles_a_line(number: int) -> None:
    asked = doubtful(number)
    cases = asked.cases()
    settled = {
        part: cases[0].units(part) for part in measure.parts_of(cases) if measure.is_decided(cases, part)
    }
    for case in cases:
        for name, value in case.values.items():
            after = asked.with_answers({name: value}).cases()
            assert {part: after[0].units(part) for part in settled} == settled, repr(asked)
            assert all(measure.is_decided(after, part) for part in settled), repr(asked)


@pytest.mark.slow
@settings(max_examples=60)
@given(number=NUMBERS, truth=st.integers(0, 100))
@example(number=3, truth=0)
def test_asking_in_the_order_asked_ends_with_nothing_undecided(number: int, truth: int) -> None:
    asked = doubtful(number)
    true_engine = random.Random(truth).choice(list(asked.engines()))
    for _ in range(len(asked.unknown) + 1):
        cases = asked.cases()
        parts = measure.parts_of(cases)
        matter = [name for name in asked.tried if measure.Telling(cases, asked.tried).matters(name)]
        if not matter:
            break
        best = max(matter, key=lambda n: measure.worth(cases, [n], parts, nothing_known).lines)
        asked = asked.with_answers({best: true_engine[best]})
    assert not matter
    assert all(measure.is_decided(cases, part) for part in parts)


# ---- caps --------------------------------------------------------------------------------------------------


@pytest.mark.slow
@settings(max_examples=30)
@given(number=NUMBERS, most=st.integers(0, 3))
def test_a_case_that_was_not_solved_settles_nothing(number: int, most: int) -> None:
    asked = doubtful(number)
    whole, capped = asked.cases(), asked.cases(most)
    assert [case.values for case in whole] == [case.values for case in capped]
    for case, other in zip(whole, capped, strict=True):
        assert other.outcome is None or other.outcome == case.outcome
    decided = {part for part in measure.parts_of(capped) if measure.is_decided(capped, part)}
    if any(case.outcome is None for case in capped):
        assert not decided
    solved = {id(case.outcome) for case in capped if case.outcome is not None and case.outcome.lines}
    assert len(solved) <= most


# ---- evidence ----------------------------------------------------------------------------------------------

PART = ("S", "P")


def case(values: dict[str, str], share: Fraction, quantity: int, grades: dict[str, Grade]) -> Case:
    bought = Bought(quantity, 0, ("need",), {"casting": Grade.seen})
    return Case(share, values, Outcome(lines={PART: bought} if quantity else {}), grades)


def test_a_line_that_is_the_same_everywhere_waits_for_its_evidence() -> None:
    cases = [case({"x": x}, Fraction(1, 2), 1, {"casting": Grade.told}) for x in "ab"]
    assert measure.is_decided(cases, PART)
    assert measure.doubts(cases, PART, {"casting": Grade.told}) == {"casting": Grade.seen}
    assert measure.doubts(cases, PART, {"casting": Grade.seen}) == {}
    assert measure.unsettled(cases, [PART], {"casting": Grade.told}) == 1
    known = {(): {"casting": Grade.told}, (("casting", "C"),): {"casting": Grade.measured}}
    sure = [replace(each, values={**each.values, "casting": "C"}) for each in cases]
    assert measure.worth(sure, ["casting"], [PART], known.__getitem__).lines == 1


def test_what_nobody_knows_counts_as_it_would_be_known() -> None:
    """A fact that would only be decoded once something else is known holds the line back already."""
    cases = [case({"x": x}, Fraction(1, 2), 1, {"casting": Grade.decoded}) for x in "ab"]
    assert measure.doubts(cases, PART, {}) == {"casting": Grade.seen}


def test_a_refused_case_decides_no_line_and_no_sum() -> None:
    kit = case({"x": "a"}, Fraction(1, 2), 2, {})
    refused = Case(Fraction(1, 2), {"x": "b"}, Outcome(refused="no"))
    assert not measure.is_decided([kit, refused], PART)
    assert measure.is_decided([refused], PART)
    assert measure.range_of([refused], "total") is None
    assert measure.worth([kit, refused], ["x"], [PART], nothing_known).lines == 1


def test_what_stays_open_is_not_settled() -> None:
    open_case = Case(Fraction(1), {}, Outcome(open=frozenset({"need"})))
    assert measure.unsettled([open_case], [], {}) == 1
