"""Chances from spreads: a sum of even and normal spreads exactly, anything else from drawn engines."""

from __future__ import annotations

import math
from functools import lru_cache
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

#: Terms of the series: enough for a chance of one in a hundred thousand of two like spreads.
TERMS = 256
#: A normal spread is taken to end here.
NORMAL_ENDS = 8.0


def chance_below_zero(mean: float, half_widths: Real, deviation: float) -> float:
    r"""Chance that a sum of independent spreads lies below 0.

    .. math:: F(x) = \tfrac12 + \frac{x}{2L} + \sum_k \frac{\sin(k \pi x / L)}{k \pi} \varphi(k \pi / L),\quad
        \varphi(t) = e^{-\sigma^2 t^2 / 2} \prod_i \frac{\sin a_i t}{a_i t}

    Parameters
    ----------
    mean : float
        Of the sum. [1]
    half_widths : ndarray
        a_i of the even spreads, one dimension. [1]
    deviation : float
        sigma, of all normal spreads together. [1]

    Returns
    -------
    float
        Exactly 0 or 1 where the limits do not reach 0. [1]

    References
    ----------
    .. [1] The distribution as a Fourier series on an interval that holds it, from its
       characteristic function.
    """
    widest = float(half_widths.sum())
    if deviation == 0.0 and abs(mean) >= widest:
        return 0.0 if mean >= 0.0 else 1.0
    reach = 1.1 * (widest + NORMAL_ENDS * deviation)
    if abs(mean) >= reach:
        return 0.0 if mean > 0.0 else 1.0
    k = np.arange(1, TERMS + 1)
    turns = k / reach
    parts = np.sinc(half_widths[:, np.newaxis] * turns).prod(axis=0)
    parts *= np.exp(-0.5 * (deviation * math.pi * turns) ** 2)
    series = (parts * np.sin(-math.pi * mean * turns) / (math.pi * k)).sum()
    return min(1.0, max(0.0, 0.5 - mean / (2.0 * reach) + float(series)))


@lru_cache(maxsize=1024)
def even_draws(name: str, count: int) -> Real:
    """Draws between 0 and 1 for an input of a name: as many strata of like width, in an order of its own.

    The same name and count give the same draws, whatever other inputs there are: so that two kits differ by
    what is different in them, and not by chance.
    """
    generator = np.random.Generator(np.random.PCG64(crc32(name.encode())))
    draws: Real = (np.argsort(generator.random(count), kind="stable") + 0.5) / count
    draws.setflags(write=False)
    return draws


@lru_cache(maxsize=1024)
def normal_draws(name: str, count: int) -> Real:
    """The same of a normal spread, with a standard deviation of 1."""
    from scipy.special import ndtri

    draws: Real = ndtri(even_draws(name, count))
    draws.setflags(write=False)
    return draws
