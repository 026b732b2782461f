"""What may be bought, as arrays: prices of kinds at each supplier, patterns of groups, and bounds on them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from tappetry.kitting.alternatives import Group, Pattern
from tappetry.kitting.packs import TooMany
from tappetry.kitting.solution import cents, landed_cents
from tappetry.records.part import Part, Supplier

Floats = NDArray[np.float64]
Places = NDArray[np.intp]
Item = TypeVar("Item")

#: The price of what is not sold.
NEVER = 1e15
#: What moves so many cents from one supplier to another, or more, is a lump.
LUMP = 200.0


@dataclass(frozen=True, slots=True)
class Level:
    """From this sum on, net, a supplier charges this besides."""

    net: int
    charge: int


@dataclass(frozen=True, slots=True)
class Bound:
    """The least that a node can come to, under these discounts, and what is then spent at each supplier.

    ``choice`` is the supplier of each kind and the pattern of each group.
    """

    cost: float
    discount: Floats
    barred: NDArray[np.bool_]
    net: Floats
    choice: tuple[Places, Places]


@dataclass(frozen=True, slots=True)
class Shape:
    """A pattern with the units of each kind that are bought at each supplier: row, supplier, units."""

    pattern: Pattern
    counts: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True, slots=True)
class Node:
    """A part of the search: levels of suppliers (-1 is: nothing is bought there), and shapes of groups."""

    levels: Mapping[int, int] = field(default_factory=dict)
    shapes: Mapping[int, Shape] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Buy:
    """One way to fill a group, and how far it stays behind the cheapest under the discounts."""

    behind: float
    pattern: Pattern
    bought: tuple[tuple[Part, int], ...]
    net: Floats


class Table:
    """Groups, patterns and kinds as arrays; a kind is a row of parts, a pattern a row of units of kinds."""

    def __init__(self, groups: list[Group], suppliers: Mapping[str, Supplier]) -> None:
        self.groups = groups
        self.suppliers = suppliers
        kinds = {id(kind): kind for group in groups for pattern in group for kind, _ in pattern.kinds}
        self.row = {known: row for row, known in enumerate(kinds)}
        self.kinds = list(kinds.values())
        self.codes = sorted({part.supplier for kind in self.kinds for part in kind})
        self.levels = [_levels(suppliers.get(code)) for code in self.codes]
        self.place = {code: index for index, code in enumerate(self.codes)}
        self.cheapest = np.full((len(self.kinds), len(self.codes)), NEVER)
        for row, kind in enumerate(self.kinds):
            for part in reversed(kind):  # the cheapest comes first
                self.cheapest[row, self.place[part.supplier]] = cents(part.cost)
        if not self.codes or not self.cheapest.all():
            raise TooMany  # nothing to buy, or parts that cost nothing, are no matter of bounds
        patterns = [pattern for group in groups for pattern in group]
        self.units = np.zeros((len(patterns) + 1, len(self.kinds)))
        for number, pattern in enumerate(patterns):
            for kind, units in pattern.kinds:
                self.units[number, self.row[id(kind)]] = units
        self.rows = np.arange(len(self.kinds))
        self.rows_of = [{self.row[id(kind)] for p in group for kind, _ in p.kinds} for group in groups]
        self.numbers = np.arange(len(groups))
        most = max(map(len, groups))
        self.of_group = np.full((len(groups), most), len(patterns))
        moves = [(number, buy) for number, group in enumerate(groups) for buy in self._moves(group)]
        self.ways = [buy for _, buy in moves]
        self.moved = np.array([number for number, _ in moves], dtype=np.intp)
        self.moves = np.array([buy.net for buy in self.ways]).reshape(len(moves), len(self.codes))
        self.steps = self._steps()
        start = 0
        for number, group in enumerate(groups):
            self.of_group[number, : len(group)] = range(start, start + len(group))
            start += len(group)

    def _moves(self, group: Group) -> Iterator[Buy]:
        """A group's plain ways: one kind in any part, several cheapest or at one place."""
        for pattern in group:
            if len(pattern.kinds) == 1:
                [(kind, units)] = pattern.kinds
                yield from (self._buy(pattern, [(part, units)]) for part in kind)
                continue
            yield self._buy(pattern, [(kind[0], units) for kind, units in pattern.kinds])
            rows = [(self.row[id(kind)], units) for kind, units in pattern.kinds]
            for supplier in range(len(self.codes)):
                if all(self.cheapest[row, supplier] < NEVER for row, _ in rows):
                    yield self._buy(pattern, [(self.at(row, supplier), units) for row, units in rows])

    def at(self, row: int, supplier: int) -> Part:
        """The cheapest part of a kind at a supplier that sells one."""
        return next(part for part in self.kinds[row] if self.place[part.supplier] == supplier)

    def _buy(self, pattern: Pattern, bought: Sequence[tuple[Part, int]], behind: float = 0.0) -> Buy:
        return Buy(behind, pattern, tuple(bought), self._spent(bought))

    def _spent(self, bought: Iterable[tuple[Part, int]]) -> Floats:
        spent = np.zeros(len(self.codes))
        for part, units in bought:
            spent[self.place[part.supplier]] += cents(part.cost) * units
        return spent

    def _steps(self) -> list[tuple[Floats, Floats]]:
        """The sums at which the charges of each supplier change, and by how much; the first comes first."""
        steps = []
        for number in range(max(map(len, self.levels), default=0)):
            first = np.full(len(self.codes), NEVER)
            change = np.zeros(len(self.codes))
            for supplier, levels in enumerate(self.levels):
                if number < len(levels):
                    before = levels[number - 1].charge if number else 0
                    first[supplier] = levels[number].net
                    change[supplier] = levels[number].charge - before
            steps.append((first, change))
        return steps

    def net_of(self, shape: Shape) -> Floats:
        """What a shape spends at each supplier at least."""
        net = np.zeros(len(self.codes))
        for row, supplier, units in shape.counts:
            net[supplier] += self.cheapest[row, supplier] * units
        return net

    def least(
        self, discount: Floats, barred: NDArray[np.bool_], shaped: Mapping[int, Floats]
    ) -> tuple[float, Floats, tuple[Places, Places]]:
        """What the cheapest ways come to under discounts, what is spent at each supplier, and the choice."""
        price = self._prices(discount, barred)
        at = price.argmin(axis=1)
        by_pattern = self.units @ price[self.rows, at]
        by_pattern[-1] = NEVER  # stands where a group has fewer patterns than another
        by_pattern = by_pattern[self.of_group]
        which = by_pattern.argmin(axis=1)
        cost = by_pattern[self.numbers, which]
        used = self.units[self.of_group[self.numbers, which]]
        for group, net in shaped.items():
            used[group] = 0.0
            cost[group] = (1.0 - discount) @ net
        paid = used.sum(axis=0) * self.cheapest[self.rows, at]
        spent = np.bincount(at, paid, len(self.codes)) + sum(shaped.values(), np.zeros(len(self.codes)))
        return float(cost.sum()), spent, (at, which)

    def spent(self, bound: Bound) -> Floats:
        """What each group that has no shape spends at each supplier at a bound."""
        at, which = bound.choice
        paid = np.zeros(self.cheapest.shape)
        paid[self.rows, at] = self.cheapest[self.rows, at]
        spent: Floats = self.units[self.of_group[self.numbers, which]] @ paid
        return spent

    def polished(self, bound: Bound, shapes: Mapping[int, Shape]) -> tuple[int, list[Buy]]:
        """The purchase of a bound, one group after the other bought in another way for as long as it pays.

        Returns
        -------
        int, list of Buy
            What is then paid, and how each group is bought.
        """
        at, which = bound.choice
        taken = []
        for number, group in enumerate(self.groups):
            pattern = shapes[number].pattern if number in shapes else group[which[number]]
            rows = [(self.row[id(kind)], units) for kind, units in pattern.kinds]
            counts = (
                shapes[number].counts if number in shapes else [(row, at[row], units) for row, units in rows]
            )
            taken.append(self._buy(pattern, [(self.at(row, s), units) for row, s, units in counts]))
        spent = np.array([buy.net for buy in taken])
        best = self.landed(spent.sum(axis=0))
        while True:
            nets = spent.sum(axis=0) - spent[self.moved] + self.moves
            landed = self.landed_each(nets)
            move = int(landed.argmin())
            if landed[move] >= best:
                return best, taken
            best = int(landed[move])
            spent[self.moved[move]] = self.moves[move]
            taken[self.moved[move]] = self.ways[move]

    def _prices(self, discount: Floats, barred: NDArray[np.bool_]) -> Floats:
        """The least price of every kind at every supplier."""
        return np.where(barred, NEVER, self.cheapest * (1.0 - discount))

    def landed(self, net: Floats) -> int:
        """What is paid with freight and surcharges when so much is spent at each supplier."""
        charges = sum([float((net >= first) @ change) for first, change in self.steps])
        return round(float(net.sum()) + charges)

    def landed_each(self, nets: Floats) -> Floats:
        """The same for each of several rows."""
        landed: Floats = nets.sum(axis=1)
        for first, change in self.steps:
            landed += (nets >= first) @ change
        return np.round(landed)

    def to_settle(self, net: Floats, settled: Mapping[int, int]) -> int | None:
        """The supplier that charges most besides among those that are not settled."""
        charges = {
            index: landed_cents(self.suppliers.get(code), round(net[index])) - round(net[index])
            for index, code in enumerate(self.codes)
            if index not in settled and net[index]
        }
        most = max(charges, key=lambda index: charges[index], default=None)
        return most if most is not None and charges[most] else None

    def lump(self, bound: Bound, node: Node, room: float) -> int | None:
        """The group that moves most towards a sum that is asked for, or away, at the least expense."""
        factor = 1.0 - bound.discount
        spent = self.spent(bound)
        behind = self.moves @ factor - (spent @ factor)[self.moved]
        moved = np.abs(self.moves - spent[self.moved]) @ (bound.discount > 0)
        free = ~np.isin(self.moved, list(node.shapes)) & ~(self.moves @ bound.barred > 0)
        worth = np.where(free & (behind <= room) & (moved >= LUMP), moved / (behind + LUMP), 0.0)
        best = int(worth.argmax())
        return int(self.moved[best]) if worth[best] else None

    def shapes(self, group: int, bound: Bound, room: float) -> Iterator[Shape]:
        """Each shape of a group that may stay no further behind the cheapest than the room."""
        prices = self._prices(bound.discount, bound.barred)
        for pattern, rest in self._patterns(group, prices, room):
            rows = [(self.row[id(kind)], units) for kind, units in pattern.kinds]
            priced = [
                (sorted((prices[row, s], s, (row, s)) for s in range(len(self.codes))), units)
                for row, units in rows
            ]
            for _, counts in _spread(priced, rest):
                yield Shape(pattern, tuple((row, s, units) for (row, s), units in counts))

    def buys(self, group: int, bound: Bound, room: float, shape: Shape | None) -> Iterator[Buy]:
        """Each way to fill a group, in its shape if it has one, that the room allows."""
        prices = self._prices(bound.discount, bound.barred)
        factor = (1.0 - bound.discount).tolist()

        def priced(row: int, suppliers: Iterable[int]) -> list[tuple[float, int, Part]]:
            return sorted(
                (cents(part.cost) * factor[self.place[part.supplier]], number, part)
                for number, part in enumerate(self.kinds[row])
                if self.place[part.supplier] in suppliers
            )

        if shape is not None:
            rows = [(priced(row, {supplier}), units) for row, supplier, units in shape.counts]
            for behind, bought in _spread(rows, room):
                yield self._buy(shape.pattern, bought, behind)
            return
        allowed = set(np.flatnonzero(~bound.barred).tolist())
        by_row = {row: priced(row, allowed) for row in self.rows_of[group]}
        for pattern, rest in self._patterns(group, prices, room):
            rows = [(by_row[self.row[id(kind)]], units) for kind, units in pattern.kinds]
            for behind, bought in _spread(rows, rest):
                yield self._buy(pattern, bought, room - rest + behind)

    def _patterns(self, group: int, prices: Floats, room: float) -> Iterator[tuple[Pattern, float]]:
        """The patterns of a group that the room allows, with what they leave of it."""
        least = prices.min(axis=1)
        costs = [sum(least[self.row[id(k)]] * units for k, units in p.kinds) for p in self.groups[group]]
        for pattern, cost in zip(self.groups[group], costs, strict=True):
            rest = room - (cost - min(costs))
            if rest >= 0:
                yield pattern, rest


def _spread(
    rows: list[tuple[list[tuple[float, int, Item]], int]], room: float
) -> Iterator[tuple[float, tuple[tuple[Item, int], ...]]]:
    """Every way to take units out of each row that stays no further behind the cheapest than the room."""
    if not rows:
        yield 0.0, ()
        return
    (items, units), *rest = rows
    for behind, taken in _mixes(items, units, room, 0):
        for more, others in _spread(rest, room - behind):
            yield behind + more, (*taken, *others)


def _mixes(
    items: list[tuple[float, int, Item]], units: int, room: float, start: int
) -> Iterator[tuple[float, tuple[tuple[Item, int], ...]]]:
    """Every mix of so many units out of the items from ``start`` on, which come cheapest first."""
    if units == 0:
        yield 0.0, ()
        return
    for index in range(start, len(items)):
        behind = items[index][0] - items[0][0]
        if behind > room:
            return
        for number in range(units, 0, -1):
            if behind * number <= room:
                for more, others in _mixes(items, units - number, room - behind * number, index + 1):
                    yield behind * number + more, ((items[index][2], number), *others)


def _levels(supplier: Supplier | None) -> list[Level]:
    """From which sums on a supplier charges less."""
    if supplier is None:
        return [Level(1, 0)]
    levels: list[Level] = []
    for net in sorted({1, cents(supplier.minimum), cents(supplier.free_over or supplier.minimum)}):
        charge = landed_cents(supplier, net) - net
        if net > 0 and (not levels or charge < levels[-1].charge):
            levels.append(Level(net, charge))
    return levels
