"""The runners-up of a solved kit: each forced into the request, with its kit, or why there is none."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from tappetry.assembly.sentences import show
from tappetry.kitting.candidates import Candidate, identity_of
from tappetry.kitting.conflicts import Core, conflict_in, core_of
from tappetry.kitting.options import RENEWED
from tappetry.kitting.prefer import regret
from tappetry.kitting.problem import Problem
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import ordered_preferences
from tappetry.kitting.settled import Settled
from tappetry.kitting.solution import Solution
from tappetry.records.plan import Plan
from tappetry.records.problems import Ground
from tappetry.records.why_not import Behind


@dataclass(frozen=True, slots=True)
class Forced:
    """A request into which a candidate was forced, with its best kit or none, and what put it behind."""

    candidate: Candidate
    request: Request
    problem: Problem
    solution: Solution | None
    behind: Behind | None = None


def force(settled: Settled, candidate: Candidate) -> Forced | None:
    """Force a candidate into the request, and solve again; None where it finds a place only elsewhere.

    What the plan itself says of the place (another pin, an own part, a part that is refused, a need that is
    declined) is let go, so that it can be told what it costs. A part that a rule speaks against by itself has
    no kit: nothing is solved for it.
    """
    plan, let_go = _opened(settled, candidate)
    request = replace(settled.request, plan=replace(plan, pins=(*plan.pins, candidate.part.number)))
    if candidate.is_early:
        return Forced(candidate, request, settled.problem, None)
    problem, solution = settled.again.attempt(request)
    if solution is None:
        return Forced(candidate, request, problem, None)
    if identity_of(candidate.part) not in {
        identity_of(part) for part in solution.chosen[candidate.root].parts
    }:
        return None
    behind = let_go or _behind(settled, candidate, problem, solution)
    return Forced(candidate, request, problem, solution, behind)


def _opened(settled: Settled, candidate: Candidate) -> tuple[Plan, Behind | None]:
    """The plan without what it says of the place itself, and what that was."""
    request, need = settled.request, settled.problem.slots[candidate.root].need
    plan, number = request.plan, candidate.part.number
    there = {part.number for part in settled.solution.chosen[candidate.root].parts}
    pinned = [pin for pin in plan.pins if pin in there]
    said = [f"the customer wishes {pin}" for pin in pinned if pin in plan.wishes]
    said += [f"the plan pins {pin}" for pin in pinned if pin not in plan.wishes]
    said += [f"the customer brings {own.description}" for own in plan.own_parts if own.need == need.id]
    if number in plan.refused_parts:
        said.append(f"the plan refuses {number}")
    if need.id in plan.declined and need.importance != "must":
        said.append(f"the customer declines {need.title}: {plan.declined[need.id]}")
    opened = replace(
        plan,
        pins=tuple(pin for pin in plan.pins if pin not in pinned),
        own_parts=tuple(own for own in plan.own_parts if own.need != need.id),
        refused_parts=tuple(refused for refused in plan.refused_parts if refused != number),
        declined={name: reason for name, reason in plan.declined.items() if name != need.id},
    )
    return opened, Behind("plan", need.id, "; ".join(said), f"job {request.job}") if said else None


def _behind(settled: Settled, candidate: Candidate, problem: Problem, solution: Solution) -> Behind:
    """What would stay as it is without the part, else the first ranking in which its kit is behind."""
    slots = settled.problem.slots
    filled = {fill.need for fill in candidate.part.fills}
    for root in (candidate.root, *(root for root in slots if slots[root].need.id in filled)):
        if _stays(settled, root, problem, solution):
            need, view = slots[root].need, settled.solution.chosen[root].view
            return Behind(
                "stays", need.id, need.why if view.get("renewed") else need.otherwise_why, need.source
            )
    best, other = (p.views(s.chosen) for p, s in ((settled.problem, settled.solution), (problem, solution)))
    for place, preference in ordered_preferences(settled.request):
        if regret(problem, place, preference, other) > regret(settled.problem, place, preference, best):
            return Behind("preference", preference.id, preference.why, preference.source)
    return next(_behind_in_money(settled.solution, solution))


def _stays(settled: Settled, root: str, problem: Problem, solution: Solution) -> bool:
    """Whether a slot would not be renewed if the plan did not pin the part."""
    if settled.solution.chosen[root].state not in RENEWED:
        return root not in solution.chosen or solution.chosen[root].state in RENEWED
    standing = problem.standings[root]
    pinned = standing.renewed_anyhow and not settled.problem.standings[root].renewed_anyhow
    return pinned and problem.values.maybe(standing.renew, problem.views(solution.chosen)) is not True


def _behind_in_money(best: Solution, other: Solution) -> Iterator[Behind]:
    """The rankings by money and number that set two kits apart."""
    over = other.landed_cost - best.landed_cost
    if over > 0:
        yield Behind("cost", "landed-cost", f"landed cost is {over:.2f} higher", "arithmetic")
    more = _suppliers(other) - _suppliers(best)
    if more > 0:
        yield Behind("suppliers", "suppliers", f"it takes {more} more suppliers", "arithmetic")
    later = _days(other) - _days(best)
    if later > 0:
        yield Behind(
            "arrival", "latest-arrival", f"the last part comes {later} working days later", "arithmetic"
        )
    left = _left_over(other) - _left_over(best)
    if left > 0:
        yield Behind("left over", "left-over-pieces", f"{left} more pieces are left over", "arithmetic")
    yield Behind("order", "first-in-order", "equal in all: the first code and number is taken", "arithmetic")


def why_none(settled: Settled, forced: Forced) -> Core:
    """Why there is no kit with a candidate.

    Where the part could find a place elsewhere, only the rule speaks that bars it from this one.
    """
    against = forced.candidate.against
    if against is None or not forced.candidate.is_early:
        return core_of(forced.request)
    core = conflict_in(forced.request)
    if core is not None:
        return core
    seen = (*against.values, *settled.problem.values.facts(against.read))
    known = ", ".join(f"{name} = {show(value)}" for name, value in seen if value is not None)
    text = f"{against.part}: {against.why} ({known})" if known else f"{against.part}: {against.why}"
    arithmetic = against.arithmetic() if against.arithmetic is not None else ""
    return Core((Ground(text, f"rule {against.rule}"),), arithmetic)


def _suppliers(solution: Solution) -> int:
    return len({supplier for supplier, _ in solution.units})


def _days(solution: Solution) -> int:
    return max((part.lead_days for part in solution.parts.values()), default=0)


def _left_over(solution: Solution) -> int:
    """Pieces bought beyond those that are wanted."""
    bought = sum(
        count * fill.pieces for i, count in solution.units.items() for fill in solution.parts[i].fills
    )
    wanted = sum(pieces for root, pieces in solution.required.items() if solution.chosen[root].state == "new")
    return bought - wanted
