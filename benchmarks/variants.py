"""Ten thousand combinations of variant and options solved together, beside one CP-SAT model each."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date
from itertools import chain, product
from random import Random
from time import perf_counter

from benchmarks.demo_shop import shop
from benchmarks.pairs import SEED, Pair, Size
from tappetry.kitting.expand import build, narrow
from tappetry.kitting.many.solver import Count, ManySolver
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import ordered_preferences, suppliers_of
from tappetry.kitting.solution import Infeasible
from tappetry.kitting.solver import solve
from tappetry.records.evidence import Fact, Grade
from tappetry.records.family import Application, Family
from tappetry.records.job import Job
from tappetry.records.plan import Plan
from tappetry.services.kits import identify_job, request_of

WORKERS = 2
#: Kits that are also solved one by one, each with a model of its own.
SAMPLE = 50
DATE = date(2026, 3, 2)
PHASERS = ("keep-full", "keep-limited", "remove")
DEACTS = ("keep", "remove")
NOT_FITTED = ("none",)
HEADS = ("on", "off")
USES = ("daily", "tow", "street-strip", "track", "boosted")
MILEAGES = (20000.0, 60000.0, 100000.0, 140000.0, 180000.0, 220000.0)


@dataclass(frozen=True, slots=True)
class Solved:
    """What a worker brings back: the landed cost of each combination, empty where there is no kit; counts."""

    landed: list[str]
    count: Count


def combinations(number: int) -> list[Job]:
    """So many different combinations of application, mileage and plan, drawn from a seed, by application."""
    space = [
        (application.id, *plan)
        for family in shop().knowledge.families.values()
        for application in family.applications
        for plan in _plans(family, application)
    ]
    drawn = Random(SEED).sample(range(len(space)), min(number, len(space)))
    return [_job(*space[place]) for place in sorted(drawn)]


def _plans(family: Family, application: Application) -> Iterator[tuple[float, str, str, str, str, str, str]]:
    """Every plan for an application: what is not fitted is neither kept nor removed."""
    stated = {**family.attributes, **application.attributes}
    phasers = PHASERS if stated.get("phaser-hardware", "none") != "none" else NOT_FITTED
    deacts = DEACTS if stated.get("deact-hardware") else NOT_FITTED
    cams = sorted(
        {
            str(part.attributes["grind"])
            for part in shop().catalogue.parts
            if "grind" in part.attributes and family.id in part.fits.get("family", (family.id,))
        }
    )
    packages = list(shop().knowledge.book.packages)
    return product(MILEAGES, phasers, deacts, HEADS, cams, USES, packages)


def _job(
    application: str, mileage: float, phaser: str, deact: str, heads: str, cam: str, use: str, package: str
) -> Job:
    known = (("application", application), ("mileage", mileage))
    facts = tuple(Fact(name, value, Grade.seen, "variant", unit="km") for name, value in known)
    plan = Plan(phaser=phaser, deact=deact, heads=heads, cam=cam, use=use, package=package)
    return Job(f"{application} at {mileage:g} km", "", DATE, facts, plan)


def requests(jobs: list[Job]) -> Iterator[Request]:
    """The jobs as questions to the solver; an engine is identified once for all its plans."""
    known: dict[str, Request] = {}
    for job in jobs:
        if job.id not in known:
            known[job.id] = request_of(shop(), job, identify_job(shop(), job))
        yield known[job.id].planned(job.plan)


def solve_many(jobs: list[Job]) -> Solved:
    """The landed costs of jobs, from a cold start."""
    solver = ManySolver(shop().knowledge, shop().catalogue)
    solutions = [solver.solve(request) for request in requests(jobs)]
    return Solved(["" if s is None else str(s.landed_cost) for s in solutions], solver.count)


def solve_apart(jobs: list[Job]) -> list[str]:
    """The same with one CP-SAT model each."""
    return [_model(request) for request in requests(jobs)]


def _model(request: Request) -> str:
    problem = build(request)
    if narrow(problem) is not None:
        return ""
    try:
        return str(solve(problem, ordered_preferences(request), suppliers_of(request)).landed_cost)
    except Infeasible:
        return ""


def measure(size: Size) -> Iterator[Pair]:
    jobs = combinations(size.combinations)
    shares = [jobs[len(jobs) * n // WORKERS : len(jobs) * (n + 1) // WORKERS] for n in range(WORKERS)]
    shop()  # read before the workers are made, so that each has it
    gc.collect()
    gc.freeze()  # what is read stays: neither side looks through it again and again
    start = perf_counter()
    with ProcessPoolExecutor(WORKERS) as pool:
        solved = list(pool.map(solve_many, shares))
    seconds = perf_counter() - start
    landed = list(chain.from_iterable(share.landed for share in solved))
    with_kit = [place for place, cost in enumerate(landed) if cost]
    sample = sorted(Random(SEED).sample(with_kit, min(SAMPLE, len(with_kit))))
    start = perf_counter()
    apart = solve_apart([jobs[place] for place in sample])
    reference = perf_counter() - start
    assert apart == [landed[place] for place in sample], (apart, [landed[place] for place in sample])
    asked, known = (sum(getattr(share.count, name) for share in solved) for name in ("asked", "solved"))
    yield Pair(
        f"one of {len(jobs)} combinations",
        f"one CP-SAT model, of {len(sample)}",
        (seconds / len(jobs),),
        (reference / len(sample),),
        f"{seconds:.3g} s in all by {WORKERS} workers that begin knowing nothing; {len(with_kit)} kits; "
        f"{known} sub-problems solved for {asked} asked ({1 - known / asked:.1%} known already); "
        "landed cost of the sample the same",
    )
