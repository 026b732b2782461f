"""Looks for a choice that obeys what is in force; where there is none, what of it stands in the way.

The laws are not written out beforehand: a choice is proposed, and each law that it breaks is written
down for all options that are equal in what the law reads, until a choice breaks none or there is no other.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import prod
from typing import Protocol

from tappetry.assembly.values import Values
from tappetry.kitting.conflicts.case import UNLISTED, Case, Place
from tappetry.kitting.conflicts.elements import Element
from tappetry.kitting.conflicts.laws import Law, Views
from tappetry.kitting.options import Key, Option

Choice = Mapping[str, Option]
#: Each time a law is broken so many more combinations are tried for others that break it as well.
TRIES = 6
#: More combinations than this are not tried to show that a conflict can do without a fact.
MOST_TRIES = 2500


class Sat(Protocol):
    """A solver of clauses: numbers are literals, negative ones denied."""

    def add_clause(self, clause: list[int]) -> None:
        """One of these literals holds."""

    def solve(self, assumptions: list[int]) -> bool:
        """Whether all clauses can hold with these literals."""

    def get_model(self) -> list[int]:
        """The literals that held, when they could last."""

    def get_core(self) -> list[int] | None:
        """Assumptions that were enough for them not to, when they could not last; None for none."""


class TooManyTries(Exception):
    """There is no end to the combinations in sight."""


class Search:
    """Slots and laws as clauses, to be asked again and again with other elements in force.

    ``values`` may know less than the case does; the laws then say less.
    """

    def __init__(
        self,
        case: Case,
        values: Values,
        places: Mapping[str, Place],
        laws: Collection[Law],
        solver: Sat | None = None,
    ) -> None:
        self.case = case
        self.values = values
        self.laws = [_Asked(law) for law in laws]
        self.solver = solver or _minisat()
        self.variables = 0
        self.tries_left: int | None = None
        self.selectors: dict[Element, int] = {}
        self.options: dict[str, list[tuple[int, Option]]] = {}
        self.groups: dict[tuple[str, frozenset[str], frozenset[Key], bool], int] = {}
        self.looks: dict[tuple[str, frozenset[str], bool], dict[Key, Option]] = {}
        self.read = _read_together(law.reads for law in laws)
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
        """Something stands in every slot: what of it may be had is for the wishes and the lists to say.

        Options that nothing tells apart are one.
        """
        told_apart: dict[Hashable, Option] = {}
        members = self.read.get(place.root, frozenset())
        for option in place.options:
            pinned = self.case.pins.keys() & {part.number for part in option.parts}
            barred = frozenset(map(self.case.barred, option.parts))
            free = frozenset[Element]() in barred
            looks = (option.projection(members), frozenset(pinned), free or barred, option is UNLISTED)
            told_apart.setdefault(looks, option)
        options = [(self._new(), option) for option in told_apart.values()]
        self.options[place.root] = options
        self.solver.add_clause([literal for literal, _ in options])
        for literal, option in options:
            if option is UNLISTED:
                self._bar(literal, Element("catalogue", place.need.id))
            barred = frozenset(map(self.case.barred, option.parts))
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

    def _looks(self, root: str, members: frozenset[str], of_standing: bool) -> dict[Key, Option]:
        """What a law tells apart in a slot, each with an option that looks so."""
        known = self.looks.get((root, members, of_standing))
        if known is None:
            known = {
                option.projection(members): option
                for _, option in reversed(self.options[root])
                if of_standing or option is not UNLISTED
            }
            self.looks[root, members, of_standing] = known
        return known

    def _any_of(self, root: str, members: frozenset[str], keys: frozenset[Key], of_standing: bool) -> int:
        """A literal that holds wherever an option of one of these looks stands in a slot."""
        known = self.groups.get((root, members, keys, of_standing))
        if known is None:
            known = self.groups[root, members, keys, of_standing] = self._new()
            for literal, option in self.options[root]:
                if option.projection(members) in keys and (of_standing or option is not UNLISTED):
                    self.solver.add_clause([-literal, known])
        return known

    # ---- asking ----------------------------------------------------------------------------------------

    def ask(self, elements: Collection[Element]) -> Choice | None:
        """A choice that obeys all elements; None where there is none."""
        wanted = set(elements)
        in_force = [asked for asked in self.laws if wanted.issuperset(asked.law.elements)]
        assumptions = [literal for element, literal in self.selectors.items() if element in wanted]
        assumptions += [asked.edition for asked in self.laws if asked.edition]
        choice: dict[str, Option] = {}
        while self.solver.solve(assumptions):
            stands = set(self.solver.get_model())
            changed = set()
            for root, options in self.options.items():
                option = next(option for literal, option in options if literal in stands)
                if choice.get(root) is not option:
                    choice[root] = option
                    changed.add(root)
            if self.tries_left is not None and self.tries_left < sum(len(a.said) for a in in_force):
                raise TooManyTries
            touched = [a for a in in_force if not a.law.reads or not changed.isdisjoint(a.law.reads)]
            broken = [asked for asked in touched if asked.breaks(self.values, choice)]
            if not broken:
                return choice
            for asked in broken:
                asked.times += 1
                self._forbid(asked, self._alike(asked, choice), asked.law.elements)
        return None

    def _alike(self, asked: _Asked, choice: Choice) -> dict[str, dict[Key, Option]]:
        """What stands in the slots that a law reads, with other looks that break it just as well.

        Every combination of these breaks it. The more often a law is broken, the more is tried.
        """
        law = asked.law
        looks = {root: self._looks(root, members, law.of_standing) for root, members in law.reads.items()}
        alike = {
            root: {choice[root].projection(members): choice[root]} for root, members in law.reads.items()
        }
        left = TRIES * asked.times
        for root in sorted(looks, key=lambda root: len(looks[root])):
            tries = prod(len(found) for name, found in alike.items() if name != root)
            for key, option in looks[root].items():
                if tries > left:
                    break
                if key in alike[root]:
                    continue
                left -= tries
                beside = [[(key, option)] if name == root else found.items() for name, found in alike.items()]
                if all(asked.forbids(self.values, some) for some in product(*beside)):
                    alike[root][key] = option
        return alike

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
            seen = {root: {choice[root].projection(m): choice[root]} for root, m in law.reads.items()}
            self._forbid(asked, seen, (tried,))

    def to_blame(self) -> frozenset[Element]:
        """Elements that were enough for there to be no choice when last asked."""
        core = set(self.solver.get_core() or ())
        return frozenset(element for element, literal in self.selectors.items() if literal in core)

    def minimal(self) -> list[Element] | None:
        """Of all elements some that cannot hold together, none of them to spare; None if all can.

        Each is left out in turn, those that a conflict would rather be told by last, so that the same
        elements always give the same conflict.
        """
        ordered = sorted(self.selectors, key=self.case.order)
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

    def still_clash(self, elements: Collection[Element], values: Values, changed: Collection[Law]) -> bool:
        """Whether elements cannot hold together when less is known, which changes what some laws say.

        If so, no more is known from then on; else, or if it takes too long to tell, all stays as it was.
        """
        asked = [asked for asked in self.laws if asked.law in changed]
        if all(one.still_says(values) for one in asked):
            return True
        before = [(one.said, one.forbidden, one.edition) for one in asked]
        known = self.values
        self.values = values
        for one in asked:
            one.said, one.forbidden, one.edition = {}, [], self._new()
        if self._clash_soon(elements):
            return True
        self.values = known
        for one, (one.said, one.forbidden, one.edition) in zip(asked, before, strict=True):
            one.times = 0
        return False

    def _clash_soon(self, elements: Collection[Element]) -> bool:
        self.tries_left = sum(len(asked.said) for asked in self.laws) + MOST_TRIES
        try:
            return self.ask(elements) is None
        except TooManyTries:
            return False
        finally:
            self.tries_left = None

    def may_forget(self) -> None:
        """Write down what the laws say so that it can be taken back."""
        for asked in self.laws:
            asked.edition = self._new()

    def _forbid(
        self, asked: _Asked, alike: Mapping[str, Mapping[Key, Option]], elements: Iterable[Element]
    ) -> None:
        reads, of_standing = asked.law.reads, asked.law.of_standing
        self.solver.add_clause(
            [
                *(-self.selector(element) for element in elements),
                *([-asked.edition] if asked.edition else ()),
                *(
                    -self._any_of(root, reads[root], frozenset(looks), of_standing)
                    for root, looks in alike.items()
                ),
            ]
        )


@dataclass(slots=True)
class _Asked:
    """A law with what it said so far: True where it forbids.

    ``edition`` is a literal that what is written down hangs on, so that it can be taken back; 0 for none.
    """

    law: Law
    said: dict[tuple[Key, ...], bool] = field(default_factory=dict)
    forbidden: list[Views] = field(default_factory=list)
    times: int = 0
    edition: int = 0

    def breaks(self, values: Values, choice: Choice) -> bool:
        """Whether a choice breaks the law; what no list carries breaks only how a slot must stand."""
        reads = self.law.reads
        if not self.law.of_standing and any(choice[root] is UNLISTED for root in reads):
            return False
        return self.forbids(
            values, [(choice[root].projection(members), choice[root]) for root, members in reads.items()]
        )

    def forbids(self, values: Values, looks: Sequence[tuple[Key, Option]]) -> bool:
        """Whether the law forbids these options, each with its look, in the slots that it reads in turn."""
        key = tuple([look for look, _ in looks])
        said = self.said.get(key)
        if said is None:
            views = {root: option.view for root, (_, option) in zip(self.law.reads, looks, strict=True)}
            said = self.said[key] = self.law.breaks(values, views)
            if said:
                self.forbidden.append(views)
        return said

    def still_says(self, values: Values) -> bool:
        return all(self.law.breaks(values, views) for views in self.forbidden)


def _minisat() -> Sat:
    from pysat.solvers import Solver

    solver: Sat = Solver("minisat22")
    return solver


def _read_together(every: Iterable[Mapping[str, frozenset[str]]]) -> dict[str, frozenset[str]]:
    """All that is read of each slot."""
    found: dict[str, frozenset[str]] = {}
    for reads in every:
        for root, members in reads.items():
            found[root] = found.get(root, frozenset()) | members
    return found


def _in_order(elements: Iterable[Element]) -> list[tuple[int, str, str]]:
    return sorted(element.place for element in elements)
