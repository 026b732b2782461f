"""Puts the grounds of a refusal into sentences: which candidates there were, and which rule stopped each."""

from __future__ import annotations

from tappetry.kitting.options import Rejected
from tappetry.kitting.problem import Conflict, Problem
from tappetry.kitting.reasons import show
from tappetry.kitting.request import Request
from tappetry.records.problems import Ground

MOST_GROUNDS = 12


def ground_texts(request: Request, problem: Problem, conflict: Conflict | None) -> list[Ground]:
    """The grounds of a refusal, the plan's own wishes first."""
    grounds = [Ground(f"the plan pins {number}", f"job {request.job}") for number in request.plan.pins]
    grounds += [
        Ground(f"the plan refuses {number}", f"job {request.job}") for number in request.plan.refused_parts
    ]
    grounds += [
        Ground(f"the customer brings {own.description} for {own.need}", "customer")
        for own in request.plan.own_parts
    ]
    if conflict is None:
        grounds.append(Ground("the options that are left cannot be combined", "shop rules"))
        return grounds
    grounds.append(Ground(f"{conflict.need.title}: no option is left", f"need {conflict.need.id}"))
    seen: set[tuple[str, str]] = set()
    for rejected in reversed(conflict.rejected):
        if (rejected.part, rejected.rule) in seen:
            continue
        seen.add((rejected.part, rejected.rule))
        grounds.append(_ground(rejected))
        if len(grounds) >= MOST_GROUNDS:
            break
    return grounds


def _ground(rejected: Rejected) -> Ground:
    values = ", ".join(f"{name} = {show(value)}" for name, value in rejected.values[:8])
    text = f"{rejected.part}: {rejected.why}" + (f" ({values})" if values else "")
    return Ground(text, f"rule {rejected.rule}")
