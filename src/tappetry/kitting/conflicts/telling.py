"""Tells a conflict: each element and fact in words, whose it is, and the arithmetic."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date
from typing import Any

from tappetry.assembly.roots import facts_by_name
from tappetry.assembly.sentences import show, tell
from tappetry.kitting.conflicts.case import UNLISTED, Case
from tappetry.kitting.conflicts.elements import NEED_BY, WISHES, Element
from tappetry.kitting.conflicts.facts import Facts
from tappetry.kitting.conflicts.laws import Law
from tappetry.kitting.conflicts.reckon import days_left, proof_in_numbers
from tappetry.kitting.conflicts.search import Choice
from tappetry.kitting.options import RENEWED
from tappetry.knowledge.language import Expression
from tappetry.knowledge.units import unit_of_name
from tappetry.proofs.margins import margin
from tappetry.quantities.calendar import add_working_days
from tappetry.records.part import Part
from tappetry.records.problems import Ground

PROOFS = frozenset({"proof", "check"})
RULED = PROOFS | {"match", "rule", "fits"}
#: Up to this many parts are named one by one.
FEW = 3
#: More values than this are not named together.
SHOWN_VALUES = 12
#: So many choices are looked through for the one that misses a proof by least.
MOST_CHOICES = 60


class Telling:
    """The words of one minimal conflict."""

    def __init__(self, case: Case, facts: Facts, names: tuple[str, ...]) -> None:
        self.case = case
        self.facts = facts
        self.names = names
        self.knowledge = case.request.knowledge
        self.job = f"job {case.request.job}" if case.request.job else "the plan"
        self.rules = {rule.id: rule for rule in self.knowledge.rules}
        for need in self.knowledge.needs.values():
            self.rules |= {rule.id: rule for rule in need.rules}
            self.rules |= {rule.id: rule for slot in need.slots for rule in slot.match}
        self.by_name = facts_by_name(self.knowledge.attributes, case.request.engine)

    def grounds(self) -> Iterator[Ground]:
        """What the customer wants first, then proofs and rules with the facts they rest on, then needs."""
        elements = self.facts.elements
        yield from (self._ground(e) for e in elements if e.kind in WISHES)
        yield from (self._fact(name) for name in self.names if name.startswith("plan."))
        yield from (self._ground(e) for e in elements if e.kind in RULED)
        yield from (self._fact(name) for name in self.names if not name.startswith("plan."))
        others = [e for e in elements if e.kind in {"need", "catalogue", "question", "whole packs", "box"}]
        yield from dict.fromkeys(map(self._ground, others))

    def arithmetic(self) -> Iterator[str]:
        """Each proof in numbers, with the choice that misses it by least; each date in days."""
        for element in self.facts.elements:
            if element.kind in PROOFS:
                proof = self.knowledge.proofs[element.name]
                views = _views(self._nearest(element))
                yield f"{proof.title}: {proof_in_numbers(self.case.values, proof, views)}"
            elif element.kind == "need by":
                yield from self._lateness()
            elif element.kind == "whole packs":
                yield from self._packs(element)
        yield from self._one_place()

    # ---- elements --------------------------------------------------------------------------------------

    def _ground(self, element: Element) -> Ground:
        tell: dict[str, Callable[[Element], Ground]] = {
            "pin": self._pin,
            "own part": self._own_part,
            "refusal": self._refusal,
            "declined": self._declined,
            "need by": self._need_by,
            "proof": self._proof,
            "check": self._proof,
            "match": self._rule,
            "rule": self._rule,
            "fits": self._fits,
            "need": self._need,
            "catalogue": self._listed,
            "question": self._question,
            "whole packs": lambda _: Ground("no unit is bought that no place needs", "shop rule"),
            "box": lambda _: Ground("what a box holds is not bought beside it", "shop rule"),
        }
        return tell[element.kind](element)

    def _pin(self, element: Element) -> Ground:
        return Ground(f"the plan pins {self._named(element.name)}", self.job)

    def _refusal(self, element: Element) -> Ground:
        return Ground(f"the plan refuses {self._named(element.name)}", self.job)

    def _named(self, number: str) -> str:
        descriptions = [part.description for part in self.case.request.catalogue.numbered(number)]
        return f"{number}, {descriptions[0]}" if descriptions else number

    def _own_part(self, element: Element) -> Ground:
        own = next(own for own in self.case.request.plan.own_parts if own.need == element.name)
        return Ground(
            f"the customer brings {own.description} for {self._title(element.name)}", "customer", own.source
        )

    def _declined(self, element: Element) -> Ground:
        reason = self.case.request.plan.declined[element.name]
        return Ground(f"the customer declines {self._title(element.name)}: {reason}", "customer")

    def _need_by(self, element: Element) -> Ground:
        return Ground(f"the kit is needed by {self.case.request.plan.need_by}", self.job)

    def _proof(self, element: Element) -> Ground:
        proof = self.knowledge.proofs[element.name]
        choice = self._nearest(element)
        reckoned = proof_in_numbers(self.case.values, proof, _views(choice))
        text = f"{self._parts(choice, element)}{proof.why}; {reckoned}{self._read(choice, element)}"
        return Ground(text, f"rule {proof.id}", proof.limit_source or proof.source)

    def _rule(self, element: Element) -> Ground:
        choice = self.facts.witnesses[element]
        rule = self.rules.get(element.name)
        if rule is None:
            need = self.facts.places[element.root].need
            text = f"how many {need.title} are wanted hangs on what the part does not state"
            return Ground(f"{self._parts(choice, element)}{text}", f"need {need.id}", need.source)
        said = "" if rule.says is None else f"; {tell(self.case.values, rule.says, _views(choice))}"
        text = f"{self._parts(choice, element)}{rule.why}{said}{self._read(choice, element)}"
        return Ground(text, f"rule {rule.id}", rule.source)

    def _fits(self, element: Element) -> Ground:
        (part, *_) = self.case.request.catalogue.numbered(element.name)
        fits = "; ".join(f"{name} {' or '.join(allowed)}" for name, allowed in part.fits.items())
        return Ground(f"{element.name} fits {fits}", "price lists")

    def _need(self, element: Element) -> Ground:
        need = self.facts.places[element.root].need
        choice = next((c[element.root] for e, c in self.facts.witnesses.items() if e != element), UNLISTED)
        if choice.state in RENEWED:
            text = f"{need.title} renewed: {need.why}"
        elif choice.state == "none":
            text = f"no {need.title} here"
        else:
            text = f"{need.title} as they are: {need.otherwise_why or need.why}"
        return Ground(text, f"need {need.id}", need.source)

    def _listed(self, element: Element) -> Ground:
        title = self._title(element.name)
        numbers = sorted(
            {
                part.number
                for place in self.case.places.values()
                if place.need.id == element.name
                for option in place.options
                for part in option.parts
            }
        )
        if not numbers:
            return Ground(f"no price list carries {title} for this engine", "price lists")
        listed = ", ".join(numbers) if len(numbers) <= FEW else f"{len(numbers)} parts"
        return Ground(f"for {title} the price lists carry {listed} that may fit, and no other", "price lists")

    def _question(self, element: Element) -> Ground:
        place = self.facts.places[element.root]
        rules = [expression for rule in place.slot.match for expression in (rule.when, rule.that)]
        said = [*place.stance.said, place.slot.pieces, *rules]
        missing = [self._attribute(name) or _words(name) for name in self._unknown(said)]
        waits = f" until it is known: {', '.join(missing)}" if missing else ", as others are that it hangs on"
        return Ground(f"{place.need.title} stays open{waits}", f"need {place.need.id}", place.need.source)

    def _unknown(self, said: Iterable[Expression | None]) -> list[str]:
        """The facts that expressions read, through named values, and nobody has stated."""
        values = self.case.values
        todo = [read for expression in said if expression is not None for read in expression.reads]
        found: dict[str, None] = {}
        seen = set[str]()
        while todo:
            read = todo.pop(0)
            if read.root in values.knowledge.named and read.root not in seen:
                seen.add(read.root)
                todo.extend(values.named_reads(read.root))
            elif read.member and read.member not in values.fixed.get(read.root, {read.member}):
                found[read.member] = None
        return list(found)

    def _title(self, need: str) -> str:
        return self.knowledge.needs[need].title

    # ---- facts -----------------------------------------------------------------------------------------

    def _fact(self, name: str) -> Ground:
        root, _, member = name.partition(".")
        value = self.case.values.fixed[root][member]
        plain = f"{_words(member)}: {show(value)} {unit_of_name(name)}".rstrip()
        if root == "engine":
            return self._engine_fact(member, plain)
        if name == "plan.conversion":
            what = "puts a new camshaft in" if value else "lets the camshaft stay as it was found"
            return Ground(f"the plan {what}", self.job)
        if root == "plan":
            return Ground(f"the plan says {_words(member)} {show(value)}", self.job)
        if root == "job":
            return Ground(plain, self.job)
        if root == "limits":
            return Ground(f"limit of the house, {plain}", "house book")
        return Ground(f"{_words(root.removeprefix('found_'))} in the engine now, {plain}", "as found")

    def _engine_fact(self, member: str, plain: str) -> Ground:
        title = self._attribute(member)
        fact = self.by_name.get(member)
        if fact is None:
            return Ground(f"{title}: not found so far" if title else plain, "nobody said otherwise")
        return Ground(f"{title or _words(member)}: {fact.show()}", f"{fact.grade.name}: {fact.source}")

    def _attribute(self, member: str) -> str:
        """What a person calls a fact; empty when it is none that can be stated."""
        schemas = self.knowledge.attributes.values()
        return next((schema.title for schema in schemas if schema.name_in_conditions == member), "")

    # ---- the choice that comes nearest -----------------------------------------------------------------

    def _law(self, element: Element) -> Law:
        return next(law for law in self.facts.laws if element in law.elements)

    def _nearest(self, element: Element) -> Choice:
        """Of the choices that obey all but a proof the one that misses it by least."""
        proof = self.knowledge.proofs[element.name]
        others = [other for other in self.facts.elements if other != element]
        choices = self.facts.search.choices(others, self._law(element), MOST_CHOICES)
        return max(choices, key=lambda choice: _or_least(margin(self.case.values, proof, _views(choice))))

    def _parts(self, choice: Choice, element: Element) -> str:
        """The parts of a choice that a law speaks of: what is pinned, else what might be another part."""
        roots = [element.root] if element.root else list(self._law(element).reads)
        new = {root: choice[root] for root in roots if choice[root].state in RENEWED}
        elements = self.facts.elements
        names = [name for option in new.values() for name in option.names if Element("pin", name) in elements]
        if not names:
            names = [
                min(option.names)
                for root, option in new.items()
                if Element("catalogue", self.facts.places[root].need.id) in elements
            ]
        names = names or [min(option.names) for option in new.values()]
        return f"{', '.join(dict.fromkeys(names))}: " if names else ""

    def _read(self, choice: Choice, element: Element) -> str:
        """The values of a choice that a law reads, and the facts, unless they are many: these stand below."""
        law = self._law(element)
        seen = [
            (f"{root}.{member}", choice[root].view.get(member))
            for root, members in law.reads.items()
            for member in sorted(members - {"", "key", "state", "standing", "fitted", "renewed"})
        ]
        facts = [(name, value) for name, value in self.case.values.facts(law.said) if name in self.names]
        if len(seen) + len(facts) <= SHOWN_VALUES:
            seen += facts
        known = [f"{name} = {show(value)}" for name, value in seen if value is not None]
        return f" ({', '.join(known)})" if known else ""

    # ---- arithmetic ------------------------------------------------------------------------------------

    def _lateness(self) -> Iterator[str]:
        """For each need that nothing comes in time for: its quickest part."""
        request = self.case.request
        for need in dict.fromkeys(e.name for e in self.facts.elements if e.kind == "need"):
            late = self._late(need)
            if late and request.plan.need_by is not None:
                days = days_left(request.today, request.plan.need_by, late[0].lead_days)
                yield f"{self._title(need)}, {late[0].number}: {days}"

    def earliest(self) -> date | None:
        """The first day on which one more part would be here; None where no date is in the way."""
        if NEED_BY not in self.facts.elements:
            return None
        late = [part for place in self.facts.places.values() for part in self._late(place.need.id)]
        return add_working_days(self.case.request.today, min(part.lead_days for part in late))

    def _late(self, need: str) -> list[Part]:
        """The parts for a need that come too late, the quickest first."""
        late = [part for part in self._listed_parts(need) if NEED_BY in self.case.barred(part)]
        return sorted(late, key=lambda part: (part.lead_days, part.number))

    def _listed_parts(self, need: str) -> Iterator[Part]:
        for place in self.case.places.values():
            if place.need.id == need:
                for option in place.options:
                    yield from option.parts

    def _packs(self, element: Element) -> Iterator[str]:
        """Pieces that are wanted beside what a unit of each pinned part gives."""
        choice = self.facts.witnesses[element]
        pins = {pin.name for pin in self.facts.elements if pin.kind == "pin"}
        for root, place in self.facts.places.items():
            given = {part.number: part.pieces_for(place.need.id) for part in choice[root].parts}
            gives = [f"{number} gives {given[number]}" for number in sorted(pins & given.keys())]
            if gives:
                wanted = self.case.values.number(place.slot.pieces, _views(choice))
                yield f"{place.need.title}: {wanted:g} pieces wanted; {', '.join(gives)}"

    def _one_place(self) -> Iterator[str]:
        """Two pinned parts that would fill one place with different goods."""
        pins = {element.name for element in self.facts.elements if element.kind == "pin"}
        for place in self.case.places.values():
            here = [{part.number for part in option.parts} for option in place.options]
            if sum(bool(pins & numbers) for numbers in here) > 1:
                yield f"{place.need.title}: one kind of part fills the place"


def _views(choice: Choice) -> dict[str, Any]:
    return {root: option.view for root, option in choice.items()}


def _or_least(room: float | None) -> float:
    return float("-inf") if room is None else room


def _words(name: str) -> str:
    unit = unit_of_name(name)
    bare = name.rpartition("_")[0] if unit else name
    return bare.replace("_", " ")
