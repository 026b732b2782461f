"""The runners-up of a whole kit, each solved, proved and priced, beside one solve each from scratch."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from benchmarks.demo_shop import jobs_of, question, shop
from benchmarks.pairs import Pair, Size, pair
from tappetry.assembly.memory import Memory
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import attempt
from tappetry.records.why_not import RunnerUp, WhyNot
from tappetry.services.kits import kit_for_job
from tappetry.services.why import why_not

#: Each round of the largest job takes some seconds.
MOST_ROUNDS = 3


def measure(size: Size) -> Iterator[Pair]:
    for job in jobs_of(size):
        result, request = kit_for_job(shop(), job), question(job).request
        tried = runners_up(why_not(shop(), result))
        assert from_scratch(request, tried) == [
            None if each.cost is None else str(each.cost.landed + result.kit.landed_cost) for each in tried
        ]
        broken = sum(each.cost is None for each in tried)
        yield pair(
            f"runners-up of {job.id}",
            lambda result=result: why_not(shop(), result),
            f"{len(tried)} solves from scratch",
            lambda request=request, tried=tried: from_scratch(request, tried),
            min(size.rounds, MOST_ROUNDS),
            note=f"{len(tried) - broken} kits, landed cost the same; {broken} refused, the same",
        )


def runners_up(places: tuple[WhyNot, ...]) -> list[RunnerUp]:
    """All that are shown, in their order."""
    return [each for place in places for each in place.runners_up]


def from_scratch(request: Request, tried: list[RunnerUp]) -> list[str | None]:
    """The landed cost of the kit with each part pinned, solved alone; None where there is none."""
    landed = []
    for each in tried:
        plan = replace(request.plan, pins=(*request.plan.pins, each.part))
        _, solution, _ = attempt(replace(request, plan=plan, memory=Memory()))
        landed.append(None if solution is None else str(solution.landed_cost))
    return landed
