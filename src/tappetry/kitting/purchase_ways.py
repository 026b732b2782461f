"""Ways to fill groups of slots as arrays, group after group: what is cheap enough to be tried."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.kitting.alternatives import Pattern
from tappetry.records.part import Part

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

#: What moves so many cents from one supplier to another, or more, is a lump.
LUMP = 200.0
#: How steeply ways behind the cheapest are weighed when purchases are counted.
SLOPES = (0.0, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0)


@dataclass(frozen=True, slots=True)
class Buy:
    """One way to fill a group."""

    pattern: Pattern
    bought: tuple[tuple[Part, int], ...]


@dataclass(frozen=True, slots=True)
class Mixes:
    """Ways to buy one kind of parts: a row of units of each part for every way."""

    parts: list[Part]
    counts: Places

    def bought(self, number: int) -> list[tuple[Part, int]]:
        """One of the ways."""
        return [
            (part, int(units)) for part, units in zip(self.parts, self.counts[number], strict=True) if units
        ]


@dataclass(frozen=True, slots=True)
class Block:
    """Ways to fill a group in one pattern: for each kind of parts its mixes, and of each way its picks."""

    group: int
    pattern: Pattern
    mixes: list[Mixes]
    picks: Places

    def buy(self, number: int) -> Buy:
        """One of the ways."""
        picks = zip(self.mixes, self.picks[number], strict=True)
        return Buy(self.pattern, tuple(item for mixes, pick in picks for item in mixes.bought(pick)))


class Shelf:
    """Ways by their number: many are listed, and few are ever looked at."""

    def __init__(self) -> None:
        self._blocks: list[Block] = []
        self._starts: list[int] = []
        self._size = 0

    def __len__(self) -> int:
        return self._size

    def put(self, block: Block) -> None:
        """Put ways behind the others."""
        self._blocks.append(block)
        self._starts.append(self._size)
        self._size += len(block.picks)

    def groups(self) -> Places:
        """The group of each way."""
        return np.repeat(
            [block.group for block in self._blocks], [len(block.picks) for block in self._blocks]
        )

    def buy(self, number: int) -> Buy:
        """The way of a number."""
        block = bisect_right(self._starts, number) - 1
        return self._blocks[block].buy(number - self._starts[block])


@dataclass(frozen=True, slots=True)
class Ways:
    """Ways to fill groups, those of a group one after the other.

    ``number`` is the place of each on the shelf; ``group`` counts up from zero without a gap, and ``start``
    is the first way of each group. ``nets`` has a row of cents at each supplier for every way.
    """

    shelf: Shelf
    number: Places
    group: Places
    nets: Floats
    start: Places

    @classmethod
    def of(cls, shelf: Shelf, number: Places, group: Places, nets: Floats) -> Ways:
        """Ways in the order of their groups, of which none is empty."""
        return cls(shelf, number, group, nets, np.flatnonzero(np.diff(group, prepend=-1)))

    def kept(self, mask: NDArray[np.bool_]) -> Ways:
        """Some of the ways."""
        return self.of(self.shelf, self.number[mask], self.group[mask], self.nets[mask])

    def without(self, supplier: int) -> Ways | None:
        """The ways that buy nothing from a supplier; None where a group has none."""
        left = self.kept(self.nets[:, supplier] == 0)
        return left if len(left.start) == len(self.start) else None

    def buys(self, places: Iterable[int]) -> list[Buy]:
        """Some ways in full."""
        return [self.shelf.buy(int(self.number[place])) for place in places]

    def priced(self, discount: Floats) -> Floats:
        """What each way comes to under discounts."""
        price: Floats = self.nets @ (1.0 - discount)
        return price

    def cheapest(self, price: Floats) -> Places:
        """The first of the cheapest ways of each group."""
        least = np.minimum.reduceat(price, self.start)
        at_least = np.flatnonzero(price <= least[self.group])
        return at_least[np.searchsorted(self.group[at_least], np.arange(len(self.start)))]

    def least(self, discount: Floats) -> tuple[float, Floats]:
        """What the cheapest ways come to under discounts, and what is then spent at each supplier."""
        price = self.priced(discount)
        taken = self.cheapest(price)
        return float(price[taken].sum()), self.nets[taken].sum(axis=0)

    def behind(self, discount: Floats) -> Floats:
        """How far each way stays behind the cheapest of its group under discounts."""
        price = self.priced(discount)
        behind: Floats = price - np.minimum.reduceat(price, self.start)[self.group]
        return behind

    def most(self, behind: Floats, room: float) -> float:
        """No more purchases than this stay within a room.

        A purchase within it weighs at least exp(-slope) where each way weighs exp(-slope behind / room), so
        that all of them weigh no less than their number times that (Chernoff's bound).
        """
        share = behind / max(room, 1.0)
        logs = [c + np.log(np.add.reduceat(np.exp(-c * share), self.start)).sum() for c in SLOPES]
        return float(np.exp(min(*logs, 700.0)))

    def halves(self, behind: Floats, taken: Places, asking: NDArray[np.bool_]) -> tuple[Ways, Ways] | None:
        """Two parts that differ in how a lump is bought: less at a supplier who is asking for a sum, or more.

        It is the lump that moves most towards a sum, or away, at the least expense; None where there is none.
        """
        difference = np.abs(self.nets - self.nets[taken][self.group]) * asking
        moved = difference.sum(axis=1)
        worth = moved / (behind + LUMP)
        best = int(worth.argmax())
        if not worth[best]:
            return None
        group = self.group[best]
        supplier = int(difference[best].argmax())
        middle = (self.nets[best, supplier] + self.nets[taken[group], supplier]) / 2
        others = self.group != group
        more = self.nets[:, supplier] > middle
        return self.kept(others | ~more), self.kept(others | more)
