"""Which of the pushrods that can be had gives a preload inside the lifter's window."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.lists import require_list
from tappetry.engineering.ranges import Metre, OutOfRange, Pure

SAME = 1e-9
"""Lengths that differ by less are one. [m]"""


@dataclass(frozen=True, slots=True)
class PushrodChoice:
    """A length from the list, and the preload that it gives.

    Attributes
    ----------
    pushrod_number : float or ndarray
        Counted from 1. [1]
    chosen_length : float or ndarray
        [m]
    preload : float or ndarray
        [m]
    window_miss : float or ndarray
        0 where the preload lies in the window. [m]
    """

    pushrod_number: Pure
    chosen_length: Metre
    preload: Metre
    window_miss: Metre


def choose_pushrod(
    zero_lash_length: Metre,
    least_preload: Metre,
    greatest_preload: Metre,
    wanted_preload: Metre,
    stock_lengths: Metre,
) -> PushrodChoice:
    r"""The length in stock whose preload lies in the window, nearest to the one that is wanted.

    .. math:: p_k = l_k - l_0,\quad p_{min} \le p_k \le p_{max},\quad \min_k |p_k - p_{wanted}|

    Where none lies in the window, the one that misses it least. Of two that come equally near, the shorter.

    Parameters
    ----------
    zero_lash_length : float or array_like
        l_0, as measured with an adjustable pushrod. [m]
    least_preload, greatest_preload : float or array_like
        p_min and p_max, of the lifter's maker. [m]
    wanted_preload : float or array_like
        Where in the window it should lie. [m]
    stock_lengths : array_like
        l_k, in the convention of the measured one; one dimension. [m]

    Returns
    -------
    PushrodChoice
        Place in the list [1], length, preload and what is missing to the window [m].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the window's ends are the wrong way round.

    Examples
    --------
    >>> found = choose_pushrod(187.0e-3, 0.5e-3, 1.5e-3, 1.0e-3, (187.3e-3, 187.9e-3, 188.2e-3))
    >>> print(found.pushrod_number, round(found.preload * 1e3, 3), found.window_miss)
    2.0 0.9 0.0

    References
    ----------
    .. [1] Search over the list.
    """
    measured = np.asarray(require("zero_lash_length", zero_lash_length))
    least = np.asarray(require("least_preload", least_preload))
    greatest = np.asarray(require("greatest_preload", greatest_preload))
    wanted = np.asarray(require("wanted_preload", wanted_preload))
    lengths = require_list("stock_lengths", stock_lengths)
    if np.any(greatest < least):
        raise OutOfRange(
            "greatest_preload less least_preload",
            float(np.min(greatest - least)),
            "at least 0 m",
            unit="m",
            advice="Give the window from its lower to its upper end",
        )
    preload = lengths - measured[..., np.newaxis]
    miss = np.maximum(least[..., np.newaxis] - preload, preload - greatest[..., np.newaxis])
    miss = np.where(miss > SAME, miss, 0.0)
    rank = (np.round(each / SAME) for each in (miss, np.abs(preload - wanted[..., np.newaxis])))
    shape = np.broadcast_shapes(miss.shape, (*wanted.shape, len(lengths)))
    keys = [np.broadcast_to(each, shape) for each in (lengths, *reversed(list(rank)))]
    chosen = np.lexsort(keys, axis=-1)[..., 0]

    def of_chosen(values: np.ndarray) -> Metre:
        picked = np.take_along_axis(np.broadcast_to(values, shape), chosen[..., np.newaxis], axis=-1)
        return picked[..., 0][()]

    return PushrodChoice(
        pushrod_number=(chosen.astype(np.float64) + 1.0)[()],
        chosen_length=of_chosen(lengths),
        preload=of_chosen(preload),
        window_miss=of_chosen(miss),
    )
