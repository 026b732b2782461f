"""Laws of buying: pinned parts have to be needed, and what a box holds is not bought beside it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from itertools import combinations

from tappetry.assembly.values import Values
from tappetry.kitting.conflicts.case import Case, Place
from tappetry.kitting.conflicts.elements import Element
from tappetry.kitting.conflicts.laws import Law, Views
from tappetry.kitting.options import Option
from tappetry.kitting.packs import Demand, Identity, TooMany, groups_of, ways
from tappetry.knowledge.language import Unknown
from tappetry.records.part import Part

PACKS = Element("whole packs", "")
BOX = Element("box", "")
#: Of more pins for needs that hang together than this, not every part of them is tried on its own.
MOST_PINS = 4


def buying_laws(case: Case, fitting: Collection[Law]) -> Iterator[Law]:
    """The laws of buying that bear on the pins and boxes of a case, given its rules and proofs."""
    for places in _hanging_together(case):
        pins = sorted(case.pins.keys() & {part.number for part in _parts(places)})
        barring = frozenset[Element]().union(*map(case.barred, _parts(places)))
        for chosen in _subsets(pins):
            for barred in sorted({frozenset[Element](), barring}, key=len):
                wishes = (*(case.pins[pin] for pin in chosen), *sorted(barred, key=lambda e: e.place))
                packs = _Packs(case, places, chosen, barred)
                boxed = _Boxed(packs, fitting)
                if chosen:
                    yield Law((PACKS, *wishes), packs.reads, packs, of_standing=True)
                if boxed.inside:
                    yield Law((BOX, *wishes), boxed.reads, boxed, of_standing=True)


def _hanging_together(case: Case) -> list[list[Place]]:
    """The slots in groups that share no part, nor a need, with those of another."""
    group_of: dict[str, list[Place]] = {}
    for place in case.places.values():
        shared = [f"need {place.need.id}", *(part.number for part in _parts([place]) if len(part.fills) > 1)]
        joined = [place]
        for others in {id(g): g for s in shared if (g := group_of.get(s)) is not None}.values():
            joined = [*others, *joined]
        for other in joined:
            boxes = (part.number for part in _parts([other]) if len(part.fills) > 1)
            group_of |= dict.fromkeys([f"need {other.need.id}", *boxes], joined)
        group_of |= dict.fromkeys(shared, joined)
    groups = {id(group): group for group in group_of.values()}.values()
    return [sorted(group, key=lambda place: place.root) for group in groups]


def _parts(places: Iterable[Place]) -> Iterator[Part]:
    return (part for place in places for option in place.options for part in option.parts)


def _subsets(pins: Sequence[str]) -> Iterator[tuple[str, ...]]:
    sizes: Iterable[int] = range(len(pins) + 1) if len(pins) <= MOST_PINS else (0, 1, 2, len(pins))
    for size in sizes:
        yield from combinations(pins, size)


# ---- whole packs ----------------------------------------------------------------------------------------


class _Packs:
    """Whether no purchase for some slots holds all of some pinned parts and no unit that is not needed.

    Parts that the wishes named bar are not bought.
    """

    def __init__(
        self, case: Case, places: Sequence[Place], pins: tuple[str, ...], barred: frozenset[Element]
    ) -> None:
        self.places = places
        self.pins = set(pins)
        self.usable = {
            (place.root, option.key): tuple(p for p in option.parts if not case.barred(p) & barred)
            for place in places
            for option in place.options
        }
        self.reads = _joined(
            *(case.values.reads([place.slot.pieces]) for place in places),
            {place.root: frozenset({"key", "state"}) for place in places},
        )

    def __call__(self, values: Values, views: Views) -> bool:
        return not self.can_be_bought(values, views, lambda box: True)

    def can_be_bought(self, values: Values, views: Views, allowed: Callable[[Identity], bool]) -> bool:
        """Whether some purchase does, with none but allowed parts; also where the pieces are not known."""
        wanted: dict[Demand, int] = {}
        offered: dict[Demand, tuple[Part, ...]] = {}
        for place in self.places:
            view = views[place.root]
            parts = self.usable.get((place.root, str(view["key"])), ())
            if view["state"] == "new" and parts:
                demand = (place.need.id, str(view["key"]))
                try:
                    pieces = max(0, round(values.number(place.slot.pieces, views)))
                except Unknown:
                    return True
                wanted[demand] = wanted.get(demand, 0) + pieces
                offered[demand] = parts
        chosen = self.pins & _numbers(offered.values())
        groups = groups_of({demand: pieces for demand, pieces in wanted.items() if pieces}, offered)
        for group in groups:
            here = self.pins & _numbers(offered[demand] for demand in group)
            if not _bought(group, offered, here, allowed):
                return False
            chosen -= here
        return not chosen


def _bought(
    group: Mapping[Demand, int],
    offered: Mapping[Demand, tuple[Part, ...]],
    pins: set[str],
    allowed: Callable[[Identity], bool],
) -> bool:
    try:
        purchases = ways(group, offered)
    except TooMany:
        return True
    return any(
        pins <= {number for (_, number), _ in purchase} and all(allowed(part) for part, _ in purchase)
        for purchase in purchases
    )


def _numbers(offered: Iterable[tuple[Part, ...]]) -> set[str]:
    return {part.number for parts in offered for part in parts}


# ---- boxes ----------------------------------------------------------------------------------------------


class _Boxed:
    """Whether no purchase does without a box beside which something is bought that it holds."""

    def __init__(self, packs: _Packs, fitting: Collection[Law]) -> None:
        self.packs = packs
        self.inside: dict[Identity, list[tuple[str, Option]]] = {}
        for place in packs.places:
            for option in place.options:
                for part in option.parts:
                    if len(part.fills) > 1:
                        held = self.inside.setdefault((part.supplier, part.number), [])
                        held.append((place.root, option))
        self.laws = {
            root: [law for law in fitting if root in law.reads]
            for held in self.inside.values()
            for root, _ in held
        }
        self.reads = _joined(packs.reads, *(law.reads for laws in self.laws.values() for law in laws))

    def __call__(self, values: Values, views: Views) -> bool:
        return not self.packs.can_be_bought(
            values,
            views,
            lambda part: not any(self._clashes(values, views, *held) for held in self.inside.get(part, ())),
        )

    def _clashes(self, values: Values, views: Views, root: str, inside: Option) -> bool:
        """Whether a slot takes something new that is not what a box holds for it, though that would do."""
        view = views[root]
        if view["state"] != "new" or view["key"] == inside.key:
            return False
        seen = {**views, root: inside.view}
        return not any(law.breaks(values, seen) for law in self.laws[root])


def _joined(*every: Mapping[str, frozenset[str]]) -> dict[str, frozenset[str]]:
    """What several read, together."""
    joined: dict[str, frozenset[str]] = {}
    for reads in every:
        for root, members in reads.items():
            joined[root] = joined.get(root, frozenset()) | members
    return joined
