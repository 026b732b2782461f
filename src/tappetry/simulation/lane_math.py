"""What loops that work on several numbers at once need: logarithm, power of e, the greatest of numbers.

The library's are called one by one. Relative errors are below 1e-13 for what flows ask: numbers that are
positive, powers between -700 and 700. Series are summed in pairs, and pairs of pairs: one term after the
other, each would wait for the last.
"""

from __future__ import annotations

import numpy as np

from tappetry.simulation.compiled import inlined

FRACTION, ONE, BIAS = 0x000FFFFFFFFFFFFF, 0x3FF0000000000000, 1023
"""Of a number of 64 bits: those behind the point, those of 1, and what its exponent is counted from."""

ROOT_OF_2, LOG_OF_2, DOUBLINGS = 1.4142135623730951, 0.6931471805599453, 1.4426950408889634
LOG_HIGH, LOG_LOW = 0.693145751953125, 1.42860682030941723212e-6
"""The logarithm of 2 in two parts, of which the first has few digits."""

ROUNDER = 6755399441055744.0
"""1.5 times 2^52: what is added to it loses what stands behind its point."""


@inlined
def log_of(x: float) -> float:
    """Natural logarithm, by the series of the inverse hyperbolic tangent."""
    bits = np.float64(x).view(np.int64)
    part = np.int64((bits & FRACTION) | ONE).view(np.float64)
    large = part > ROOT_OF_2
    part = 0.5 * part if large else part
    power = np.float64((bits >> 52) - BIAS)
    power = power + 1.0 if large else power
    s = (part - 1.0) / (part + 1.0)
    z = s * s
    z2 = z * z
    low = (1 + z * (1 / 3)) + z2 * (1 / 5 + z * (1 / 7))
    high = (1 / 9 + z * (1 / 11)) + z2 * ((1 / 13 + z * (1 / 15)) + z2 * (1 / 17))
    return power * LOG_OF_2 + 2.0 * s * (low + (z2 * z2) * high)


@inlined
def exp_of(x: float) -> float:
    """Power of e, by its series within half a doubling."""
    shifted = np.float64(x * DOUBLINGS + ROUNDER)
    whole = shifted - ROUNDER
    r = x - whole * LOG_HIGH - whole * LOG_LOW
    r2 = r * r
    r4 = r2 * r2
    low = (1 + r) + r2 * (1 / 2 + r * (1 / 6))
    middle = (1 / 24 + r * (1 / 120)) + r2 * (1 / 720 + r * (1 / 5040))
    high = (1 / 40320 + r * (1 / 362880)) + r2 * (1 / 3628800 + r * (1 / 39916800))
    doublings = np.int64((shifted.view(np.int64) + BIAS) << 52).view(np.float64)
    return (low + r4 * (middle + r4 * high)) * doublings


@inlined
def rank_of(x: float) -> np.int64:
    """A whole number that grows with x where x is not below 0, and is below 0 where x is.

    The greatest of whole numbers is searched for several at once, that of others one by one.
    """
    return np.float64(x).view(np.int64)


@inlined
def of_rank(rank: np.int64) -> float:
    """The number of a rank that is not below 0."""
    return np.int64(rank).view(np.float64)
