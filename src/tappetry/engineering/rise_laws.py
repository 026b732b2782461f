"""Laws by which a lobe's flank rises: lift, velocity, acceleration and jerk, their peaks and integrals.

Laws are written for a lift of 1 over a rise of 1; velocity is then in lifts over the flank's angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.polynomial import Polynomial

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import OutOfRange, Pure, Real

_POLYNOMIALS = {
    "3-4-5": Polynomial([0, 0, 0, 10, -15, 6]),
    "4-5-6-7": Polynomial([0, 0, 0, 0, 35, -84, 70, -20]),
}
POLYNOMIAL_LAWS = tuple(_POLYNOMIALS)
"""The laws that are polynomials: continuous in acceleration, the second in jerk as well."""
RISE_LAWS = (*POLYNOMIAL_LAWS, "harmonic", "cycloidal", "modified sine", "modified trapezoid")
"""The laws that are known."""


@dataclass(frozen=True, slots=True)
class RiseMotion:
    """A law at one place of the rise.

    Attributes
    ----------
    lift_fraction : float or ndarray
        [1]
    rise_velocity : float or ndarray
        [1]
    rise_acceleration : float or ndarray
        [1]
    rise_jerk : float or ndarray
        [1]
    """

    lift_fraction: Pure
    rise_velocity: Pure
    rise_acceleration: Pure
    rise_jerk: Pure


@dataclass(frozen=True, slots=True)
class RisePeaks:
    """The extremes of a law.

    Attributes
    ----------
    peak_velocity : float
        [1]
    peak_velocity_at : float
        [1]
    peak_acceleration : float
        [1]
    peak_acceleration_at : float
        [1]
    peak_jerk : float
        Without its sign. [1]
    """

    peak_velocity: Pure
    peak_velocity_at: Pure
    peak_acceleration: Pure
    peak_acceleration_at: Pure
    peak_jerk: Pure


@dataclass(frozen=True, slots=True)
class RiseIntegrals:
    """What a law adds up to over the whole rise.

    Attributes
    ----------
    velocity_integral : float
        [1]
    acceleration_integral : float
        [1]
    mean_lift_fraction : float
        [1]
    """

    velocity_integral: Pure
    acceleration_integral: Pure
    mean_lift_fraction: Pure


def _require_law(rise_law: str) -> None:
    if rise_law not in RISE_LAWS:
        raise OutOfRange(f"rise_law {rise_law!r}", None, f"one of {', '.join(RISE_LAWS)}")


def _law(rise_law: str, order: int, x: Real) -> Real:
    """A derivative of a law, from the lift (0) to the jerk (3)."""
    if rise_law in _POLYNOMIALS:
        found: Real = _POLYNOMIALS[rise_law].deriv(order)(x)
        return found
    if rise_law == "harmonic":
        return (float(order == 0) - math.pi**order * np.cos(math.pi * x + order * math.pi / 2.0)) / 2.0
    if rise_law == "cycloidal":
        return _ramp(order, x) - _sine(order, 2.0 * math.pi, 0.0, x) / (2.0 * math.pi)
    if rise_law == "modified trapezoid":
        return _trapezoid(order, x)
    middle = (x >= 0.125) & (x <= 0.875)
    start = np.where(middle, 2.0, np.where(np.asarray(x) > 0.5, 4.0, 0.0)) * float(order == 0)
    ends = _sine(order, 4.0 * math.pi, 0.0, x) / 4.0
    between = 2.25 * _sine(order, 4.0 * math.pi / 3.0, math.pi / 3.0, x)
    wave: Real = start + math.pi * _ramp(order, x) - np.where(middle, between, ends)
    return wave / (4.0 + math.pi)


def _trapezoid(order: int, x: Real) -> Real:
    """A derivative of the law whose acceleration rises and falls by quarter waves of an eighth each.

    The second half is the first one seen from the end.
    """
    late = np.asarray(x) > 0.5
    y = np.where(late, 1.0 - x, x)
    parts = [np.broadcast_to(part, y.shape) for part in _trapezoid_parts(order, y)]
    half = np.select([y <= 0.125, y <= 0.375], parts[:2], parts[2]) / (2.0 + math.pi)
    mirrored = half * (1.0 if order in (1, 3) else -1.0) + float(order == 0)
    found: Real = np.where(late, mirrored, half)[()]
    return found


def _trapezoid_parts(order: int, y: Real) -> tuple[Real, Real, Real]:
    """The three pieces of the first half: acceleration rising, steady, falling; all times 2 + pi."""
    rate = 4.0 * math.pi
    rising = 2.0 * _ramp(order, y) - _sine(order, rate, 0.0, y) / (2.0 * math.pi)
    steady = (
        4.0 * math.pi * (y - 0.125) ** 2 + 2.0 * y - 1.0 / (2.0 * math.pi),
        8.0 * math.pi * (y - 0.125) + 2.0,
        8.0 * math.pi,
        0.0,
    )[order]
    falling = 2.0 * (1.0 + math.pi) * _ramp(order, y) - _sine(order, rate, -math.pi, y) / (2.0 * math.pi)
    return rising, steady, falling - math.pi / 2.0 * float(order == 0)


def _ramp(order: int, x: Real) -> Real:
    """A derivative of x."""
    return x if order == 0 else float(order == 1)


def _sine(order: int, rate: float, phase: float, x: Real) -> Real:
    """A derivative of the sine of a growing angle."""
    wave: Real = rate**order * np.sin(rate * x + phase + order * math.pi / 2.0)
    return wave


def _peak(rise_law: str, order: int) -> tuple[float, float]:
    """The largest size of a derivative, and the first place where it is reached."""
    places = np.linspace(0.0, 1.0, 9)  # where the waves of the other laws turn
    if rise_law in _POLYNOMIALS:
        roots = _POLYNOMIALS[rise_law].deriv(order + 1).roots()
        real = roots.real[(np.abs(roots.imag) < 1e-9) & (roots.real > 0.0) & (roots.real < 1.0)]
        places = np.sort(np.concatenate(([0.0], real, [1.0])))
    sizes = np.abs(np.array([_law(rise_law, order, float(x)) for x in places]))
    first = int(np.argmax(sizes >= sizes.max() * (1.0 - 1e-9)))
    return float(sizes.max()), float(places[first])


def lift_fraction(rise_fraction: Pure, rise_law: str) -> Pure:
    r"""Share of the lift that a law has reached.

    .. math:: s_{3-4-5} = 10 x^3 - 15 x^4 + 6 x^5,\quad s_{4-5-6-7} = 35 x^4 - 84 x^5 + 70 x^6 - 20 x^7

    Parameters
    ----------
    rise_fraction : float or array_like
        x, share of the rise that has passed. [1]
    rise_law : str
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal`, `modified sine` or `modified trapezoid`.

    Returns
    -------
    float or ndarray
        s. [1]

    Raises
    ------
    OutOfRange
        The share lies outside its range, or the law is not known.

    Examples
    --------
    >>> print(lift_fraction(0.25, "3-4-5"))
    0.103515625

    References
    ----------
    .. [1] Norton, Design of Machinery, chapter 8 (from memory). The polynomials are incomplete beta
       functions I_x(p, p).
    """
    x = require("rise_fraction", rise_fraction)
    _require_law(rise_law)
    return _law(rise_law, 0, x)


def rise_motion(rise_fraction: Pure, rise_law: str) -> RiseMotion:
    r"""Lift of a law and its three derivatives by the share of the rise.

    Times lift over flank angle, over its square and over its cube they are velocity, acceleration and jerk by
    cam angle.

    Parameters
    ----------
    rise_fraction : float or array_like
        x. [1]
    rise_law : str
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal`, `modified sine` or `modified trapezoid`.

    Returns
    -------
    RiseMotion
        [1]

    Raises
    ------
    OutOfRange
        The share lies outside its range, or the law is not known.

    Examples
    --------
    >>> found = rise_motion(1.0, "3-4-5")
    >>> print(found.rise_velocity, found.rise_acceleration, found.rise_jerk)
    0.0 0.0 60.0

    References
    ----------
    .. [1] Norton, Design of Machinery, chapter 8 (from memory); checked against differences in the tests.
    """
    x = require("rise_fraction", rise_fraction)
    _require_law(rise_law)
    return RiseMotion(*(_law(rise_law, order, x) + 0.0 * x for order in range(4)))


def rise_peaks(rise_law: str) -> RisePeaks:
    """Largest velocity, acceleration and jerk of a law, and where they are first reached.

    Parameters
    ----------
    rise_law : str
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal`, `modified sine` or `modified trapezoid`.

    Returns
    -------
    RisePeaks
        In lifts over flank angle, its square and its cube. [1]

    Raises
    ------
    OutOfRange
        The law is not known.

    Examples
    --------
    [1]_ prints 1.875, 5.777 and 60; exact is 10/sqrt(3) = 5.7735:

    >>> found = rise_peaks("3-4-5")
    >>> print(round(found.peak_velocity, 3), round(found.peak_acceleration, 4), round(found.peak_jerk, 6))
    1.875 5.7735 60.0

    References
    ----------
    .. [1] Norton, Design of Machinery, table 8-3 (from memory).
    """
    _require_law(rise_law)
    velocity, velocity_at = _peak(rise_law, 1)
    acceleration, acceleration_at = _peak(rise_law, 2)
    return RisePeaks(velocity, velocity_at, acceleration, acceleration_at, _peak(rise_law, 3)[0])


def rise_integrals(rise_law: str) -> RiseIntegrals:
    r"""Integrals of a law over its rise: what has to come out of any law, and its mean lift.

    .. math:: \int_0^1 s'\,dx = 1,\quad \int_0^1 s''\,dx = 0,\quad \int_0^1 s\,dx

    Parameters
    ----------
    rise_law : str
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal`, `modified sine` or `modified trapezoid`.

    Returns
    -------
    RiseIntegrals
        [1]

    Raises
    ------
    OutOfRange
        The law is not known.

    Examples
    --------
    >>> print(round(rise_integrals("4-5-6-7").mean_lift_fraction, 9))
    0.5

    References
    ----------
    .. [1] Definition; integrated by Gauss's rule, which is exact for the polynomials.
    """
    _require_law(rise_law)
    nodes, weights = np.polynomial.legendre.leggauss(12)
    edges = np.linspace(0.0, 1.0, 9)  # the modified sine changes its form at an eighth
    x = (edges[:-1, np.newaxis] + (nodes + 1.0) / 16.0).ravel()
    lift, velocity, acceleration = (
        float(np.tile(weights, 8) @ np.asarray(_law(rise_law, order, x))) / 16.0 for order in range(3)
    )
    return RiseIntegrals(velocity, acceleration, lift)
