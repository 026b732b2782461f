"""Builds the kit record from a solution: lines with reasons, what is kept, left over, unknown, proved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from tappetry.assembly.sentences import tell
from tappetry.kitting.allowance import allowance
from tappetry.kitting.evidence import holds_of
from tappetry.kitting.options import Option, SlotState
from tappetry.kitting.problem import Problem
from tappetry.kitting.reasons import Reasons
from tappetry.kitting.solution import Solution
from tappetry.kitting.unknowns import Missing
from tappetry.knowledge.language import Unknown as UnknownValue
from tappetry.knowledge.model import Need, Preference, Rule
from tappetry.proofs.margins import prove
from tappetry.proofs.remedies import remedies
from tappetry.records.evidence import Fact
from tappetry.records.kit import (
    Because,
    Declined,
    Filled,
    Kept,
    Kit,
    LeftOver,
    Line,
    OperationLine,
)
from tappetry.records.part import Part
from tappetry.records.verdict import Proof, Verdict


class KitBuilder:
    """Turns one solved problem into a kit."""

    def __init__(
        self,
        problem: Problem,
        solution: Solution,
        preferences: Mapping[str, list[Preference]],
        facts_by_name: Mapping[str, Fact],
    ) -> None:
        self.problem = problem
        self.request = problem.request
        self.knowledge = problem.request.knowledge
        self.solution = solution
        self.preferences = preferences
        self.facts_by_name = facts_by_name
        self.views = problem.views(solution.chosen)
        self.reasons = Reasons(problem, self.views, facts_by_name)

    def build(self) -> Kit:
        """The kit, before pricing and gates."""
        proofs = tuple(self._proofs())
        kept = tuple(self._kept())
        return Kit(
            job=self.request.job,
            lines=tuple(self._lines()),
            kept=kept,
            declined=tuple(self._declined()),
            left_over=tuple(self._left_over()),
            operations=tuple(self._operations()),
            proofs=proofs,
            unknowns=tuple(Missing(self.problem, self.solution.chosen).unknowns(proofs)),
            proved_optimal=self.solution.proved,
            stages=tuple((stage.name, stage.value, stage.proved) for stage in self.solution.stages),
            landed_cost=self.solution.landed_cost,
            knowledge_version=self.knowledge.version,
            catalogue_version=self.request.catalogue.version,
            allowances=tuple(
                f"{self._title(item.need)}, new if the inspection fails: {item.allowance:.2f}"
                for item in kept
                if item.allowance is not None
            ),
        )

    # ---- lines -----------------------------------------------------------------------------------------

    def _lines(self) -> Iterator[Line]:
        """One line for each part that is bought, in the order of the needs it fills first."""
        first_root: dict[tuple[str, str], list[str]] = {}
        for root, option in self.solution.chosen.items():
            for part in option.parts:
                identity = (part.supplier, part.number)
                if identity in self.solution.units:
                    first_root.setdefault(identity, []).append(root)
        for identity, roots in first_root.items():
            yield self._line(self.solution.parts[identity], self.solution.units[identity], roots)

    def _line(self, part: Part, quantity: int, roots: list[str]) -> Line:
        states = [self.problem.slots[root] for root in roots]
        need = states[0].need
        why = [because for root in roots for because in self._why(root)]
        why += [because for root in roots for because in self._turned_down(root)]
        why.append(self._pack(part, quantity, roots))
        if part.returnable and any(state.need.order_first for state in states):
            text = "ordered on the computed value, as it may go back; held until it is measured"
            why.append(Because("advice", need.id, text, "shop"))
        return Line(
            part=part.number,
            supplier=part.supplier,
            description=self._description(part, states),
            quantity=quantity,
            unit=part.unit,
            unit_price=part.price,
            line_total=part.price * quantity,
            unit_cost=part.cost,
            tax_class=part.tax_class,
            importance=need.importance,
            needs=tuple(
                Filled(
                    self.problem.slots[root].need.id,
                    self.problem.slots[root].slot.id,
                    self.solution.required[root],
                    part.pieces_for(self.problem.slots[root].need.id) * quantity,
                )
                for root in roots
            ),
            why=tuple(dict.fromkeys(why)),
            lead_days=part.lead_days,
            returnable=part.returnable,
            core_charge=part.core_charge,
            holds=tuple(
                holds_of(self.knowledge, part, [state.need for state in states], self._facts_for(roots))
            ),
            use_from_box=self._use_from_box(need, roots[0], part),
        )

    def _description(self, part: Part, states: list[SlotState]) -> str:
        """The description, with the measure to which the part is ordered."""
        for state in states:
            made_to = state.need.made_to
            if made_to is not None and self.problem.values.maybe(made_to.when, self.views):
                try:
                    value = self.problem.values.number(made_to.value, self.views)
                except UnknownValue:
                    return f"{part.description}: made to measure, which is not known yet"
                return f"{part.description}: made to {value:.3f} {made_to.unit}"
        return part.description

    def _why(self, root: str) -> Iterator[Because]:
        state = self.problem.slots[root]
        option = self.solution.chosen[root]
        yield from self.reasons.for_slot(
            state.slot, state.need, option, self.preferences.get(state.need.id, ())
        )

    def _turned_down(self, root: str) -> Iterator[Because]:
        """What the lists carry for this place, where all but the chosen fell to a rule that tells figures."""
        others = [
            o for o in self.problem.offered[root] if o.parts and o.key != self.solution.chosen[root].key
        ]
        for rule in self.problem.slots[root].slot.match:
            views = [{**self.views, root: option.view} for option in others]
            if rule.says is None or not all(self._breaks(rule, view) for view in views):
                continue
            for option, view in zip(others, views, strict=True):
                told = tell(self.problem.values, rule.says, view)
                for part in option.parts:
                    yield Because("turned down", rule.id, f"{part.number}: {told}; {rule.why}", rule.source)

    def _breaks(self, rule: Rule, views: Mapping[str, Mapping[str, Any]]) -> bool:
        values = self.problem.values
        return values.maybe(rule.when, views) is True and values.maybe(rule.that, views) is False

    def _pack(self, part: Part, quantity: int, roots: list[str]) -> Because:
        """The arithmetic of pieces against units sold."""
        texts = []
        for root in roots:
            need = self.problem.slots[root].need
            per_unit = part.pieces_for(need.id)
            texts.append(f"{need.title}: {self.solution.required[root]} wanted, {per_unit} per {part.unit}")
        return Because("pack", part.number, f"{'; '.join(texts)}: {quantity} x {part.unit}", "arithmetic")

    def _facts_for(self, roots: list[str]) -> list[Fact]:
        expressions = []
        for root in roots:
            state = self.problem.slots[root]
            expressions += [state.need.when, state.need.renew, *(rule.that for rule in state.slot.match)]
        names = self.reasons.engine_names(expressions)
        return [self.facts_by_name[name] for name in names if name in self.facts_by_name]

    def _use_from_box(self, need: Need, root: str, part: Part) -> str:
        """Which piece of the box is the one to use, by the need's own rule."""
        if need.box is None:
            return ""
        for content in self._contents(part):
            views = {**self.views, "item": content}
            try:
                if self.problem.values.evaluate_item(need.box.item, views, content):
                    said = need.box.says
                    told = (
                        need.box.why if said is None else tell(self.problem.values, said, self.views, content)
                    )
                    return f"{content['item']}: {told}"
            except UnknownValue:
                continue
        return ""

    @staticmethod
    def _contents(part: Part) -> list[dict[str, Any]]:
        return [{"item": c.item, "pieces": float(c.pieces), **c.attributes} for c in part.contents]

    # ---- what is not bought -----------------------------------------------------------------------------

    def _kept(self) -> Iterator[Kept]:
        for root, option in self.solution.chosen.items():
            state = self.problem.slots[root]
            if option.state in {"new", "none"}:
                continue
            yield Kept(
                need=state.need.id,
                slot=state.slot.id,
                state=self._state_name(option),
                text=self._kept_text(state.need, option),
                pieces=self.solution.required.get(root, 0),
                why=tuple(self._why(root)) if option.state != "open" else (),
                allowance=allowance(self.problem, root, self.views) if option.state == "reuse" else None,
            )

    @staticmethod
    def _state_name(option: Option) -> str:
        return "customer's own" if option.state == "own" else option.state

    def _kept_text(self, need: Need, option: Option) -> str:
        if option.state == "open":
            return f"{need.title}: open until a fact is known"
        if option.state == "own" and option.own is not None:
            return (
                f"{option.own.description}, brought by the customer: no warranty on part or labour to redo it"
            )
        declined = self.request.plan.declined.get(need.id)
        if declined is not None and not option.view.get("renewed"):
            return f"declined by the customer: {declined}"
        text = need.otherwise_why if not option.view.get("renewed") else need.why
        if option.state == "reuse" and need.inspect:
            text = f"{text}; open until inspected: {need.inspect}"
        return text

    def _declined(self) -> Iterator[Declined]:
        """Offers that are not in the kit, and offers in it that may honestly be declined."""
        plan = self.request.plan
        for need in self.knowledge.needs.values():
            reason = self.knowledge.book.advice.get(need.id, "")
            if need.id in plan.declined:
                yield Declined(need.id, need.title, need.why, plan.declined[need.id], "customer")
            for preference in self.preferences.get(need.id, ()):
                if preference.offer and self._applies(preference):
                    yield Declined(
                        need.id, preference.offer, preference.why, preference.decline or reason, "shop"
                    )
            option = self.solution.chosen.get(need.root)
            if need.importance == "should" and option is not None and option.state == "new" and reason:
                yield Declined(need.id, need.title, need.why, reason, "shop")
        yield from self._not_fitted()

    def _not_fitted(self) -> Iterator[Declined]:
        """What the customer brings and the plan has no place for, as what is there stays or is not there."""
        for own in self.request.plan.own_parts:
            need = self.knowledge.needs[own.need]
            options = [
                self.solution.chosen[slot.root] for slot in need.slots if slot.root in self.solution.chosen
            ]
            if not any(option.state == "own" for option in options):
                why = need.otherwise_why or "this engine has no place for it"
                yield Declined(need.id, own.description, "the customer brings it", f"not fitted: {why}")

    def _applies(self, preference: Preference) -> bool:
        return self.problem.values.maybe(preference.when, self.views) is True

    def _left_over(self) -> Iterator[LeftOver]:
        """Pieces beyond what is wanted, contents that no need takes, the rest of a box of which one fits."""
        yield from self._refused_contents()
        yield from self._spare_pieces()
        for root, option in self.solution.chosen.items():
            for part in option.parts:
                if (part.supplier, part.number) in self.solution.units:
                    yield from self._rest_of_box(self.problem.slots[root].need, root, part)

    def _refused_contents(self) -> Iterator[LeftOver]:
        for identity, units in self.solution.units.items():
            part = self.solution.parts[identity]
            for fill in part.fills:
                if fill.need in self.knowledge.needs and not self._takes(fill.need, part):
                    yield LeftOver(
                        part.number, self._title(fill.need), fill.pieces * units, "does not fill this need"
                    )

    def _spare_pieces(self) -> Iterator[LeftOver]:
        """What each class of parts gives beyond the pieces that its slots want."""
        wanted: dict[tuple[str, str], int] = {}
        for root, option in self.solution.chosen.items():
            if option.state == "new":
                demand = (self.problem.slots[root].need.id, option.key)
                wanted[demand] = wanted.get(demand, 0) + self.solution.required[root]
        options = {option.key: option for option in self.solution.chosen.values()}
        for (need, key), pieces in wanted.items():
            bought = [p for p in options[key].parts if (p.supplier, p.number) in self.solution.units]
            given = sum(self.solution.units[p.supplier, p.number] * p.pieces_for(need) for p in bought)
            if given > pieces:
                yield LeftOver(
                    bought[0].number, self._title(need), given - pieces, "the pack holds more than is wanted"
                )

    def _rest_of_box(self, need: Need, root: str, part: Part) -> Iterator[LeftOver]:
        used = self._use_from_box(need, root, part)
        for content in part.contents:
            if used and not used.startswith(f"{content.item}:"):
                yield LeftOver(part.number, content.item, content.pieces, "another piece of the box fits")

    def _takes(self, need: str, part: Part) -> bool:
        return any(
            part in option.parts and self.problem.slots[root].need.id == need
            for root, option in self.solution.chosen.items()
        )

    def _title(self, need: str) -> str:
        return self.knowledge.needs[need].title

    # ---- labour, proofs ------------------------------------------------------------------------

    def _operations(self) -> Iterator[OperationLine]:
        for operation in self.knowledge.operations.values():
            if self.problem.values.maybe(operation.when, self.views):
                served = tuple(need for need in operation.needs if self._touched(need))
                yield OperationLine(
                    operation.code, operation.what, operation.hours, served, operation.when.text
                )

    def _touched(self, need: str) -> bool:
        option = (
            self.solution.chosen.get(self.knowledge.needs[need].root)
            if need in self.knowledge.needs
            else None
        )
        return option is not None and option.state != "none"

    def _proofs(self) -> Iterator[Proof]:
        signatures = self.request.fixed["job"].get("signed", {})
        sources = {
            f"engine.{name}": f"{fact.grade.name}: {fact.source}" for name, fact in self.facts_by_name.items()
        }
        for rule in self.knowledge.proofs.values():
            proof = prove(self.problem.values, rule, self.views, signatures, sources)
            if proof is not None and proof.verdict is not Verdict.PASS:
                tried = tuple(remedies(self.problem.values, rule, self.views))
                yield replace(proof, remedies=tried)
            elif proof is not None:
                yield proof
