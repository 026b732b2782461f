"""Solves the kit of each way in which the engine may be, once for all ways that no condition tells apart."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
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
from tappetry.knowledge.model import Knowledge, Need, Operation
from tappetry.proofs.margins import margin
from tappetry.records.part import Part
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Finding, Verdict

#: What the customer pays for a solution with its operations; a refusal says why it cannot be sold.
Price = Callable[[Solution, tuple[Operation, ...]], Decimal | None]
NO_KIT = "no kit meets every rule"
FOUND = "found_"


@dataclass(frozen=True, slots=True)
class _Resting:
    """A part of a solution: its units, its needs, and the facts that conditions of its place read."""

    part: Part
    units: int
    needs: tuple[Need, ...]
    facts: tuple[str, ...]


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
        self._slots = knowledge.slots()
        self.solved = 0
        self._outcomes: dict[Hashable, Outcome | None] = {}
        self._totals: dict[Hashable, tuple[Solution, Decimal | Refusal | None]] = {}
        self._resting: dict[int, tuple[Solution, tuple[_Resting, ...]]] = {}
        self._lines: dict[Hashable, Mapping[Identity, Bought]] = {}

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
        total = self._total(solution, operations)
        if isinstance(total, Refusal):
            return Outcome(refused=total.message)
        waiting = self._needs_of(root for root, option in solution.chosen.items() if option.state == "open")
        return Outcome(
            lines=self._bought(values, solution),
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

    def _total(self, solution: Solution, operations: tuple[Operation, ...]) -> Decimal | Refusal | None:
        """What the customer pays, or why he does not; many cases come to one solution."""
        key = (id(solution), *(each.code for each in operations))
        if key not in self._totals:
            try:
                self._totals[key] = solution, self.price(solution, operations)
            except Refusal as over:
                self._totals[key] = solution, over
        return self._totals[key][1]

    def _bought(self, values: Values, solution: Solution) -> Mapping[Identity, Bought]:
        """What is bought, and what must be known how well for it; one object for cases alike in that."""
        if id(solution) not in self._resting:
            self._resting[id(solution)] = solution, tuple(self._rests(values, solution))
        resting, known = self._resting[id(solution)][1], values.fixed["engine"]
        read = frozenset(name for each in resting for name in each.facts if name in known)
        if (id(solution), read) not in self._lines:
            self._lines[id(solution), read] = {
                (each.part.supplier, each.part.number): Bought(
                    each.units,
                    each.part.lead_days,
                    tuple(need.id for need in each.needs),
                    demands_of(
                        self.knowledge,
                        each.part,
                        each.needs,
                        [self.attribute_of[name] for name in each.facts if name in known],
                    ),
                )
                for each in resting
            }
        return self._lines[id(solution), read]

    def _rests(self, values: Values, solution: Solution) -> Iterator[_Resting]:
        """What each part of a solution rests on."""
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
                said += [rule.that for rule in self._slots[root].match] if root in self._slots else []
            facts = tuple(read.member for read in values.facts_read(said) if read.root == "engine")
            yield _Resting(part, units, tuple(needs), facts)

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
        slots = self._slots
        return list(
            dict.fromkeys(slots[root if root in slots else root.rpartition("_")[0]].need for root in roots)
        )


def _stop(findings: Iterable[Finding]) -> str:
    """Why a gate refuses; empty where none does."""
    return next((finding.text for finding in findings if finding.verdict is Verdict.STOP), "")


def _verdicts(findings: Iterable[Finding]) -> dict[str, str]:
    return {f.id: f.verdict.value for f in findings if f.verdict is not Verdict.PASS}
