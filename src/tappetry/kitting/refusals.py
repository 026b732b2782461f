"""Refusals: what a plan may not ask, why no kit meets a request, and the ways out that were each solved."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal

from tappetry.assembly.sentences import show
from tappetry.kitting.options import Rejected
from tappetry.kitting.problem import STATE, Conflict, Problem
from tappetry.kitting.request import Request
from tappetry.records.plan import Plan
from tappetry.records.problems import Ground, Refusal

MOST_GROUNDS = 12
SHOWN_VALUES = 12
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
    for root in _emptied(problem, conflict.root):
        grounds += _emptied_by(problem, root)
    return grounds[:MOST_GROUNDS]


def _pins_stopped(request: Request, problem: Problem) -> Iterator[Ground]:
    """The rules that leave a pinned part no place."""
    for state in problem.slots.values():
        for rejected in state.rejected:
            if rejected.part in request.plan.pins:
                yield _ground(problem, rejected)


def _emptied(problem: Problem, root: str) -> list[str]:
    """The slots that left one without an option, what lies deepest first.

    Where a need must be met and nothing may meet it, it is often another slot that runs empty: the one
    whose choice would have done away with the need. The state of a need says which slots these are.
    """
    order: list[str] = []
    waiting = [root]
    while waiting:
        name = waiting.pop(0)
        if name in order:
            continue
        order.append(name)
        rules = {rejected.rule for rejected in problem.slots[name].rejected}
        for constraint in problem.constraints:
            if constraint.kind == STATE and constraint.id in rules and name in constraint.reads:
                waiting += [other for other in constraint.reads if problem.slots[other].rejected]
    return order[::-1]


def _emptied_by(problem: Problem, root: str) -> Iterator[Ground]:
    """What stopped the candidates of a slot, and for what reason it may not stay as it is."""
    state = problem.slots[root]
    owner = f"need {state.need.id}"
    reasons = {c.id: c for c in problem.constraints if c.kind == STATE}
    stopped = [rejected for rejected in state.rejected if rejected.rule not in reasons]
    if not state.rejected:
        yield Ground(f"{state.need.title}: no price list carries it for this engine", owner)
        return
    yield Ground(f"{state.need.title}: nothing that may stand there is left", owner, state.need.source)
    yield from _rejected(problem, stopped)
    for name in dict.fromkeys(r.rule for r in state.rejected if r.rule in reasons):
        yield Ground(f"{reasons[name].why}", f"need {reasons[name].need}", reasons[name].source)


def _rejected(problem: Problem, stopped: list[Rejected]) -> Iterator[Ground]:
    """What stopped candidates; the last to fall come first, many that fell to one rule are one ground."""
    by_rule: dict[str, dict[str, Rejected]] = {}
    for rejected in reversed(stopped):
        by_rule.setdefault(rejected.rule, {}).setdefault(rejected.part, rejected)
    for alike in by_rule.values():
        if len(alike) <= FEW:
            yield from (_ground(problem, rejected) for rejected in alike.values())
        else:
            yield _ground(problem, next(iter(alike.values())), f"{len(alike)} parts, such as ")


def _ground(problem: Problem, rejected: Rejected, before: str = "") -> Ground:
    """One candidate that fell: why, the arithmetic where there is some, and the values that were read."""
    seen = (*rejected.values, *problem.values.facts(rejected.read))
    known = [(name, value) for name, value in seen if value is not None][:SHOWN_VALUES]
    values = ", ".join(f"{name} = {show(value)}" for name, value in known)
    text = f"{before}{rejected.part}: {rejected.why}"
    if rejected.arithmetic is not None:
        text = f"{text}; {rejected.arithmetic()}"
    return Ground(f"{text} ({values})" if values else text, f"rule {rejected.rule}")


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
