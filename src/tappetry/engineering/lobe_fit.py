"""The power lobe and the cam card: the law that has a card's two durations, and the durations of a law."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import QUANTITIES, require
from tappetry.engineering.ranges import Metre, OutOfRange, Pure, Radian, Real


@dataclass(frozen=True, slots=True)
class LobeShape:
    """The two numbers that shape a power lobe.

    Attributes
    ----------
    lobe_exponent : float or ndarray
        p. [1]
    lobe_half_width : float or ndarray
        b, from the nose to where the lift ends, crank angle. [rad]
    """

    lobe_exponent: Pure
    lobe_half_width: Radian


def _share_of_half_width(height: Real, lobe_lift: Real, lobe_exponent: Real) -> Real:
    """The x at which the law has a height: the inverse of the incomplete beta function."""
    from scipy.special import betainccinv

    q = lobe_exponent - 2.0
    share: Real = betainccinv(2.0 / q, 5.0, height / lobe_lift) ** (1.0 / q)
    return share


def duration_at_height(
    checking_height: Metre, lobe_lift: Metre, lobe_exponent: Pure, lobe_half_width: Radian
) -> Radian:
    r"""Duration of a power lobe above a checking height.

    .. math:: D = 2 b x,\quad y(b x) = h

    Parameters
    ----------
    checking_height : float or array_like
        h, lift at the tappet, below the lobe's lift. [m]
    lobe_lift : float or array_like
        L, the largest lift. [m]
    lobe_exponent : float or array_like
        p, 3.2 to 20. [1]
    lobe_half_width : float or array_like
        b, crank angle from the nose to the end of the lift. [rad]

    Returns
    -------
    float or ndarray
        Crank angle. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the checking height is not below the lift.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(duration_at_height(5.08e-3, 8.763e-3, 5.5053, 167.731 * DEGREE) / DEGREE, 1))
    135.2

    References
    ----------
    .. [1] Inverse of the incomplete beta function (scipy.special), which the law is.
    """
    checking_height = require("checking_height", checking_height)
    lobe_lift = require("lobe_lift", lobe_lift)
    lobe_exponent = require("lobe_exponent", lobe_exponent)
    lobe_half_width = require("lobe_half_width", lobe_half_width)
    _require_below_lift("checking_height", checking_height, lobe_lift)
    return 2.0 * lobe_half_width * _share_of_half_width(checking_height, lobe_lift, lobe_exponent)


def fit_lobe(
    lobe_lift: Metre,
    duration: Radian,
    checking_height: Metre,
    seat_duration: Radian,
    seat_checking_height: Metre,
) -> LobeShape:
    """Exponent and half width of the power lobe that has a card's lift and both its durations.

    Solves y(duration / 2) = checking height and y(seat duration / 2) = seat checking height. The ratio of the
    durations rises with p, so one bracketed root in p = 3.2..20 is the only one; b follows.

    Parameters
    ----------
    lobe_lift : float or array_like
        The largest lift at the tappet. [m]
    duration : float or array_like
        Crank angle above the checking height. [rad]
    checking_height : float or array_like
        The higher of the two heights. [m]
    seat_duration : float or array_like
        Crank angle above the seat checking height. [rad]
    seat_checking_height : float or array_like
        The lower of the two heights. [m]

    Returns
    -------
    LobeShape
        p [1] and b [rad].

    Raises
    ------
    OutOfRange
        An input lies outside its range, the heights do not lie in order below the lift, or the two durations
        belong to no lobe of this law.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> shape = fit_lobe(8.763e-3, 218 * DEGREE, 1.27e-3, 270 * DEGREE, 0.1524e-3)
    >>> print(round(shape.lobe_exponent, 4), round(shape.lobe_half_width / DEGREE, 3))
    5.5053 167.731

    References
    ----------
    .. [1] Bracketed root by Chandrupatla's method (scipy.optimize.elementwise.find_root).
    """
    from scipy.optimize import elementwise

    lobe_lift = require("lobe_lift", lobe_lift)
    duration = require("duration", duration)
    checking_height = require("checking_height", checking_height)
    seat_duration = require("seat_duration", seat_duration)
    seat_checking_height = require("seat_checking_height", seat_checking_height)
    _require_below_lift("checking_height", checking_height, lobe_lift)
    if np.any(seat_checking_height >= checking_height):
        worst = float(np.max(seat_checking_height / checking_height))
        raise OutOfRange(
            "seat_checking_height over checking_height",
            worst,
            "below 1",
            advice="The seat duration is read at the lower height",
        )

    def ratio_of_durations(exponent: Real, lift: Real, height: Real, seat_height: Real) -> Real:
        return _share_of_half_width(height, lift, exponent) / _share_of_half_width(
            seat_height, lift, exponent
        )

    wanted = duration / seat_duration
    limits = QUANTITIES["lobe_exponent"].range
    root = elementwise.find_root(
        lambda exponent, wanted, *heights: ratio_of_durations(exponent, *heights) - wanted,
        (limits.low, limits.high),
        args=(wanted, lobe_lift, checking_height, seat_checking_height),
    )
    if not np.all(root.success):
        at = np.unravel_index(int(np.argmin(root.success)), np.shape(root.success))
        case = [
            float(np.broadcast_to(each, np.shape(root.success))[at])
            for each in (wanted, lobe_lift, checking_height, seat_checking_height)
        ]
        low, high = (float(ratio_of_durations(end, *case[1:])) for end in (limits.low, limits.high))
        raise OutOfRange(
            "duration over seat_duration",
            case[0],
            f"{low:.4f}..{high:.4f}",
            source=f"power lobe of {case[1] * 1e3:.3f} mm lift with p in {limits.text()}",
            advice="Check that both durations are read at the tappet, at the heights given",
            position=tuple(int(index) for index in at),
        )
    half_width = seat_duration / 2.0 / _share_of_half_width(seat_checking_height, lobe_lift, root.x)
    return LobeShape(lobe_exponent=root.x, lobe_half_width=half_width)


def _require_below_lift(name: str, height: Real, lobe_lift: Real) -> None:
    if np.any(height >= lobe_lift):
        raise OutOfRange(
            f"{name} over lobe_lift",
            float(np.max(height / lobe_lift)),
            "below 1",
            advice="A lobe has no duration at or above its own lift; check the units of both",
        )
