"""Shims under a valve spring: the fewest from the shelf that bring each height into its band."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations_with_replacement

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, OutOfRange, Pure

MOST_SHIMS = 2
"""Never more than two shims under a spring (common practice, no source)."""

SAME = 1e-9
"""Heights that differ by less than this share of themselves are the same height on paper. [1]"""


@dataclass(frozen=True, slots=True)
class ShimStack:
    """The shims of one spring, or of an array of springs.

    Attributes
    ----------
    shim_count : float or ndarray
        None, one or two. [1]
    first_shim, second_shim : float or ndarray
        Thicknesses, the thicker first; 0 where there is none. [m]
    shim_thickness : float or ndarray
        Both together. [m]
    installed_height : float or ndarray
        What they leave. [m]
    """

    shim_count: Pure
    first_shim: Metre
    second_shim: Metre
    shim_thickness: Metre
    installed_height: Metre


def shim_stack(
    reference_height: Metre, least_height: Metre, greatest_height: Metre, shelf: Metre
) -> ShimStack:
    r"""Choose the shims that bring a measured height into a band.

    .. math:: h_{least} \le h_{ref} - t_1 - t_2 \le h_{greatest}

    The fewest shims, and of equal numbers the thinnest stack; never more than two. Two shims of one thickness
    may lie on each other. Recheck coil bind at the height that comes out.

    Parameters
    ----------
    reference_height : float or array_like
        Height measured without shims, one per valve. [m]
    least_height, greatest_height : float or array_like
        Ends of the band, both allowed. [m]
    shelf : array_like
        Thicknesses that can be had, one dimension. [m]

    Returns
    -------
    ShimStack
        One stack for each height.

    Raises
    ------
    OutOfRange
        An input lies outside its range, the band is upside down, the height is already below the band, or no
        stack of at most two ends in the band.

    Examples
    --------
    >>> stack = shim_stack(46.279e-3, 45.339e-3, 45.847e-3, (0.381e-3, 0.762e-3, 1.524e-3))
    >>> print(stack.shim_count, round(stack.installed_height * 1e3, 3))
    1.0 45.517

    References
    ----------
    .. [1] Search over all stacks of the shelf.
    """
    height = np.asarray(require("reference_height", reference_height))
    low = np.asarray(require("least_height", least_height))
    high = np.asarray(require("greatest_height", greatest_height))
    if np.any(low > high):
        worst = float(np.max(low / high))
        raise OutOfRange("least_height over greatest_height", worst, "at most 1", advice="Exchange the two")
    stacks = np.array(_stacks(np.unique(require("shelf", shelf))))
    left = height[..., np.newaxis] - stacks.sum(axis=1)
    slack = SAME * height[..., np.newaxis]
    fits = (left >= low[..., np.newaxis] - slack) & (left <= high[..., np.newaxis] + slack)
    if not fits.any(axis=-1).all():
        raise _no_stack(height, low, high, left, fits)
    chosen = stacks[fits.argmax(axis=-1)]
    first, second = chosen[..., 0], chosen[..., 1]
    return ShimStack(
        shim_count=(np.sign(first) + np.sign(second))[()],
        first_shim=first[()],
        second_shim=second[()],
        shim_thickness=(first + second)[()],
        installed_height=(height - first - second)[()],
    )


def _stacks(shelf: NDArray[np.float64]) -> list[tuple[float, ...]]:
    """Every stack, the thicker shim first, in the order in which they are preferred."""
    found = [
        (*sorted(stack, reverse=True), *(0.0,) * (MOST_SHIMS - count))
        for count in range(MOST_SHIMS + 1)
        for stack in combinations_with_replacement(shelf, count)
    ]
    return sorted(found, key=lambda stack: (sum(shim > 0.0 for shim in stack), sum(stack)))


def _no_stack(
    height: NDArray[np.float64],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    left: NDArray[np.float64],
    fits: NDArray[np.bool_],
) -> OutOfRange:
    """The refusal for the first height that no stack brings into its band, with the nearest miss."""
    shape = fits.shape[:-1]
    at = np.unravel_index(int(np.argmin(fits.any(axis=-1))), shape)
    lowest = float(np.broadcast_to(low, shape)[at])
    highest = float(np.broadcast_to(high, shape)[at])
    reached = np.broadcast_to(left, fits.shape)[at]
    miss = np.maximum(lowest - reached, reached - highest)
    nearest = float(reached[miss.argmin()])
    advice = f"The nearest that two shims of the shelf come to is {nearest * 1e3:.3f} mm"
    if float(np.broadcast_to(height, shape)[at]) < lowest:
        advice = "Shims only make it shorter: use a thinner seat, or locks or a retainer that stand higher"
    return OutOfRange(
        "reference_height",
        float(np.broadcast_to(height, shape)[at]),
        f"brought into {lowest:g}..{highest:g} m by at most {MOST_SHIMS} shims",
        unit="m",
        advice=advice,
        position=tuple(int(index) for index in at),
    )
