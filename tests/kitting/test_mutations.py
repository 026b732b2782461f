"""Every fault that is put into a finished kit is caught, and by a rule that should catch it."""

from __future__ import annotations

import random
from functools import partial

import pytest

from tappetry.assembly.memory import Memory
from tappetry.assembly.values import Values
from tappetry.kitting.checker import laying
from tests.kitting.finished import JOBS, Finished, finished
from tests.kitting.mutants import ADMISSIBLE, KINDS, Mutant, rules_against, swapped, swaps

pytestmark = pytest.mark.slow

SEED = 20260302
#: Faults put into each kit at the least: more than a thousand together.
FAULTS = {"J1": 600, "J3": 500, "J5": 500}


@pytest.fixture
def _remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    """What conditions come to is remembered from kit to kit: each differs from the next in one place."""
    monkeypatch.setattr(laying, "Values", partial(Values, memory=Memory()))


def uncaught(case: Finished, mutant: Mutant) -> str:
    """What was looked for and what was found instead; empty when the mutant is caught as it should be."""
    found = {complaint.rule for complaint in case.judged(mutant.kit, mutant.plan)}
    if found & mutant.rules:
        return ""
    wanted = " or ".join(sorted(mutant.rules)) or "no rule is named for this difference"
    heard = ", ".join(sorted(found)) or "nothing"
    return f"{case.kit.job}, {mutant.kind}, {mutant.what}: wanted {wanted}; found {heard}"


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_fault_of_each_kind_is_caught(kind) -> None:
    case = finished("J1")
    mutant = next(kind(case, random.Random(SEED)))
    assert uncaught(case, mutant) == ""


@pytest.mark.usefixtures("_remembered")
@pytest.mark.parametrize(("job", "at_least"), FAULTS.items())
def test_every_fault_is_caught_by_a_rule_that_should(job: str, at_least: int) -> None:
    case, draw = finished(job), random.Random(SEED)
    made = [mutant for kind in KINDS for mutant in kind(case, draw)]
    assert [text for text in (uncaught(case, mutant) for mutant in made) if text] == []
    assert len(made) >= at_least


@pytest.mark.usefixtures("_remembered")
@pytest.mark.parametrize("job", JOBS)
def test_swaps_that_are_left_out_break_no_rule(job: str) -> None:
    """What is left out of the mutants is listed with its reason, and is a sound kit when told honestly."""
    case = finished(job)
    left_out = {(swap.line.part, swap.other.number): swap for swap in swaps(case)}
    listed = {(part, other) for of_job, part, other in ADMISSIBLE if of_job == job}
    assert listed <= left_out.keys()
    for pair in sorted(listed):
        assert case.judged(swapped(case, left_out[pair])) == (), pair


@pytest.mark.parametrize("job", JOBS)
def test_every_swap_is_a_named_fault_or_listed_as_admissible(job: str) -> None:
    case = finished(job)
    unjudged = [
        (swap.line.part, swap.other.number)
        for swap in swaps(case)
        if (job, swap.line.part, swap.other.number) not in ADMISSIBLE and not rules_against(case, swap)
    ]
    assert unjudged == []


def test_the_same_seed_makes_the_same_faults() -> None:
    case = finished("J5")
    one, other = ([next(kind(case, random.Random(7)), None) for kind in KINDS] for _ in range(2))
    assert [m and (m.kind, m.what, m.kit) for m in one] == [m and (m.kind, m.what, m.kit) for m in other]
