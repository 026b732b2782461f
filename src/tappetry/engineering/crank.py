"""The slider-crank: where the piston stands, how fast it moves, and the volume it sweeps.

The crank angle counts from the piston's own top dead centre, which a positive stop finds; with an offset pin
that is not where the crankpin stands highest.
"""

from __future__ import annotations

import math

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    CubicMetre,
    Metre,
    MetrePerSecond,
    MetrePerSquareSecond,
    Pure,
    Radian,
    RadianPerSecond,
    Range,
    Real,
    require_between,
)


def _require_linkage(stroke: Real, rod_length: Real, pin_offset: Real) -> tuple[Real, Real, Real]:
    """Throw, rod and offset of a crank that can turn right round."""
    throw = require("stroke", stroke) / 2.0
    rod_length = require("rod_length", rod_length)
    pin_offset = require("pin_offset", pin_offset)
    require_between(
        "rod_length over throw and pin_offset",
        rod_length / (throw + np.abs(pin_offset)),
        Range(1.0, math.inf, low_excluded=True),
        source="a shorter rod lets the crank jam",
        advice="Check that the stroke is not taken for the throw, and the units of all three",
    )
    return throw, rod_length, pin_offset


def _crankpin_angle(crank_angle: Real, throw: Real, rod_length: Real, pin_offset: Real) -> Real:
    """Angle of the crankpin from the line through the crank's axis along the bore."""
    angle: Real = crank_angle + np.arcsin(pin_offset / (throw + rod_length))
    return angle


def piston_fall(crank_angle: Radian, stroke: Metre, rod_length: Metre, pin_offset: Metre = 0.0) -> Metre:
    r"""Distance of the piston below its top dead centre, exact.

    .. math::

        s = \sqrt{(l + r)^2 - e^2} - r \cos\varphi - \sqrt{l^2 - (r \sin\varphi - e)^2},\quad
        \varphi = \theta + \arcsin\frac{e}{l + r}

    Parameters
    ----------
    crank_angle : float or array_like
        theta, from the piston's top dead centre in the running direction. [rad]
    stroke : float or array_like
        2 r, twice the throw. [m]
    rod_length : float or array_like
        l, centre to centre. [m]
    pin_offset : float or array_like, optional
        e, positive to the side the crankpin swings to after top dead centre. [m]

    Returns
    -------
    float or ndarray
        Along the bore; 0 at top dead centre. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the rod is too short to let the crank turn.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(piston_fall(90 * DEGREE, 0.092, 0.155), 6))
    0.052983

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 2.5, for e = 0 (from memory; checked against
       the geometry of two circles in the tests).
    """
    crank_angle = require("crank_angle", crank_angle)
    throw, rod_length, pin_offset = _require_linkage(stroke, rod_length, pin_offset)
    pin_angle = _crankpin_angle(crank_angle, throw, rod_length, pin_offset)
    top = np.sqrt((rod_length + throw) ** 2 - pin_offset**2)
    height = throw * np.cos(pin_angle) + np.sqrt(
        rod_length**2 - (throw * np.sin(pin_angle) - pin_offset) ** 2
    )
    fall: Real = np.maximum(top - height, 0.0)
    return fall


def piston_travel(stroke: Metre, rod_length: Metre, pin_offset: Metre = 0.0) -> Metre:
    r"""Distance between the piston's dead centres.

    .. math:: \sqrt{(l + r)^2 - e^2} - \sqrt{(l - r)^2 - e^2}

    Parameters
    ----------
    stroke : float or array_like
        2 r, twice the throw. [m]
    rod_length : float or array_like
        l, centre to centre. [m]
    pin_offset : float or array_like, optional
        e, either way. [m]

    Returns
    -------
    float or ndarray
        The stroke itself where the pin has no offset, a little more where it has. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the rod is too short to let the crank turn.

    Examples
    --------
    >>> print(round(piston_travel(0.092, 0.155, 0.001), 8))
    0.0920021

    References
    ----------
    .. [1] Geometry: crank and rod in line at either end.
    """
    throw, rod_length, pin_offset = _require_linkage(stroke, rod_length, pin_offset)
    travel: Real = np.sqrt((rod_length + throw) ** 2 - pin_offset**2) - np.sqrt(
        (rod_length - throw) ** 2 - pin_offset**2
    )
    return travel


def piston_velocity(
    crank_angle: Radian,
    engine_speed: RadianPerSecond,
    stroke: Metre,
    rod_length: Metre,
    pin_offset: Metre = 0.0,
) -> MetrePerSecond:
    r"""Speed of the piston at a crank angle, downwards positive.

    .. math:: v = \omega r \left(\sin\varphi + \frac{(r \sin\varphi - e) \cos\varphi}
        {\sqrt{l^2 - (r \sin\varphi - e)^2}}\right)

    Parameters
    ----------
    crank_angle : float or array_like
        From the piston's top dead centre in the running direction. [rad]
    engine_speed : float or array_like
        omega, of the crank, constant. [rad/s]
    stroke : float or array_like
        2 r, twice the throw. [m]
    rod_length : float or array_like
        l, centre to centre. [m]
    pin_offset : float or array_like, optional
        e, positive to the side the crankpin swings to after top dead centre. [m]

    Returns
    -------
    float or ndarray
        Downwards positive. [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the rod is too short to let the crank turn.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> print(round(piston_velocity(90 * DEGREE, 628.3185, 0.092, 0.155), 3))
    28.903

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 2.11, for e = 0 (from memory).
    """
    crank_angle = require("crank_angle", crank_angle)
    engine_speed = require("engine_speed", engine_speed)
    throw, rod_length, pin_offset = _require_linkage(stroke, rod_length, pin_offset)
    pin_angle = _crankpin_angle(crank_angle, throw, rod_length, pin_offset)
    aside = throw * np.sin(pin_angle) - pin_offset
    lean = aside * np.cos(pin_angle) / np.sqrt(rod_length**2 - aside**2)
    velocity: Real = engine_speed * throw * (np.sin(pin_angle) + lean)
    return velocity


def piston_acceleration(
    crank_angle: Radian,
    engine_speed: RadianPerSecond,
    stroke: Metre,
    rod_length: Metre,
    pin_offset: Metre = 0.0,
) -> MetrePerSquareSecond:
    r"""Acceleration of the piston at a crank angle and constant speed, downwards positive.

    .. math:: a = \omega^2 r \left(\cos\varphi + \frac{r \cos^2\varphi - x \sin\varphi}{h}
        + \frac{r x^2 \cos^2\varphi}{h^3}\right),\quad x = r \sin\varphi - e,\quad h = \sqrt{l^2 - x^2}

    Parameters
    ----------
    crank_angle : float or array_like
        From the piston's top dead centre in the running direction. [rad]
    engine_speed : float or array_like
        omega, of the crank, constant. [rad/s]
    stroke : float or array_like
        2 r, twice the throw. [m]
    rod_length : float or array_like
        l, centre to centre. [m]
    pin_offset : float or array_like, optional
        e, positive to the side the crankpin swings to after top dead centre. [m]

    Returns
    -------
    float or ndarray
        Positive at top dead centre, where the piston starts down. [m/s2]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the rod is too short to let the crank turn.

    Examples
    --------
    >>> print(round(piston_acceleration(0.0, 680.6784, 0.092, 0.155), 0))
    27638.0

    References
    ----------
    .. [1] Norton, Design of Machinery, exact slider-crank acceleration; at the dead centres
       omega^2 r (1 +- r/l) (from memory; checked against differences in the tests).
    """
    crank_angle = require("crank_angle", crank_angle)
    engine_speed = require("engine_speed", engine_speed)
    throw, rod_length, pin_offset = _require_linkage(stroke, rod_length, pin_offset)
    pin_angle = _crankpin_angle(crank_angle, throw, rod_length, pin_offset)
    sine, cosine = np.sin(pin_angle), np.cos(pin_angle)
    aside = throw * sine - pin_offset
    upright = np.sqrt(rod_length**2 - aside**2)
    lean = (throw * cosine**2 - aside * sine) / upright + throw * aside**2 * cosine**2 / upright**3
    acceleration: Real = engine_speed**2 * throw * (cosine + lean)
    return acceleration


def mean_piston_speed(stroke: Metre, engine_speed: RadianPerSecond) -> MetrePerSecond:
    r"""Mean speed of the piston: two strokes in one turn.

    .. math:: \bar v = s \omega / \pi

    Parameters
    ----------
    stroke : float or array_like
        s. [m]
    engine_speed : float or array_like
        omega, of the crank. [rad/s]

    Returns
    -------
    float or ndarray
        Without sign. [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(mean_piston_speed(0.092, 628.3185), 2))
    18.4

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 2.9 (from memory).
    """
    return require("stroke", stroke) * require("engine_speed", engine_speed) / math.pi


def swept_volume(bore: Metre, stroke: Metre) -> CubicMetre:
    r"""Volume swept by one piston.

    .. math:: V_s = \pi d^2 s / 4

    Parameters
    ----------
    bore : float or array_like
        d. [m]
    stroke : float or array_like
        s. [m]

    Returns
    -------
    float or ndarray
        One cylinder's. [m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(swept_volume(0.099, 0.091) * 1e6, 2))
    700.49

    References
    ----------
    .. [1] Volume of a cylinder.
    """
    return math.pi / 4.0 * require("bore", bore) ** 2 * require("stroke", stroke)


def displacement(bore: Metre, stroke: Metre, cylinders: Pure) -> CubicMetre:
    r"""Volume swept by all pistons.

    .. math:: V = n \pi d^2 s / 4

    Parameters
    ----------
    bore : float or array_like
        d. [m]
    stroke : float or array_like
        s. [m]
    cylinders : float or array_like
        n. [1]

    Returns
    -------
    float or ndarray
        The engine's. [m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(displacement(0.099, 0.091, 8) * 1e6, 1))
    5603.9

    References
    ----------
    .. [1] Volume of a cylinder, times their number.
    """
    return require("cylinders", cylinders) * swept_volume(bore, stroke)
