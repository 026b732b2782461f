"""The band of a calculation's results where its inputs were stated with tolerances.

Each input is moved by its standard deviation alone, so an input that a formula uses twice counts once, and
all inputs at once in a few places. Where those do not lie where the first order says, the results are drawn
as well, and the band is that of the draws.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from tappetry.engineering.uncertainty import combined_uncertainty, coverage_factor, expanded_uncertainty
from tappetry.proofs.chances import Real, even_draws
from tappetry.quantities.tolerance import Toleranced

FIRST_ORDER, MONTE_CARLO = "first order", "Monte Carlo"
CONFIDENCE = 0.95
PROBES, DRAWS, SINGLE_DRAWS = 16, 4096, 256
#: How much of a standard deviation places with all inputs off may lie beside the first order.
BENT = 0.1

Evaluate = Callable[[dict[str, Any]], Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Varied:
    """An input with its spread, in SI; `place` counts in a list of values."""

    name: str
    spread: Toleranced
    place: int | None = None

    @property
    def label(self) -> str:
        """The input's name, with its place in a list counted from 1."""
        return self.name if self.place is None else f"{self.name} {self.place + 1}"


@dataclass(frozen=True, slots=True)
class Drawn:
    """What came out of draws from all spreads, in SI."""

    count: int
    mean: float
    deviation: float
    low: float
    high: float
    least: float
    greatest: float


@dataclass(frozen=True, slots=True)
class Band:
    """How well one result is known, in SI.

    Attributes
    ----------
    mean : float
        With every input in the middle between its limits.
    deviation : float
        Standard uncertainty, to first order.
    low, high : float
        The band of `CONFIDENCE`; never wider than all inputs at their worst ends, to first order.
    worst_low, worst_high : float
        All inputs at their worst ends, to first order; of a bent result the extremes of the draws.
    shares : dict of str to float
        Share of each input in the variance; empty where nothing varies.
    method : str
        `first order`, or `Monte Carlo` where the result is strongly bent; `low` and `high` are its.
    drawn : Drawn or None
        The draws where the result is strongly bent.
    """

    mean: float
    deviation: float
    low: float
    high: float
    worst_low: float
    worst_high: float
    shares: dict[str, float]
    method: str
    drawn: Drawn | None


@dataclass(frozen=True, slots=True)
class Bands:
    """The band of each result that is a number, and how results go together."""

    of: dict[str, Band]
    correlations: dict[tuple[str, str], float]


def bands(evaluate: Evaluate, inputs: Mapping[str, Any], varied: Sequence[Varied], *, singly: bool) -> Bands:
    """Work out the bands of a calculation.

    Parameters
    ----------
    evaluate : callable
        The calculation, from inputs by name to results by name, in SI.
    inputs : mapping
        The inputs as stated.
    varied : sequence of Varied
        Those that are spread, independently of each other.
    singly : bool
        The calculation takes no arrays.

    Raises
    ------
    OutOfRange
        Somewhere within the tolerances the calculation does not hold.
    """
    middle = np.array([each.spread.mean for each in varied])
    deviations = np.array([each.spread.standard_deviation for each in varied])
    probes = _draws(varied, PROBES)
    rows = np.concatenate(
        [middle[np.newaxis], middle + np.diag(deviations), middle - np.diag(deviations), middle + probes]
    )
    found = _numbers(_each(evaluate, inputs, varied, rows))
    count = len(varied)
    slopes = {
        name: (each[1 : count + 1] - each[count + 1 : 2 * count + 1]) / 2 for name, each in found.items()
    }
    bent = [
        name
        for name, each in found.items()
        if _is_bent(each[-PROBES:], each[0] + probes / deviations @ slopes[name], slopes[name])
    ]
    drawn = _drawn(evaluate, inputs, varied, middle, singly=singly) if bent else {}
    made = {
        name: _band(float(each[0]), slopes[name], varied, drawn.get(name) if name in bent else None)
        for name, each in found.items()
    }
    return Bands(made, _correlations(slopes))


def _draws(varied: Sequence[Varied], count: int) -> Real:
    """Draws between the limits of every input, as distances from their middle, a row each."""
    columns = [
        math.sqrt(12.0) * each.spread.standard_deviation * (even_draws(each.label, count) - 0.5)
        for each in varied
    ]
    return np.column_stack(columns)


def _with(inputs: Mapping[str, Any], varied: Sequence[Varied], values: Sequence[Any]) -> dict[str, Any]:
    """The inputs with other values where they are spread."""
    changed = dict(inputs)
    for each, value in zip(varied, values, strict=True):
        if each.place is None:
            changed[each.name] = value
        else:
            entries = list(changed[each.name])
            entries[each.place] = value
            changed[each.name] = entries
    return changed


def _each(
    evaluate: Evaluate, inputs: Mapping[str, Any], varied: Sequence[Varied], rows: Real
) -> dict[str, list[Any]]:
    """The results of every row, one evaluation after the other."""
    results = [evaluate(_with(inputs, varied, [float(value) for value in row])) for row in rows]
    return {name: [each[name] for each in results] for name in results[0]}


def _numbers(results: Mapping[str, Any]) -> dict[str, Real]:
    """The results that are finite numbers, each with its rows; words and lists have no band."""
    found = {}
    for name, each in results.items():
        if isinstance(each[0], str) or np.ndim(each[0]) > 0:
            continue
        values = np.array(each, dtype=np.float64)
        if np.isfinite(values).all():
            found[name] = values
    return found


def _is_bent(probes: Real, expected: Real, slopes: Real) -> bool:
    """Whether places with all inputs off lie beside the first order by a share of the deviation."""
    missed = math.sqrt(float(((probes - expected) ** 2).mean()))
    size = max(combined_uncertainty(np.abs(slopes)), 1e-12 * float(np.abs(probes).max()))
    return bool(missed > BENT * size)


def _drawn(
    evaluate: Evaluate, inputs: Mapping[str, Any], varied: Sequence[Varied], middle: Real, *, singly: bool
) -> dict[str, Drawn]:
    """The results over draws from all spreads."""
    count = SINGLE_DRAWS if singly else DRAWS
    rows = middle + _draws(varied, count)
    if singly:
        results: Mapping[str, Any] = _each(evaluate, inputs, varied, rows)
    else:
        results = {
            name: np.broadcast_to(value, (count,))
            for name, value in evaluate(_with(inputs, varied, list(rows.T))).items()
        }
    tail = 50.0 * (1.0 - CONFIDENCE)
    return {
        name: Drawn(
            count,
            float(values.mean()),
            float(values.std(ddof=1)),
            *(float(end) for end in np.percentile(values, (tail, 100.0 - tail, 0.0, 100.0))),
        )
        for name, values in _numbers(results).items()
    }


def _band(mean: float, slopes: Real, varied: Sequence[Varied], drawn: Drawn | None) -> Band:
    sizes = np.abs(slopes)
    deviation = float(combined_uncertainty(sizes))
    worst = math.sqrt(3.0) * float(sizes.sum())  # every spread is even between its limits
    half = min(float(expanded_uncertainty(deviation, coverage_factor(CONFIDENCE))), worst)
    shares = {
        each.label: float((size / deviation) ** 2)
        for each, size in zip(varied, sizes, strict=True)
        if deviation > 0.0
    }
    return Band(
        mean=mean,
        deviation=deviation,
        low=drawn.low if drawn else mean - half,
        high=drawn.high if drawn else mean + half,
        worst_low=drawn.least if drawn else mean - worst,
        worst_high=drawn.greatest if drawn else mean + worst,
        shares=shares,
        method=MONTE_CARLO if drawn else FIRST_ORDER,
        drawn=drawn,
    )


def _correlations(slopes: Mapping[str, Real]) -> dict[tuple[str, str], float]:
    """How each two results go together because they share inputs, to first order."""

    def pairs() -> Iterator[tuple[tuple[str, str], float]]:
        for one, other in combinations(slopes, 2):
            size = float(np.linalg.norm(slopes[one]) * np.linalg.norm(slopes[other]))
            if size > 0.0:
                yield (one, other), float(slopes[one] @ slopes[other]) / size

    return dict(pairs())
