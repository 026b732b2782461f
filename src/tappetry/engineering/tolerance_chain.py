"""Tolerances of a chain of sizes: at worst, and as likely as not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.lists import require_list
from tappetry.engineering.ranges import Pure


@dataclass(frozen=True, slots=True)
class ToleranceStack:
    """Half widths of a chain of sizes.

    Attributes
    ----------
    worst_stack : float
        Every size at its worst. [1]
    likely_stack : float
        Root of the sum of squares. [1]
    """

    worst_stack: Pure
    likely_stack: Pure


def tolerance_stack(tolerances: Pure) -> ToleranceStack:
    r"""Tolerance of a chain of sizes that add up or are taken off.

    .. math:: t_{worst} = \sum t_i,\quad t_{likely} = \sqrt{\sum t_i^2}

    Parameters
    ----------
    tolerances : array_like
        t_i, half widths; one dimension. [1]

    Returns
    -------
    ToleranceStack
        In the unit of the sizes. [1]

    Raises
    ------
    OutOfRange
        A tolerance lies outside its range.

    Examples
    --------
    >>> found = tolerance_stack((0.03, 0.04, 0.12))
    >>> print(round(found.worst_stack, 2), round(found.likely_stack, 2))
    0.19 0.13

    References
    ----------
    .. [1] Definition; the root of squares is for sizes that share nothing and lie as often high as low.
    """
    parts = require_list("tolerances", tolerances)
    return ToleranceStack(worst_stack=parts.sum(axis=0), likely_stack=np.sqrt((parts**2).sum(axis=0)))
