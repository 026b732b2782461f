"""From a request to a kit, or to a refusal that names the grounds and ways out that were each tried."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from tappetry.assembly.values import Values
from tappetry.kitting.choose import choose
from tappetry.kitting.expand import build, narrow
from tappetry.kitting.kit import KitBuilder
from tappetry.kitting.packs import TooMany
from tappetry.kitting.prefer import Ranked, decide
from tappetry.kitting.problem import Conflict, Problem
from tappetry.kitting.refusals import ground_texts
from tappetry.kitting.request import Request
from tappetry.kitting.solution import Infeasible, Solution
from tappetry.kitting.solver import solve
from tappetry.knowledge.model import Preference
from tappetry.records.evidence import Fact
from tappetry.records.kit import Kit
from tappetry.records.part import Supplier
from tappetry.records.plan import Plan
from tappetry.records.problems import Refusal


@dataclass(frozen=True, slots=True)
class Resolution:
    """A kit with what conditions see of the chosen parts."""

    kit: Kit
    values: Values
    views: Mapping[str, Mapping[str, Any]]


def resolve(request: Request, facts_by_name: Mapping[str, Fact]) -> Resolution:
    """The kit of a request.

    Raises
    ------
    Refusal
        No kit meets the request: with the grounds and the ways out that were each tried.
    """
    checked_pins(request)
    problem, solution, conflict = attempt(request)
    if solution is None:
        raise refusal(request, problem, conflict)
    kit = KitBuilder(problem, solution, preferences_by_need(request), facts_by_name).build()
    return Resolution(kit, problem.values, problem.views(solution.chosen))


def attempt(request: Request) -> tuple[Problem, Solution | None, Conflict | None]:
    """Try to solve; on failure the conflict, as far as thinning out found it."""
    problem = build(request)
    conflict = narrow(problem)
    if conflict is not None:
        return problem, None, conflict
    preferences = ordered_preferences(request)
    snapshot = {root: list(state.options) for root, state in problem.slots.items()}
    count = len(problem.constraints)
    try:
        decided = decide(problem, preferences)
        return problem, choose(problem, suppliers_of(request), decided), None
    except (TooMany, Infeasible):
        del problem.constraints[count:]
        for root, options in snapshot.items():
            problem.slots[root].options = options
    try:
        return problem, solve(problem, preferences, suppliers_of(request)), None
    except Infeasible:
        return problem, None, None


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
    """First what keeps the factory dimension, then the package's preferences, then the needs'."""
    needs = request.knowledge.needs
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


def checked_pins(request: Request) -> None:
    """A pinned part that no list carries, or that is discontinued, is told at once."""
    for number in request.plan.pins:
        if not request.catalogue.carries(number):
            raise Refusal(
                f"The pinned part {number} is in no price list.",
                ways_out=[f"did you mean {close}?" for close in request.catalogue.close_numbers(number)],
            )


# ---- refusals -------------------------------------------------------------------------------------------


def refusal(request: Request, problem: Problem, conflict: Conflict | None) -> Refusal:
    """Why no kit meets the request, and what would; each way out has been solved."""
    ways = list(ways_out(request))
    message = f"No kit satisfies job {request.job}." if request.job else "No kit satisfies this request."
    return Refusal(message, ground_texts(request, problem, conflict), ways)


def ways_out(request: Request) -> Iterator[str]:
    """Small changes of the plan, each tried; only those that give a kit are named."""
    for text, plan in changes(request):
        changed = replace(request, plan=plan, fixed=fixed_for(request, plan))
        _, solution, _ = attempt(changed)
        if solution is not None:
            yield f"{text}: gives a complete kit, landed cost {solution.landed_cost:.2f}"


def fixed_for(request: Request, plan: Plan) -> dict[str, object]:
    """The fixed roots with another plan."""
    view = {
        **request.fixed["plan"],
        "phaser": plan.phaser,
        "deact": plan.deact,
        "heads": plan.heads,
        "cam": plan.cam,
    }
    return {**request.fixed, "plan": view}


def changes(request: Request) -> Iterator[tuple[str, Plan]]:
    """One change of the request at a time, the smallest first."""
    plan = request.plan
    for pin in plan.pins:
        yield f"release the pinned part {pin}", replace(plan, pins=tuple(p for p in plan.pins if p != pin))
    for number in plan.refused_parts:
        kept = tuple(p for p in plan.refused_parts if p != number)
        yield f"accept the refused part {number}", replace(plan, refused_parts=kept)
    for own in plan.own_parts:
        kept_own = tuple(p for p in plan.own_parts if p is not own)
        yield (
            f"buy {own.need} in place of the customer's {own.description}",
            replace(plan, own_parts=kept_own),
        )
    if plan.need_by is not None:
        yield f"a later date than {plan.need_by.isoformat()}", replace(plan, need_by=None)
    if plan.phaser == "keep-full":
        yield "keep the phaser limited", replace(plan, phaser="keep-limited")
    if plan.phaser.startswith("keep"):
        yield "remove the phaser", replace(plan, phaser="remove")
    if plan.heads == "on":
        yield "take the heads off", replace(plan, heads="off")
    for grind in request.knowledge.tables.get("grind", {}):
        if grind != plan.cam:
            yield f"cam {grind} in place of {plan.cam}", replace(plan, cam=grind)
