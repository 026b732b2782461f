"""A lobe from a table of measured lifts: smoothed so that acceleration and jerk are continuous.

The curve is the periodic one that weighs its distance from the readings against the jerk that it takes. With
readings in even steps round the cam each harmonic stands alone, and is shrunk by 1 / (1 + s k^6). How much is
smoothed, s, is what the readings themselves foretell each other best with (generalised cross-validation).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.curvature import path_curvature
from tappetry.engineering.glossary import require
from tappetry.engineering.lists import require_list, require_pairs
from tappetry.engineering.lobe import CRANK_PER_CAM
from tappetry.engineering.ranges import (
    Metre,
    MetrePerCubicRadian,
    MetrePerRadian,
    MetrePerSquareRadian,
    OutOfRange,
    Pure,
    Radian,
    Range,
    Real,
    require_between,
)

CYCLE = 4.0 * math.pi
"""One turn of the cam. [rad crank]"""

LEAST_READINGS = 24
_FINE = 7200  # places round the cam at which extremes are sought: a tenth of a crank degree
_SMOOTHINGS = 1600


@dataclass(frozen=True, slots=True)
class MeasuredLobe:
    """A smoothed lobe, its doubt and its extremes.

    Attributes
    ----------
    lobe_lift : float
        [m]
    nose_angle : float
        [rad]
    reading_noise : float
        [m]
    worst_residual : float
        [m]
    worst_residual_at : float
        [rad]
    fitted_freedom : float
        [1]
    opening_velocity : float
        [m/rad]
    closing_velocity : float
        [m/rad]
    opening_acceleration : float
        [m/rad2]
    closing_acceleration : float
        [m/rad2]
    least_acceleration : float
        [m/rad2]
    """

    lobe_lift: Metre
    nose_angle: Radian
    reading_noise: Metre
    worst_residual: Metre
    worst_residual_at: Radian
    fitted_freedom: Pure
    opening_velocity: MetrePerRadian
    closing_velocity: MetrePerRadian
    opening_acceleration: MetrePerSquareRadian
    closing_acceleration: MetrePerSquareRadian
    least_acceleration: MetrePerSquareRadian


@dataclass(frozen=True, slots=True)
class MeasuredMotion:
    """A smoothed lobe at one angle of its table.

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


@dataclass(frozen=True, slots=True)
class MeasuredCurvature:
    """How sharply a smoothed lobe is curved at one angle of its table.

    Attributes
    ----------
    roller_curvature_radius : float or ndarray
        [m]
    flat_curvature_radius : float or ndarray
        [m]
    pressure_angle : float or ndarray
        [rad]
    """

    roller_curvature_radius: Metre
    flat_curvature_radius: Metre
    pressure_angle: Radian


@dataclass(frozen=True, slots=True)
class MeasuredFlanks:
    """The two flanks of a smoothed lobe above a height.

    Attributes
    ----------
    duration : float or ndarray
        [rad]
    opening_width : float or ndarray
        [rad]
    closing_width : float or ndarray
        [rad]
    flank_difference : float or ndarray
        [rad]
    """

    duration: Radian
    opening_width: Radian
    closing_width: Radian
    flank_difference: Radian


@dataclass(frozen=True, slots=True)
class _Smooth:
    """Harmonics of a turn of the cam from the first angle on, and what is left of the readings."""

    start: float
    harmonics: NDArray[np.complex128]
    residuals: NDArray[np.float64]
    freedom: float

    def at(self, angle: Real, order: int) -> NDArray[np.float64]:
        """Derivative of an order by crank angle; order 0 is the lift."""
        k = np.arange(len(self.harmonics))
        weights = np.where(k == 0, 1.0, 2.0) * self.harmonics * (1j * k / CRANK_PER_CAM) ** order
        phase = (np.asarray(angle) - self.start)[..., np.newaxis] / CRANK_PER_CAM * k
        return np.real(np.exp(1j * phase) @ weights)

    def all_round(self, order: int) -> NDArray[np.float64]:
        """The same at fine even steps round the cam."""
        k = np.arange(len(self.harmonics))
        spectrum = np.zeros(_FINE // 2 + 1, dtype=np.complex128)
        spectrum[: len(k)] = self.harmonics * (1j * k / CRANK_PER_CAM) ** order
        return np.fft.irfft(spectrum * _FINE, _FINE)


def _smooth(table_angles: Real, table_lifts: Real) -> _Smooth:
    angles = require_list("table_angles", table_angles)
    lifts = require_pairs("table_lifts", table_lifts, "table_angles", angles)
    count = len(angles)
    require_between(
        "number of table_angles",
        float(count),
        Range(LEAST_READINGS, _FINE // 2),
        advice="Read the lift at least every 30 degrees of the crank, all round the cam",
    )
    off = np.abs(np.diff(np.append(angles, angles[0] + CYCLE)) * count / CYCLE - 1.0)
    if off.max() > 1e-5:
        at = int(off.argmax())
        raise OutOfRange(
            "step of table_angles",
            float(np.append(angles, angles[0] + CYCLE)[at + 1] - angles[at]),
            f"{CYCLE / count:.6g} rad, one even step of {count} round the cam",
            unit="rad",
            position=(at,),
            advice="Give two turns of the crank in even steps, base circle included, the first angle once",
        )
    harmonics = np.fft.rfft(lifts) / count
    k = np.arange(len(harmonics), dtype=np.float64)
    weight = np.where((k == 0) | (2 * k == count), 1.0, 2.0)
    power = weight * np.abs(harmonics) ** 2
    # at the least half of the harmonics go half: what is left has to tell the noise
    smoothing = np.logspace(0.0, 16.0, _SMOOTHINGS)[:, np.newaxis] * (4.0 / count) ** 6
    kept = np.where(2 * k == count, 0.0, 1.0 / (1.0 + smoothing * k**6))
    freedom = (weight * kept).sum(axis=1)
    left = ((1.0 - kept) ** 2 * power).sum(axis=1)
    best = int((left / np.maximum(1.0 - freedom / count, 1e-9) ** 2).argmin())
    shrunk = harmonics * kept[best]
    residuals = lifts - np.fft.irfft(shrunk * count, count)
    return _Smooth(float(angles[0]), shrunk, residuals, float(freedom[best]))


def _nose(curve: _Smooth) -> float:
    """Angle of the largest lift: the finest place, then Newton's steps on the slope."""
    angle = curve.start + CYCLE * int(curve.all_round(0).argmax()) / _FINE
    for _ in range(3):
        angle -= float(curve.at(angle, 1)) / float(curve.at(angle, 2))
    return angle


def measured_lobe(table_angles: Radian, table_lifts: Metre) -> MeasuredLobe:
    r"""A lobe from a table of measured lifts, with the noise of the readings and the extremes of its motion.

    .. math:: \min \sum_j (y_j - f(\theta_j))^2 + s \int f'''^2 d\theta,\quad
        \sigma^2 = \frac{\sum_j r_j^2}{n - \nu}

    Parameters
    ----------
    table_angles : array_like
        Even steps round one turn of the cam, crank angle; one dimension. [rad]
    table_lifts : array_like
        y_j, one for each angle. [m]

    Returns
    -------
    MeasuredLobe
        Lengths [m], angles [rad], derivatives by crank angle [m/rad] and [m/rad2].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the angles are not even steps round the cam.

    Examples
    --------
    >>> import numpy as np
    >>> from tappetry.engineering.angles import DEGREE
    >>> from tappetry.engineering.lobe import lobe_lift_at_angle
    >>> angles = np.arange(-360, 360, 4) * DEGREE
    >>> lifts = np.round(lobe_lift_at_angle(angles, 8.763e-3, 5.5053, 167.731 * DEGREE), 5)
    >>> found = measured_lobe(angles, lifts)
    >>> print(round(found.lobe_lift * 1e3, 2), bool(found.reading_noise < 5e-6))
    8.76 True

    References
    ----------
    .. [1] Wahba, Spline Models for Observational Data, chapters 2 and 4: periodic smoothing and generalised
       cross-validation (from memory; tested on lobes with known noise).
    """
    curve = _smooth(table_angles, table_lifts)
    count = len(curve.residuals)
    nose = _nose(curve)
    velocity, acceleration = curve.all_round(1), curve.all_round(2)
    angle = curve.start + CYCLE * np.arange(_FINE) / _FINE
    before = np.mod(angle - nose, CYCLE) > CYCLE / 2.0
    worst = int(np.abs(curve.residuals).argmax())
    return MeasuredLobe(
        lobe_lift=float(curve.at(nose, 0)),
        nose_angle=nose,
        reading_noise=math.sqrt(float((curve.residuals**2).sum()) / (count - curve.freedom)),
        worst_residual=float(curve.residuals[worst]),
        worst_residual_at=curve.start + CYCLE * worst / count,
        fitted_freedom=curve.freedom,
        opening_velocity=float(velocity[before].max()),
        closing_velocity=float(velocity[~before].min()),
        opening_acceleration=float(acceleration[before].max()),
        closing_acceleration=float(acceleration[~before].max()),
        least_acceleration=float(acceleration.min()),
    )


def measured_lobe_motion(table_angle: Radian, table_angles: Radian, table_lifts: Metre) -> MeasuredMotion:
    r"""Lift, velocity, acceleration and jerk of a smoothed lobe at an angle of its table.

    .. math:: f(\theta) = \sum_k \frac{c_k}{1 + s k^6} e^{i k \theta / 2}

    Parameters
    ----------
    table_angle : float or array_like
        Crank angle on the table's scale. [rad]
    table_angles : array_like
        As in `measured_lobe`.
    table_lifts : array_like
        As in `measured_lobe`.

    Returns
    -------
    MeasuredMotion
        By crank angle; all continuous. [m], [m/rad], [m/rad2] and [m/rad3]

    Raises
    ------
    OutOfRange
        As in `measured_lobe`.

    Examples
    --------
    >>> import numpy as np
    >>> angles = np.arange(48) * np.pi / 12
    >>> found = measured_lobe_motion(0.0, angles, 4e-3 * (1 + np.cos(angles / 2)))
    >>> print(round(found.lobe_lift_at_angle * 1e3, 4), round(found.lobe_acceleration_at_angle * 1e3, 4))
    8.0 -1.0

    References
    ----------
    .. [1] As in `measured_lobe`.
    """
    angle = require("table_angle", table_angle)
    curve = _smooth(table_angles, table_lifts)
    return MeasuredMotion(*(curve.at(angle, order)[()] for order in range(4)))


def measured_lobe_curvature(
    table_angle: Radian,
    base_circle_diameter: Metre,
    roller_diameter: Metre,
    table_angles: Radian,
    table_lifts: Metre,
) -> MeasuredCurvature:
    r"""Radius of curvature of a smoothed lobe at an angle of its table, below a roller and a flat tappet.

    .. math:: \rho = \frac{(R^2 + R'^2)^{3/2}}{R^2 + 2 R'^2 - R R''} - R_r,\quad
        \rho_{flat} = \frac{d_b}{2} + f + f'' \quad\text{by cam angle}

    Parameters
    ----------
    table_angle : float or array_like
        Crank angle on the table's scale. [rad]
    base_circle_diameter, roller_diameter : float or array_like
        [m]
    table_angles : array_like
        As in `measured_lobe`.
    table_lifts : array_like
        As in `measured_lobe`, read with that roller, or with a flat tappet for the flat radius.

    Returns
    -------
    MeasuredCurvature
        Radii, negative where hollow or undercut [m], and pressure angle of the roller [rad].

    Raises
    ------
    OutOfRange
        As in `measured_lobe`.

    Examples
    --------
    >>> import numpy as np
    >>> angles = np.arange(48) * np.pi / 12
    >>> lifts = 4e-3 * (1 + np.cos(angles / 2))
    >>> found = measured_lobe_curvature(0.0, 38e-3, 18e-3, angles, lifts)
    >>> print(round(found.flat_curvature_radius * 1e3, 3), round(found.roller_curvature_radius * 1e3, 3))
    23.0 23.4

    References
    ----------
    .. [1] Curvature in polar coordinates of the roller centre's path, less the roller.
    """
    angle = require("table_angle", table_angle)
    base = require("base_circle_diameter", base_circle_diameter) / 2.0
    roller = require("roller_diameter", roller_diameter) / 2.0
    curve = _smooth(table_angles, table_lifts)
    lift, slope, bend = (CRANK_PER_CAM**order * curve.at(angle, order) for order in range(3))
    reach: Any = base + roller + lift
    return MeasuredCurvature(
        roller_curvature_radius=1.0 / path_curvature(reach, slope, bend) - roller,
        flat_curvature_radius=base + lift + bend,
        pressure_angle=np.arctan(np.abs(slope) / reach),
    )


def measured_flanks(checking_height: Metre, table_angles: Radian, table_lifts: Metre) -> MeasuredFlanks:
    r"""Duration of a smoothed lobe above a height, and how unlike its two flanks are.

    .. math:: f(N - w_o) = f(N + w_c) = h,\quad D = w_o + w_c,\quad w_c - w_o

    Parameters
    ----------
    checking_height : float or array_like
        h. [m]
    table_angles : array_like
        As in `measured_lobe`.
    table_lifts : array_like
        As in `measured_lobe`.

    Returns
    -------
    MeasuredFlanks
        Crank angle. [rad]

    Raises
    ------
    OutOfRange
        As in `measured_lobe`, or the height lies above the lobe or in its base circle.

    Examples
    --------
    >>> import numpy as np
    >>> angles = np.arange(48) * np.pi / 12
    >>> found = measured_flanks(4e-3, angles, 4e-3 * (1 + np.cos(angles / 2)))
    >>> print(round(found.duration / np.pi, 4), abs(round(found.flank_difference, 6)))
    2.0 0.0

    References
    ----------
    .. [1] Halving on either side of the nose.
    """
    height = np.asarray(require("checking_height", checking_height))
    curve = _smooth(table_angles, table_lifts)
    nose, fine = _nose(curve), curve.all_round(0)
    require_between(
        "checking_height",
        height,
        Range(max(float(np.min(fine)), 0.0), float(np.max(fine)), low_excluded=True),
        "m",
        source="the lobe as measured",
        advice="Take a height between base circle and nose",
    )
    away = CYCLE / _FINE * np.arange(_FINE, dtype=np.float64)
    widths = []
    for side in (-1.0, 1.0):
        lifts = curve.at(nose + side * away, 0)
        first = (lifts < height[..., np.newaxis]).argmax(axis=-1)
        low, high = away[np.maximum(first - 1, 0)], away[first]
        for _ in range(40):
            middle = (low + high) / 2.0
            above = curve.at(nose + side * middle, 0) >= height
            low, high = np.where(above, middle, low), np.where(above, high, middle)
        widths.append((low + high) / 2.0)
    opening, closing = widths
    return MeasuredFlanks(
        duration=(opening + closing)[()],
        opening_width=opening[()],
        closing_width=closing[()],
        flank_difference=(closing - opening)[()],
    )
