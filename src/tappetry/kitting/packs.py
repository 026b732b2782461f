"""Units against pieces: every way to buy the pieces that are wanted, without one unit too many."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import product

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
    known = {(part.supplier, part.number): part for demand in group for part in parts[demand]}
    order = sorted(known)
    limits = [_most(known[identity], group, parts) for identity in order]
    count = 1
    for limit in limits:
        count *= limit + 1
    if count > MAX_WAYS * 50:
        raise TooMany
    found = [
        tuple((identity, units) for identity, units in zip(order, vector, strict=True) if units)
        for vector in product(*(range(limit + 1) for limit in limits))
        if _covers(dict(zip(order, vector, strict=True)), known, group, parts)
    ]
    if len(found) > MAX_WAYS:
        raise TooMany
    return found


def _most(part: Part, group: Mapping[Demand, int], parts: Mapping[Demand, tuple[Part, ...]]) -> int:
    return max(
        -(-pieces // part.pieces_for(need[0])) for need, pieces in group.items() if part in parts[need]
    )


def _covers(
    units: Mapping[Identity, int],
    known: Mapping[Identity, Part],
    group: Mapping[Demand, int],
    parts: Mapping[Demand, tuple[Part, ...]],
) -> bool:
    """Whether every demand is met, and every part that is bought is needed to its last unit."""
    spare = {}
    for demand, pieces in group.items():
        given = sum(units[part.supplier, part.number] * part.pieces_for(demand[0]) for part in parts[demand])
        if given < pieces:
            return False
        spare[demand] = given - pieces
    for identity, bought in units.items():
        if not bought:
            continue
        part = known[identity]
        uses = [demand for demand in group if part in parts[demand]]
        if all(part.pieces_for(demand[0]) <= spare[demand] for demand in uses):
            return False
    return True


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
