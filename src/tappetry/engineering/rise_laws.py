"""Laws by which a lobe's flank rises: lift, velocity, acceleration and jerk, their peaks, and the curvature.

Laws are written for a lift of 1 over a rise of 1; velocity is then in lifts over the flank's angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.polynomial import Polynomial
from numpy.typing import NDArray

from tappetry.engineering.glossary import require
from tappetry.engineering.lobe import CRANK_PER_CAM
from tappetry.engineering.ranges import (
    Metre,
    MetrePerSecond,
    MetrePerSquareSecond,
    OutOfRange,
    Pure,
    Radian,
    RadianPerSecond,
    Real,
)

_POLYNOMIALS = {
    "3-4-5": Polynomial([0, 0, 0, 10, -15, 6]),
    "4-5-6-7": Polynomial([0, 0, 0, 0, 35, -84, 70, -20]),
}
POLYNOMIAL_LAWS = tuple(_POLYNOMIALS)
"""The laws that are polynomials: continuous in acceleration, the second in jerk as well."""
RISE_LAWS = (*POLYNOMIAL_LAWS, "harmonic", "cycloidal", "modified sine")
"""The laws that are known."""

_STEPS = 2000  # places along a flank at which its curvature is looked at, before it is refined


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


@dataclass(frozen=True, slots=True)
class FlankMotion:
    """The fastest and the hardest moment of a flank.

    Attributes
    ----------
    greatest_velocity : float or ndarray
        [m/s]
    greatest_acceleration : float or ndarray
        [m/s2]
    """

    greatest_velocity: MetrePerSecond
    greatest_acceleration: MetrePerSquareSecond


@dataclass(frozen=True, slots=True)
class FlatCurvature:
    """Where the flank of a lobe with a flat follower is most sharply curved.

    Attributes
    ----------
    least_curvature_radius : float or ndarray
        [m]
    least_curvature_at : float or ndarray
        [1]
    """

    least_curvature_radius: Metre
    least_curvature_at: Pure


@dataclass(frozen=True, slots=True)
class RollerFlank:
    """How sharply the flank of a roller lobe is curved, and how far it pushes aside.

    Attributes
    ----------
    least_curvature_radius : float or ndarray
        [m]
    least_curvature_at : float or ndarray
        [1]
    greatest_pressure_angle : float or ndarray
        [rad]
    """

    least_curvature_radius: Metre
    least_curvature_at: Pure
    greatest_pressure_angle: Radian


def _require_law(rise_law: str) -> None:
    if rise_law not in RISE_LAWS:
        raise OutOfRange(f"rise_law {rise_law!r}", math.nan, f"one of {', '.join(RISE_LAWS)}")


def _law(rise_law: str, order: int, x: Real) -> Real:
    """A derivative of a law, from the lift (0) to the jerk (3)."""
    if rise_law in _POLYNOMIALS:
        found: Real = _POLYNOMIALS[rise_law].deriv(order)(x)
        return found
    if rise_law == "harmonic":
        return (float(order == 0) - math.pi**order * np.cos(math.pi * x + order * math.pi / 2.0)) / 2.0
    if rise_law == "cycloidal":
        return _ramp(order, x) - _sine(order, 2.0 * math.pi, 0.0, x) / (2.0 * math.pi)
    middle = (x >= 0.125) & (x <= 0.875)
    start = np.where(middle, 2.0, np.where(np.asarray(x) > 0.5, 4.0, 0.0)) * float(order == 0)
    ends = _sine(order, 4.0 * math.pi, 0.0, x) / 4.0
    between = 2.25 * _sine(order, 4.0 * math.pi / 3.0, math.pi / 3.0, x)
    wave: Real = start + math.pi * _ramp(order, x) - np.where(middle, between, ends)
    return wave / (4.0 + math.pi)


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
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal` or `modified sine`.

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
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal` or `modified sine`.

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
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal` or `modified sine`.

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
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal` or `modified sine`.

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


def flank_motion(
    lobe_lift: Metre, flank_angle: Radian, engine_speed: RadianPerSecond, rise_law: str
) -> FlankMotion:
    r"""Largest velocity and acceleration of a tappet on a flank that follows a law.

    .. math:: v = c_v L \frac{\omega}{2 \beta},\quad a = c_a L \left(\frac{\omega}{2 \beta}\right)^2

    Parameters
    ----------
    lobe_lift : float or array_like
        L. [m]
    flank_angle : float or array_like
        beta, from where the lift starts to the nose, in degrees of the cam. [rad]
    engine_speed : float or array_like
        omega, of the crank; the cam turns at half of it. [rad/s]
    rise_law : str
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal` or `modified sine`.

    Returns
    -------
    FlankMotion
        [m/s] and [m/s2].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the law is not known.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = flank_motion(8e-3, 60 * DEGREE, 6000 * math.pi / 30, "3-4-5")
    >>> print(round(found.greatest_velocity, 3), round(found.greatest_acceleration))
    4.5 4157

    References
    ----------
    .. [1] Scaling of the law's extremes; Norton, Design of Machinery, table 8-3 (from memory).
    """
    lift = require("lobe_lift", lobe_lift)
    rate = require("engine_speed", engine_speed) / (CRANK_PER_CAM * require("flank_angle", flank_angle))
    peaks = rise_peaks(rise_law)
    return FlankMotion(
        greatest_velocity=peaks.peak_velocity * lift * rate,
        greatest_acceleration=peaks.peak_acceleration * lift * rate**2,
    )


def _least(values: Real) -> tuple[Real, Real]:
    """The least of values along equal steps of the rise, refined by a parabola, and its place."""
    table = np.asarray(values)
    index = table.argmin(axis=-1)
    inner = np.clip(index, 1, _STEPS - 1)[..., np.newaxis]
    before, here, after = (np.take_along_axis(table, inner + step, -1)[..., 0] for step in (-1, 0, 1))
    bend = before - 2.0 * here + after
    shift = np.where(bend > 0.0, (before - after) / np.where(bend > 0.0, 2.0 * bend, 1.0), 0.0)
    within = (index > 0) & (index < _STEPS)
    least = np.where(within, here - (before - after) * shift / 4.0, table.min(axis=-1))
    place = (index + np.where(within, shift, 0.0)) / _STEPS
    return least[()], place[()]


def _along_the_flank(*values: Real) -> list[NDArray[np.float64]]:
    """Values side by side, with room for the places of a flank behind their own shape."""
    return [np.asarray(value)[..., np.newaxis] for value in values]


def flat_curvature(
    base_circle_diameter: Metre, lobe_lift: Metre, flank_angle: Radian, rise_law: str
) -> FlatCurvature:
    r"""Least radius of curvature of a flank with a flat follower.

    .. math:: \rho = \frac{d_b}{2} + s + s'' \quad\text{by cam angle}

    Parameters
    ----------
    base_circle_diameter : float or array_like
        d_b. [m]
    lobe_lift : float or array_like
        L. [m]
    flank_angle : float or array_like
        From where the lift starts to the nose, in degrees of the cam. [rad]
    rise_law : str
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal` or `modified sine`.

    Returns
    -------
    FlatCurvature
        Below 0 the lobe is undercut and cannot be made. [m], and the place on the rise [1].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the law is not known.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(flat_curvature(60e-3, 8e-3, 70 * DEGREE, "3-4-5").least_curvature_radius * 1e3, 3))
    6.499

    References
    ----------
    .. [1] Norton, Cam Design and Manufacturing Handbook, flat-faced follower (from memory).
    """
    base, lift, flank = _along_the_flank(
        require("base_circle_diameter", base_circle_diameter) / 2.0,
        require("lobe_lift", lobe_lift),
        require("flank_angle", flank_angle),
    )
    _require_law(rise_law)
    x = np.linspace(0.0, 1.0, _STEPS + 1)
    radius = base + lift * (_law(rise_law, 0, x) + _law(rise_law, 2, x) / flank**2)
    return FlatCurvature(*_least(radius))


def roller_flank(
    base_circle_diameter: Metre,
    roller_diameter: Metre,
    lobe_lift: Metre,
    flank_angle: Radian,
    rise_law: str,
) -> RollerFlank:
    r"""Least radius of curvature of a roller lobe's flank where it is convex, and its largest pressure angle.

    .. math::

        \rho = \frac{(R^2 + s'^2)^{3/2}}{R^2 + 2 s'^2 - R s''} - R_r,\quad \tan\varphi = \frac{s'}{R},\quad
        R = \frac{d_b}{2} + R_r + s

    The roller moves on a line through the cam's axis.

    Parameters
    ----------
    base_circle_diameter : float or array_like
        d_b. [m]
    roller_diameter : float or array_like
        2 R_r. [m]
    lobe_lift : float or array_like
        L. [m]
    flank_angle : float or array_like
        From where the lift starts to the nose, in degrees of the cam. [rad]
    rise_law : str
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal` or `modified sine`.

    Returns
    -------
    RollerFlank
        Below 0 the lobe is undercut. [m], [1] and [rad].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the law is not known.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = roller_flank(38.6e-3, 18e-3, 8.763e-3, 70 * DEGREE, "4-5-6-7")
    >>> print(round(found.greatest_pressure_angle / DEGREE, 1))
    25.8

    References
    ----------
    .. [1] Curvature of the roller centre's path in polar coordinates, less the roller; Norton, Cam Design and
       Manufacturing Handbook (from memory).
    """
    base, roller, lift, flank = _along_the_flank(
        require("base_circle_diameter", base_circle_diameter) / 2.0,
        require("roller_diameter", roller_diameter) / 2.0,
        require("lobe_lift", lobe_lift),
        require("flank_angle", flank_angle),
    )
    _require_law(rise_law)
    x = np.linspace(0.0, 1.0, _STEPS + 1)
    reach = base + roller + lift * _law(rise_law, 0, x)
    slope = lift * _law(rise_law, 1, x) / flank
    bend = lift * _law(rise_law, 2, x) / flank**2
    curvature = (reach**2 + 2.0 * slope**2 - reach * bend) / (reach**2 + slope**2) ** 1.5
    sharpest, place = _least(-curvature)
    aside, _ = _least(-slope / reach)
    return RollerFlank(
        least_curvature_radius=-1.0 / sharpest - roller[..., 0][()],
        least_curvature_at=place,
        greatest_pressure_angle=np.arctan(-aside),
    )
