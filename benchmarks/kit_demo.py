"""A kit of each job of the invented shop, beside one CP-SAT model of the same candidates."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks.demo_shop import jobs, one_model, question, regrets
from benchmarks.pairs import Pair, Size, pair
from tappetry.kitting.resolve import resolve


def measure(size: Size) -> Iterator[Pair]:
    for job in jobs():
        asked = question(job)
        ours = resolve(asked.request, asked.facts)
        problem, solution = one_model(asked.request)
        assert ours.kit.landed_cost == solution.landed_cost, (ours.kit.landed_cost, solution.landed_cost)
        assert regrets(asked.request, problem, ours.views) == regrets(
            asked.request, problem, problem.views(solution.chosen)
        )
        yield pair(
            f"kit of {job.id}",
            lambda asked=asked: resolve(asked.request, asked.facts),
            "one CP-SAT model",
            lambda asked=asked: one_model(asked.request),
            size.rounds,
            note=f"landed cost {ours.kit.landed_cost}, the same; preferences, the same",
        )
