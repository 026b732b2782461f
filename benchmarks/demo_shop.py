"""The invented shop, its jobs as questions to the solver, and the bare CP-SAT model of such a question."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache

from benchmarks.pairs import FULL, Size
from tappetry.assembly.roots import facts_by_name
from tappetry.catalogue.catalogue import Catalogue
from tappetry.jobs.reader import read_job
from tappetry.kitting.expand import build, narrow
from tappetry.kitting.prefer import regret
from tappetry.kitting.problem import Problem, Views
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import ordered_preferences, suppliers_of
from tappetry.kitting.solution import Solution
from tappetry.kitting.solver import solve
from tappetry.records.evidence import Fact
from tappetry.records.job import Job
from tappetry.services.kits import identify_job, request_of
from tappetry.services.shop import Shop, demo_folder


@dataclass(frozen=True, slots=True)
class Question:
    """A job as it is put to the solver."""

    job: Job
    request: Request
    facts: Mapping[str, Fact]


@cache
def shop() -> Shop:
    """The invented shop, read once."""
    return Shop(demo_folder())


def jobs() -> Iterator[Job]:
    """The conversions among the jobs of the invented shop: what stands in older figures."""
    for file in sorted(shop().jobs.glob("*.yaml")):
        job = read_job(file, shop().knowledge)
        if job.plan.conversion:
            yield job


def jobs_of(size: Size) -> list[Job]:
    """The conversions; at a tiny size only those whose heads stay on, which are worked soonest."""
    return [job for job in jobs() if size == FULL or job.plan.heads == "on"]


def question(job: Job, catalogue: Catalogue | None = None) -> Question:
    """The question of a job, over the shop's own catalogue or another."""
    request = request_of(shop(), job, identify_job(shop(), job))
    if catalogue is not None:
        request = replace(request, catalogue=catalogue)
    return Question(job, request, facts_by_name(shop().knowledge.attributes, request.engine))


def one_model(request: Request) -> tuple[Problem, Solution]:
    """The reference: all candidates that rules leave in one CP-SAT model, no preference decided before.

    The model speaks of rules between two slots that have a choice, so what one slot alone decides has to
    be thinned out before, with the same code as in the program.
    """
    problem = build(request)
    conflict = narrow(problem)
    assert conflict is None, conflict
    return problem, solve(problem, ordered_preferences(request), suppliers_of(request))


def regrets(request: Request, problem: Problem, views: Views) -> dict[str, int]:
    """How far a kit stays behind each preference in force."""
    return {
        preference.id: regret(problem, root, preference, views)
        for root, preference in ordered_preferences(request)
    }
