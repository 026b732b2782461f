"""A lobe made from a cam card with three durations: lift, velocity, acceleration and jerk are continuous.

The law is that of the power lobe with the order of its ends left free: with x the angle from the nose over
the half width and q = p - 2, the slope is proportional to x (1 - x^q)^(m - 1), and the lift is the
regularised incomplete beta function I(1 - x^q; m, 2/q). The power lobe is the one with m = 5.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Metre,
    MetrePerCubicRadian,
    MetrePerRadian,
    MetrePerSquareRadian,
    OutOfRange,
    Pure,
    Radian,
    Real,
)

_ORDERS, _EXPONENTS = (3.01, 60.0), (2.2, 60.0)  # among which a card's lobe is looked for
_MISSED = 1e-9  # share of a duration by which a lobe that was found may miss it


@dataclass(frozen=True, slots=True)
class CardLobe:
    """The three numbers that shape a lobe.

    Attributes
    ----------
    lobe_exponent : float or ndarray
        p. [1]
    end_order : float or ndarray
        m. [1]
    lobe_half_width : float or ndarray
        b, crank angle. [rad]
    """

    lobe_exponent: Pure
    end_order: Pure
    lobe_half_width: Radian


@dataclass(frozen=True, slots=True)
class CardLobeMotion:
    """Lift of the lobe and its derivatives by crank angle.

    Attributes
    ----------
    lobe_lift_at_angle : float or ndarray
        [m]
    lobe_velocity_at_angle : float or ndarray
        [m/rad]
    lobe_acceleration_at_angle : float or ndarray
        [m/rad2]
    lobe_jerk_at_angle : float or ndarray
        [m/rad3]
    """

    lobe_lift_at_angle: Metre
    lobe_velocity_at_angle: MetrePerRadian
    lobe_acceleration_at_angle: MetrePerSquareRadian
    lobe_jerk_at_angle: MetrePerCubicRadian


def _place(share: Real, exponent: Real, order: Real) -> Real:
    """The x at which the lift is a share of the largest."""
    from scipy.special import betainccinv

    q = exponent - 2.0
    place: Real = betainccinv(2.0 / q, order, share) ** (1.0 / q)
    return place


def _root(function: Callable[..., Real], ends: tuple[float, float], values: tuple[Real, ...]) -> Real:
    """Where a rising function is 0 between two ends; the nearer end where it is not."""
    from scipy.optimize import elementwise

    found = elementwise.find_root(function, ends, args=values)
    end = np.where(function(ends[0], *values) > 0.0, *ends)
    root: Real = np.where(found.success, found.x, end)[()]
    return root


def _exponent(order: Real, ratio: Real, low: Real, high: Real) -> Real:
    """The exponent with which the durations at two shares of the lift have a ratio."""
    return _root(
        lambda guess, order, ratio, low, high: _place(high, guess, order) - ratio * _place(low, guess, order),
        _EXPONENTS,
        (order, ratio, low, high),
    )


def _upper_ratio(order: Real, ratio: Real, low: Real, high: Real, top: Real) -> Real:
    """The third duration over the lowest, of the lobe whose second has a ratio to it."""
    exponent = _exponent(order, ratio, low, high)
    return _place(top, exponent, order) / _place(low, exponent, order)


def card_lobe(
    lobe_lift: Metre,
    duration: Radian,
    checking_height: Metre,
    seat_duration: Radian,
    seat_checking_height: Metre,
    upper_duration: Radian,
    upper_checking_height: Metre,
) -> CardLobe:
    r"""The lobe that has a card's lift and all three of its durations.

    .. math:: y = L\, I(1 - x^{p-2}; m, \tfrac{2}{p-2}),\quad y(D_k / 2 b) = h_k

    Parameters
    ----------
    lobe_lift : float or array_like
        L, at the tappet. [m]
    duration : float or array_like
        Crank angle above the checking height. [rad]
    checking_height : float or array_like
        Between the other two. [m]
    seat_duration : float or array_like
        Crank angle above the seat checking height. [rad]
    seat_checking_height : float or array_like
        The lowest. [m]
    upper_duration : float or array_like
        Crank angle above the upper checking height. [rad]
    upper_checking_height : float or array_like
        The highest, below the lift. [m]

    Returns
    -------
    CardLobe
        p and m [1], b [rad].

    Raises
    ------
    OutOfRange
        An input lies outside its range, the heights do not lie in order below the lift, or no lobe of this
        law has all three durations with an exponent in its range; then the upper durations are told that it
        may have.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> card = (8.763e-3, 218 * DEGREE, 1.27e-3, 270 * DEGREE, 0.1524e-3)
    >>> found = card_lobe(*card, 136.035 * DEGREE, 5.08e-3)
    >>> print(round(found.end_order, 1), round(found.lobe_half_width / DEGREE, 1))
    6.0 172.5

    References
    ----------
    .. [1] Inverse of the incomplete beta function (scipy.special); two nested brackets, since the ratio of
       the durations rises with p, and the upper duration with m.
    """
    lift = require("lobe_lift", lobe_lift)
    middle = require("duration", duration)
    height = require("checking_height", checking_height)
    seat = require("seat_duration", seat_duration)
    seat_height = require("seat_checking_height", seat_checking_height)
    upper = require("upper_duration", upper_duration)
    upper_height = require("upper_checking_height", upper_checking_height)
    _require_order(seat_height, height, "seat_checking_height over checking_height")
    _require_order(height, upper_height, "checking_height over upper_checking_height")
    _require_order(upper_height, lift, "upper_checking_height over lobe_lift")
    shares = seat_height / lift, height / lift, upper_height / lift
    ratios = middle / seat, upper / seat
    order = _root(
        lambda guess, middle, upper, *shares: _upper_ratio(guess, middle, *shares) - upper,
        _ORDERS,
        (*ratios, *shares),
    )
    exponent = _exponent(order, ratios[0], *shares[:2])
    half_width = seat / 2.0 / _place(shares[0], exponent, order)
    found = [2.0 * half_width * _place(share, exponent, order) for share in shares[1:]]
    missed = np.maximum(np.abs(found[0] / middle - 1.0), np.abs(found[1] / upper - 1.0))
    if np.any(missed > _MISSED):
        least, greatest = (seat * _upper_ratio(end, ratios[0], *shares) for end in _ORDERS)
        raise _no_lobe(missed, upper, least, greatest)
    return CardLobe(
        lobe_exponent=require("lobe_exponent", exponent), end_order=order, lobe_half_width=half_width
    )


def _require_order(lower: Real, higher: Real, what: str) -> None:
    if np.any(lower >= higher):
        raise OutOfRange(
            what, float(np.max(lower / higher)), "below 1", advice="The heights lie in order below the lift"
        )


def _no_lobe(missed: Real, upper: Real, least: Real, greatest: Real) -> OutOfRange:
    """The refusal of the first card that no lobe of the law has, with what it may have."""
    at = np.unravel_index(int(np.argmax(np.asarray(missed) > _MISSED)), np.shape(missed))
    value, low, high = (
        math.degrees(float(np.broadcast_to(each, np.shape(missed))[at])) for each in (upper, least, greatest)
    )
    return OutOfRange(
        "upper_duration",
        math.radians(value),
        f"{low:.1f}..{high:.1f} degrees beside the other two",
        unit="rad",
        source="lobes of this law",
        advice="Check that all three durations are read at the tappet, at the heights given",
        position=tuple(int(index) for index in at),
    )


def card_lobe_motion(
    angle_from_nose: Radian, lobe_lift: Metre, lobe_exponent: Pure, end_order: Pure, lobe_half_width: Radian
) -> CardLobeMotion:
    r"""Lift of a card's lobe and its first three derivatives, by crank angle.

    .. math:: y' = -\frac{L}{b} \frac{q}{B(2/q, m)}\, x (1 - u)^{m-1}\, \mathrm{sign}(t),\quad
        u = x^q,\quad q = p - 2,\quad x = |t| / b

    Parameters
    ----------
    angle_from_nose : float or array_like
        t, crank angle. [rad]
    lobe_lift : float or array_like
        L. [m]
    lobe_exponent : float or array_like
        p. [1]
    end_order : float or array_like
        m. [1]
    lobe_half_width : float or array_like
        b, crank angle. [rad]

    Returns
    -------
    CardLobeMotion
        Lift [m], derivatives by crank angle [m/rad], [m/rad2], [m/rad3]; all 0 beyond the half width.

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    With m = 5 it is the power lobe:

    >>> from tappetry.engineering.angles import DEGREE
    >>> motion = card_lobe_motion(60 * DEGREE, 8.763e-3, 5.5053, 5.0, 167.731 * DEGREE)
    >>> print(round(motion.lobe_lift_at_angle, 6), round(motion.lobe_velocity_at_angle, 6))
    0.005804 -0.005264

    References
    ----------
    .. [1] Derivatives of the incomplete beta function; checked against differences in the tests.
    """
    from scipy.special import beta, betaincc

    angle = require("angle_from_nose", angle_from_nose)
    lift = require("lobe_lift", lobe_lift)
    q = require("lobe_exponent", lobe_exponent) - 2.0
    order = require("end_order", end_order)
    width = require("lobe_half_width", lobe_half_width)
    x = np.minimum(np.abs(angle) / width, 1.0)
    u = x**q
    left = 1.0 - u
    scale = -lift * q / beta(2.0 / q, order)
    steep = 1.0 - u - (order - 1.0) * q * u
    turn = -q * x ** (q - 1.0) * left ** (order - 3.0)
    jerk = turn * ((order - 2.0) * steep + left * (1.0 + (order - 1.0) * q))
    side = np.sign(angle)
    return CardLobeMotion(
        lobe_lift_at_angle=lift * betaincc(2.0 / q, order, u),
        lobe_velocity_at_angle=scale / width * x * left ** (order - 1.0) * side,
        lobe_acceleration_at_angle=scale / width**2 * left ** (order - 2.0) * steep,
        lobe_jerk_at_angle=scale / width**3 * jerk * side,
    )
