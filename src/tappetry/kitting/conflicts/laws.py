"""Conditions between slots, each hung on the elements that it comes from: without them it says nothing."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

from tappetry.assembly.values import Values
from tappetry.catalogue.classes import fact_name, fits_engine
from tappetry.kitting.conflicts.elements import Element
from tappetry.kitting.options import RENEWED, Option
from tappetry.kitting.standing import NOT_THERE, obeyed, suits
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Need, ProofRule, Rule, Slot
from tappetry.proofs.margins import margin
from tappetry.records.part import Part

Views = Mapping[str, Mapping[str, Any]]
#: Where the view of parts for other engines names the facts that say so.
FOR_OTHERS = "for others"


@dataclass(frozen=True, slots=True, eq=False)
class Law:
    """What may not stand together, while all its elements are in force.

    ``breaks`` is true only where that is known: what nobody has stated breaks nothing, so that a law says
    less and less the fewer facts there are. ``said`` are the expressions that it is made of, ``facts`` what
    it reads of the engine beside them.
    """

    elements: tuple[Element, ...]
    reads: Mapping[str, frozenset[str]]
    breaks: Callable[[Values, Views], bool]
    said: tuple[Expression, ...] = ()
    facts: tuple[str, ...] = ()
    of_standing: bool = False


def match_law(values: Values, rule: Rule, root: str) -> Law:
    """A rule for the new part in a slot; one that states too little to be judged breaks it."""
    said = _said(rule.when, rule.that)

    def breaks(values: Values, views: Views) -> bool:
        return views[root]["state"] in RENEWED and suits(values, rule, root, views) is False

    return Law((Element("match", rule.id, root),), match_reads(values, [rule], root), breaks, said)


def match_reads(values: Values, rules: Iterable[Rule], root: str) -> dict[str, frozenset[str]]:
    """What rules for the new part in a slot read; what another slot does not state may not be there."""
    said = [expression for rule in rules for expression in _said(rule.when, rule.that)]
    reads = {root: frozenset[str](), **values.reads(said)}
    return {name: members | {"state"} for name, members in reads.items()}


def rule_law(values: Values, rule: Rule) -> Law:
    """A rule of a need or of the whole shop."""
    said = _said(rule.when, rule.that)
    return Law(
        (Element("rule", rule.id),),
        values.reads(said),
        lambda values, views: obeyed(values, rule, views) is False,
        said,
    )


def proof_law(values: Values, proof: ProofRule) -> Law:
    """A proof that a need asks for."""
    said = _said(proof.when, proof.value, proof.at_least, proof.at_most)

    def breaks(values: Values, views: Views) -> bool:
        if values.maybe(proof.when, views) is not True:
            return False
        room = margin(values, proof, views)
        return room is not None and room < 0

    kind = "check" if proof.severity == "SIGN" else "proof"
    return Law((Element(kind, proof.id),), values.reads(said), breaks, said)


def pieces_law(values: Values, slot: Slot) -> Law:
    """A part states what the number of its pieces hangs on."""
    needed = values.needed([slot.pieces]).get(slot.root, frozenset())

    def breaks(values: Values, views: Views) -> bool:
        view = views[slot.root]
        return view["state"] in RENEWED and not needed <= view.keys()

    return Law((Element("match", f"{slot.need}-pieces", slot.root),), {slot.root: needed | {"state"}}, breaks)


def fits_law(root: str, option: Option, part: Part) -> Law:
    """A part is for some engines only."""
    fits = tuple(part.fits.items())

    def breaks(values: Values, views: Views) -> bool:
        return views[root]["key"] == option.key and fits_engine(fits, values.fixed["engine"]) is False

    facts = tuple(fact_name(attribute) for attribute in part.fits)
    return Law((Element("fits", part.number, root),), {root: frozenset({"key"})}, breaks, facts=facts)


def stranger(option: Option, engine: Mapping[str, object]) -> Option:
    """The option of parts for other engines, with what tells that they are: facts, for each way to fit."""
    because = {
        tuple(
            sorted(fact_name(name) for name, allowed in part.fits.items() if _excludes(name, allowed, engine))
        )
        for part in option.parts
    }
    return replace(option, view={**option.view, FOR_OTHERS: tuple(sorted(because))})


def _excludes(attribute: str, allowed: tuple[str, ...], engine: Mapping[str, object]) -> bool:
    return fits_engine([(attribute, allowed)], engine) is False


def strangers_law(root: str, strangers: Collection[Option], listed: Element) -> Law:
    """Parts for other engines do not count among those that the lists carry for this one."""

    def breaks(values: Values, views: Views) -> bool:
        because = views[root].get(FOR_OTHERS, ())
        known = values.fixed["engine"]
        return bool(because) and all(any(name in known for name in names) for names in because)

    facts = {name for option in strangers for names in option.view[FOR_OTHERS] for name in names}
    return Law((listed,), {root: frozenset({FOR_OTHERS})}, breaks, facts=tuple(sorted(facts)))


@dataclass(frozen=True, slots=True)
class Stance:
    """In which ways a slot may stand: what its need asks for, under the wishes that bear on it."""

    need: Need
    slot: Slot
    renew: Expression
    bought: frozenset[str]
    otherwise: str

    @property
    def said(self) -> tuple[Expression, ...]:
        """What decides it."""
        return _said(self.need.when, self.slot.when, self.renew)

    def ways(self, values: Values, views: Views, wishes: Collection[str]) -> frozenset[str]:
        """The ways that are possible under some kinds of wishes; what is not known leaves more of them.

        A pin has the slot renewed anyhow, what is declined is not; an own part is all that renews it.
        """
        there = [values.maybe(condition, views) for condition in (self.need.when, self.slot.when)]
        if False in there:
            return frozenset({NOT_THERE})
        renew = False if "declined" in wishes else "pin" in wishes or values.maybe(self.renew, views)
        ways: frozenset[str] = frozenset({NOT_THERE}) if None in there else frozenset()
        if renew is not True:
            ways |= {self.otherwise}
        if renew is not False:
            ways |= {"own"} if "own part" in wishes else self.bought
        return ways


def stance_laws(values: Values, stance: Stance, wishes: Collection[Element]) -> Iterator[Law]:
    """A slot stands as its need asks; each wish that bears on the need leaves it fewer ways."""
    root = stance.slot.root
    reads = values.reads(stance.said)
    reads = {**reads, root: reads.get(root, frozenset()) | {"standing", "state"}}
    need = Element("need", stance.need.id, root)
    kinds = sorted({wish.kind for wish in wishes})
    cases = [set(some) for size in range(len(kinds) + 1) for some in combinations(kinds, size)]

    def law(wish: tuple[Element, ...]) -> Law:
        here = [case for case in cases if all(element.kind in case for element in wish)]

        def breaks(values: Values, views: Views) -> bool:
            standing = views[root]["standing"]
            return views[root]["state"] != "open" and all(
                standing not in stance.ways(values, views, case) for case in here
            )

        return Law((need, *wish), reads, breaks, stance.said, of_standing=True)

    yield law(())
    for wish in wishes:
        yield law((wish,))


def _said(*expressions: Expression | None) -> tuple[Expression, ...]:
    return tuple(expression for expression in expressions if expression is not None)
