"""The questions of a job of which several facts are unknown, beside each of its cases solved alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from benchmarks.compare import anew
from benchmarks.demo_shop import jobs_of, shop
from benchmarks.pairs import FULL, Pair, Size, pair
from tappetry.assembly.memory import Memory
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import attempt
from tappetry.services.ask import ask
from tappetry.services.ask_cases import Trying
from tappetry.services.kits import identify_job

#: What is taken out of the jobs: some change parts, some hours, some the verdict of a gate.
UNKNOWN = ("mileage", "age", "four-wheel-drive", "leak-down")
FEW = UNKNOWN[2:]
#: A round solves a hundred kits on either side.
MOST_ROUNDS = 3


def measure(size: Size) -> Iterator[Pair]:
    for job in jobs_of(size):
        dropped = UNKNOWN if size == FULL else FEW
        doubtful = replace(job, facts=tuple(f for f in job.facts if f.attribute not in dropped))
        trying = Trying(anew(), doubtful, identify_job(shop(), doubtful))
        found = trying.run()
        kits = [
            (case.outcome.landed, trying.request(way.engine))
            for case, way in zip(found.cases, found.ways.ways, strict=True)
            if case.outcome is not None and not case.outcome.refused
        ]
        requests = [request for _, request in kits]
        assert [landed for landed, _ in kits] == list(map(alone, requests))
        groups = trying.trials.solver.count
        yield pair(
            f"{len(found.cases)} cases of {job.id}",
            lambda doubtful=doubtful: ask(anew(), doubtful),
            f"{len(kits)} kits, each alone",
            lambda requests=requests: list(map(alone, requests)),
            min(size.rounds, MOST_ROUNDS),
            note=f"{groups.solved} of {groups.asked} groups solved; every landed cost the same",
        )


def alone(request: Request) -> Decimal | None:
    """What the kit of one case costs the shop, solved with nothing remembered; None where there is none."""
    solution = attempt(replace(request, memory=Memory()))[1]
    return None if solution is None else solution.landed_cost
