"""Piston-to-valve clearance over a phaser's range, beside the same result written out in plain numpy."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from benchmarks.pairs import Pair, Size, pair
from tappetry.engineering.angles import DEGREE
from tappetry.engineering.piston_to_valve import intake_piston_to_valve

CENTRE, DROP, TILT = 109 * DEGREE, 5.842e-3, 14 * DEGREE
STROKE, ROD = 0.091, 0.156
LIFT, EXPONENT, HALF_WIDTH, RATIO = 8.763e-3, 5.5, 168 * DEGREE, 1.65


def measure(size: Size) -> Iterator[Pair]:
    for degrees in (0, 36):
        retard = np.arange(degrees + 1) * DEGREE

        def ours(retard: NDArray[np.float64] = retard) -> NDArray[np.float64]:
            found = intake_piston_to_valve(
                CENTRE, DROP, TILT, STROKE, ROD, LIFT, EXPONENT, HALF_WIDTH, RATIO, retard=retard
            )
            return np.asarray(found.minimum_clearance)

        np.testing.assert_allclose(ours(), plain(retard), rtol=0, atol=1e-12)
        yield pair(
            f"retard 0 to {degrees} deg",
            ours,
            "plain numpy",
            lambda retard=retard: plain(retard),
            size.rounds,
            size.calls,
        )


def plain(retard: NDArray[np.float64]) -> NDArray[np.float64]:
    """Slider-crank and lobe law by Lagrange's rule from the exponents, with no range looked at."""
    crank = np.arange(-40, 41) * (math.pi / 180)
    throw = STROKE / 2
    fall = throw + ROD - throw * np.cos(crank) - np.sqrt(ROD**2 - (throw * np.sin(crank)) ** 2)
    powers = [2 + k * (EXPONENT - 2) for k in range(5)]
    share = np.minimum(np.abs(crank - CENTRE - retard[:, np.newaxis]) / HALF_WIDTH, 1.0)
    lobe = np.ones_like(share)
    for power in powers:
        lobe -= math.prod(n / (n - power) for n in powers if n != power) * share**power
    return (DROP + fall * math.cos(TILT) - np.maximum(lobe * LIFT * RATIO, 0.0)).min(axis=-1)
