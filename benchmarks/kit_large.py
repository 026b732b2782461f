"""A kit of each job out of a hundred thousand parts, beside one CP-SAT model of the same candidates."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks.demo_shop import Question, jobs, one_model, question, regrets, shop
from benchmarks.large_catalogue import large_catalogue
from benchmarks.pairs import SEED, Pair, Size, pair
from tappetry.kitting.choose import assignments
from tappetry.kitting.expand import build, narrow
from tappetry.kitting.packs import TooMany
from tappetry.kitting.prefer import decide
from tappetry.kitting.resolve import ordered_preferences, resolve

#: The reference takes seconds.
MOST_ROUNDS = 3


def measure(size: Size) -> Iterator[Pair]:
    catalogue = large_catalogue(shop().catalogue, size.parts, SEED)
    for job in jobs():
        asked = question(job, catalogue)
        ours = resolve(asked.request, asked.facts)
        problem, solution = one_model(asked.request)
        assert ours.kit.landed_cost == solution.landed_cost, (ours.kit.landed_cost, solution.landed_cost)
        assert regrets(asked.request, problem, ours.views) == regrets(
            asked.request, problem, problem.views(solution.chosen)
        )
        yield pair(
            f"kit of {job.id}, {len(catalogue.parts)} parts",
            lambda asked=asked: resolve(asked.request, asked.facts),
            "one CP-SAT model",
            lambda asked=asked: one_model(asked.request),
            min(size.rounds, MOST_ROUNDS),
            note=_story(asked, solution.landed_cost == ours.kit.landed_cost),
        )


def _story(asked: Question, same: bool) -> str:
    """How many candidates there are, and what is left of them before the choice."""
    problem = build(asked.request)
    candidates = {part.number for state in problem.slots.values() for o in state.options for part in o.parts}
    narrow(problem)
    decide(problem, ordered_preferences(asked.request))
    left = {part.number for state in problem.slots.values() for o in state.options for part in o.parts}
    live = problem.live(list(problem.slots))
    try:
        tried = str(sum(1 for _ in assignments(problem)))
    except TooMany:
        tried = "too many to try, left to CP-SAT"
    return (
        f"{len(candidates)} candidates after filtering, {len(left)} when preferences are decided; "
        f"{len(live)} slots with a choice; choices {tried}; landed cost {'the same' if same else 'differs'}"
    )
