"""From a request to a kit: thin out, decide, choose; or a refusal that says what cannot hold together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from tappetry.assembly.values import Values
from tappetry.kitting.choose import choose
from tappetry.kitting.conflicts import Core, core_of
from tappetry.kitting.expand import build, narrow
from tappetry.kitting.kit import KitBuilder
from tappetry.kitting.options import Option
from tappetry.kitting.packs import TooMany
from tappetry.kitting.prefer import Ranked, decide
from tappetry.kitting.problem import Conflict, Problem, thin_out
from tappetry.kitting.refusals import Unmet, check_plan
from tappetry.kitting.request import Request
from tappetry.kitting.solution import Infeasible, Solution
from tappetry.knowledge.model import Preference
from tappetry.records.evidence import Fact
from tappetry.records.kit import Declined, Kit
from tappetry.records.part import Supplier


@dataclass(frozen=True, slots=True)
class Resolution:
    """A kit with the problem that it solves, and what conditions see of the chosen parts."""

    kit: Kit
    problem: Problem
    views: Mapping[str, Mapping[str, Any]]

    @property
    def values(self) -> Values:
        """The values that conditions read."""
        return self.problem.values


def resolve(request: Request, facts_by_name: Mapping[str, Fact], why: bool = True) -> Resolution:
    """The kit of a request.

    Raises
    ------
    Refusal
        No kit meets the request: with what cannot hold together, unless nobody asks ``why``.
    """
    check_plan(request)
    problem, solution, _ = attempt(request)
    if solution is None:
        raise Unmet(request, core_of(request) if why else Core(()))
    granted, problem, solution, unmet = grant_wishes(request, problem, solution)
    kit = KitBuilder(problem, solution, preferences_by_need(granted), facts_by_name).build()
    kit = replace(kit, declined=(*kit.declined, *unmet))
    return Resolution(kit, problem, problem.views(solution.chosen))


def grant_wishes(
    request: Request, problem: Problem, solution: Solution
) -> tuple[Request, Problem, Solution, list[Declined]]:
    """Take each wished part into the kit where every rule still holds; tell which could not be met.

    A wish that names no part of a price list is a word for the bench, and stays on the plan.
    """
    unmet: list[Declined] = []
    for wish in request.plan.wishes:
        if not request.catalogue.carries(wish):
            continue
        wished = replace(request, plan=replace(request.plan, pins=(*request.plan.pins, wish)))
        tried, found, _ = attempt(wished)
        if found is None:
            unmet.append(Declined("", wish, "the customer wishes it", "no kit with it passes every rule"))
        else:
            request, problem, solution = wished, tried, found
    return request, problem, solution, unmet


def attempt(request: Request) -> tuple[Problem, Solution | None, Conflict | None]:
    """Try to solve; on failure the conflict, as far as thinning out found it."""
    problem = build(request)
    conflict = narrow(problem) or hold_pins(problem)
    if conflict is not None or _has_no_place(problem):
        return problem, None, conflict
    preferences = ordered_preferences(request)
    before = {root: (state.options, len(state.rejected)) for root, state in problem.slots.items()}
    count = len(problem.constraints)
    try:
        decided = decide(problem, preferences)
        return problem, choose(problem, suppliers_of(request), decided), None
    except (TooMany, Infeasible):
        del problem.constraints[count:]
        for root, (options, rejected) in before.items():
            problem.slots[root].options = options
            del problem.slots[root].rejected[rejected:]
    from tappetry.kitting.solver import solve  # heavy, and seldom needed

    try:
        return problem, solve(problem, preferences, suppliers_of(request)), None
    except Infeasible:
        return problem, None, None


def hold_pins(problem: Problem) -> Conflict | None:
    """Hold every pinned part in its only place, and thin out; tell where the request breaks then."""
    held = set()
    for number in problem.request.plan.pins:
        places = [(state, _with_part(state.options, number)) for state in problem.slots.values()]
        holding = [(state, options) for state, options in places if options]
        if len(holding) == 1:
            state, options = holding[0]
            state.options = options
            held.add(state.root)
    touched = [constraint for constraint in problem.constraints if held & constraint.reads.keys()]
    return thin_out(problem, touched) if touched else None


def _has_no_place(problem: Problem) -> bool:
    """Whether some pinned part is left no place, so that no kit can hold it."""
    return any(
        not any(_with_part(state.options, number) for state in problem.slots.values())
        for number in problem.request.plan.pins
    )


def _with_part(options: list[Option], number: str) -> list[Option]:
    return [option for option in options if any(part.number == number for part in option.parts)]


def suppliers_of(request: Request) -> Mapping[str, Supplier]:
    """Suppliers by code."""
    return request.catalogue.suppliers


def preferences_by_need(request: Request) -> dict[str, list[Preference]]:
    """The preferences in force for each need: the package's own stand before the need's."""
    in_force: dict[str, list[Preference]] = {}
    for need_id, preference in request.package.prefer:
        in_force.setdefault(need_id, []).append(preference)
    for need in request.knowledge.needs.values():
        for preference in need.prefer:
            if need.id in request.plan.declined and preference.offer:
                continue
            in_force.setdefault(need.id, []).append(preference)
    return in_force


def ordered_preferences(request: Request) -> list[Ranked]:
    """First what keeps the factory dimension, then the package's preferences, then the needs'.

    Where the plan itself says which part fills a need, the house has nothing to prefer there: else it would
    turn other lines about to make its preference fit the part.
    """
    decided = _decided_by_plan(request)
    needs = {need.id: need for need in request.knowledge.needs.values() if need.id not in decided}
    in_force = preferences_by_need(request)
    by_need = [
        (need.root, p) for need in needs.values() for p in need.prefer if p in in_force.get(need.id, ())
    ]
    package = [(needs[need_id].root, p) for need_id, p in request.package.prefer if need_id in needs]
    return [
        *(ranked for ranked in by_need if ranked[1].first),
        *package,
        *(ranked for ranked in by_need if not ranked[1].first),
    ]


def _decided_by_plan(request: Request) -> frozenset[str]:
    """Needs of one place for which the plan pins a part that fills no other, or the customer brings one."""
    plan = request.plan
    pinned = [part for number in plan.pins for part in request.catalogue.numbered(number)]
    filled = [part.fills[0].need for part in pinned if part.number in plan.pins and len(part.fills) == 1]
    needs = request.knowledge.needs
    named = {*filled, *(own.need for own in plan.own_parts)}
    return frozenset(need for need in named if need in needs and len(needs[need].slots) == 1)
