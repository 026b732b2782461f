"""Expands the needs of a request into slots with options: what may be bought, kept, taken from stock."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from tappetry.assembly.values import Values
from tappetry.catalogue.classes import PartClass
from tappetry.kitting.options import (
    FITTED,
    RENEWED,
    Option,
    Rejected,
    SlotState,
    own_option,
    part_option,
    plain_option,
)
from tappetry.kitting.problem import Conflict, Constraint, Problem, Views, implication, thin_out
from tappetry.kitting.questions import open_questions, state_constraint
from tappetry.kitting.request import Request
from tappetry.kitting.standing import Standing, read_by, suits, unstated
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Need, Rule, Slot
from tappetry.proofs.margins import margin, shortfall
from tappetry.quantities.calendar import working_days
from tappetry.records.part import Part

#: The state of a renewal that nothing meets.
MISSING = "missing"


def build(
    request: Request, needs: Iterable[Need] | None = None, rules: Iterable[Rule] | None = None
) -> Problem:
    """The request as slots and constraints; of some needs only, where no rule ties them to the others."""
    knowledge = request.knowledge
    values = Values(knowledge, request.fixed, request.memory)
    problem = Problem(request, values, {})
    for need in knowledge.needs.values() if needs is None else needs:
        _Expansion(request, values, problem, need).add()
    for rule in knowledge.rules if rules is None else rules:
        problem.constraints.append(_constraint(values, rule, "rule", ""))
    return problem


def narrow(problem: Problem) -> Conflict | None:
    """Thin out the options; where a fact is missing for a state, open the slot, and thin out again."""
    problem.offered = {root: list(state.options) for root, state in problem.slots.items()}
    conflict = empty_slot(problem) or thin_out(problem)
    if conflict is None:
        # Until here a part of which a fact decides supported what others hang on it; now it is a question.
        for root, standing in problem.standings.items():
            unsure = {option.key for option in standing.unsure}
            state = problem.slots[root]
            state.options = [option for option in state.options if option.key not in unsure]
        open_questions(problem)
        conflict = thin_out(problem)
    return conflict


def _constraint(values: Values, rule: Rule, kind: str, need: str) -> Constraint:
    """A rule as a constraint."""
    reads, holds = implication(values, rule)
    return Constraint(rule.id, rule.why, rule.source, kind, need, reads, holds, (rule.that,))


def _match(problem: Problem, rule: Rule, need: str, root: str) -> Constraint:
    """A rule for the new part in a slot: it says nothing of what stays there.

    A part that states too little to be judged does not meet it. Where a fact is missing the part stands
    until the questions are open; then the slot is, unless another part is known to meet the rule.
    """
    values = problem.values
    reads = read_by(values, rule)
    reads = {**reads, root: reads.get(root, frozenset()) | {"state"}}

    def may_hold(views: Views) -> bool | None:
        state = views[root]["state"]
        if state in RENEWED:
            return suits(values, rule, root, views)
        return None if state == "open" else True

    def holds(views: Views) -> bool | None:
        verdict = may_hold(views)
        asked = problem.questions_open and rule in problem.standings[root].matches
        return False if verdict is None and asked and views[root]["state"] != "open" else verdict

    def reason(views: Views) -> str:
        missing = unstated(values, rule, root, views)
        return f"{rule.why} (the part states no {missing})" if missing else rule.why

    return Constraint(
        id=rule.id,
        why=rule.why,
        source=rule.source,
        kind="match",
        need=need,
        reads=reads,
        holds=holds,
        read=(rule.that,),
        root=root,
        may_hold=may_hold,
        reason=reason,
    )


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
        by = self.plan.need_by
        self.days = None if by is None else working_days(request.today, by)
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
            candidates, unsure = self._candidates(slot, rejected)
            if self.need.one_of_each and candidates:
                self._one_of_each(slot, candidates, rejected)
                continue
            self._add_slot(slot, candidates, rejected, unsure)
        for rule in self.need.rules:
            self.problem.constraints.append(_constraint(self.values, rule, "rule", self.need.id))

    # ---- candidates --------------------------------------------------------------------------------

    def _candidates(self, slot: Slot, rejected: list[Rejected]) -> tuple[list[Option], list[Option]]:
        """Classes that pass every rule about themselves and the engine, and those of which a fact decides."""
        rules = [rule for rule in slot.match if self._only_reads(rule, slot.root)]
        sure: list[Option] = []
        unsure: list[Option] = []
        for option, fits in self._offered():
            verdict = self._counts(slot, option, rejected) and self._passes(rules, slot, option, rejected)
            if verdict and fits:
                sure.append(option)
            elif verdict is not False:
                unsure.append(option)
        return sure, unsure

    def _counts(self, slot: Slot, option: Option, rejected: list[Rejected]) -> bool:
        """Whether a part states what the number of pieces reads of it."""
        needed = self.values.needed([slot.pieces]).get(slot.root, frozenset())
        missing = next((member for member in sorted(needed) if member not in option.view), "")
        if missing:
            why = f"how many are wanted hangs on it (the part states no {missing})"
            rejected.extend(Rejected(name, f"{self.need.id}-pieces", why) for name in option.names)
        return not missing

    def _offered(self) -> Iterator[tuple[Option, bool]]:
        """What may fill the need, each with whether it is known to be for this engine."""
        own = [part for part in self.plan.own_parts if part.need == self.need.id]
        if own:
            yield own_option(own[0]), True
            return
        catalogue, engine = self.request.catalogue, self.request.fixed["engine"]
        for sure, classes in (
            (True, catalogue.candidates(self.need.id, engine)),
            (False, catalogue.unsure(self.need.id, engine)),
        ):
            for offered in classes:
                kept = tuple(part for part in offered.parts if part.number not in self.plan.refused_parts)
                if kept:
                    yield self._option(offered, self._in_time(kept) or kept), sure

    def _option(self, offered: PartClass, kept: tuple[Part, ...]) -> Option:
        """The option of a class, or of some of its parts; of a whole one made once."""
        if len(kept) != len(offered.parts):
            return part_option(offered.attributes, kept)
        known = self.request.memory.options.get(id(offered))
        if known is None:
            known = self.request.memory.options[id(offered)] = (offered, part_option(*offered))
        option: Option = known[1]
        return option

    def _in_time(self, parts: tuple[Part, ...]) -> tuple[Part, ...]:
        """The parts that are here by the day that the plan asks for."""
        if self.days is None:
            return parts
        return tuple(part for part in parts if part.lead_days <= self.days)

    def _without_late(self, options: list[Option], rejected: list[Rejected]) -> list[Option]:
        """The options that are here in time: that something comes too late is no reason to do without it."""
        if self.days is None:
            return options
        late = [option for option in options if option.parts and not self._in_time(option.parts)]
        rejected.extend(
            Rejected(part.number, "need-by", f"takes {part.lead_days} working days, and {self.days} are left")
            for option in late
            for part in option.parts
        )
        keys = {option.key for option in late}
        return [option for option in options if option.key not in keys]

    def _only_reads(self, rule: Rule, root: str) -> bool:
        return set(self.values.reads([rule.when, rule.that])) <= {root}

    def _passes(self, rules: list[Rule], slot: Slot, option: Option, rejected: list[Rejected]) -> bool | None:
        views = {slot.root: option.view}
        unknown = False
        for rule in rules:
            verdict = suits(self.values, rule, slot.root, views)
            if verdict is None:
                unknown = True
            if verdict is not False:
                continue
            missing = unstated(self.values, rule, slot.root, views)
            why = f"{rule.why} (the part states no {missing})" if missing else rule.why
            read = self.values.reads([rule.that]).get(slot.root, frozenset())
            seen = tuple((f"{slot.root}.{member}", option.view.get(member)) for member in sorted(read))
            rejected.extend(Rejected(name, rule.id, why, seen, (rule.that,)) for name in option.names)
            return False
        return None if unknown else True

    # ---- states ------------------------------------------------------------------------------------

    def _add_slot(
        self, slot: Slot, candidates: list[Option], rejected: list[Rejected], unsure: list[Option]
    ) -> None:
        brought = any(part.need == self.need.id for part in self.plan.own_parts)
        fallback = MISSING if brought else self._fallback()
        options = [*candidates, *self._stand_ins(None if candidates else fallback)]
        bought = {option.view["standing"] for option in candidates or unsure}
        if not candidates and not (brought and unsure):
            bought.add(fallback)
        standing = Standing(
            values=self.values,
            slot=slot,
            need=self.need,
            renew=self.renew,
            renewed_anyhow=self.pinned,
            declined=self.declined,
            options=options,
            unsure=unsure,
            bought=frozenset(bought),
            otherwise=self._otherwise().key,
            counting=self.values.lacks_a_fact(slot.pieces) or self._piece_unstated(slot, options),
        )
        self.problem.standings[slot.root] = standing
        in_time = self._without_late(options, rejected)
        state = SlotState(slot, self.need, [*in_time, *unsure], rejected)
        self.problem.slots[slot.root] = state
        reads = standing.reads()
        if reads:
            self.problem.constraints.append(state_constraint(self.problem, standing, reads))
        else:
            due = standing.due({})
            kept = [option for option in in_time if option.view["standing"] in due.ways]
            state.options = kept if due.settled else [standing.open_option(due)]
        if [option.state for option in state.options] == ["none"]:
            return
        for rule in slot.match:
            if not self._only_reads(rule, slot.root):
                self.problem.constraints.append(_match(self.problem, rule, self.need.id, slot.root))
        for proof_id in self.need.proofs:
            self.problem.constraints.append(self._proof(proof_id))

    def _piece_unstated(self, slot: Slot, options: Iterable[Option]) -> bool:
        """Whether something that may stand there does not state what the number of pieces reads of it."""
        needed = self.values.needed([slot.pieces]).get(slot.root, frozenset())
        return any(not needed <= option.view.keys() for option in options if option.state in FITTED)

    def _fallback(self) -> str:
        """What meets a renewal when the catalogue carries no fitting part.

        A written renewal that nothing is said to meet is missing, which no option is: the request breaks.
        """
        if self.need.no_part:
            return f"{self.need.no_part}/{self.need.no_part != 'reuse'}"
        if self.need.house or self.need.written in {"I", "U"}:
            return "reuse/False"
        return "shop stock/True" if self.need.written == "T" else MISSING

    def _otherwise(self) -> Option:
        return plain_option(self.need.otherwise, self._found(), renewed=False)

    def _found(self) -> Mapping[str, Any]:
        return self.request.found.get(self.need.id, {})

    def _stand_ins(self, fallback: str | None) -> Iterator[Option]:
        """The options that buy nothing."""
        seen: set[str] = set()
        options = [plain_option("none"), self._otherwise()]
        if fallback not in {None, MISSING}:
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
            self._add_slot(replace(slot, root=root, id=f"{value:g}", match=()), here, rejected, [])

    # ---- proofs --------------------------------------------------------------------------------------

    def _proof(self, proof_id: str) -> Constraint:
        proof = self.request.knowledge.proofs[proof_id]
        values = self.values
        signed = proof_id in self.request.fixed["job"].get("signed", {})
        reads = values.reads([proof.when, proof.value, proof.at_least, proof.at_most])

        def holds(views: Views) -> bool | None:
            applies = values.maybe(proof.when, views)
            if signed or applies is False:
                return True
            room = margin(values, proof, views)
            if room is None or (room < 0 and applies is None):
                return None
            return room >= 0

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
