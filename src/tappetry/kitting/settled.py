"""A request with its best kit: what other kits of it are measured against."""

from __future__ import annotations

from dataclasses import dataclass

from tappetry.kitting.many.again import Again
from tappetry.kitting.problem import Problem
from tappetry.kitting.request import Request
from tappetry.kitting.resolve import attempt, grant_wishes
from tappetry.kitting.solution import Solution
from tappetry.records.part import Part


@dataclass(frozen=True, slots=True)
class Settled:
    """A request, its wishes granted, with its best kit and a solver for other plans of it."""

    request: Request
    problem: Problem
    solution: Solution
    again: Again

    def bought(self, root: str) -> tuple[Part, ...]:
        """The parts bought for a slot."""
        option = self.solution.chosen[root]
        return tuple(part for part in option.parts if (part.supplier, part.number) in self.solution.units)


def settle(request: Request) -> Settled | None:
    """The best kit of a request, with its wishes granted as in the kit itself; None where there is none."""
    problem, solution, _ = attempt(request)
    if solution is None:
        return None
    request, problem, solution, _ = grant_wishes(request, problem, solution)
    return Settled(request, problem, solution, Again(request))
