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
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import count
from math import ceil, inf

import numpy as np

from tappetry.kitting.alternatives import Group
from tappetry.kitting.options import Option
from tappetry.kitting.packs import Identity, TooMany
from tappetry.kitting.purchase_table import Bound, Buy, Floats, Node, Table
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
FIRST_ROOM = 4.0
WIDENED = 3.0
#: More nodes, or more purchases within one bound, are left to the general solver.
MAX_NODES = 4000
MAX_TRIED = 50_000
#: A sum that no purchase of goods comes to.
TOO_DEAR = 1e13
#: A bound further off than this, in cents, is bettered by settling how lumps are bought.
TIGHT = 25.0


@dataclass(slots=True)
class Found:
    """The best purchase so far."""

    rank: Rank
    tie: tuple[int, ...]
    chosen: Mapping[str, Option]
    units: Mapping[Identity, int]


@dataclass(slots=True)
class Search:
    """The best purchase over all the groups that it is given, one settlement after the other."""

    suppliers: Mapping[str, Supplier]
    order: Sequence[Identity]
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
            if number > MAX_NODES:
                raise TooMany
            for child in self._parted(table, node, bound):
                offer(table, child, bound.discount)
        return self.best

    def _parted(self, table: Table, node: Node, bound: Bound) -> Iterator[Node]:
        """A node in smaller ones: by supplier, then by what the dearest part is; none once all was tried."""
        supplier = table.to_settle(bound.net, node.levels)
        if supplier is not None:
            for level in range(-1, len(table.levels[supplier])):
                yield Node({**node.levels, supplier: level}, node.shapes)
            return
        if not node.shapes:
            self.landed = min(self.landed, table.polished(table.spent(bound)))
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
            choices = [
                sorted(table.buys(group, bound, room, node.shapes.get(group)), key=lambda buy: buy.behind)
                for group in range(len(table.groups))
            ]
            settled = [buys[0] for buys in choices if len(buys) == 1]
            several = sorted((buys for buys in choices if len(buys) != 1), key=len)
            net = sum((buy.net for buy in settled), np.zeros(len(table.codes)))
            self._extend(table, several, settled, len(settled), net, room)
            if room >= self.landed - bound.cost:
                return
            room *= WIDENED

    def _extend(
        self,
        table: Table,
        several: list[list[Buy]],
        taken: list[Buy],
        settled: int,
        net: Floats,
        room: float,
    ) -> None:
        """Take one way for each group that is left, as long as there is room."""
        if len(taken) == settled + len(several):
            self.tried += 1
            if self.tried > MAX_TRIED:
                raise TooMany
            if table.landed(net) <= self.landed:
                self._weigh(taken)
            return
        for buy in several[len(taken) - settled]:
            if buy.behind > room:
                break
            self._extend(table, several, [*taken, buy], settled, net + buy.net, room - buy.behind)

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
