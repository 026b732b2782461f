"""Refusals: what a plan may not ask, and why no kit meets a request."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from tappetry.kitting.conflicts import (
    Change,
    Core,
    bought,
    changes_of,
    instead_of_work,
    questions_of,
    released,
    taken,
)
from tappetry.kitting.request import Request
from tappetry.records.problems import Ground, Refusal


class Mendable(Refusal):
    """A refusal that other decisions could mend."""

    def changes(self, request: Request) -> Iterable[Change]:
        """The decisions in question, the smallest change first; none of them is tried."""
        raise NotImplementedError


class Unmet(Mendable):
    """No kit meets a request: with the core of the conflict."""

    def __init__(self, request: Request, core: Core) -> None:
        message = f"No kit satisfies job {request.job}." if request.job else "No kit satisfies this request."
        self.core = core
        super().__init__(message, core.grounds, questions_of(request, core), core.arithmetic)

    def changes(self, request: Request) -> Iterable[Change]:
        """The decisions in the conflict."""
        return changes_of(request, self.core)


class Unfit(Mendable):
    """A plan asks what no choice of parts could mend."""

    def __init__(
        self, message: str, grounds: Sequence[Ground], advice: Sequence[str], change: Change
    ) -> None:
        self.change = change
        super().__init__(message, grounds, advice)

    def changes(self, request: Request) -> Iterable[Change]:
        """The one decision that is in the way."""
        return [self.change]


class Stopped(Mendable):
    """Gates stop a plan; ``read`` are the fields of the plan that they read."""

    def __init__(
        self, message: str, grounds: Sequence[Ground], advice: Sequence[str], read: Collection[str]
    ) -> None:
        self.read = read
        super().__init__(message, grounds, advice)

    def changes(self, request: Request) -> Iterable[Change]:
        """Where the camshaft stays: the same work otherwise, or a new camshaft after all."""
        return () if request.plan.conversion else instead_of_work(request, self.read)


def check_plan(request: Request) -> None:
    """Refuse at once what no choice of parts could mend.

    Raises
    ------
    Refusal
        A pinned part that nobody sells, a must that is declined, a used part where only a new one may go.
    """
    plan, needs, job = request.plan, request.knowledge.needs, f"job {request.job}"
    for number in plan.pins:
        if not request.catalogue.carries(number):
            raise Unfit(
                f"The pinned part {number} is in no price list, or can no longer be ordered.",
                [Ground(f"the plan pins {number}", job)],
                [f"did you mean {other}?" for other in request.catalogue.close_numbers(number)],
                released(number),
            )
    for need_id, reason in plan.declined.items():
        need = needs[need_id]
        if need.importance == "must" and not any(preference.offer for preference in need.prefer):
            raise Unfit(
                f"{need.title.capitalize()} cannot be declined.",
                [
                    Ground(f"the customer declines {need.title}: {reason}", "customer"),
                    Ground(f"{need.title} is a must: {need.why}", f"need {need.id}", need.source),
                ],
                [],
                taken(request, need_id),
            )
    for own in plan.own_parts:
        need = needs[own.need]
        if own.used and need.written == "R":
            raise Unfit(
                f"A used {own.description} is not fitted.",
                [
                    Ground(f"the customer brings a used {own.description}", "customer", own.source),
                    Ground(f"{need.title} is always new: {need.why}", f"need {need.id}", need.source),
                ],
                [],
                bought(request, own.need),
            )
