"""The lobe: a five-term power law for its lift, and the derivatives of the law by crank angle.

With x the angle from the nose over the half width and q = p - 2, the law's exponents are 2, 2+q, 2+2q, 2+3q
and 2+4q. Its coefficients follow from four zero derivatives where the lift ends; that makes the slope
proportional to x (1 - x^q)^4, and the lift the regularised incomplete beta function I(1 - x^q; 5, 2/q).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Metre,
    MetrePerRadian,
    MetrePerSquareRadian,
    Pure,
    Radian,
    Real,
)

CRANK_PER_CAM = 2.0
"""The crank turns twice while the cam turns once."""


@dataclass(frozen=True, slots=True)
class LobeMotion:
    """Lift of a lobe and its derivatives by crank angle at one angle.

    Attributes
    ----------
    lobe_lift_at_angle : float or ndarray
        Lift above the base circle. [m]
    lobe_velocity_at_angle : float or ndarray
        First derivative; negative after the nose. [m/rad]
    lobe_acceleration_at_angle : float or ndarray
        Second derivative; negative at the nose. [m/rad2]
    """

    lobe_lift_at_angle: Metre
    lobe_velocity_at_angle: MetrePerRadian
    lobe_acceleration_at_angle: MetrePerSquareRadian


def _first_coefficient(lobe_exponent: Real) -> Real:
    """c1, the coefficient of x squared: the product of (1 + 2/(j q)) for j = 1..4."""
    q = lobe_exponent - 2.0
    return (1 + 2 / q) * (1 + 1 / q) * (1 + 2 / (3 * q)) * (1 + 1 / (2 * q))


def _lift(angle_from_nose: Real, lobe_lift: Real, lobe_exponent: Real, lobe_half_width: Real) -> Real:
    """The law itself, for values that are known to lie in range."""
    q = lobe_exponent - 2.0
    x = np.minimum(np.abs(angle_from_nose) / lobe_half_width, 1.0)
    u = x**q
    terms = 1 / 2 - 4 * u / (2 + q) + 6 * u**2 / (2 + 2 * q) - 4 * u**3 / (2 + 3 * q) + u**4 / (2 + 4 * q)
    share = 1.0 - 2.0 * _first_coefficient(lobe_exponent) * x * x * terms
    lift: Real = lobe_lift * np.where(x < 1.0, np.maximum(share, 0.0), 0.0)[()]
    return lift


def lobe_lift_at_angle(
    angle_from_nose: Radian, lobe_lift: Metre, lobe_exponent: Pure, lobe_half_width: Radian
) -> Metre:
    r"""Lift of a power lobe at an angle from its nose.

    .. math:: y = L (1 - \sum_k c_k x^{n_k}),\quad x = |t|/b,\quad c_k = \prod_{j \ne k} n_j/(n_j - n_k)

    with the exponents 2, p, 2p-2, 3p-4 and 4p-6; zero from x = 1 on. The lobe is symmetrical.

    Parameters
    ----------
    angle_from_nose : float or array_like
        t, crank angle from the lobe's centreline. [rad]
    lobe_lift : float or array_like
        L, the largest lift. [m]
    lobe_exponent : float or array_like
        p, 3.2 to 20. [1]
    lobe_half_width : float or array_like
        b, crank angle from the nose to the end of the lift. [rad]

    Returns
    -------
    float or ndarray
        Lift above the base circle. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(lobe_lift_at_angle(60 * DEGREE, 8.763e-3, 5.5053, 167.731 * DEGREE), 6))
    0.005804

    References
    ----------
    .. [1] Coefficients by Lagrange's rule from the five conditions at x = 1; re-derived in the tests.
    """
    return _lift(
        require("angle_from_nose", angle_from_nose),
        require("lobe_lift", lobe_lift),
        require("lobe_exponent", lobe_exponent),
        require("lobe_half_width", lobe_half_width),
    )


def lobe_velocity_at_angle(
    angle_from_nose: Radian, lobe_lift: Metre, lobe_exponent: Pure, lobe_half_width: Radian
) -> MetrePerRadian:
    r"""First derivative of a power lobe's lift by crank angle.

    .. math:: y' = -2 c_1 L x (1 - x^{p-2})^4 \, \mathrm{sign}(t) / b

    Parameters
    ----------
    angle_from_nose : float or array_like
        t, crank angle from the lobe's centreline. [rad]
    lobe_lift : float or array_like
        L, the largest lift. [m]
    lobe_exponent : float or array_like
        p, 3.2 to 20. [1]
    lobe_half_width : float or array_like
        b, crank angle from the nose to the end of the lift. [rad]

    Returns
    -------
    float or ndarray
        Change of lift by crank angle; negative after the nose. [m/rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(lobe_velocity_at_angle(60 * DEGREE, 8.763e-3, 5.5053, 167.731 * DEGREE), 6))
    -0.005264

    References
    ----------
    .. [1] Derivative of the lift; the sum closes to (1 - x^(p-2))^4, checked in the tests.
    """
    angle_from_nose = require("angle_from_nose", angle_from_nose)
    lobe_lift = require("lobe_lift", lobe_lift)
    lobe_exponent = require("lobe_exponent", lobe_exponent)
    lobe_half_width = require("lobe_half_width", lobe_half_width)
    x = np.minimum(np.abs(angle_from_nose) / lobe_half_width, 1.0)
    slope = x * (1.0 - x ** (lobe_exponent - 2.0)) ** 4 * np.sign(angle_from_nose)
    velocity: Real = -2.0 * _first_coefficient(lobe_exponent) * lobe_lift / lobe_half_width * slope
    return velocity


def lobe_acceleration_at_angle(
    angle_from_nose: Radian, lobe_lift: Metre, lobe_exponent: Pure, lobe_half_width: Radian
) -> MetrePerSquareRadian:
    r"""Second derivative of a power lobe's lift by crank angle.

    .. math:: y'' = -2 c_1 L (1 - u)^3 (1 - u - 4 (p - 2) u) / b^2,\quad u = x^{p-2}

    Parameters
    ----------
    angle_from_nose : float or array_like
        t, crank angle from the lobe's centreline. [rad]
    lobe_lift : float or array_like
        L, the largest lift. [m]
    lobe_exponent : float or array_like
        p, 3.2 to 20. [1]
    lobe_half_width : float or array_like
        b, crank angle from the nose to the end of the lift. [rad]

    Returns
    -------
    float or ndarray
        By crank angle squared: multiply by 4 for cam angle, by the crank's speed squared for m/s2. [m/rad2]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(lobe_acceleration_at_angle(0.0, 8.763e-3, 5.5053, 167.731 * DEGREE), 6))
    -0.005614

    References
    ----------
    .. [1] Derivative of the velocity, checked against differences in the tests.
    """
    angle_from_nose = require("angle_from_nose", angle_from_nose)
    lobe_lift = require("lobe_lift", lobe_lift)
    lobe_exponent = require("lobe_exponent", lobe_exponent)
    lobe_half_width = require("lobe_half_width", lobe_half_width)
    q = lobe_exponent - 2.0
    u = np.minimum(np.abs(angle_from_nose) / lobe_half_width, 1.0) ** q
    bend = (1.0 - u) ** 3 * (1.0 - u - 4.0 * q * u)
    acceleration: Real = -2.0 * _first_coefficient(lobe_exponent) * lobe_lift / lobe_half_width**2 * bend
    return acceleration


def lobe_motion(
    angle_from_nose: Radian, lobe_lift: Metre, lobe_exponent: Pure, lobe_half_width: Radian
) -> LobeMotion:
    """Lift, velocity and acceleration of a power lobe at an angle, by crank angle.

    The three functions of the same names in one result; see there for formulas, ranges and errors.
    """
    return LobeMotion(
        lobe_lift_at_angle(angle_from_nose, lobe_lift, lobe_exponent, lobe_half_width),
        lobe_velocity_at_angle(angle_from_nose, lobe_lift, lobe_exponent, lobe_half_width),
        lobe_acceleration_at_angle(angle_from_nose, lobe_lift, lobe_exponent, lobe_half_width),
    )


def nose_acceleration(lobe_lift: Metre, lobe_exponent: Pure, lobe_half_width: Radian) -> MetrePerSquareRadian:
    r"""Second derivative of a power lobe's lift at its nose, by crank angle.

    .. math:: y'' = -2 c_1 L / b^2

    Parameters
    ----------
    lobe_lift : float or array_like
        L, the largest lift. [m]
    lobe_exponent : float or array_like
        p, 3.2 to 20. [1]
    lobe_half_width : float or array_like
        b, crank angle from the nose to the end of the lift. [rad]

    Returns
    -------
    float or ndarray
        Negative: the lobe lets the tappet come to rest at the top. [m/rad2]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(nose_acceleration(8.763e-3, 5.5053, 167.731 * DEGREE), 6))
    -0.005614

    References
    ----------
    .. [1] The lobe's acceleration at angle 0.
    """
    lobe_lift = require("lobe_lift", lobe_lift)
    lobe_exponent = require("lobe_exponent", lobe_exponent)
    lobe_half_width = require("lobe_half_width", lobe_half_width)
    return -2.0 * _first_coefficient(lobe_exponent) * lobe_lift / lobe_half_width**2


def nose_acceleration_estimate(lobe_lift: Metre, seat_duration: Radian) -> MetrePerSquareRadian:
    r"""Nose acceleration of a raised cosine, for a lobe of which only lift and seat duration are known.

    .. math:: y'' = -\frac{L}{2} \left(\frac{2 \pi}{D}\right)^2

    Real lobes are fuller, so the estimate is too large: the speed it gives is about 15 % low.

    Parameters
    ----------
    lobe_lift : float or array_like
        L, the largest lift. [m]
    seat_duration : float or array_like
        D, crank angle. [rad]

    Returns
    -------
    float or ndarray
        Negative, by crank angle squared. [m/rad2]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(nose_acceleration_estimate(8.763e-3, 270 * DEGREE), 6))
    -0.007789

    References
    ----------
    .. [1] Second derivative of (L/2)(1 + cos(2 pi t/D)); textbook kinematics.
    """
    lobe_lift = require("lobe_lift", lobe_lift)
    seat_duration = require("seat_duration", seat_duration)
    return -lobe_lift / 2.0 * (2.0 * math.pi / seat_duration) ** 2
