"""How well margins are known: bands, chances of failing, and the measurement that would narrow each most.

All proofs of a kit are worked out at once, over engines that differ from the stated one in one input each
(first order, with an input that several values share counted once) and over a few that differ in all of them.
Where the few do not lie where the first order says, the margin is drawn (Monte Carlo). Nothing of this is
needed to choose a kit, so it is made for those proofs alone that somebody is shown.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from tappetry.assembly.arrays import Arrays
from tappetry.assembly.values import Slots, Values
from tappetry.engineering.ranges import OutOfRange
from tappetry.knowledge.language import Expression, Unknown
from tappetry.knowledge.model import ProofRule
from tappetry.knowledge.syntax import NotInGrammar
from tappetry.proofs.chances import Real, chance_below_zero, even_draws, normal_draws
from tappetry.proofs.leaves import Leaf, LeafOf
from tappetry.proofs.margins import ROUNDING
from tappetry.quantities.tolerance import Origin, Spread, Toleranced
from tappetry.records.verdict import Doubt, Narrowing, Proof, Share

FIRST_ORDER, MONTE_CARLO = "first order", "Monte Carlo"

#: At least 95 in 100 lie within so many standard deviations of a sum of several spreads.
COVERAGE = 1.96
#: Engines that differ in all inputs, to see whether the first order holds; and those of a Monte Carlo.
PROBES, DRAWS = 8, 2048
#: A drawn margin seems to follow an input by this share of its variance where it does not: no more is told.
NOISE = 4.0 / DRAWS
#: How much of a standard deviation the probes may lie beside the first order, and beside a curve.
STRAIGHT, CURVED = 0.05, 0.02
#: A measurement that takes less than this share of the variance away narrows nothing.
WORTH = 0.01
#: Roots whose values are decided and not found: they cannot be off.
DECIDED = frozenset({"limits", "plan", "job", "stated", "grade"})


@dataclass(frozen=True, slots=True)
class Room:
    """One limit of a proof: how far the value keeps from it."""

    proof: str
    value: Expression
    limit: Expression
    sign: float

    def over(self, arrays: Arrays) -> Real | float:
        """The room of every engine."""
        return self.sign * (arrays.number(self.value) - arrays.number(self.limit))


class Input:
    """An input that may be off, as it is varied: its spread, in units of its standard deviation.

    ``half_width`` is half the distance between its limits, 0 where it is spread normally; ``shift`` how far
    its mean lies from what is stated.
    """

    def __init__(self, leaf: Leaf, spread: Toleranced) -> None:
        self.leaf = leaf
        self.spread = spread
        self.name = leaf.name
        self.deviation = spread.standard_deviation
        self.half_width = math.sqrt(3.0) if spread.spread is Spread.LIMITS else 0.0
        self.shift = (spread.mean - spread.nominal) / self.deviation

    def drawn(self, count: int) -> Real:
        """Draws, as distances from what is stated."""
        if self.half_width == 0.0:
            return normal_draws(self.name, count)
        return self.shift + self.half_width * (2.0 * even_draws(self.name, count) - 1.0)


class Star:
    """The engine itself, each input alone a standard deviation up and down, and a few with all off."""

    def __init__(self, inputs: Sequence[Input]) -> None:
        self.inputs = inputs
        self.place = {each.name: number for number, each in enumerate(inputs)}
        self.rows = 1 + 2 * len(inputs) + PROBES
        self.probes = np.column_stack([each.drawn(PROBES) for each in inputs])
        at_probes = np.arange(self.rows - PROBES, self.rows)
        self.values: dict[str, Real] = {}
        self.differing = {}
        for number, each in enumerate(inputs):
            up, down = 1 + 2 * number, 2 + 2 * number
            values = np.full(self.rows, each.spread.nominal)
            values[up] += each.deviation
            values[down] -= each.deviation
            values[-PROBES:] += each.deviation * self.probes[:, number]
            self.values[each.name] = values
            self.differing[each.name] = np.concatenate([[up, down], at_probes])

    def all(self, found: Iterable[Real | float]) -> Real:
        """Several values, a row each."""
        return np.array([np.broadcast_to(each, (self.rows,)) for each in found]).reshape(-1, self.rows)

    def slopes(self, found: Real) -> Real:
        """What one standard deviation of each input does to each value."""
        ends = found[:, 1:-PROBES]
        return (ends[:, 0::2] - ends[:, 1::2]) / 2.0

    def bends(self, found: Real) -> Real:
        """The second differences of each value."""
        ends = found[:, 1:-PROBES]
        return ends[:, 0::2] + ends[:, 1::2] - 2.0 * found[:, :1]

    def beside(self, found: Real, bends: Real | None = None) -> Real:
        """How far the probes of each value lie beside its slopes (and bends), over its standard deviation."""
        slopes = self.slopes(found)
        expected = found[:, :1] + slopes @ self.probes.T
        if bends is not None:
            expected = expected + bends @ (self.probes**2).T / 2.0
        missed = np.sqrt(((found[:, -PROBES:] - expected) ** 2).mean(axis=1))
        size = np.sqrt((slopes**2).sum(axis=1))
        none = missed <= ROUNDING * (1.0 + np.abs(found[:, 0]))
        return np.where(none, 0.0, np.nan_to_num(missed / size, nan=math.inf, posinf=math.inf))


def with_doubt(values: Values, views: Slots, proofs: Iterable[Proof], leaf_of: LeafOf) -> tuple[Proof, ...]:
    """The proofs with band, chance of failing and what would narrow them, as far as spreads are known.

    The same inputs give the same figures. A proof that is open, or one of whose inputs a spread takes out of
    the range in which its calculation is true, stays as it is.
    """
    stated = tuple(proofs)
    rules = values.knowledge.proofs
    known = [rules[proof.id] for proof in stated if proof.margin is not None]
    rooms = {rule.id: _rooms(rule) for rule in known}
    names = {rule.id: _names(values, rule) for rule in known}
    numbers = _numbers(values, views, sorted(frozenset().union(*names.values())), leaf_of)
    below = {name: Below.of(numbers, some) for name, some in names.items()}
    with np.errstate(all="ignore"):  # a drawn engine may come to nothing finite: it is counted as failing
        found = _doubts(values, views, {name: some for name, some in rooms.items() if below[name].off}, below)
    return tuple(_told(proof, found.get(proof.id)) for proof in stated)


def _told(proof: Proof, found: tuple[float, float, Doubt] | None) -> Proof:
    if found is None:
        return proof
    band, chance, doubt = found
    return replace(proof, band=band, chance_of_failing=chance, doubt=doubt)


def _rooms(rule: ProofRule) -> tuple[Room, ...]:
    limits = ((rule.at_least, 1.0), (rule.at_most, -1.0))
    return tuple(Room(rule.id, rule.value, limit, sign) for limit, sign in limits if limit is not None)


# ---- inputs ------------------------------------------------------------------------------------------------


def _names(values: Values, rule: ProofRule) -> frozenset[str]:
    """Everything that a proof is made of, down to facts and parts."""
    expressions = [each for each in (rule.value, rule.at_least, rule.at_most) if each is not None]
    return frozenset().union(*(values.reading(each).names for each in expressions))


def _numbers(values: Values, views: Slots, names: Iterable[str], leaf_of: LeafOf) -> dict[str, Input | None]:
    """The numbers that may be off, in the order of their names; None where nothing is known of a spread."""
    found: dict[str, Input | None] = {}
    for name in names:
        root, _, member = name.partition(".")
        view = values.fixed.get(root, views.get(root, {}))
        value = view.get(member) if isinstance(view, Mapping) and root not in DECIDED else None
        if isinstance(value, float):
            leaf = leaf_of(name, value)
            if leaf is None:
                found[name] = None
            elif leaf.spread is not None and leaf.may_be_off:
                found[name] = Input(leaf, leaf.spread)
    return found


@dataclass(frozen=True, slots=True)
class Below:
    """The inputs of a proof: those that may be off, and those of whose spread nothing is known."""

    off: tuple[Input, ...]
    exact: tuple[str, ...]

    @classmethod
    def of(cls, numbers: Mapping[str, Input | None], names: Collection[str]) -> Below:
        """Of all numbers those that a proof is made of."""
        mine = [(name, each) for name, each in numbers.items() if name in names]
        return cls(
            tuple(each for _, each in mine if each is not None),
            tuple(name for name, each in mine if each is None),
        )


# ---- the two ways ------------------------------------------------------------------------------------------


def _doubts(
    values: Values, views: Slots, rooms: Mapping[str, tuple[Room, ...]], below: Mapping[str, Below]
) -> dict[str, tuple[float, float, Doubt]]:
    """Band, chance and doubt of each proof."""
    inputs = {each.name: each for name in rooms for each in below[name].off}
    if not inputs:
        return {}
    star = Star([inputs[name] for name in sorted(inputs)])
    arrays = Arrays(values, views, star.values, star.differing)
    kept = {name: kept for name, some in rooms.items() if (kept := _kept(arrays, some)) is not None}
    of_proof = [name for name, some in kept.items() for _ in some]
    over = star.all(room for some in kept.values() for room in some)
    slopes = star.slopes(over)
    bent = {name for name, beside in zip(of_proof, star.beside(over), strict=True) if beside > STRAIGHT}
    curves = Curves(values, views, star, arrays, {each.name for name in bent for each in below[name].off})
    found = {}
    for name in kept:
        if name in bent:
            nearest = int(np.argmin([np.ravel(room)[0] for room in kept[name]]))
            drawn = _drawn(curves, rooms[name], nearest, below[name])
            if drawn is not None:
                found[name] = drawn
        else:
            mine = [number for number, proof in enumerate(of_proof) if proof == name]
            places = [star.place[each.name] for each in below[name].off]
            found[name] = _first_order(over[mine, 0], slopes[mine][:, places], below[name])
    return found


def _kept(arrays: Arrays, rooms: Sequence[Room]) -> list[Real | float] | None:
    """How far the limits of a proof are kept; None where a spread leaves what can be worked out."""
    try:
        return [room.over(arrays) for room in rooms]
    except (OutOfRange, NotInGrammar, Unknown):
        return None


def _first_order(room: Real, slopes: Real, below: Below) -> tuple[float, float, Doubt]:
    """From slopes alone: the variances add up, and the chance is that of the sum of the spreads."""
    half_widths = np.array([each.half_width for each in below.off])
    even = half_widths > 0.0
    shifts = np.array([each.shift for each in below.off])
    chance = 0.0
    for each, gained in zip(room, slopes, strict=True):
        widths = np.abs(gained * half_widths)[even]
        normal = math.sqrt(float((gained[~even] ** 2).sum()))
        mean = float(each) + float(gained @ shifts)
        chance += chance_below_zero(mean + ROUNDING, widths[widths > 0.0], normal)
    gained = slopes[int(np.argmin(room))]
    deviation = math.sqrt(float((gained**2).sum()))
    most = float(np.abs(gained * half_widths).sum()) if even.all() else math.inf
    band = min(COVERAGE * deviation, most)
    return band, min(1.0, chance), _doubt(FIRST_ORDER, deviation, gained**2, below)


class Curves:
    """Drawn engines; a calculation whose probes lie on its curve is taken by that, not worked out again."""

    def __init__(
        self, values: Values, views: Slots, star: Star, arrays: Arrays, names: Collection[str]
    ) -> None:
        off = [each for each in star.inputs if each.name in names]
        self.drawn = {each.name: each.drawn(DRAWS) for each in off}
        self.place = {each.name: number for number, each in enumerate(off)}
        self.centred = np.array([self.drawn[each.name] - each.shift for each in off])
        many = {each.name: each.spread.nominal + each.deviation * self.drawn[each.name] for each in off}
        self.arrays = Arrays(values, views, many, given=self._curve)
        calculated = arrays.calculated()
        over = star.all(calculated.values())
        self.star = star
        self.row = {name: number for number, name in enumerate(calculated)}
        self.start, self.slopes, self.bends = over[:, 0], star.slopes(over), star.bends(over)
        self.beside = star.beside(over, self.bends)

    def _curve(self, name: str) -> Real | None:
        """A calculation for the drawn engines by its curve; None where it does not lie on one."""
        row = self.row.get(name)
        if row is None or self.beside[row] > CURVED:
            return None
        curve = np.full(DRAWS, self.start[row])
        for at in map(int, np.flatnonzero((self.slopes[row] != 0.0) | (self.bends[row] != 0.0))):
            off = self.drawn[self.star.inputs[at].name]
            curve += off * (self.slopes[row, at] + 0.5 * self.bends[row, at] * off)
        return curve


def _drawn(
    curves: Curves, rooms: Sequence[Room], nearest: int, below: Below
) -> tuple[float, float, Doubt] | None:
    """From drawn engines; what each input adds is what the margin follows it by."""
    found = _kept(curves.arrays, rooms)
    if found is None:
        return None
    kept = [np.broadcast_to(room, (DRAWS,)) for room in found]
    chance = 1.0 - float((np.min(kept, axis=0) >= -ROUNDING).mean())
    margins = kept[nearest]
    good = margins[np.isfinite(margins)]
    if len(good) == 0:
        return None
    centred = np.where(np.isfinite(margins), margins - good.mean(), 0.0)
    draws = curves.centred[[curves.place[each.name] for each in below.off]]
    variances = (draws @ centred / (draws**2).sum(axis=1)) ** 2
    variances[variances < NOISE * centred.var()] = 0.0
    deviation = float(good.std())
    low, high = np.sort(good)[[int(0.025 * len(good)), int(0.975 * len(good))]]
    return float(high - low) / 2.0, chance, _doubt(MONTE_CARLO, deviation, variances, below)


# ---- what it rests on --------------------------------------------------------------------------------------


def _doubt(method: str, deviation: float, variances: Real, below: Below) -> Doubt:
    """The shares of the inputs, and the measurement that takes most of the variance away."""
    total = float(variances.sum())
    shares = variances / total if total > 0.0 else variances
    order = np.argsort(-shares, kind="stable")
    told = tuple(_share(below.off[at], float(shares[at])) for at in order if shares[at] > 0.0)
    return Doubt(
        method=method,
        uncertainty=deviation,
        shares=told,
        measure=_narrowing(deviation, variances, below),
        assumed=any(each.origin == Origin.ASSUMED for each in told),
        estimate=not all(each.leaf.measured for each in below.off),
        exact=below.exact,
    )


def _share(each: Input, share: float) -> Share:
    leaf, spread = each.leaf, each.spread
    return Share(
        name=leaf.name,
        title=leaf.title,
        value=spread.nominal,
        unit=leaf.unit,
        plus=spread.plus,
        minus=spread.minus,
        means=spread.spread.value,
        origin=spread.origin.value,
        source=leaf.source,
        share=share,
    )


def _narrowing(deviation: float, variances: Real, below: Below) -> Narrowing | None:
    """The input that is not known as well as it could be, and takes most of the variance with it."""
    gains = [_gain(each, float(variance)) for each, variance in zip(below.off, variances, strict=True)]
    best = max(range(len(gains)), key=lambda at: (gains[at], below.off[at].name))
    if gains[best] <= WORTH * deviation**2:
        return None
    leaf = below.off[best].leaf
    left = math.sqrt(max(0.0, deviation**2 - gains[best]))
    return Narrowing(leaf.name, leaf.title, leaf.tool, COVERAGE * left)


def _gain(each: Input, variance: float) -> float:
    """The variance that goes when an input is measured as well as it can be."""
    best = each.leaf.best
    if best is None or best >= each.deviation:
        return 0.0
    return variance * (1.0 - (best / each.deviation) ** 2)
