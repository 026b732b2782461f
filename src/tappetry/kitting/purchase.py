"""The best purchase among very many: bounded by what each supplier is paid besides the goods, then tried.

Every group of slots is filled in one of its patterns, every kind of a pattern with units of its parts. What
ties the groups together is what a supplier charges besides: freight under one sum, a surcharge under
another. So the search settles one supplier after the other - nothing is bought there, or at least so much
that only so much is charged - and drops what cannot be as cheap as the best that is known. A sum that has
to be reached is priced in: each cent bought there counts a little less, which bounds the cost from below
whatever the discount is (Lagrange's relaxation). Where a bound is tight, every purchase within it is tried.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from itertools import count
from math import ceil, inf

import numpy as np

from tappetry.kitting.alternatives import Group
from tappetry.kitting.options import Option
from tappetry.kitting.packs import Identity, TooMany
from tappetry.kitting.purchase_table import Bound, Buy, Floats, Node, Places, Table
from tappetry.kitting.solution import cents, landed_cents
from tappetry.records.part import Supplier

Rank = tuple[int, int, int, int]

#: Bounds are sums of doubles; cents are whole.
ROUNDING = 1e-6
#: A discount of all would make the dearest part as good as the cheapest.
MOST_DISCOUNT = 0.95
#: Discounts are bettered until a step has been halved to this share.
LEAST_STEP = 0.02
#: Cents behind a bound within which purchases are tried first, and how much more each time after.
FIRST_ROOM = 25.0
WIDENED = 3.0
#: More nodes, or more purchases, are left to the general solver; in a hurry a good purchase is taken instead.
MAX_NODES = 20_000
HURRIED_NODES = 200
MAX_TRIED = 20_000_000
#: A sum that no purchase of goods comes to.
TOO_DEAR = 1e13
#: A bound further off than this, in cents, is bettered by settling how lumps are bought.
TIGHT = 25.0


@dataclass(slots=True)
class Found:
    """The best purchase so far; ``proved`` where there is none that is better."""

    rank: Rank
    tie: tuple[int, ...]
    chosen: Mapping[str, Option]
    units: Mapping[Identity, int]
    proved: bool = True


@dataclass(slots=True)
class Search:
    """The best purchase over all the groups that it is given, one settlement after the other.

    In a hurry it is a good one, where it would take long to prove that it is the best.
    """

    suppliers: Mapping[str, Supplier]
    order: Sequence[Identity]
    hurried: bool = False
    best: Found | None = None
    landed: float = inf
    tried: int = 0

    def run(self, problems: Iterable[list[Group]]) -> Found | None:
        """The best purchase over all these problems, each of them a list of groups; None where there is none.

        Raises
        ------
        TooMany
            More would have to be tried than is quick.
        """
        ticket = count()
        heap: list[tuple[float, int, Table, Node, Bound]] = []

        def offer(table: Table, node: Node, discount: Floats) -> None:
            bound = self._bound(table, node, discount)
            if bound is not None and not self._hopeless(bound.cost):
                heappush(heap, (bound.cost, next(ticket), table, node, bound))

        for groups in problems:
            table = Table(groups, self.suppliers)
            offer(table, Node(), np.zeros(len(table.codes)))
        while heap and not self._hopeless(heap[0][0]):
            _, number, table, node, bound = heappop(heap)
            if self.hurried and number > HURRIED_NODES:
                return self._good(table, node, bound)
            if number > MAX_NODES:
                raise TooMany
            for child in self._parted(table, node, bound):
                offer(table, child, bound.discount)
        return self.best

    def _good(self, table: Table, node: Node, bound: Bound) -> Found:
        """The best purchase so far, or the one of a bound: another may be better."""
        if self.best is None:
            self._weigh(table.polished(bound, node.shapes)[1])
        assert self.best is not None
        return replace(self.best, proved=False)

    def _parted(self, table: Table, node: Node, bound: Bound) -> Iterator[Node]:
        """A node in smaller ones: by supplier, then by what the dearest part is; none once all was tried."""
        supplier = table.to_settle(bound.net, node.levels)
        if supplier is not None:
            for level in range(-1, len(table.levels[supplier])):
                yield Node({**node.levels, supplier: level}, node.shapes)
            return
        landed, taken = table.polished(bound, node.shapes)
        if landed <= self.landed:
            self._weigh(taken)
        room = self.landed - bound.cost + ROUNDING
        group = table.lump(bound, node, room) if room > TIGHT else None
        if group is None:
            self._try_all(table, node, bound)
            return
        for shape in table.shapes(group, bound, room):
            yield Node(node.levels, {**node.shapes, group: shape})

    def _hopeless(self, least: float) -> bool:
        return ceil(least - ROUNDING) > self.landed

    def _bound(self, table: Table, node: Node, discount: Floats) -> Bound | None:
        """The best bound of some rounds of bettering the discounts; None where nothing can be bought."""
        barred = np.array([node.levels.get(s) == -1 for s in range(len(table.codes))])
        shaped = {group: table.net_of(shape) for group, shape in node.shapes.items()}
        asked = np.zeros(len(table.codes))
        charges = 0
        for supplier, number in node.levels.items():
            if number >= 0:
                level = table.levels[supplier][number]
                asked[supplier] = level.net
                charges += level.charge
        best: Bound | None = None
        eager = 1.0
        while eager > LEAST_STEP:
            cost, net, choice = table.least(discount, barred, shaped)
            if cost >= TOO_DEAR:
                return None
            self.landed = min(self.landed, table.landed(net))
            bound = cost + charges + float(discount @ asked)
            if best is None or bound > best.cost + ROUNDING:
                best = Bound(bound, discount, barred, net, choice)
                short = np.where(asked > 0, asked - net, 0.0)
                short[(discount <= 0) & (short < 0)] = 0.0
            else:
                eager /= 2
            if not short.any() or self._hopeless(best.cost):
                break
            step = eager * max(self.landed - best.cost, 1.0) / float(short @ short)
            discount = np.clip(best.discount + step * short, 0.0, MOST_DISCOUNT)
        return best

    # ---- trying what is left ---------------------------------------------------------------------------

    def _try_all(self, table: Table, node: Node, bound: Bound) -> None:
        """Try every purchase within a bound; what is found close to it narrows how far to look."""
        room = FIRST_ROOM
        while True:
            room = min(room, self.landed - bound.cost + ROUNDING)
            self._try(table, self._choices(table, node, bound, room), room)
            if room >= self.landed - bound.cost:
                return
            room *= WIDENED

    @staticmethod
    def _choices(table: Table, node: Node, bound: Bound, room: float) -> list[list[Buy]]:
        """The ways to fill each group within a room, the cheapest first."""
        return [
            sorted(table.buys(group, bound, room, node.shapes.get(group)), key=lambda buy: buy.behind)
            for group in range(len(table.groups))
        ]

    def _try(self, table: Table, choices: list[list[Buy]], room: float) -> None:
        """Try every purchase within a room: each way is taken for all purchases at once."""
        several = sorted((buys for buys in choices if len(buys) != 1), key=len)
        settled = [buys[0] for buys in choices if len(buys) == 1]
        behind = np.zeros(1)
        net = sum((buy.net for buy in settled), np.zeros(len(table.codes)))[np.newaxis]
        steps: list[tuple[Places, Places]] = []
        for buys in several:
            further = behind[:, np.newaxis] + np.array([buy.behind for buy in buys])
            before, way = np.nonzero(further <= room)
            self.tried += len(before)
            if self.tried > MAX_TRIED:
                raise TooMany
            behind = further[before, way]
            net = net[before] + np.array([buy.net for buy in buys])[way]
            steps.append((before, way))
        landed = table.landed_each(net)
        for last in np.flatnonzero(landed == min(landed.min(initial=inf), self.landed)):
            taken = list(settled)
            place = last
            for buys, (before, way) in zip(reversed(several), reversed(steps), strict=True):
                taken.append(buys[way[place]])
                place = before[place]
            self._weigh(taken)

    def _weigh(self, taken: list[Buy]) -> None:
        """Keep a purchase if it ranks before the best so far."""
        net: dict[str, int] = {}
        units: dict[Identity, int] = {}
        latest = over = 0
        for buy in taken:
            over -= buy.pattern.wanted
            for part, bought in buy.bought:
                net[part.supplier] = net.get(part.supplier, 0) + cents(part.cost) * bought
                units[part.supplier, part.number] = bought
                latest = max(latest, part.lead_days)
                over += bought * sum(fill.pieces for fill in part.fills)
        landed = sum(landed_cents(self.suppliers.get(code), amount) for code, amount in net.items())
        rank = (landed, len(net), latest, over)
        if self.best is not None and rank > self.best.rank:
            return
        tie = tuple([-units.get(identity, 0) for identity in self.order])
        if self.best is None or (rank, tie) < (self.best.rank, self.best.tie):
            chosen = {root: option for buy in taken for root, option in buy.pattern.chosen.items()}
            self.best = Found(rank, tie, chosen, units)
            self.landed = min(self.landed, landed)
