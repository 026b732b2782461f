"""Full curves of camshafts to be ground, by the search's threads beside one curve after the other.

By the clock on the wall, since threads share the work; so what else runs on the machine counts.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Sequence
from time import perf_counter, process_time

import numpy as np

from benchmarks.demo_shop import shop
from benchmarks.pairs import SEED, Pair, Size
from tappetry.jobs.reader import read_job
from tappetry.search.turning import Asked, Turned, turn
from tappetry.search.workers import Worker, worked
from tappetry.services.search_cams import engines, free_between, ground
from tappetry.services.simulate import make_ready
from tappetry.simulation.cycle import Settling
from tappetry.simulation.engine import Mesh

JOB, VARIANT = "J1.yaml", "B56"
FIRST, LAST, STEP = 1500.0, 6000.0, 500.0
MINUTES = 5.0


def measure(size: Size) -> Iterator[Pair]:
    full = size.rounds > 1
    asked = wanted(24 if full else 2, Mesh() if full else Mesh(4, 6, 5, 12))
    make_ready(shop(), VARIANT)
    workers = os.cpu_count() or 1
    ours: list[float] = []
    plain: list[float] = []
    for _ in range(2 if full else 1):
        begun = perf_counter()
        threaded = dict(worked(turn, asked, Worker(workers)))
        ours.append(perf_counter() - begun)
        begun, worked_before = perf_counter(), process_time()
        one_by_one: list[Turned] = [turn(each) for each in asked]
        a_curve = (process_time() - worked_before) / len(asked)
        plain.append(perf_counter() - begun)
        assert [threaded[number] for number in range(len(asked))] == one_by_one
    curves = MINUTES * 60.0 / min(ours) * len(asked)
    yield Pair(
        f"{len(asked)} curves of {len(asked[0].speeds)} speeds, {workers} threads",
        "one after the other",
        tuple(ours),
        tuple(plain),
        f"by the clock, so others on the machine count; {curves:.0f} curves in {MINUTES:.0f} minutes; "
        f"{a_curve:.2f} s of processor time a curve",
    )


def wanted(count: int, mesh: Mesh) -> Sequence[Asked]:
    """Curves of camshafts drawn between the grinds of the family."""
    place = shop()
    job = read_job(place.jobs / JOB, place.knowledge)
    blank = place.catalogue.tables["grind"][job.plan.cam]
    free = {each.name: each for each in free_between(place, job, {"steepness_deg": (50.0, 54.0)})}
    generator = np.random.default_rng(SEED)
    speeds = tuple(math.pi / 30.0 * rpm for rpm in np.arange(FIRST, LAST, STEP).tolist())
    found = []
    for _ in range(count):
        drawn = {
            name: each.low + each.step * int(generator.integers((each.high - each.low) / each.step + 1))
            for name, each in free.items()
        }
        full, part = engines(place, job, VARIANT, ground(blank, drawn))
        found.append(Asked(full, part, speeds, 0.0, (), mesh, Settling()))
    return found
