"""Flanks of a lobe that follow a law: how fast and how hard they move the tappet, and how they are curved."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.curvature import path_curvature
from tappetry.engineering.glossary import require
from tappetry.engineering.lobe import CRANK_PER_CAM
from tappetry.engineering.ranges import (
    Metre,
    MetrePerCubicSecond,
    MetrePerRadian,
    MetrePerSecond,
    MetrePerSquareRadian,
    MetrePerSquareSecond,
    Pure,
    Radian,
    RadianPerSecond,
    Real,
)
from tappetry.engineering.rise_laws import rise_motion, rise_peaks

_STEPS = 2000  # places along a flank at which its curvature is looked at, before it is refined


@dataclass(frozen=True, slots=True)
class FlankMotion:
    """The fastest and the hardest moment of a flank.

    Attributes
    ----------
    greatest_velocity : float or ndarray
        [m/s]
    greatest_acceleration : float or ndarray
        [m/s2]
    greatest_jerk : float or ndarray
        Without its sign. [m/s3]
    """

    greatest_velocity: MetrePerSecond
    greatest_acceleration: MetrePerSquareSecond
    greatest_jerk: MetrePerCubicSecond


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


@dataclass(frozen=True, slots=True)
class FlankPosition:
    """A flank at one place of its rise.

    Attributes
    ----------
    flank_lift : float or ndarray
        [m]
    flank_velocity : float or ndarray
        By cam angle. [m/rad]
    flank_acceleration : float or ndarray
        By cam angle. [m/rad2]
    pressure_angle : float or ndarray
        Of a roller. [rad]
    roller_curvature_radius : float or ndarray
        Negative where the lobe is hollow. [m]
    flat_curvature_radius : float or ndarray
        [m]
    """

    flank_lift: Metre
    flank_velocity: MetrePerRadian
    flank_acceleration: MetrePerSquareRadian
    pressure_angle: Radian
    roller_curvature_radius: Metre
    flat_curvature_radius: Metre


def flank_motion(
    lobe_lift: Metre, flank_angle: Radian, engine_speed: RadianPerSecond, rise_law: str
) -> FlankMotion:
    r"""Largest velocity, acceleration and jerk of a tappet on a flank that follows a law.

    .. math:: v = c_v L \frac{\omega}{2 \beta},\quad a = c_a L \left(\frac{\omega}{2 \beta}\right)^2,\quad
        j = c_j L \left(\frac{\omega}{2 \beta}\right)^3

    Parameters
    ----------
    lobe_lift : float or array_like
        L. [m]
    flank_angle : float or array_like
        beta, from where the lift starts to the nose, in degrees of the cam. [rad]
    engine_speed : float or array_like
        omega, of the crank; the cam turns at half of it. [rad/s]
    rise_law : str
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal`, `modified sine` or `modified trapezoid`.

    Returns
    -------
    FlankMotion
        [m/s], [m/s2] and [m/s3].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the law is not known.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = flank_motion(8e-3, 60 * DEGREE, 628.3185, "3-4-5")
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
        greatest_jerk=peaks.peak_jerk * lift * rate**3,
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
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal`, `modified sine` or `modified trapezoid`.

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
    motion = rise_motion(np.linspace(0.0, 1.0, _STEPS + 1), rise_law)
    radius = base + lift * (motion.lift_fraction + motion.rise_acceleration / flank**2)
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
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal`, `modified sine` or `modified trapezoid`.

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
    motion = rise_motion(np.linspace(0.0, 1.0, _STEPS + 1), rise_law)
    reach = base + roller + lift * motion.lift_fraction
    slope, bend = lift * motion.rise_velocity / flank, lift * motion.rise_acceleration / flank**2
    curvature = path_curvature(reach, slope, bend)
    sharpest, place = _least(-curvature)
    aside, _ = _least(-slope / reach)
    return RollerFlank(
        least_curvature_radius=-1.0 / sharpest - roller[..., 0][()],
        least_curvature_at=place,
        greatest_pressure_angle=np.arctan(-aside),
    )


def flank_position(
    rise_fraction: Pure,
    base_circle_diameter: Metre,
    roller_diameter: Metre,
    lobe_lift: Metre,
    flank_angle: Radian,
    rise_law: str,
) -> FlankPosition:
    r"""Lift, derivatives, pressure angle and curvature of a flank at one place of its rise.

    .. math::

        \tan\varphi = \frac{s'}{R},\quad \rho_r = \frac{(R^2 + s'^2)^{3/2}}{R^2 + 2 s'^2 - R s''} - R_r,\quad
        \rho_f = \frac{d_b}{2} + s + s'',\quad R = \frac{d_b}{2} + R_r + s

    Parameters
    ----------
    rise_fraction : float or array_like
        Share of the rise that has passed. [1]
    base_circle_diameter : float or array_like
        d_b. [m]
    roller_diameter : float or array_like
        2 R_r. [m]
    lobe_lift : float or array_like
        The largest lift. [m]
    flank_angle : float or array_like
        From where the lift starts to the nose, in degrees of the cam. [rad]
    rise_law : str
        `3-4-5`, `4-5-6-7`, `harmonic`, `cycloidal`, `modified sine` or `modified trapezoid`.

    Returns
    -------
    FlankPosition
        Derivatives by cam angle.

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the law is not known.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = flank_position(0.5, 38.6e-3, 18e-3, 8.763e-3, 70 * DEGREE, "4-5-6-7")
    >>> print(round(found.flank_lift * 1e3, 4), round(found.pressure_angle / DEGREE, 1))
    4.3815 25.6

    References
    ----------
    .. [1] As in `roller_flank` and `flat_curvature`.
    """
    motion = rise_motion(rise_fraction, rise_law)
    base = require("base_circle_diameter", base_circle_diameter) / 2.0
    roller = require("roller_diameter", roller_diameter) / 2.0
    lift, flank = require("lobe_lift", lobe_lift), require("flank_angle", flank_angle)
    risen = lift * motion.lift_fraction
    slope, bend = lift * motion.rise_velocity / flank, lift * motion.rise_acceleration / flank**2
    reach = base + roller + risen
    curvature = path_curvature(reach, slope, bend)
    with np.errstate(divide="ignore"):
        radius = np.divide(1.0, curvature) - roller
    return FlankPosition(
        flank_lift=risen,
        flank_velocity=slope,
        flank_acceleration=bend,
        pressure_angle=np.arctan(slope / reach),
        roller_curvature_radius=radius,
        flat_curvature_radius=base + risen + bend,
    )
