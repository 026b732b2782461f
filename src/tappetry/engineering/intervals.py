"""Intervals: what is sure about a result when each value is only known to lie between two ends.

Every result is widened by the last digit to either side, so that rounding never leaves the true value out.
An interval does not know where it came from: x - x is not 0 but everything that a difference of two values
between the same ends can be. Values that share a cause are carried through together in `uncertainty`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import OutOfRange, Pure, Range, Real, require_between


@dataclass(frozen=True, slots=True)
class Interval:
    """Two ends between which a value lies for sure.

    Attributes
    ----------
    interval_low : float or ndarray
        [1]
    interval_high : float or ndarray
        [1]
    """

    interval_low: Pure
    interval_high: Pure


def _ends(which: str, low: Real, high: Real) -> tuple[Real, Real]:
    low, high = require(f"{which}_low", low), require(f"{which}_high", high)
    require_between(
        f"{which}_high less {which}_low", high - low, Range(0.0, math.inf), advice="Exchange the two ends"
    )
    return low, high


def _outward(low: Real, high: Real) -> Interval:
    return Interval(interval_low=np.nextafter(low, -math.inf), interval_high=np.nextafter(high, math.inf))


def interval_sum(first_low: Pure, first_high: Pure, second_low: Pure, second_high: Pure) -> Interval:
    r"""Sum of two intervals.

    .. math:: [a + c, b + d]

    Parameters
    ----------
    first_low, first_high : float or array_like
        a and b. [1]
    second_low, second_high : float or array_like
        c and d. [1]

    Returns
    -------
    Interval
        [1]

    Raises
    ------
    OutOfRange
        An end is not finite, or the ends of an interval are exchanged.

    Examples
    --------
    >>> found = interval_sum(1.0, 2.0, -2.0, 3.0)
    >>> print(round(found.interval_low, 12), round(found.interval_high, 12))
    -1.0 5.0

    References
    ----------
    .. [1] IEEE 1788-2015 (from memory).
    """
    a, b = _ends("first", first_low, first_high)
    c, d = _ends("second", second_low, second_high)
    return _outward(a + c, b + d)


def interval_difference(first_low: Pure, first_high: Pure, second_low: Pure, second_high: Pure) -> Interval:
    r"""Difference of two intervals.

    .. math:: [a - d, b - c]

    Parameters
    ----------
    first_low, first_high : float or array_like
        a and b. [1]
    second_low, second_high : float or array_like
        c and d, taken as another value even where they are the same ends. [1]

    Returns
    -------
    Interval
        [1]

    Raises
    ------
    OutOfRange
        An end is not finite, or the ends of an interval are exchanged.

    Examples
    --------
    >>> found = interval_difference(1.0, 2.0, 1.0, 2.0)
    >>> print(round(found.interval_low, 12), round(found.interval_high, 12))
    -1.0 1.0

    References
    ----------
    .. [1] IEEE 1788-2015 (from memory).
    """
    a, b = _ends("first", first_low, first_high)
    c, d = _ends("second", second_low, second_high)
    return _outward(a - d, b - c)


def interval_product(first_low: Pure, first_high: Pure, second_low: Pure, second_high: Pure) -> Interval:
    r"""Product of two intervals.

    .. math:: [\min(ac, ad, bc, bd), \max(ac, ad, bc, bd)]

    Parameters
    ----------
    first_low, first_high : float or array_like
        a and b. [1]
    second_low, second_high : float or array_like
        c and d, taken as another value; for one value squared there is `interval_square`. [1]

    Returns
    -------
    Interval
        [1]

    Raises
    ------
    OutOfRange
        An end is not finite, or the ends of an interval are exchanged.

    Examples
    --------
    >>> found = interval_product(1.0, 2.0, -2.0, 3.0)
    >>> print(round(found.interval_low, 12), round(found.interval_high, 12))
    -4.0 6.0

    References
    ----------
    .. [1] IEEE 1788-2015 (from memory).
    """
    a, b = _ends("first", first_low, first_high)
    c, d = _ends("second", second_low, second_high)
    low = np.minimum(np.minimum(a * c, a * d), np.minimum(b * c, b * d))
    high = np.maximum(np.maximum(a * c, a * d), np.maximum(b * c, b * d))
    return _outward(low, high)


def interval_quotient(first_low: Pure, first_high: Pure, second_low: Pure, second_high: Pure) -> Interval:
    r"""Quotient of two intervals.

    .. math:: [a, b] \cdot [1 / d, 1 / c]

    Parameters
    ----------
    first_low, first_high : float or array_like
        a and b. [1]
    second_low, second_high : float or array_like
        c and d, with 0 outside. [1]

    Returns
    -------
    Interval
        [1]

    Raises
    ------
    OutOfRange
        An end is not finite, the ends of an interval are exchanged, or the divisor may be 0.

    Examples
    --------
    >>> found = interval_quotient(1.0, 1.0, 2.0, 4.0)
    >>> print(round(found.interval_low, 12), round(found.interval_high, 12))
    0.25 0.5

    References
    ----------
    .. [1] IEEE 1788-2015 (from memory).
    """
    a, b = _ends("first", first_low, first_high)
    c, d = _ends("second", second_low, second_high)
    if np.any((np.asarray(c) <= 0.0) & (np.asarray(d) >= 0.0)):
        raise OutOfRange(
            "second_low to second_high",
            float(np.max(c)),
            "an interval without 0",
            source="a divisor that may be 0 leaves nothing sure",
            advice="Narrow the divisor first",
        )
    low = np.minimum(np.minimum(a / c, a / d), np.minimum(b / c, b / d))
    high = np.maximum(np.maximum(a / c, a / d), np.maximum(b / c, b / d))
    return _outward(low, high)


def interval_root(first_low: Pure, first_high: Pure) -> Interval:
    r"""Square root of an interval.

    .. math:: [\sqrt a, \sqrt b]

    Parameters
    ----------
    first_low, first_high : float or array_like
        a and b, neither below 0. [1]

    Returns
    -------
    Interval
        [1]

    Raises
    ------
    OutOfRange
        An end is not finite, the ends are exchanged, or one lies below 0.

    Examples
    --------
    >>> found = interval_root(4.0, 9.0)
    >>> print(round(found.interval_low, 12), round(found.interval_high, 12))
    2.0 3.0

    References
    ----------
    .. [1] IEEE 1788-2015 (from memory).
    """
    a, b = _ends("first", first_low, first_high)
    require_between("first_low", a, Range(0.0, math.inf), source="no root is sure below 0")
    wide = _outward(np.sqrt(a), np.sqrt(b))
    return Interval(interval_low=np.maximum(wide.interval_low, 0.0)[()], interval_high=wide.interval_high)


def interval_square(first_low: Pure, first_high: Pure) -> Interval:
    r"""Square of an interval: of one value, which meets itself.

    .. math:: [0, \max(a^2, b^2)] \text{ where 0 lies between the ends, else the squares in order}

    Parameters
    ----------
    first_low, first_high : float or array_like
        a and b. [1]

    Returns
    -------
    Interval
        Never below 0. [1]

    Raises
    ------
    OutOfRange
        An end is not finite, or the ends are exchanged.

    Examples
    --------
    >>> found = interval_square(-2.0, 3.0)
    >>> print(found.interval_low, round(found.interval_high, 12))
    0.0 9.0

    References
    ----------
    .. [1] IEEE 1788-2015 (from memory).
    """
    a, b = _ends("first", first_low, first_high)
    least = np.where((np.asarray(a) <= 0.0) & (np.asarray(b) >= 0.0), 0.0, np.minimum(a**2, b**2))
    wide = _outward(least, np.maximum(a**2, b**2))
    return Interval(interval_low=np.maximum(wide.interval_low, 0.0)[()], interval_high=wide.interval_high)
