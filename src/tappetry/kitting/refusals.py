"""Refusals: what a plan may not ask, and why no kit meets a request."""

from __future__ import annotations

from tappetry.kitting.conflicts import Core, questions_of
from tappetry.kitting.request import Request
from tappetry.records.problems import Ground, Refusal


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


class Unmet(Refusal):
    """No kit meets a request: with the core of the conflict, from which ways out are sought."""

    def __init__(self, request: Request, core: Core) -> None:
        message = f"No kit satisfies job {request.job}." if request.job else "No kit satisfies this request."
        self.request = request
        self.core = core
        super().__init__(message, core.grounds, questions_of(request, core), core.arithmetic)
