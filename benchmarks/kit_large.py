"""A kit of each job out of a hundred thousand parts, beside one CP-SAT model of the same candidates."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks.demo_shop import jobs, one_model, question, regrets, shop
from benchmarks.large_catalogue import large_catalogue
from benchmarks.pairs import SEED, Pair, Size, pair
from tappetry.kitting.choose import best_of_few
from tappetry.kitting.expand import build, narrow
from tappetry.kitting.packs import TooMany
from tappetry.kitting.prefer import decide
from tappetry.kitting.problem import Problem
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import Resolution, ordered_preferences, resolve, suppliers_of
from tappetry.kitting.solution import Solution

#: The reference takes half a minute.
MOST_ROUNDS = 2


def measure(size: Size) -> Iterator[Pair]:
    catalogue = large_catalogue(shop().catalogue, size.parts, SEED)
    for job in jobs():
        asked = question(job, catalogue)
        story = _story(asked.request)  # which also makes the catalogue's indices
        kits: list[Resolution] = []
        models: list[tuple[Problem, Solution]] = []
        measured = pair(
            f"kit of {job.id}, {len(catalogue.parts)} parts",
            lambda asked=asked, kits=kits: kits.append(resolve(asked.request, asked.facts)),
            "one CP-SAT model",
            lambda asked=asked, models=models: models.append(one_model(asked.request)),
            min(size.rounds, MOST_ROUNDS),
            note=f"{story}; landed cost and preferences the same",
        )
        problem, solution = models[0]
        assert kits[0].kit.landed_cost == solution.landed_cost, (
            kits[0].kit.landed_cost,
            solution.landed_cost,
        )
        assert regrets(asked.request, problem, kits[0].views) == regrets(
            asked.request, problem, problem.views(solution.chosen)
        )
        yield measured


def _story(request: Request) -> str:
    """How many candidates there are, and what is left of them before the choice."""
    problem = build(request)
    candidates = _parts(problem)
    narrow(problem)
    decide(problem, ordered_preferences(request))
    try:
        best_of_few(problem, suppliers_of(request))
        tried = "each choice tried"
    except TooMany:
        tried = "too many choices to be tried, so bounded"
    return (
        f"{candidates} candidates after filtering, {_parts(problem)} when preferences are decided, "
        f"{len(problem.live(list(problem.slots)))} slots with a choice; {tried}"
    )


def _parts(problem: Problem) -> int:
    options = [option for state in problem.slots.values() for option in state.options]
    return len({(part.supplier, part.number) for option in options for part in option.parts})
