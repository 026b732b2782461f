"""Looks for a choice that obeys what is in force; where there is none, what of it stands in the way.

The laws are not written out beforehand: a choice is proposed, and each law that it breaks is written
down for all options that are equal in what the law reads, until a choice breaks none or there is no other.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from tappetry.assembly.values import Values
from tappetry.kitting.conflicts.case import UNLISTED, Case, Place
from tappetry.kitting.conflicts.elements import Element
from tappetry.kitting.conflicts.laws import Law, Views
from tappetry.kitting.options import Key, Option

Choice = Mapping[str, Option]


class Search:
    """Slots and laws as clauses, to be asked again and again with other elements in force.

    ``values`` may know less than the case does; the laws then say less.
    """

    def __init__(self, case: Case, values: Values, places: Mapping[str, Place], laws: Iterable[Law]) -> None:
        from pysat.solvers import Solver

        self.case = case
        self.values = values
        self.laws = [_Asked(law) for law in laws]
        self.solver = Solver("minisat22")
        self.variables = 0
        self.selectors: dict[Element, int] = {}
        self.options: dict[str, list[tuple[int, Option]]] = {}
        self.groups: dict[tuple[str, frozenset[str], Key, bool], int] = {}
        for place in places.values():
            self._place(place)
        for number in case.pins:
            self._pin(number)
        for asked in self.laws:
            for element in asked.law.elements:
                self.selector(element)

    # ---- clauses ---------------------------------------------------------------------------------------

    def _new(self) -> int:
        self.variables += 1
        return self.variables

    def selector(self, element: Element) -> int:
        """The literal that says that an element is in force."""
        if element not in self.selectors:
            self.selectors[element] = self._new()
        return self.selectors[element]

    def _place(self, place: Place) -> None:
        """Something stands in every slot: what of it may be had is for the wishes and the lists to say."""
        options = [(self._new(), option) for option in place.options]
        self.options[place.root] = options
        self.solver.add_clause([literal for literal, _ in options])
        for literal, option in options:
            if option is UNLISTED:
                self._bar(literal, Element("catalogue", place.need.id))
            barred = {self.case.barred(part) for part in option.parts}
            if barred and frozenset() not in barred:
                ways = [self._new() for _ in barred]
                self.solver.add_clause([-literal, *ways])
                for way, elements in zip(ways, sorted(barred, key=_in_order), strict=True):
                    for element in elements:
                        self._bar(way, element)

    def _bar(self, literal: int, element: Element) -> None:
        self.solver.add_clause([-self.selector(element), -literal])

    def _pin(self, number: str) -> None:
        """A pinned part stands in some slot, and may be had."""
        homes = []
        for options in self.options.values():
            holding = [part for _, o in options for part in o.parts if part.number == number]
            if not holding:
                continue
            homes.append(self._new())
            for literal, option in options:
                if not any(part.number == number for part in option.parts):
                    self.solver.add_clause([-homes[-1], -literal])
            for element in frozenset.intersection(*map(self.case.barred, holding)):
                self._bar(homes[-1], element)
        self.solver.add_clause([-self.selector(self.case.pins[number]), *homes])

    def _group(self, root: str, members: frozenset[str], key: Key, of_standing: bool) -> int:
        """A literal that holds wherever an option of these looks stands in a slot."""
        known = self.groups.get((root, members, key, of_standing))
        if known is None:
            known = self.groups[root, members, key, of_standing] = self._new()
            for literal, option in self.options[root]:
                if option.projection(members) == key and (of_standing or option is not UNLISTED):
                    self.solver.add_clause([-literal, known])
        return known

    # ---- asking ----------------------------------------------------------------------------------------

    def ask(self, elements: Collection[Element]) -> Choice | None:
        """A choice that obeys all elements; None where there is none."""
        wanted = set(elements)
        in_force = [asked for asked in self.laws if wanted.issuperset(asked.law.elements)]
        assumptions = [literal for element, literal in self.selectors.items() if element in wanted]
        choice: dict[str, Option] = {}
        while self.solver.solve(assumptions=assumptions):
            stands = set(self.solver.get_model())
            changed = set()
            for root, options in self.options.items():
                option = next(option for literal, option in options if literal in stands)
                if choice.get(root) is not option:
                    choice[root] = option
                    changed.add(root)
            touched = [a for a in in_force if not a.law.reads or not changed.isdisjoint(a.law.reads)]
            broken = [asked for asked in touched if asked.breaks(self.values, choice)]
            if not broken:
                return choice
            for asked in broken:
                self._forbid(asked, choice, asked.law.elements)
        return None

    def choices(self, elements: Collection[Element], law: Law, most: int) -> Iterator[Choice]:
        """Choices that obey all elements, told apart by what a law reads; at most so many."""
        asked = next(asked for asked in self.laws if asked.law is law)
        tried = Element("tried", "")
        self.selectors.pop(tried, None)
        for _ in range(most):
            choice = self.ask([*elements, tried])
            if choice is None:
                return
            yield choice
            self._forbid(asked, choice, (tried,))

    def to_blame(self) -> frozenset[Element]:
        """Elements that were enough for there to be no choice when last asked."""
        core = set(self.solver.get_core() or ())
        return frozenset(element for element, literal in self.selectors.items() if literal in core)

    def minimal(self, elements: Iterable[Element]) -> list[Element] | None:
        """Of elements that cannot hold together some none of which could be left out; None if they can.

        Each is left out in turn, those that a conflict would rather be told by last, so that the same
        elements always give the same conflict.
        """
        ordered = sorted(elements, key=self.case.order)
        if self.ask(ordered) is not None:
            return None
        blamed = self.to_blame()
        kept = set(ordered)
        for element in reversed(ordered):
            kept.discard(element)
            if element in blamed:
                if self.ask(kept) is None:
                    blamed = self.to_blame()
                else:
                    kept.add(element)
        return sorted(kept, key=lambda element: element.place)

    def still_says(self, values: Values) -> bool:
        """Whether the laws say with other values all that they said so far."""
        return all(asked.still_says(values) for asked in self.laws)

    def _forbid(self, asked: _Asked, choice: Choice, elements: Iterable[Element]) -> None:
        of_standing = asked.law.of_standing
        self.solver.add_clause(
            [
                *(-self.selector(element) for element in elements),
                *(
                    -self._group(root, members, choice[root].projection(members), of_standing)
                    for root, members in asked.law.reads.items()
                ),
            ]
        )


@dataclass(slots=True)
class _Asked:
    """A law with what it said so far: True where it forbids."""

    law: Law
    said: dict[tuple[Key, ...], bool] = field(default_factory=dict)
    forbidden: list[Views] = field(default_factory=list)

    def breaks(self, values: Values, choice: Choice) -> bool:
        """Whether a choice breaks the law; what no list carries breaks only how a slot must stand."""
        reads = self.law.reads
        if not self.law.of_standing and any(choice[root] is UNLISTED for root in reads):
            return False
        key = tuple([choice[root].projection(members) for root, members in reads.items()])
        if key not in self.said:
            views = {root: choice[root].view for root in reads}
            self.said[key] = self.law.breaks(values, views)
            if self.said[key]:
                self.forbidden.append(views)
        return self.said[key]

    def still_says(self, values: Values) -> bool:
        return all(self.law.breaks(values, views) for views in self.forbidden)


def _in_order(elements: Iterable[Element]) -> list[tuple[int, str, str]]:
    return sorted(element.place for element in elements)
