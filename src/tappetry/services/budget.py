"""The customer's budget: the sum that goes over it, and what could be decided otherwise."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from tappetry.kitting.conflicts import Change, planned
from tappetry.kitting.refusals import Mendable
from tappetry.kitting.request import Request
from tappetry.records.job import Job
from tappetry.records.kit import Kit, Totals
from tappetry.records.problems import Ground

PARTS_OF_A_TOTAL = ("parts", "services", "labour", "supplies", "tax")
#: What stands for the reason that the customer has yet to give.
UNSAID = "to stay within the budget"


class OverBudget(Mendable):
    """A kit was found, but it costs more than the customer will pay."""

    def __init__(self, kit: Kit, budget: Decimal, totals: Totals) -> None:
        self.kit = kit
        self.total = totals.total
        sums = {name: getattr(totals, name) for name in PARTS_OF_A_TOTAL if getattr(totals, name)}
        super().__init__(
            f"The kit of job {kit.job} costs more than the budget.",
            [Ground(f"the customer's budget is {budget:.2f}", "customer")],
            (),
            f"{totals.total:.2f} - {budget:.2f} = {totals.total - budget:.2f} over the budget; "
            f"{' + '.join(f'{name} {amount:.2f}' for name, amount in sums.items())} = {totals.total:.2f}",
        )

    def changes(self, request: Request) -> Iterable[Change]:
        """What may cost less: to decline what is only advised, or another package; or a larger budget."""
        lines = [line for line in self.kit.lines if line.importance == "should"]
        advised = {filled.need for line in lines for filled in line.needs}
        for need in sorted(advised.difference(request.plan.declined)):
            declined = {**request.plan.declined, need: UNSAID}
            yield Change(f"decline {request.knowledge.needs[need].title}", planned(declined=declined), 1)
        for package in request.knowledge.book.packages.values():
            if package.id != request.package.id:
                yield Change(f"the package: {package.title}", planned(package=package.id), 3)
        yield Change(f"a budget of {self.total:.2f}", planned(budget=self.total), 4)


def within_budget(kit: Kit, job: Job) -> None:
    """Refuse when the total is over the customer's budget.

    Raises
    ------
    OverBudget
        With the arithmetic.
    """
    budget = job.plan.budget
    if budget is not None and kit.totals is not None and kit.totals.total > budget:
        raise OverBudget(kit, budget, kit.totals)
