"""Lobes whose flanks follow a polynomial law: how long they stay above a lift."""

from __future__ import annotations

from dataclasses import dataclass

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, OutOfRange, Radian, Range, Real, require_between
from tappetry.engineering.rise_laws import POLYNOMIAL_LAWS

_ENDS = dict(zip(POLYNOMIAL_LAWS, (3, 4), strict=True))
"""The power with which the rise begins; as many derivatives vanish, less one."""


@dataclass(frozen=True, slots=True)
class PolynomialDurations:
    """How long a symmetrical polynomial lobe is open.

    Attributes
    ----------
    whole_duration : float or ndarray
        From where the lift starts to where it ends. [rad]
    duration : float or ndarray
        Above the checking height. [rad]
    """

    whole_duration: Radian
    duration: Radian


def _power(rise_law: str) -> int:
    if rise_law not in _ENDS:
        raise OutOfRange(f"rise_law {rise_law!r}", None, f"one of {', '.join(POLYNOMIAL_LAWS)}")
    return _ENDS[rise_law]


def polynomial_durations(
    checking_height: Metre, lobe_lift: Metre, flank_angle: Radian, rise_law: str
) -> PolynomialDurations:
    r"""Durations of a symmetrical lobe without dwell whose flanks follow a polynomial law.

    .. math:: D = 4 \beta (1 - x),\quad s(x) = h / L

    Parameters
    ----------
    checking_height : float or array_like
        h, below the lobe's lift. [m]
    lobe_lift : float or array_like
        L. [m]
    flank_angle : float or array_like
        beta, from where the lift starts to the nose, in degrees of the cam. [rad]
    rise_law : str
        `3-4-5` or `4-5-6-7`.

    Returns
    -------
    PolynomialDurations
        In degrees of the crank, which are twice those of the cam. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the checking height is not below the lift, or the law is not known.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = polynomial_durations(1.27e-3, 8.128e-3, 70 * DEGREE, "3-4-5")
    >>> print(round(found.whole_duration / DEGREE, 6), round(found.duration / DEGREE, 3))
    280.0 197.46

    References
    ----------
    .. [1] Inverse of the incomplete beta function, which the laws are.
    """
    from scipy.special import betaincinv

    power = _power(rise_law)
    height = require("checking_height", checking_height)
    lift = require("lobe_lift", lobe_lift)
    require_between(
        "checking_height over lobe_lift",
        height / lift,
        Range(0.0, 1.0),
        source="the lobe does not reach the checking height",
        advice="Check the units of both",
    )
    whole: Real = 4.0 * require("flank_angle", flank_angle)
    return PolynomialDurations(
        whole_duration=whole, duration=whole * (1.0 - betaincinv(power, power, height / lift))
    )
