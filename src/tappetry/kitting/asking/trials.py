"""Solves the kit of each way in which the engine may be, once for all ways that no condition tells apart."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import replace
from decimal import Decimal

from tappetry.assembly.values import Values
from tappetry.catalogue.catalogue import Catalogue
from tappetry.catalogue.classes import fact_name
from tappetry.kitting.asking.case import Bought, Identity, Outcome
from tappetry.kitting.evidence import demands_of
from tappetry.kitting.gates import gate_findings
from tappetry.kitting.many.solver import ManySolver
from tappetry.kitting.problem import Views
from tappetry.kitting.request import Request
from tappetry.kitting.solution import Solution
from tappetry.knowledge.audit_subject import conditions_of
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Knowledge, Operation
from tappetry.proofs.margins import margin
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Finding, Verdict

#: What the customer pays for a solution with its operations; a refusal says why it cannot be sold.
Price = Callable[[Solution, tuple[Operation, ...]], Decimal | None]
NO_KIT = "no kit meets every rule"
FOUND = "found_"


class Trials:
    """The kits of requests that differ in what is known of the engine.

    Parameters
    ----------
    price : callable
        What the customer pays; None where that is not reckoned.
    most : int
        How many kits may be solved; a request that would need one more gets no outcome.
    """

    def __init__(self, knowledge: Knowledge, catalogue: Catalogue, price: Price, most: int) -> None:
        self.knowledge = knowledge
        self.solver = ManySolver(knowledge, catalogue)
        self.price = price
        self.most = most
        self.attribute_of = {each.name_in_conditions: each.id for each in knowledge.attributes.values()}
        self._fits = {fact_name(attribute) for part in catalogue.parts for attribute in part.fits}
        reads = (read for condition in conditions_of(knowledge) for read in condition.expression.reads)
        self._read = {(read.root, read.member) for read in reads}
        self.solved = 0
        self._outcomes: dict[Hashable, Outcome | None] = {}

    def outcome(self, request: Request) -> Outcome | None:
        """What the kit of a request comes to; None where that would be one kit too many."""
        seen = self._seen(request)
        if seen not in self._outcomes:
            self._outcomes[seen] = self._solve(request)
        return self._outcomes[seen]

    def _seen(self, request: Request) -> Hashable:
        """All that conditions and parts can tell of a request."""
        return frozenset(
            (root, member, repr(value))
            for root, members in request.fixed.items()
            for member, value in members.items()
            if root.startswith(FOUND) or (root, member) in self._read or member in self._fits
        )

    # ---- one request -------------------------------------------------------------------------------

    def _solve(self, request: Request) -> Outcome | None:
        signatures = request.fixed["job"].get("signed", {})
        values = Values(self.knowledge, request.fixed, request.memory)
        findings = list(gate_findings(values, {}, signatures, before=True))
        if stopped := _stop(findings):
            return Outcome(refused=stopped)
        if self.solved >= self.most:
            return None
        self.solved += 1
        solution = self._granted(request)
        if solution is None:
            return Outcome(refused=NO_KIT)
        views = {root: option.view for root, option in solution.chosen.items()}
        findings += gate_findings(values, views, signatures, before=False)
        if stopped := _stop(findings):
            return Outcome(refused=stopped)
        done = {name: values.maybe(each.when, views) for name, each in self.knowledge.operations.items()}
        operations = tuple(each for name, each in self.knowledge.operations.items() if done[name])
        try:
            total = self.price(solution, operations)
        except Refusal as over:
            return Outcome(refused=over.message)
        waiting = self._needs_of(root for root, option in solution.chosen.items() if option.state == "open")
        return Outcome(
            lines=dict(self._lines(values, solution)),
            total=total,
            landed=solution.landed_cost,
            hours=sum((each.hours for each in operations), Decimal(0)),
            days=max((part.lead_days for part in solution.parts.values()), default=0),
            open=frozenset({*waiting, *(name for name, truth in done.items() if truth is None)}),
            checks={**_verdicts(findings), **self._proofs(values, views, set(signatures))},
        )

    def _granted(self, request: Request) -> Solution | None:
        """The kit with every wished part that leaves one."""
        solution = self.solver.solve(request)
        for wish in request.plan.wishes:
            if solution is not None and request.catalogue.carries(wish):
                wished = replace(request, plan=replace(request.plan, pins=(*request.plan.pins, wish)))
                with_it = self.solver.solve(wished)
                if with_it is not None:
                    request, solution = wished, with_it
        return solution

    def _lines(self, values: Values, solution: Solution) -> Iterator[tuple[Identity, Bought]]:
        slots = self.knowledge.slots()
        roots_of: dict[Identity, list[str]] = {identity: [] for identity in solution.units}
        for root, option in solution.chosen.items():
            for part in option.parts:
                if (part.supplier, part.number) in roots_of:
                    roots_of[part.supplier, part.number].append(root)
        for identity, units in solution.units.items():
            part, roots = solution.parts[identity], roots_of[identity]
            needs = [self.knowledge.needs[name] for name in self._needs_of(roots)]
            said: list[Expression] = []
            for need in needs:
                said += [need.when, need.renew]
            for root in roots:
                said += [rule.that for rule in slots[root].match] if root in slots else []
            attributes = [
                self.attribute_of[name.removeprefix("engine.")]
                for name, _ in values.facts(said)
                if name.startswith("engine.")
            ]
            demands = demands_of(self.knowledge, part, needs, attributes)
            yield identity, Bought(units, part.lead_days, tuple(need.id for need in needs), demands)

    def _proofs(self, values: Values, views: Views, signed: set[str]) -> dict[str, str]:
        """The verdict of each proof that is not passed."""
        found: dict[str, str] = {}
        for rule in self.knowledge.proofs.values():
            applies = values.maybe(rule.when, views)
            if applies is False:
                continue
            room = margin(values, rule, views) if applies else None
            if room is None:
                found[rule.id] = Verdict.UNKNOWN.value
            elif room < 0:
                found[rule.id] = rule.severity
        return found

    def _needs_of(self, roots: Iterable[str]) -> list[str]:
        """The needs of some slots; a need that takes one of each size has slots of its own for them."""
        slots = self.knowledge.slots()
        return list(
            dict.fromkeys(slots[root if root in slots else root.rpartition("_")[0]].need for root in roots)
        )


def _stop(findings: Iterable[Finding]) -> str:
    """Why a gate refuses; empty where none does."""
    return next((finding.text for finding in findings if finding.verdict is Verdict.STOP), "")


def _verdicts(findings: Iterable[Finding]) -> dict[str, str]:
    return {f.id: f.verdict.value for f in findings if f.verdict is not Verdict.PASS}
