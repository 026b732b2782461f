"""The best purchase among very many: bounded by what each supplier is paid besides the goods, then tried.

Every group of slots is filled in one of its patterns, every kind of a pattern with units of its parts. What
ties the groups together is what a supplier charges besides: freight under one sum, a surcharge under
another. So the search settles one supplier after the other - nothing is bought there, or at least so much
that only so much is charged - and drops what cannot be as cheap as the best that is known. A sum that has
to be reached is priced in: each cent bought there counts a little less, which bounds the cost from below
whatever the discount is (Lagrange's relaxation). Where a bound is tight, every purchase within it is tried.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from heapq import heappop, heappush
from itertools import count
from math import ceil, inf

import numpy as np
from numpy.typing import NDArray

from tappetry.kitting.alternatives import Group
from tappetry.kitting.options import Option
from tappetry.kitting.packs import Identity, TooMany
from tappetry.kitting.purchase_table import Table
from tappetry.kitting.purchase_ways import Buy, Floats, Places, Ways
from tappetry.kitting.solution import cents, landed_cents
from tappetry.records.part import Supplier

Rank = tuple[int, int, int, int]

#: Bounds are sums of doubles; cents are whole.
ROUNDING = 1e-6
#: A discount of all would make the dearest part as good as the cheapest.
MOST_DISCOUNT = 0.95
#: Discounts are bettered until a step has been halved to this share.
LEAST_STEP = 0.05
#: Cents behind a bound within which ways are listed first, and how much more each time after.
FIRST_ROOM = 200.0
WIDENED = 3.0
#: So many purchases are tried at once rather than bounded further.
FEW = 50_000
#: More nodes, or more purchases, are left to the general solver; in a hurry a good purchase is taken instead.
MAX_NODES = 20_000
HURRIED_NODES = 200
MAX_TRIED = 20_000_000
#: A sum that no purchase of goods comes to.
TOO_DEAR = 1e13


@dataclass(frozen=True, slots=True)
class Node:
    """A part of the search: levels of suppliers (-1: nothing is bought there), and ways if they are listed.

    With ways, only what costs no more than ``limit`` is looked for. Without, what stays less than ``tried``
    cents behind the bound is done with.
    """

    levels: Mapping[int, int]
    ways: Ways | None = None
    limit: float = inf
    tried: float = 0.0


@dataclass(frozen=True, slots=True)
class Bound:
    """The least that something can come to, under these discounts, and what each supplier then gets."""

    cost: float
    discount: Floats
    net: Floats


@dataclass(frozen=True, slots=True)
class Asked:
    """What a node settles: the sum that each supplier is to be paid for goods, and all charges besides."""

    net: Floats
    charges: int
    barred: NDArray[np.bool_]

    @classmethod
    def by(cls, table: Table, levels: Mapping[int, int]) -> Asked:
        """What the levels of suppliers ask for."""
        net = np.zeros(len(table.codes))
        charges = 0
        for supplier, number in levels.items():
            if number >= 0:
                level = table.levels[supplier][number]
                net[supplier] = level.net
                charges += level.charge
        return cls(net, charges, np.array([levels.get(s) == -1 for s in range(len(table.codes))]))


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
    nodes: int = 0
    _heap: list[tuple[float, int, Table, Node, Bound]] = field(default_factory=list)
    _ticket: Iterator[int] = field(default_factory=count)

    def run(self, problems: Iterable[list[Group]]) -> Found | None:
        """The best purchase over all these problems, each of them a list of groups; None where there is none.

        Raises
        ------
        TooMany
            More would have to be tried than is quick.
        """
        for groups in problems:
            table = Table(groups, self.suppliers)
            self._offer(table, Node({}), np.zeros(len(table.codes)))
        while self._heap and not self._hopeless(self._heap[0][0]):
            _, _, table, node, bound = heappop(self._heap)
            if self._enough():
                return self._good(table, node, bound)
            supplier = table.to_settle(bound.net, node.levels)
            if supplier is not None:
                self._settle(table, node, bound, supplier)
            elif node.ways is None:
                self._list(table, node, bound)
            else:
                self._halve(table, node, node.ways, bound)
        return self.best

    def _offer(self, table: Table, node: Node, discount: Floats) -> None:
        """Put a node aside until no other can come to less."""
        asked = Asked.by(table, node.levels)
        least = node.ways.least if node.ways is not None else partial(table.least, barred=asked.barred)
        bound = self._bound(table, least, asked, discount)
        if bound is not None and bound.cost <= node.limit:
            self._push(bound.cost, table, node, bound)

    def _push(self, cost: float, table: Table, node: Node, bound: Bound) -> None:
        if not self._hopeless(cost):
            heappush(self._heap, (cost, next(self._ticket), table, node, bound))

    def _settle(self, table: Table, node: Node, bound: Bound, supplier: int) -> None:
        """Offer every level of a supplier."""
        for level in range(-1, len(table.levels[supplier])):
            ways = node.ways
            if ways is not None and level == -1:
                ways = ways.without(supplier)
                if ways is None:
                    continue
            self._offer(
                table, replace(node, levels={**node.levels, supplier: level}, ways=ways), bound.discount
            )

    def _list(self, table: Table, node: Node, bound: Bound) -> None:
        """List the ways that stay no further behind a bound than a room; what is further off comes later."""
        room = node.tried * WIDENED or FIRST_ROOM
        within = min(room, self.landed - bound.cost) + ROUNDING
        barred = Asked.by(table, node.levels).barred
        ways = table.ways(bound.discount, barred, within)
        self._push(bound.cost, table, Node(node.levels, ways, bound.cost + room), bound)
        self._push(bound.cost + room, table, replace(node, tried=room), bound)

    def _halve(self, table: Table, node: Node, ways: Ways, bound: Bound) -> None:
        """Try all purchases of a node if they are few, or halve a group by how its lump is bought."""
        self._polish(table, ways, ways.cheapest(ways.priced(bound.discount)))
        room = min(node.limit, self.landed) - bound.cost + ROUNDING
        behind = ways.behind(bound.discount)
        ways, behind = ways.kept(behind <= room), behind[behind <= room]
        halves = None
        if ways.most(behind, room) > FEW:
            asking = (bound.discount > 0) | (Asked.by(table, node.levels).net > bound.net)
            halves = ways.halves(behind, ways.cheapest(behind), asking)
        if halves is None:
            self._try_all(table, ways, behind, room)
            return
        for half in halves:
            self._offer(table, replace(node, ways=half), bound.discount)

    def _enough(self) -> bool:
        """Count a node, and say whether a good purchase will do by now."""
        self.nodes += 1
        if self.nodes > MAX_NODES and not self.hurried:
            raise TooMany
        return self.hurried and self.nodes > HURRIED_NODES

    def _good(self, table: Table, node: Node, bound: Bound) -> Found:
        """The best purchase so far, or the one of a bound: another may be better."""
        if self.best is None:
            ways = node.ways or table.ways(bound.discount, Asked.by(table, node.levels).barred, 0.0)
            self._weigh(ways.buys(ways.cheapest(ways.priced(bound.discount))))
        assert self.best is not None
        return replace(self.best, proved=False)

    def _hopeless(self, least: float) -> bool:
        return ceil(least - ROUNDING) > self.landed

    def _bound(
        self,
        table: Table,
        least: Callable[[Floats], tuple[float, Floats]],
        asked: Asked,
        discount: Floats,
    ) -> Bound | None:
        """The best bound of some rounds of bettering the discounts; None where nothing can be bought."""
        best: Bound | None = None
        eager = 1.0
        while eager > LEAST_STEP:
            cost, net = least(discount)
            if cost >= TOO_DEAR:
                return None
            self.landed = min(self.landed, table.landed(net))
            bound = cost + asked.charges + float(discount @ asked.net)
            if best is None or bound > best.cost + ROUNDING:
                best = Bound(bound, discount, net)
                short = np.where(asked.net > 0, asked.net - net, 0.0)
                short[(discount <= 0) & (short < 0)] = 0.0
            else:
                eager /= 2
            if not short.any() or self._hopeless(best.cost):
                break
            step = eager * max(self.landed - best.cost, 1.0) / float(short @ short)
            discount = np.clip(best.discount + step * short, 0.0, MOST_DISCOUNT)
        return best

    # ---- trying what is left ---------------------------------------------------------------------------

    def _polish(self, table: Table, ways: Ways, taken: Places) -> None:
        """Weigh a purchase, one group after the other bought in another way for as long as it pays."""
        taken = taken.copy()
        best = table.landed(ways.nets[taken].sum(axis=0))
        while True:
            spent = ways.nets[taken]
            landed = table.landed_each(spent.sum(axis=0) - spent[ways.group] + ways.nets)
            move = int(landed.argmin())
            if landed[move] >= best:
                break
            best = int(landed[move])
            taken[ways.group[move]] = move
        if best <= self.landed:
            self._weigh(ways.buys(taken))

    def _try_all(self, table: Table, ways: Ways, behind: Floats, most: float) -> None:
        """Try every purchase within a room; what is found close to the bound narrows how far to look."""
        room = most
        while ways.most(behind, room) > FEW and room > 1.0:
            room /= WIDENED
        while True:
            near = behind <= room
            self._try(table, ways.kept(near), behind[near], room)
            if room >= most:
                return
            room = min(room * WIDENED, most)

    def _try(self, table: Table, ways: Ways, behind: Floats, room: float) -> None:
        """Try every purchase within a room: each way is taken for all purchases at once."""
        places = np.split(np.arange(len(ways.group)), ways.start[1:])
        settled = [int(group[0]) for group in places if len(group) == 1]
        several = sorted((group for group in places if len(group) > 1), key=len)
        further = np.zeros(1)
        net = ways.nets[settled].sum(axis=0)[np.newaxis]
        steps: list[tuple[Places, Places]] = []
        for group in several:
            sums = further[:, np.newaxis] + behind[group]
            before, way = np.nonzero(sums <= room)
            self.tried += len(before)
            if self.tried > MAX_TRIED:
                raise TooMany
            further = sums[before, way]
            net = net[before] + ways.nets[group[way]]
            steps.append((before, group[way]))
        landed = table.landed_each(net)
        for last in np.flatnonzero(landed == min(landed.min(initial=inf), self.landed)):
            taken = list(settled)
            place = last
            for before, chosen in reversed(steps):
                taken.append(int(chosen[place]))
                place = before[place]
            self._weigh(ways.buys(taken))

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
