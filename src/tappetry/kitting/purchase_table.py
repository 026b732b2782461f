"""What may be bought, as arrays: prices of kinds at each supplier, patterns of groups, and bounds on them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.kitting.alternatives import Group, Pattern
from tappetry.kitting.packs import TooMany
from tappetry.kitting.purchase_ways import Block, Floats, Mixes, Places, Shelf, Ways
from tappetry.kitting.solution import cents, landed_cents
from tappetry.records.part import Part, Supplier

#: The price of what is not sold.
NEVER = 1e15
#: More ways than this to fill the groups are left to the general solver.
MAX_WAYS = 200_000


@dataclass(frozen=True, slots=True)
class Level:
    """From this sum on, net, a supplier charges this besides."""

    net: int
    charge: int


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
        self.numbers = np.arange(len(groups))
        most = max(map(len, groups))
        self.of_group = np.full((len(groups), most), len(patterns))
        self.first, self.change = self._steps()
        start = 0
        for number, group in enumerate(groups):
            self.of_group[number, : len(group)] = range(start, start + len(group))
            start += len(group)

    def _steps(self) -> tuple[Floats, Floats]:
        """The sums at which the charges of each supplier change, and by how much: a row for the first, ..."""
        shape = (max(map(len, self.levels)), len(self.codes))
        first, change = np.full(shape, NEVER), np.zeros(shape)
        for supplier, levels in enumerate(self.levels):
            before = 0
            for row, level in enumerate(levels):
                first[row, supplier] = level.net
                change[row, supplier] = level.charge - before
                before = level.charge
        return first, change

    def least(self, discount: Floats, barred: NDArray[np.bool_]) -> tuple[float, Floats]:
        """What the cheapest ways come to under discounts, and what is then spent at each supplier."""
        price = self._prices(discount, barred)
        at = price.argmin(axis=1)
        by_pattern = self.units @ price[self.rows, at]
        by_pattern[-1] = NEVER  # stands where a group has fewer patterns than another
        by_pattern = by_pattern[self.of_group]
        which = by_pattern.argmin(axis=1)
        used = self.units[self.of_group[self.numbers, which]].sum(axis=0)
        paid = used * self.cheapest[self.rows, at]
        spent = np.bincount(at, paid, len(self.codes)).astype(float)
        return float(by_pattern[self.numbers, which].sum()), spent

    def _prices(self, discount: Floats, barred: NDArray[np.bool_]) -> Floats:
        """The least price of every kind at every supplier."""
        return np.where(barred, NEVER, self.cheapest * (1.0 - discount))

    def landed(self, net: Floats) -> int:
        """What is paid with freight and surcharges when so much is spent at each supplier."""
        charges = self.change[net >= self.first].sum()
        return round(float(net.sum() + charges))

    def landed_each(self, nets: Floats) -> Floats:
        """The same for each of several rows."""
        landed: Floats = nets @ np.ones(len(self.codes))  # whole cents, exact in any order
        for first, change in zip(self.first, self.change, strict=True):
            landed += (nets >= first).astype(float) @ change
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

    def ways(self, discount: Floats, barred: NDArray[np.bool_], room: float) -> Ways:
        """Every way to fill each group that stays no further behind its cheapest than a room."""
        least = self._prices(discount, barred).min(axis=1)
        shelf = Shelf()
        nets = []
        for number, group in enumerate(self.groups):
            costs = [sum(least[self.row[id(k)]] * units for k, units in pattern.kinds) for pattern in group]
            for pattern, cost in zip(group, costs, strict=True):
                rest = room - (cost - min(costs))
                if rest >= 0:
                    nets.append(self._fill(shelf, number, pattern, rest, discount, barred))
                if len(shelf) > MAX_WAYS:
                    raise TooMany
        return Ways.of(shelf, np.arange(len(shelf)), shelf.groups(), np.concatenate(nets))

    def _fill(
        self,
        shelf: Shelf,
        group: int,
        pattern: Pattern,
        room: float,
        discount: Floats,
        barred: NDArray[np.bool_],
    ) -> Floats:
        """Put on the shelf all ways of a pattern that the room allows, and say what each spends."""
        behind = np.zeros(1)
        nets = np.zeros((1, len(self.codes)))
        picks = np.zeros((1, 0), dtype=np.intp)
        mixes = []
        for kind, units in pattern.kinds:
            parts, prices = self._priced(kind, discount, barred)
            counts = _mixes(prices - prices[0], units, room)
            sums = behind[:, np.newaxis] + counts @ (prices - prices[0])
            before, mix = np.nonzero(sums <= room)
            behind = sums[before, mix]
            nets = nets[before] + (counts @ self._nets(parts))[mix]
            picks = np.column_stack((picks[before], mix))
            mixes.append(Mixes(parts, counts))
        shelf.put(Block(group, pattern, mixes, picks))
        return nets

    def _priced(
        self, kind: tuple[Part, ...], discount: Floats, barred: NDArray[np.bool_]
    ) -> tuple[list[Part], Floats]:
        """The parts of a kind that may be bought and their prices under discounts, the cheapest first."""
        sold = [part for part in kind if not barred[self.place[part.supplier]]]
        prices = np.array([cents(part.cost) * (1.0 - discount[self.place[part.supplier]]) for part in sold])
        order = np.argsort(prices, kind="stable")
        return [sold[place] for place in order], prices[order]

    def _nets(self, parts: list[Part]) -> Floats:
        """What one unit of each part pays to its supplier."""
        nets = np.zeros((len(parts), len(self.codes)))
        for row, part in enumerate(parts):
            nets[row, self.place[part.supplier]] = cents(part.cost)
        return nets


def _mixes(behind: Floats, units: int, room: float) -> Places:
    """Units of each part for every mix of so many that stays no further behind the first than a room."""
    near = int(np.searchsorted(behind, room, side="right"))
    counts = np.zeros((1, len(behind)), dtype=np.intp)
    if units == 1:
        return np.eye(near, len(behind), dtype=np.intp)
    spent = np.zeros(1)
    numbers = np.arange(units + 1)
    for part in range(1, near):
        sums = spent[:, np.newaxis] + numbers * behind[part]
        left = units - counts.sum(axis=1)
        before, number = np.nonzero((sums <= room) & (numbers <= left[:, np.newaxis]))
        counts, spent = counts[before], sums[before, number]
        counts[:, part] = number
    counts[:, 0] = units - counts.sum(axis=1)
    return counts


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
