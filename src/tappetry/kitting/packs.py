"""Units against pieces: every way to buy the pieces that are wanted, without one unit too many."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import prod

from tappetry.kitting.solution import cents
from tappetry.records.part import Part, Supplier

#: Pieces wanted of one class of parts by one need.
Demand = tuple[str, str]
Identity = tuple[str, str]
Purchase = tuple[tuple[Identity, int], ...]
#: More ways than this to buy one group are left to the general solver.
MAX_WAYS = 400


class TooMany(Exception):
    """There are too many ways to try them one by one."""


def groups_of(
    wanted: Mapping[Demand, int], parts: Mapping[Demand, tuple[Part, ...]]
) -> list[dict[Demand, int]]:
    """Demands that share a part belong together; the others are bought on their own."""
    group_of: dict[Identity, dict[Demand, int]] = {}
    for demand, pieces in wanted.items():
        identities = [(part.supplier, part.number) for part in parts[demand]]
        joined = {demand: pieces}
        for others in [group_of[identity] for identity in identities if identity in group_of]:
            joined = {**others, **joined}
        for member in joined:
            group_of.update({(part.supplier, part.number): joined for part in parts[member]})
    return list({id(group): group for group in group_of.values()}.values())


def ways(group: Mapping[Demand, int], parts: Mapping[Demand, tuple[Part, ...]]) -> list[Purchase]:
    """Every purchase that gives a group its pieces and in which no unit could be left out.

    Raises
    ------
    TooMany
        There are more than can be tried one by one.
    """
    uses: dict[Identity, dict[Demand, int]] = {}
    for demand in group:
        for part in parts[demand]:
            uses.setdefault((part.supplier, part.number), {})[demand] = part.pieces_for(demand[0])
    order = sorted(uses)
    pieces_of = [uses[identity] for identity in order]
    limits = [max(-(-group[demand] // pieces) for demand, pieces in uses[i].items()) for i in order]
    if prod(limit + 1 for limit in limits) > MAX_WAYS * 50:
        raise TooMany
    found = [
        tuple((identity, count) for identity, count in zip(order, units, strict=True) if count)
        for units in _covers(dict(group), pieces_of)
        if _all_needed(units, pieces_of, group)
    ]
    if len(found) > MAX_WAYS:
        raise TooMany
    return found


def _covers(wanted: Mapping[Demand, int], pieces_of: list[dict[Demand, int]]) -> Iterator[tuple[int, ...]]:
    """Units of each part, in order, that give the pieces wanted; nothing is added once all are there."""
    if all(pieces <= 0 for pieces in wanted.values()):
        yield (0,) * len(pieces_of)
        return
    if not pieces_of:
        return
    first, *rest = pieces_of
    most = max(-(-wanted[demand] // pieces) for demand, pieces in first.items())
    for count in range(max(most, 0) + 1):
        left = {demand: pieces - count * first.get(demand, 0) for demand, pieces in wanted.items()}
        for others in _covers(left, rest):
            yield (count, *others)


def _all_needed(
    units: tuple[int, ...], pieces_of: list[dict[Demand, int]], wanted: Mapping[Demand, int]
) -> bool:
    """Whether no unit could be left out."""
    bought = [(count, pieces) for count, pieces in zip(units, pieces_of, strict=True) if count]
    spare = {
        demand: sum(count * pieces.get(demand, 0) for count, pieces in bought) - least
        for demand, least in wanted.items()
    }
    return all(any(one > spare[demand] for demand, one in pieces.items()) for _, pieces in bought)


@dataclass(frozen=True, slots=True)
class Way:
    """One purchase of a group, with what the rankings look at: net cents by supplier, pieces, lead days.

    ``boxes`` are the parts in it that fill more than one need.
    """

    purchase: Purchase
    net: tuple[tuple[str, int], ...]
    cost: int
    pieces: int
    lead_days: int
    boxes: tuple[Part, ...] = ()


def way(purchase: Purchase, group: Mapping[Demand, int], parts: Mapping[Demand, tuple[Part, ...]]) -> Way:
    """A purchase with its sums."""
    known = {(part.supplier, part.number): part for demand in group for part in parts[demand]}
    net: dict[str, int] = {}
    pieces = 0
    for identity, units in purchase:
        part = known[identity]
        net[identity[0]] = net.get(identity[0], 0) + cents(part.cost) * units
        pieces += units * sum(fill.pieces for fill in part.fills)
    lead_days = max((known[identity].lead_days for identity, _ in purchase), default=0)
    boxes = tuple(known[identity] for identity, _ in purchase if len(known[identity].fills) > 1)
    return Way(purchase, tuple(net.items()), sum(net.values()), pieces, lead_days, boxes)


def together(bought: Iterable[Way]) -> Way:
    """Several ways as one."""
    net: dict[str, int] = {}
    ways_ = tuple(bought)
    for one in ways_:
        for code, amount in one.net:
            net[code] = net.get(code, 0) + amount
    return Way(
        purchase=tuple(item for one in ways_ for item in one.purchase),
        net=tuple(net.items()),
        cost=sum(one.cost for one in ways_),
        pieces=sum(one.pieces for one in ways_),
        lead_days=max((one.lead_days for one in ways_), default=0),
        boxes=tuple(box for one in ways_ for box in one.boxes),
    )


def worth_trying(found: list[Way], suppliers: Mapping[str, Supplier]) -> list[Way]:
    """The ways that may come out cheapest once freight and surcharges are known.

    Whatever else is ordered, two ways differ in landed cost by at least their difference in net cost
    less the freight and surcharge of every supplier that either of them orders from. A way with a box
    beats only a way with the same box: what else is chosen may rule the box out.
    """
    kept = []
    for one in found:
        beaten = any(
            one.cost - other.cost > _jump(one, other, suppliers)
            for other in found
            if other is not one and all(box in one.boxes for box in other.boxes)
        )
        if not beaten:
            kept.append(one)
    return kept


def _jump(one: Way, other: Way, suppliers: Mapping[str, Supplier]) -> int:
    codes = {code for code, _ in (*one.net, *other.net)}
    return sum(
        cents(supplier.freight) + cents(supplier.under_minimum)
        for code in codes
        if (supplier := suppliers.get(code)) is not None
    )
