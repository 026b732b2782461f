"""A job that cannot be met, told with ways out that were each tried, beside its core by CP-SAT."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from ortools.sat.python import cp_model

from benchmarks.demo_shop import jobs, shop
from benchmarks.large_catalogue import large_catalogue
from benchmarks.pairs import SEED, Pair, Size, pair
from tappetry.kitting.conflicts import core_of
from tappetry.kitting.conflicts.case import Case
from tappetry.kitting.conflicts.elements import Element
from tappetry.kitting.conflicts.search import Search
from tappetry.kitting.request import Request
from tappetry.records.job import Job
from tappetry.records.problems import Refusal
from tappetry.services.kits import identify_job, kit_for_job, request_of
from tappetry.services.shop import Shop

#: What each job of the invented shop is made to ask beside its plan.
ASKED: dict[str, dict[str, Any]] = {
    "J1": {"phaser": "keep-full"},
    "J3": {"pins": ("HV-2052-1N",)},
    "J5": {"pins": ("PG-98-130",)},
}
#: The reference asks CP-SAT anew for every element and every choice.
MOST_ROUNDS = 3


def measure(size: Size) -> Iterator[Pair]:
    large = Shop(shop().folder)
    catalogue = large_catalogue(shop().catalogue, size.parts, SEED)
    vars(large).update(knowledge=shop().knowledge, catalogue=catalogue)
    for where in (shop(), large):
        for job in jobs():
            broken = replace(job, plan=replace(job.plan, **ASKED[job.id]))
            request = request_of(where, broken, identify_job(where, broken))
            refused = refusal(where, broken)
            core = core_of(request)
            assert refused.grounds == list(core.grounds)
            assert list(core.elements) == by_general_solver(request)
            said = f"{len(core.elements)} elements, {len(core.facts)} facts, {len(refused.tried)} ways out"
            assert refused.tried, refused
            yield pair(
                f"conflict of {job.id}, {len(where.catalogue.parts)} parts",
                lambda where=where, broken=broken: refusal(where, broken),
                "its core by CP-SAT",
                lambda request=request: by_general_solver(request),
                min(size.rounds, MOST_ROUNDS),
                note=f"{said}; the core the same",
            )


def refusal(where: Shop, job: Job) -> Refusal:
    """Why a job cannot be met, with its ways out."""
    try:
        kit_for_job(where, job)
    except Refusal as refused:
        return refused
    raise AssertionError(f"{job.id} can be met")


def by_general_solver(request: Request) -> list[Element] | None:
    """The core by the same search, with CP-SAT in place of the SAT solver."""
    case = Case(request)
    return Search(case, case.values, case.places, case.laws, _GeneralSolver()).minimal()


class _GeneralSolver:
    """CP-SAT asked under assumptions, with the clauses so far."""

    def __init__(self) -> None:
        self.model = cp_model.CpModel()
        self.literals: dict[int, Any] = {}
        self.solver = cp_model.CpSolver()
        self.solver.parameters.num_workers = 1

    def _literal(self, number: int) -> Any:
        name = abs(number)
        if name not in self.literals:
            self.literals[name] = self.model.new_bool_var(str(name))
        return self.literals[name] if number > 0 else self.literals[name].negated()

    def add_clause(self, clause: list[int]) -> None:
        self.model.add_bool_or([self._literal(number) for number in clause])

    def solve(self, assumptions: list[int]) -> bool:
        self.model.clear_assumptions()
        self.model.add_assumptions([self._literal(number) for number in assumptions])
        return self.solver.solve(self.model) in {cp_model.OPTIMAL, cp_model.FEASIBLE}

    def get_model(self) -> list[int]:
        return [name for name, literal in self.literals.items() if self.solver.boolean_value(literal)]

    def get_core(self) -> list[int] | None:
        by_index = {literal.index: name for name, literal in self.literals.items()}
        return [by_index[index] for index in self.solver.sufficient_assumptions_for_infeasibility()]
