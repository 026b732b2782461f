"""Refusals: what a plan may not ask, why no kit meets a request, and the ways out that were each solved."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal

from tappetry.kitting.options import Rejected
from tappetry.kitting.problem import Conflict, Problem
from tappetry.kitting.reasons import show
from tappetry.kitting.request import Request
from tappetry.records.plan import Plan
from tappetry.records.problems import Ground, Refusal

MOST_GROUNDS = 12
SHOWN_VALUES = 8
#: Up to this many candidates that fell to one rule are named one by one.
FEW = 3


def check_plan(request: Request) -> None:
    """Refuse at once what no choice of parts could mend.

    Raises
    ------
    Refusal
        A pinned part that nobody sells, a must that is declined, a used part where only a new one may go.
    """
    for number in request.plan.pins:
        if not request.catalogue.carries(number):
            close = [f"did you mean {other}?" for other in request.catalogue.close_numbers(number)]
            raise Refusal(
                f"The pinned part {number} is in no price list, or can no longer be ordered.", [], close
            )
        if number in request.plan.refused_parts:
            grounds = [
                Ground(f"the plan {verb} {number}", f"job {request.job}") for verb in ("pins", "refuses")
            ]
            raise Refusal(f"The part {number} is pinned and refused.", grounds, ["drop one of the two"])
    for need_id, reason in request.plan.declined.items():
        need = request.knowledge.needs[need_id]
        if need.importance == "must" and not any(preference.offer for preference in need.prefer):
            grounds = [
                Ground(f"the customer declines {need.title}: {reason}", "customer"),
                Ground(f"{need.title} is a must: {need.why}", f"need {need.id}", need.source),
            ]
            raise Refusal(f"{need.title.capitalize()} cannot be declined.", grounds, [f"keep {need.title}"])
    for own in request.plan.own_parts:
        need = request.knowledge.needs[own.need]
        if own.used and need.written == "R":
            grounds = [
                Ground(f"the customer brings a used {own.description}", "customer", own.source),
                Ground(f"{need.title} is always new: {need.why}", f"need {need.id}", need.source),
            ]
            raise Refusal(
                f"A used {own.description} is not fitted.", grounds, [f"a new part for {need.title}"]
            )


def refusal(request: Request, problem: Problem, conflict: Conflict | None, ways: list[str]) -> Refusal:
    """Why no kit meets the request."""
    message = f"No kit satisfies job {request.job}." if request.job else "No kit satisfies this request."
    return Refusal(message, grounds_of(request, problem, conflict), ways)


def grounds_of(request: Request, problem: Problem, conflict: Conflict | None) -> list[Ground]:
    """The grounds of a refusal, the plan's own wishes first, each with the rules that stop it."""
    job = f"job {request.job}"
    grounds = [Ground(f"the plan pins {number}", job) for number in request.plan.pins]
    grounds += [Ground(f"the plan refuses {number}", job) for number in request.plan.refused_parts]
    grounds += [
        Ground(f"the customer brings {own.description} for {own.need}", "customer")
        for own in request.plan.own_parts
    ]
    if conflict is None:
        stopped = list(_pins_stopped(request, problem))
        together = Ground("the options that are left cannot be combined", "shop rules")
        return [*grounds, *(stopped or [together])][:MOST_GROUNDS]
    grounds.append(Ground(f"{conflict.need.title}: no option is left", f"need {conflict.need.id}"))
    grounds += _rejected(conflict)
    return grounds[:MOST_GROUNDS]


def _pins_stopped(request: Request, problem: Problem) -> Iterator[Ground]:
    """The rules that leave a pinned part no place."""
    for state in problem.slots.values():
        for rejected in state.rejected:
            if rejected.part in request.plan.pins:
                yield _ground(rejected)


def _rejected(conflict: Conflict) -> Iterator[Ground]:
    """What stopped the candidates; the last to fall come first, many that fell to one rule are one ground."""
    by_rule: dict[str, dict[str, Rejected]] = {}
    for rejected in reversed(conflict.rejected):
        by_rule.setdefault(rejected.rule, {}).setdefault(rejected.part, rejected)
    for rule, stopped in by_rule.items():
        if len(stopped) <= FEW:
            yield from map(_ground, stopped.values())
        else:
            first = next(iter(stopped.values()))
            yield Ground(f"{len(stopped)} parts, such as {first.part}: {first.why}", f"rule {rule}")


def _ground(rejected: Rejected) -> Ground:
    values = ", ".join(f"{name} = {show(value)}" for name, value in rejected.values[:SHOWN_VALUES])
    text = f"{rejected.part}: {rejected.why}" + (f" ({values})" if values else "")
    return Ground(text, f"rule {rejected.rule}")


# ---- ways out -------------------------------------------------------------------------------------------


def ways_out(
    request: Request, landed_cost: Callable[[Request], Decimal | None]
) -> Iterator[tuple[str, Decimal]]:
    """Small changes of the plan, each solved; only those that give a kit are named, with its landed cost."""
    for text, plan in changes(request):
        cost = landed_cost(replace(request, plan=plan, fixed=_fixed_for(request, plan)))
        if cost is not None:
            yield text, cost


def _fixed_for(request: Request, plan: Plan) -> dict[str, object]:
    """The fixed roots with another plan."""
    view = {"phaser": plan.phaser, "deact": plan.deact, "heads": plan.heads, "cam": plan.cam}
    return {**request.fixed, "plan": {**request.fixed["plan"], **view}}


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
    for grind in _grinds_sold(request):
        if grind != plan.cam:
            yield f"cam {grind} in place of {plan.cam}", replace(plan, cam=grind)


def _grinds_sold(request: Request) -> list[str]:
    """The grinds that some part of a price list carries."""
    return sorted({str(p.attributes["grind"]) for p in request.catalogue.parts if "grind" in p.attributes})
