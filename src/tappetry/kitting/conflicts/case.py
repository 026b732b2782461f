"""A request before anything is ruled out: every option of every slot, and the laws between them."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

from tappetry.assembly.values import Values
from tappetry.catalogue.classes import Fits, PartClass, fits_engine
from tappetry.kitting.conflicts.elements import NEED_BY, Element
from tappetry.kitting.conflicts.laws import (
    Law,
    Stance,
    fits_law,
    match_law,
    pieces_law,
    proof_law,
    rule_law,
    stance_laws,
    stranger,
    strangers_law,
)
from tappetry.kitting.expand import build
from tappetry.kitting.options import (
    RENEWED,
    Option,
    own_option,
    part_option,
    part_options,
    plain_option,
    view_of,
)
from tappetry.kitting.problem import Problem
from tappetry.kitting.request import Request
from tappetry.kitting.standing import suits
from tappetry.knowledge.model import Need, Slot
from tappetry.quantities.calendar import working_days
from tappetry.records.part import Part

#: The part that no list carries: nothing is known of it, so that it breaks nothing.
UNLISTED = Option("new", view_of("new", {}, "unlisted"), key="unlisted")


@dataclass(frozen=True, slots=True)
class Place:
    """One slot with all that may be thought to stand there, whatever forbids it."""

    slot: Slot
    need: Need
    options: tuple[Option, ...]
    stance: Stance

    @property
    def root(self) -> str:
        """The name of the slot in conditions."""
        return self.slot.root


@dataclass
class Case:
    """What a request is made of, for finding out which of it cannot hold together."""

    request: Request
    problem: Problem = field(init=False)

    def __post_init__(self) -> None:
        """Expand the needs once, as for a kit without what the customer brings."""
        self.problem = build(replace(self.request, plan=replace(self.request.plan, own_parts=())))

    @property
    def values(self) -> Values:
        """The values of the request with all its facts."""
        return self.problem.values

    # ---- wishes ----------------------------------------------------------------------------------------

    @cached_property
    def pins(self) -> dict[str, Element]:
        """Each pinned part, by its number."""
        return {number: Element("pin", number) for number in sorted(self.request.plan.pins)}

    @cached_property
    def _days(self) -> int | None:
        """Working days until the kit must be complete."""
        by = self.request.plan.need_by
        return None if by is None else working_days(self.request.today, by)

    def barred(self, part: Part) -> frozenset[Element]:
        """The wishes that a part meets with."""
        found = set()
        if part.number in self.request.plan.refused_parts:
            found.add(Element("refusal", part.number))
        if self._days is not None and part.lead_days > self._days:
            found.add(NEED_BY)
        return frozenset(found)

    def _wishes(self, need: Need) -> Iterator[Element]:
        """The wishes that bear on how a need is met: pins, an own part, that it is declined."""
        plan = self.request.plan
        fillers = {part.number for part in self.request.catalogue.parts_for(need.id)} if plan.pins else set()
        yield from (pin for number, pin in self.pins.items() if number in fillers)
        if any(own.need == need.id for own in plan.own_parts):
            yield Element("own part", need.id)
        if need.id in plan.declined and need.importance == "should":
            yield Element("declined", need.id)

    # ---- options ---------------------------------------------------------------------------------------

    @cached_property
    def places(self) -> dict[str, Place]:
        """Every slot by its root, in the order of their names."""
        return {root: self._place(root) for root in sorted(self.problem.slots)}

    def _place(self, root: str) -> Place:
        state, standing = self.problem.slots[root], self.problem.standings.get(root)
        need, slot = state.need, state.slot
        otherwise = plain_option(need.otherwise, self.request.found.get(need.id, {}), renewed=False)
        options = [plain_option("none"), otherwise, UNLISTED]
        options += [own_option(own) for own in self.request.plan.own_parts if own.need == need.id]
        options += part_options(self._classes(need, root))
        bought = {"new", "own"}
        if standing is not None:
            options += [option for option in standing.options if option.state not in RENEWED]
            bought |= standing.bought
        by_key = {option.key: option for option in options}
        renew = self.request.package.renew.get(need.id, need.renew)
        return Place(
            slot,
            need,
            tuple(sorted(by_key.values(), key=lambda option: (sorted(option.names), option.key))),
            Stance(need, slot, renew, frozenset(bought), otherwise.key),
        )

    def _classes(self, need: Need, root: str) -> Iterator[PartClass]:
        """The parts of a slot that may fit this engine, and those that the plan pins, whatever they fit."""
        catalogue, engine = self.request.catalogue, self.request.fixed["engine"]
        listed = [*catalogue.candidates(need.id, engine), *catalogue.unsure(need.id, engine)]
        if need.one_of_each and not self.problem.slots[root].slot.match:
            listed = [group for group in listed if self._is_of(need, root, group)]
        yield from listed
        known = {part.number for group in listed for part in group.parts}
        for part in catalogue.parts_for(need.id):
            if part.number in self.pins and part.number not in known:
                yield PartClass(catalogue.seen_attributes(part, need.id), (part,))

    def _is_of(self, need: Need, root: str, group: PartClass) -> bool:
        """Whether a class has the value for which a slot was made, and passed the rules before."""
        assert need.one_of_each is not None
        attribute, (first, *_) = need.one_of_each.attribute, need.slots
        here = next(o for o in self.problem.standings[root].options if o.state in RENEWED)
        views = {first.root: view_of("new", group.attributes, "")}
        own = [r for r in first.match if set(self.values.reads([r.when, r.that])) <= {first.root}]
        return group.attributes.get(attribute) == here.view[attribute] and all(
            suits(self.values, rule, first.root, views) is not False for rule in own
        )

    # ---- laws ------------------------------------------------------------------------------------------

    @cached_property
    def laws(self) -> tuple[Law, ...]:
        """Every law, in the order of what it comes from."""
        return tuple(sorted(self.said(), key=lambda law: [element.place for element in law.elements]))

    def order(self, element: Element) -> tuple[int, int, tuple[int, str, str]]:
        """What a conflict would rather be told by comes first: of rules and proofs what reads fewer slots."""
        return (element.rank, self._reads.get(element, 0), element.place)

    @cached_property
    def _reads(self) -> dict[Element, int]:
        """How many slots the laws of a rule or proof read."""
        reads: dict[Element, int] = {}
        for law in self.laws:
            for element in law.elements:
                reads[element] = min(reads.get(element, len(law.reads)), len(law.reads))
        return reads

    def said(self) -> Iterator[Law]:
        """Every law: rules, how the slots must stand, and proofs that nobody has signed away."""
        knowledge = self.request.knowledge
        rules = [*knowledge.rules, *(rule for need in knowledge.needs.values() for rule in need.rules)]
        for rule in rules:
            yield rule_law(self.values, rule)
        for place in self.places.values():
            yield from self._laws_of(place)
        signed = self.request.fixed["job"].get("signed", {})
        proofs = {proof for place in self.places.values() for proof in place.need.proofs}
        for proof in sorted(proofs.difference(signed)):
            yield proof_law(self.values, knowledge.proofs[proof])

    def _laws_of(self, place: Place) -> Iterator[Law]:
        """What is asked of one slot."""
        for rule in place.slot.match:
            yield match_law(self.values, rule, place.root)
        if self.values.needed([place.slot.pieces]).get(place.root):
            yield pieces_law(self.values, place.slot)
        yield from stance_laws(self.values, place.stance, list(self._wishes(place.need)))
        for option in place.options:
            for part in option.parts:
                if part.number in self.pins and part.fits:
                    yield fits_law(place.root, option, part)

    # ---- a part of it ----------------------------------------------------------------------------------

    def about(self, elements: Collection[Element]) -> tuple[dict[str, Place], tuple[Law, ...]]:
        """The slots and laws that some elements speak of.

        Where they speak of what the lists carry, the parts for other engines stand there too, each with
        the law that it is for others: what is known of the engine decides that.
        """
        places, laws = self._said_by(elements)
        for root, place in places.items():
            listed = Element("catalogue", place.need.id)
            if listed in elements:
                strangers = tuple(self._strangers(place))
                places[root] = replace(place, options=(*place.options, *strangers))
                laws.append(strangers_law(root, strangers, listed))
        return places, tuple(laws)

    def _said_by(self, elements: Collection[Element]) -> tuple[dict[str, Place], list[Law]]:
        """The slots and laws of the case that some elements speak of."""
        laws = [law for law in self.laws if all(element in elements for element in law.elements)]
        places = {root: place for root, place in self.places.items() if self._concerns(place, elements)}
        places |= {root: self.places[root] for law in laws for root in law.reads}
        return places, laws

    def may_be_open(self, elements: Collection[Element]) -> bool:
        """Whether some slot that elements speak of may stand open for want of a fact."""
        places, _ = self._said_by(elements)
        for place in places.values():
            rules = place.slot.match
            said = [*place.stance.said, place.slot.pieces, *(r.that for r in rules), *(r.when for r in rules)]
            if any(expression is not None and self.values.lacks_a_fact(expression) for expression in said):
                return True
        return False

    def _concerns(self, place: Place, elements: Collection[Element]) -> bool:
        about = {element.name for element in elements}
        return place.need.id in about or any(
            part.number in about for option in place.options for part in option.parts
        )

    def _strangers(self, place: Place) -> Iterator[Option]:
        """The parts for a need that are known to be for other engines."""
        engine = self.request.fixed["engine"]
        fits: dict[Fits, bool | None] = {}
        for attributes, parts in self.request.catalogue.classes(place.need.id):
            others = []
            for part in parts:
                key = tuple(part.fits.items())
                if key not in fits:
                    fits[key] = fits_engine(key, engine)
                if fits[key] is False:
                    others.append(part)
            if others:
                yield stranger(part_option(attributes, tuple(others)), engine)
