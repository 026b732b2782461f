"""Where in the stroke a piston is fastest and how fast; its cylinder's volume; angles of rod and crank."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.crank import mean_piston_speed, piston_fall
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    CubicMetre,
    Metre,
    MetrePerSecond,
    Pure,
    Radian,
    RadianPerSecond,
    Range,
    Real,
    require_between,
)


@dataclass(frozen=True, slots=True)
class GreatestSpeed:
    """The largest piston speed by the rod ratio alone.

    Attributes
    ----------
    greatest_speed_ratio : float or ndarray
        [1]
    greatest_speed_angle : float or ndarray
        After top dead centre, and as far before it. [rad]
    """

    greatest_speed_ratio: Pure
    greatest_speed_angle: Radian


@dataclass(frozen=True, slots=True)
class PistonSpeeds:
    """Mean and largest speed of a piston.

    Attributes
    ----------
    mean_piston_speed : float or ndarray
        [m/s]
    greatest_piston_speed : float or ndarray
        [m/s]
    greatest_speed_angle : float or ndarray
        [rad]
    """

    mean_piston_speed: MetrePerSecond
    greatest_piston_speed: MetrePerSecond
    greatest_speed_angle: Radian


def greatest_speed(rod_ratio: Pure) -> GreatestSpeed:
    r"""Largest over mean piston speed, and the crank angle at which it is reached.

    .. math::

        \frac{v}{\bar v} = \frac{\pi}{2} \sin\theta
        \left[1 + \frac{\cos\theta}{\sqrt{R^2 - \sin^2\theta}}\right],
        \quad t^3 - t^2 - t + R^{-2} = 0,\quad \sin^2\theta = R^2 t

    Parameters
    ----------
    rod_ratio : float or array_like
        R, rod over throw: twice the rod over the stroke. [1]

    Returns
    -------
    GreatestSpeed
        Ratio in [1], angle in [rad].

    Raises
    ------
    OutOfRange
        The ratio lies outside its range.

    Examples
    --------
    [1]_ shows about 1.65 near 75 degrees for 3.5:

    >>> from tappetry.engineering.angles import DEGREE
    >>> found = greatest_speed(3.5)
    >>> print(round(found.greatest_speed_ratio, 3), round(found.greatest_speed_angle / DEGREE, 1))
    1.634 75.1

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 2.11 and fig. 2-2 (from memory). That the
       acceleration is 0 there leads to a cubic in the square of the sine, which closes by an arc cosine.
    """
    ratio = require("rod_ratio", rod_ratio)
    share = np.arccos((11.0 - 27.0 / ratio**2) / 16.0) / 3.0
    square = ratio**2 * (1.0 + 4.0 * np.cos(2.0 * math.pi / 3.0 - share)) / 3.0
    angle = np.arcsin(np.sqrt(np.clip(square, 0.0, 1.0)))
    speed: Real = np.sin(angle) * (1.0 + np.cos(angle) / np.sqrt(ratio**2 - np.sin(angle) ** 2))
    return GreatestSpeed(greatest_speed_ratio=math.pi / 2.0 * speed, greatest_speed_angle=angle)


def piston_speeds(stroke: Metre, rod_length: Metre, engine_speed: RadianPerSecond) -> PistonSpeeds:
    r"""Mean and largest speed of a piston whose pin has no offset.

    .. math:: \bar v = s \omega / \pi

    Parameters
    ----------
    stroke : float or array_like
        s. [m]
    rod_length : float or array_like
        Centre to centre; longer than the throw. [m]
    engine_speed : float or array_like
        omega, of the crank. [rad/s]

    Returns
    -------
    PistonSpeeds
        Speeds in [m/s], angle in [rad].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the rod is not longer than the throw.

    Examples
    --------
    >>> found = piston_speeds(0.092, 0.155, 628.3185)
    >>> print(round(found.mean_piston_speed, 2), round(found.greatest_piston_speed, 2))
    18.4 30.16

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eqs. 2.9 and 2.11 (from memory).
    """
    throw = require("stroke", stroke) / 2.0
    mean = mean_piston_speed(stroke, engine_speed)
    fastest = greatest_speed(require("rod_length", rod_length) / throw)
    return PistonSpeeds(
        mean_piston_speed=mean,
        greatest_piston_speed=mean * fastest.greatest_speed_ratio,
        greatest_speed_angle=fastest.greatest_speed_angle,
    )


def cylinder_volume(
    crank_angle: Radian, bore: Metre, stroke: Metre, rod_length: Metre, clearance_volume: CubicMetre
) -> CubicMetre:
    r"""Volume of a cylinder at a crank angle.

    .. math:: V = V_c + \frac{\pi}{4} B^2 s(\theta)

    Parameters
    ----------
    crank_angle : float or array_like
        theta, after top dead centre. [rad]
    bore : float or array_like
        B. [m]
    stroke : float or array_like
        Twice the throw. [m]
    rod_length : float or array_like
        Centre to centre. [m]
    clearance_volume : float or array_like
        V_c, at top dead centre. [m3]

    Returns
    -------
    float or ndarray
        [m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the rod is too short to let the crank turn.

    Examples
    --------
    >>> print(round(cylinder_volume(math.pi / 2, 0.099, 0.091, 0.156, 75.3e-6) * 1e6, 1))
    477.8

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eqs. 2.4 and 2.5 (from memory).
    """
    area = math.pi / 4.0 * require("bore", bore) ** 2
    fall = piston_fall(crank_angle, stroke, rod_length)
    return require("clearance_volume", clearance_volume) + area * fall


def rod_angle(crank_angle: Radian, stroke: Metre, rod_length: Metre) -> Radian:
    r"""How far the connecting rod leans from the bore's axis.

    .. math:: \sin\beta = \frac{r}{l} \sin\theta

    Parameters
    ----------
    crank_angle : float or array_like
        theta, after top dead centre. [rad]
    stroke : float or array_like
        2 r. [m]
    rod_length : float or array_like
        l, longer than the throw. [m]

    Returns
    -------
    float or ndarray
        To the side of the crankpin. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the rod is not longer than the throw.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(rod_angle(90 * DEGREE, 0.091, 0.156) / DEGREE, 2))
    16.96

    References
    ----------
    .. [1] Law of sines.
    """
    turned = require("crank_angle", crank_angle)
    throw, rod = require("stroke", stroke) / 2.0, require("rod_length", rod_length)
    _require_longer(rod, throw)
    lean: Real = np.arcsin(throw / rod * np.sin(turned))
    return lean


def angle_at_fall(piston_fall: Metre, stroke: Metre, rod_length: Metre) -> Radian:
    r"""Crank angle at which a piston has fallen some way from top dead centre.

    .. math:: \cos\theta = \frac{r^2 + h^2 - l^2}{2 r h},\quad h = r + l - s

    Parameters
    ----------
    piston_fall : float or array_like
        s, at most the stroke. [m]
    stroke : float or array_like
        2 r. [m]
    rod_length : float or array_like
        l, longer than the throw. [m]

    Returns
    -------
    float or ndarray
        After top dead centre, and as far before it. [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the rod is not longer than the throw, or the piston does not fall
        so far.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(angle_at_fall(0.052983109, 0.092, 0.155) / DEGREE, 4))
    90.0

    References
    ----------
    .. [1] Law of cosines.
    """
    fall = require("piston_fall", piston_fall)
    whole, rod = require("stroke", stroke), require("rod_length", rod_length)
    throw = whole / 2.0
    _require_longer(rod, throw)
    require_between(
        "piston_fall over stroke",
        fall / whole,
        Range(0.0, 1.0),
        source="the piston falls by the stroke at most",
        advice="Check the units of both",
    )
    height = throw + rod - fall
    cosine = (throw**2 + height**2 - rod**2) / (2.0 * throw * height)
    angle: Real = np.arccos(np.clip(cosine, -1.0, 1.0))
    return angle


def _require_longer(rod_length: Real, throw: Real) -> None:
    require_between(
        "rod_length over throw",
        rod_length / throw,
        Range(1.0, math.inf, low_excluded=True),
        source="a shorter rod lets the crank jam",
        advice="Check that the stroke is not taken for the throw",
    )
