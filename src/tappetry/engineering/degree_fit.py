"""All readings of a degree wheel at once: dead centre, lobe centre and its shift, with uncertainty."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.angles import either_side, middle, once_round
from tappetry.engineering.glossary import require
from tappetry.engineering.lists import require_list, require_pairs
from tappetry.engineering.ranges import Metre, Radian, RadianPerMetre, Range, require_between

UNKNOWNS = 3
"""Dead centre, lobe centre, slope; a stop's angle or a lobe's width takes half of each pair. [1]"""


@dataclass(frozen=True, slots=True)
class DegreeFit:
    """What all readings together say, with standard uncertainties.

    Attributes
    ----------
    dead_centre_reading : float or ndarray
        What the wheel shows at true top dead centre. [rad]
    dead_centre_uncertainty : float or ndarray
        [rad]
    lobe_centre : float or ndarray
        After true top dead centre, at the mean of the heights. [rad]
    lobe_centre_uncertainty : float or ndarray
        Dead centre's included. [rad]
    centre_slope : float or ndarray
        How the centre moves with the height at which it is read. [rad/m]
    centre_slope_uncertainty : float or ndarray
        [rad/m]
    reading_scatter : float or ndarray
        Standard deviation of a reading, from what the fit leaves over; not a number where there are no more
        readings than unknowns. [rad]
    """

    dead_centre_reading: Radian
    dead_centre_uncertainty: Radian
    lobe_centre: Radian
    lobe_centre_uncertainty: Radian
    centre_slope: RadianPerMetre
    centre_slope_uncertainty: RadianPerMetre
    reading_scatter: Radian


def degree_fit(
    first_stop_readings: Radian,
    second_stop_readings: Radian,
    heights: Metre,
    opening_readings: Radian,
    closing_readings: Radian,
    reading_uncertainty: Radian,
) -> DegreeFit:
    r"""Least squares over all readings: dead centre, centre of the lobe, and how the centre moves with lift.

    .. math::

        s_{1,j} = e - q_j,\quad s_{2,j} = e + q_j,\quad
        a_i = e + c + k (h_i - \bar h) - w_i,\quad b_i = e + c + k (h_i - \bar h) + w_i

    The stop's angles q and the lobe's half widths w are free, so that each pair of readings counts by its
    middle, which has half the variance of a reading:

    .. math:: u_e^2 = \frac{\sigma^2}{2 m},\quad u_c^2 = \frac{\sigma^2}{2 n} + u_e^2,\quad
        u_k^2 = \frac{\sigma^2}{2 \sum (h_i - \bar h)^2}

    Parameters
    ----------
    first_stop_readings, second_stop_readings : array_like
        Readings at the positive stop from either side, m of each; one dimension. [rad]
    heights : array_like
        Lifts at which the lobe was read, n of them, not all the same. [m]
    opening_readings, closing_readings : array_like
        What the wheel shows at each height, going up and going down. [rad]
    reading_uncertainty : float or array_like
        sigma, standard uncertainty of one reading. [rad]

    Returns
    -------
    DegreeFit
        Angles in [rad], slopes in [rad/m].

    Raises
    ------
    OutOfRange
        A reading lies outside its range, the lists of a pair differ in length, or the heights are all the
        same.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> import numpy as np
    >>> fit = degree_fit(
    ...     np.array([322.0, 321.9]) * DEGREE,
    ...     np.array([42.0, 42.1]) * DEGREE,
    ...     (1.27e-3, 4e-3, 7e-3),
    ...     np.array([0.0, 38.1, 74.9]) * DEGREE,
    ...     np.array([222.0, 184.0, 147.1]) * DEGREE,
    ...     0.25 * DEGREE,
    ... )
    >>> print(round(fit.lobe_centre / DEGREE, 2), round(fit.lobe_centre_uncertainty / DEGREE, 3))
    109.02 0.161

    References
    ----------
    .. [1] JCGM 100:2008, 5.1 (from memory); linear least squares, tested against the full system.
    """
    first = require_list("first_stop_readings", first_stop_readings)
    second = require_pairs("second_stop_readings", second_stop_readings, "first_stop_readings", first)
    lifts = require_list("heights", heights)
    opening = require_pairs("opening_readings", opening_readings, "heights", lifts)
    closing = require_pairs("closing_readings", closing_readings, "heights", lifts)
    sigma = require("reading_uncertainty", reading_uncertainty)
    spread = lifts - lifts.mean()
    squares = float(spread @ spread)
    require_between(
        "spread of the heights",
        math.sqrt(squares),
        Range(0.0, math.inf, low_excluded=True),
        "m",
        source="one height says nothing of the lobe's two sides",
        advice="Read the lobe at two heights at least",
    )
    stops = np.asarray(middle(first, second))
    centres = opening + once_round(closing - opening) / 2.0
    dead_centre, from_dead_centre = _mean(stops)
    centre, from_centre = _mean(centres)
    slope = float(spread @ from_centre) / squares
    left = from_centre - slope * spread
    freedom = len(stops) + len(centres) - UNKNOWNS
    rest = 2.0 * (from_dead_centre @ from_dead_centre + left @ left)
    scatter = math.sqrt(rest / freedom) if freedom else math.nan
    of_dead_centre = sigma / math.sqrt(2.0 * len(stops))
    each = np.zeros(np.shape(sigma))
    return DegreeFit(
        dead_centre_reading=(once_round(dead_centre) + each)[()],
        dead_centre_uncertainty=of_dead_centre,
        lobe_centre=(once_round(centre - dead_centre) + each)[()],
        lobe_centre_uncertainty=np.hypot(sigma / math.sqrt(2.0 * len(centres)), of_dead_centre),
        centre_slope=(slope + each)[()],
        centre_slope_uncertainty=sigma / math.sqrt(2.0 * squares),
        reading_scatter=(scatter + each)[()],
    )


def _mean(angles: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
    """The mean of angles that lie near each other on a circle, and how far each lies from it."""
    from_first = np.asarray(either_side(angles - angles[0]))
    mean = float(from_first.mean())
    return float(angles[0]) + mean, from_first - mean
