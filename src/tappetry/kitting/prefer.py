"""Decides the preferences of the house one after the other, by ruling out what stays behind the best."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from typing import Any

from tappetry.kitting.options import RENEWED, Key, Option
from tappetry.kitting.problem import Constraint, Problem, Views, thin_out, views_of
from tappetry.knowledge.language import Unknown
from tappetry.knowledge.model import Preference

#: A preference and the root of the slot whose choice it speaks of.
Ranked = tuple[str, Preference]
#: Numbers of a preference are compared in steps of a millionth.
STEP = 1_000_000
NO_REGRET = -(1 << 60)


def decide(problem: Problem, preferences: list[Ranked]) -> list[tuple[str, int]]:
    """Hold every preference at the best level that thinning out does not refute.

    A better level is given up only when it leaves a slot without an option, which proves that no kit
    reaches it. The level that is kept is proved attainable by the final choice: where that finds no
    kit, the preferences have to be decided together with it.

    Returns
    -------
    list of (str, int)
        The preferences that decided something, with the rank of the level that was kept (0 is best).
    """
    decided = []
    for root, preference in preferences:
        reads = reads_of(problem, root, preference)
        if not problem.live(list(reads)):
            continue
        regrets = {
            tuple([projected for _, projected, _ in combination]): regret(
                problem, root, preference, views_of(combination)
            )
            for combination in product(*problem.grouped(reads))
        }
        levels = sorted(set(regrets.values()))
        if len(levels) < 2:
            continue
        for rank, level in enumerate(levels):
            if _held(problem, root, preference, reads, level, regrets):
                decided.append((preference.id, rank))
                break
    return decided


def reads_of(problem: Problem, root: str, preference: Preference) -> dict[str, frozenset[str]]:
    """What a preference reads: its conditions, and whether something new stands in its slot."""
    reads = problem.values.reads([preference.when, preference.that or preference.least])
    return {**reads, root: reads.get(root, frozenset()) | {"state"}}


def regret(
    problem: Problem, root: str, preference: Preference, views: Mapping[str, Mapping[str, Any]]
) -> int:
    """How far a choice stays behind a preference: 0 or 1 for a condition, millionths for a number.

    Where nothing new stands in the slot, or the preference does not apply, nothing is regretted.
    """
    least = preference.least
    nothing = NO_REGRET if least is not None else 0
    if views[root]["state"] not in RENEWED or problem.values.maybe(preference.when, views) is not True:
        return nothing
    if least is None:
        return 0 if problem.values.maybe(preference.that, views) is True else 1
    try:
        return round(problem.values.number(least, views) * STEP)
    except Unknown:
        return nothing


def _held(
    problem: Problem,
    root: str,
    preference: Preference,
    reads: Mapping[str, frozenset[str]],
    level: int,
    regrets: Mapping[Key, int],
) -> bool:
    """Hold a preference at a level, if thinning out leaves every slot an option; else change nothing.

    ``regrets`` are those of all combinations that are left, by what is read of them.
    """

    def holds(views: Views) -> bool:
        return regret(problem, root, preference, views) <= level

    before: dict[str, tuple[list[Option], int]] = {
        name: (state.options, len(state.rejected)) for name, state in problem.slots.items()
    }
    constraint = Constraint(
        preference.id,
        preference.why,
        preference.source,
        "preference",
        problem.slots[root].need.id,
        reads,
        holds,
    )
    problem.constraints.append(constraint)
    problem.know(constraint, {read: found <= level for read, found in regrets.items()})
    if thin_out(problem, [constraint]) is None:
        return True
    problem.constraints.pop()
    for name, (options, rejected) in before.items():
        problem.slots[name].options = options
        del problem.slots[name].rejected[rejected:]
    return False
