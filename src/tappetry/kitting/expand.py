"""Expands the needs of a request into slots with options: what may be bought, kept, taken from stock."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from tappetry.assembly.values import Values
from tappetry.kitting.options import (
    RENEWED,
    Option,
    Rejected,
    SlotState,
    own_option,
    part_options,
    plain_option,
)
from tappetry.kitting.problem import STATE, Conflict, Constraint, Problem, Views, implication, thin_out
from tappetry.kitting.request import Request
from tappetry.knowledge.language import Expression, Unknown
from tappetry.knowledge.model import Need, Rule, Slot
from tappetry.proofs.margins import margin, shortfall
from tappetry.quantities.calendar import working_days
from tappetry.records.part import Part

#: The state of a renewal that nothing meets.
MISSING = "missing"


def build(request: Request) -> Problem:
    """The request as slots and constraints."""
    values = Values(request.knowledge, request.fixed)
    problem = Problem(request, values, {})
    for need in request.knowledge.needs.values():
        _Expansion(request, values, problem, need).add()
    for rule in request.knowledge.rules:
        problem.constraints.append(_constraint(values, rule, "rule", ""))
    return problem


def narrow(problem: Problem) -> Conflict | None:
    """Thin out the options; where a fact is missing for a state, open the slot, and thin out again."""
    problem.offered = {root: list(state.options) for root, state in problem.slots.items()}
    conflict = empty_slot(problem) or thin_out(problem)
    if conflict is None:
        open_questions(problem)
        problem.questions_open = True
        problem.forget(STATE)
        conflict = thin_out(problem)
    return conflict


def _constraint(values: Values, rule: Rule, kind: str, need: str, guard: str = "") -> Constraint:
    """A rule as a constraint; with a guard it speaks only of a slot in which something new stands."""
    reads, holds = implication(values, rule.when, rule.that)
    if guard:
        reads = {**reads, guard: reads.get(guard, frozenset()) | {"state"}}
        inner = holds

        def guarded(views: Views) -> bool | None:
            return inner(views) if views[guard]["state"] in RENEWED else True

        holds = guarded
    return Constraint(rule.id, rule.why, rule.source, kind, need, reads, holds, (rule.that,))


class _Expansion:
    """One need of one request."""

    def __init__(self, request: Request, values: Values, problem: Problem, need: Need) -> None:
        self.request = request
        self.values = values
        self.problem = problem
        self.need = need
        self.plan = request.plan
        self.renew = request.package.renew.get(need.id, need.renew)
        self.declined = need.id in self.plan.declined and need.importance == "should"
        self.pinned = bool(self.plan.pins) and any(
            part.number in self.plan.pins for part in request.catalogue.parts_for(need.id)
        )

    def add(self) -> None:
        """Add the slots of this need and the constraints they bring."""
        for slot in self.need.slots:
            if (
                slot.when is not None
                and not self._static_depends(slot.when)
                and self._static(slot.when) is False
            ):
                self.problem.slots[slot.root] = SlotState(slot, self.need, [plain_option("none")])
                continue
            rejected: list[Rejected] = []
            candidates, open_facts = self._candidates(slot, rejected)
            if self.need.one_of_each and candidates:
                self._one_of_each(slot, candidates, rejected)
                continue
            self._add_slot(slot, candidates, rejected, open_facts)
        for rule in self.need.rules:
            self.problem.constraints.append(_constraint(self.values, rule, "rule", self.need.id))

    # ---- candidates --------------------------------------------------------------------------------

    def _candidates(self, slot: Slot, rejected: list[Rejected]) -> tuple[list[Option], bool]:
        """Classes that pass every rule about themselves and the engine; true when a fact is missing."""
        own = [part for part in self.plan.own_parts if part.need == self.need.id]
        if own:
            return [own_option(own[0])], False
        rules = [rule for rule in slot.match if self._only_reads(rule, slot.root)]
        options: list[Option] = []
        open_facts = False
        for option in part_options(self._classes()):
            verdict = self._passes(rules, slot, option, rejected)
            if verdict is None:
                open_facts = True
            elif verdict:
                options.append(option)
        return options, open_facts

    def _classes(self) -> Iterator[tuple[Mapping[str, Any], tuple[Part, ...]]]:
        """Classes of this need that fit the engine, without refused parts and without what comes too late."""
        for attributes, parts in self.request.catalogue.candidates(
            self.need.id, self.request.fixed["engine"]
        ):
            kept = tuple(part for part in parts if self._may_be_bought(part))
            if kept:
                yield attributes, kept

    def _may_be_bought(self, part: Part) -> bool:
        if part.number in self.plan.refused_parts:
            return False
        if self.plan.need_by is None:
            return True
        return working_days(self.request.today, self.plan.need_by) >= part.lead_days

    def _only_reads(self, rule: Rule, root: str) -> bool:
        return set(self.values.reads([rule.when, rule.that])) <= {root}

    def _passes(self, rules: list[Rule], slot: Slot, option: Option, rejected: list[Rejected]) -> bool | None:
        views = {slot.root: option.view}
        unknown = False
        for rule in rules:
            applies, holds = self.values.maybe(rule.when, views), self.values.maybe(rule.that, views)
            if applies is False or holds is True:
                continue
            broken = applies is True and holds is False
            missing = "" if broken else self._states_nothing(rule, slot.root, views)
            if not broken and not missing:
                unknown = True
                continue
            why = f"{rule.why} (the part states no {missing})" if missing else rule.why
            read = self.values.reads([rule.that]).get(slot.root, frozenset())
            seen = tuple((f"{slot.root}.{member}", option.view.get(member)) for member in sorted(read))
            rejected.extend(Rejected(part.number, rule.id, why, seen, (rule.that,)) for part in option.parts)
            return False
        return None if unknown else True

    def _states_nothing(self, rule: Rule, root: str, views: Views) -> str:
        """The attribute for want of which a rule says nothing of a part; empty while a fact is missing.

        Once the fact is known the rule may hold without the attribute.
        """
        for expression in (rule.when, rule.that):
            if expression is None:
                continue
            if self.values.lacks_a_fact(expression):
                return ""
            try:
                self.values.evaluate(expression, views)
            except Unknown as unknown:
                return unknown.key or root
        return ""

    # ---- states ------------------------------------------------------------------------------------

    def _add_slot(
        self, slot: Slot, candidates: list[Option], rejected: list[Rejected], open_facts: bool
    ) -> None:
        fallback = self._fallback(bool(candidates))
        uncounted = self.values.lacks_a_fact(slot.pieces)
        state_of = self._state_rule(slot, candidates, fallback, open_facts, uncounted)
        options = [*candidates, *self._stand_ins(fallback)]
        reads = dict(self.values.reads([*self._when(slot), self.renew, slot.pieces if uncounted else None]))
        if uncounted and not self.values.reads([*self._when(slot), self.renew]).get(slot.root):
            reads.pop(slot.root, None)
        self.problem.slots[slot.root] = SlotState(slot, self.need, options, rejected)
        if not reads:
            self._settle(slot.root, state_of({}))
        else:
            self._state_constraint(slot.root, state_of, options, reads)
        if [option.state for option in self.problem.slots[slot.root].options] == ["none"]:
            return
        for rule in slot.match:
            if not self._only_reads(rule, slot.root):
                self.problem.constraints.append(
                    _constraint(self.values, rule, "match", self.need.id, slot.root)
                )
        for proof_id in self.need.proofs:
            self.problem.constraints.append(self._proof(proof_id))

    def _settle(self, root: str, standing: str) -> None:
        """The state is known before any part is chosen: keep the options that stand so."""
        state = self.problem.slots[root]
        kept = [option for option in state.options if option.view["standing"] == standing]
        state.options = [plain_option("open")] if standing == "open" else kept

    def _state_constraint(
        self,
        root: str,
        state_of: Callable[[Views], str],
        options: list[Option],
        reads: Mapping[str, frozenset[str]],
    ) -> None:
        """The state hangs on other choices: a constraint says when each of them may stand."""
        settled = tuple(options)
        self.problem.constraints.append(
            Constraint(
                id=f"{self.need.id}-state",
                why=self.need.why or self.need.otherwise_why,
                source=self.need.source,
                kind=STATE,
                need=self.need.id,
                reads={**reads, root: reads.get(root, frozenset()) | {"standing"}},
                holds=lambda views: _stands(self.problem, views, root, state_of, settled),
                root=root,
                state_of=state_of,
            )
        )

    def _when(self, slot: Slot) -> list[Expression | None]:
        return [self.need.when, slot.when]

    def _state_rule(
        self, slot: Slot, candidates: list[Option], fallback: str, open_facts: bool, uncounted: bool
    ) -> Callable[[Views], str]:
        """The state that the need's conditions ask for, over the options of the other slots.

        ``uncounted`` says that a fact is missing which the number of pieces may hang on.
        """
        wanted = "new" if not any(part.need == self.need.id for part in self.plan.own_parts) else "own"
        otherwise = self._otherwise().key

        def state(views: Views) -> str:
            needed = _all(self.values.maybe(condition, views) for condition in self._when(slot))
            if needed is False:
                return "none/None"
            renew = True if self.pinned else self.values.maybe(self.renew, views)
            nothing_new = renew is False or self.declined
            if needed is None:
                return otherwise if nothing_new and self.need.otherwise == "none" else "open"
            if nothing_new:
                return otherwise
            if renew is None:
                return "open"
            if candidates:
                return "open" if uncounted and not self._can_count(slot, candidates[0], views) else wanted
            return "open" if open_facts else fallback

        return state

    def _can_count(self, slot: Slot, option: Option, views: Views) -> bool:
        """Whether the number of pieces is known with an option in the slot."""
        try:
            self.values.number(slot.pieces, {**views, slot.root: option.view})
        except Unknown:
            return False
        return True

    def _fallback(self, has_candidates: bool) -> str:
        """What meets a renewal when the catalogue carries no fitting part.

        A written renewal that nothing is said to meet is missing, which no option is: the request breaks.
        """
        if has_candidates:
            return "new"
        if self.need.no_part:
            return f"{self.need.no_part}/{self.need.no_part != 'reuse'}"
        if self.need.house or self.need.written in {"I", "U"}:
            return "reuse/False"
        return "shop stock/True" if self.need.written == "T" else MISSING

    def _otherwise(self) -> Option:
        return plain_option(self.need.otherwise, self._found(), renewed=False)

    def _found(self) -> Mapping[str, Any]:
        return self.request.found.get(self.need.id, {})

    def _stand_ins(self, fallback: str) -> Iterator[Option]:
        """The options that buy nothing."""
        seen: set[str] = set()
        options = [plain_option("none"), self._otherwise()]
        if fallback not in {"new", MISSING}:
            state, renewed = fallback.split("/")
            options.append(plain_option(state, self._found(), renewed == "True"))
        for option in options:
            if option.key not in seen:
                seen.add(option.key)
                yield option

    def _one_of_each(self, slot: Slot, candidates: list[Option], rejected: list[Rejected]) -> None:
        """One slot for each value of the attribute that the catalogue carries."""
        each = self.need.one_of_each
        assert each is not None
        values = sorted(
            {option.view[each.attribute] for option in candidates if each.attribute in option.view}
        )
        only_least = each.only_least is not None and self._static(each.only_least) is True
        for index, value in enumerate(values[:1] if only_least else values):
            root = slot.root if index == 0 else f"{slot.root}_{index + 1}"
            here = [option for option in candidates if option.view.get(each.attribute) == value]
            self._add_slot(replace(slot, root=root, id=f"{value:g}", match=()), here, rejected, False)

    # ---- proofs --------------------------------------------------------------------------------------

    def _proof(self, proof_id: str) -> Constraint:
        proof = self.request.knowledge.proofs[proof_id]
        values = self.values
        signed = proof_id in self.request.fixed["job"].get("signed", {})
        reads = values.reads([proof.when, proof.value, proof.at_least, proof.at_most])

        def holds(views: Views) -> bool | None:
            if signed or values.maybe(proof.when, views) is False:
                return True
            outcome = margin(values, proof, views)
            return None if outcome is None else outcome >= 0

        read = tuple(part for part in (proof.value, proof.at_least, proof.at_most) if part is not None)
        return Constraint(
            id=proof_id,
            why=proof.why,
            source=proof.source,
            kind="proof",
            need=self.need.id,
            reads=reads,
            holds=holds,
            read=read,
            arithmetic=partial(shortfall, values, proof),
        )

    # ---- small helpers ---------------------------------------------------------------------------------

    def _static_depends(self, expression: Expression) -> bool:
        return bool(self.values.reads([expression]))

    def _static(self, expression: Expression) -> bool | None:
        return self.values.maybe(expression, {})


def empty_slot(problem: Problem) -> Conflict | None:
    """A slot that nothing can fill, before any choice is made."""
    for root, state in problem.slots.items():
        if not state.options:
            return Conflict(root, state.need, None, list(state.rejected))
    return None


def _stands(
    problem: Problem, views: Views, root: str, state_of: Callable[[Views], str], settled: tuple[Option, ...]
) -> bool | None:
    """Whether the option of a slot is the one that its need's conditions ask for.

    Before the questions are open, an unknown state rules nothing out. A slot may stay open only where
    no settled option of it would satisfy the conditions: an open question is never a way around a rule.
    """
    standing = views[root]["standing"]
    if standing != "open":
        state = state_of(views)
        return None if state == "open" and not problem.questions_open else state == standing
    alternatives = [{**views, root: option.view} for option in settled]
    return not any(state_of(other) == other[root]["standing"] for other in alternatives)


def open_questions(problem: Problem) -> None:
    """Give a slot the open option where a fact is missing for it, or it hangs on a slot that is open."""
    rules = [constraint for constraint in problem.constraints if constraint.kind == STATE]
    growing = True
    while growing:
        growing = False
        for constraint in rules:
            state = problem.slots[constraint.root]
            if state.options[-1].state != "open" and _asks(problem, constraint):
                state.options.append(plain_option("open"))
                growing = True


def _asks(problem: Problem, constraint: Constraint) -> bool:
    """Whether some choice of the others leaves the state of a slot unknown."""
    assert constraint.state_of is not None
    return any(constraint.state_of(views) == "open" for _, views in problem.combinations(constraint.reads))


def _all(truths: Iterable[bool | None]) -> bool | None:
    """Three-valued and."""
    result: bool | None = True
    for truth in truths:
        if truth is False:
            return False
        if truth is None:
            result = None
    return result
