"""Dead centres of an offset pin, and the piston's acceleration by the orders of the crank."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.crank import piston_travel
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Metre,
    MetrePerSquareSecond,
    Radian,
    RadianPerSecond,
    Range,
    Real,
    require_between,
)


@dataclass(frozen=True, slots=True)
class DeadCentres:
    """Where the dead centres of a piston lie.

    Attributes
    ----------
    pin_angle_at_top : float or ndarray
        Crankpin past the bore's line, 0 without an offset. [rad]
    bottom_centre_angle : float or ndarray
        From the piston's top to its bottom dead centre, half a turn without an offset. [rad]
    piston_travel : float or ndarray
        [m]
    """

    pin_angle_at_top: Radian
    bottom_centre_angle: Radian
    piston_travel: Metre


@dataclass(frozen=True, slots=True)
class AccelerationOrders:
    """The acceleration of a piston by the orders of the crank.

    Attributes
    ----------
    primary_acceleration : float or ndarray
        [m/s2]
    secondary_acceleration : float or ndarray
        [m/s2]
    approximate_acceleration : float or ndarray
        Both together. [m/s2]
    """

    primary_acceleration: MetrePerSquareSecond
    secondary_acceleration: MetrePerSquareSecond
    approximate_acceleration: MetrePerSquareSecond


def dead_centres(stroke: Metre, rod_length: Metre, pin_offset: Metre) -> DeadCentres:
    r"""Where the piston of an offset pin turns round.

    .. math:: \varphi_t = \arcsin\frac{e}{l + r},\quad
        \theta_b = \pi + \arcsin\frac{e}{l - r} - \arcsin\frac{e}{l + r}

    Parameters
    ----------
    stroke : float or array_like
        2 r, twice the throw. [m]
    rod_length : float or array_like
        l, centre to centre. [m]
    pin_offset : float or array_like
        e, positive to the side the crankpin swings to after top dead centre. [m]

    Returns
    -------
    DeadCentres
        Angles in [rad], travel in [m].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the rod is too short to let the crank turn.

    Examples
    --------
    >>> found = dead_centres(0.092, 0.155, 0.001)
    >>> print(round(math.degrees(found.pin_angle_at_top), 3))
    0.285
    >>> print(round(math.degrees(found.bottom_centre_angle), 3))
    180.241

    References
    ----------
    .. [1] Geometry: crank and rod in line at either end.
    """
    travel = piston_travel(stroke, rod_length, pin_offset)
    throw = require("stroke", stroke) / 2.0
    rod, offset = require("rod_length", rod_length), require("pin_offset", pin_offset)
    top: Real = np.arcsin(offset / (rod + throw))
    return DeadCentres(
        pin_angle_at_top=top,
        bottom_centre_angle=math.pi + np.arcsin(offset / (rod - throw)) - top,
        piston_travel=travel,
    )


def acceleration_orders(
    crank_angle: Radian, engine_speed: RadianPerSecond, stroke: Metre, rod_length: Metre
) -> AccelerationOrders:
    r"""Acceleration of the piston by the first two orders of the crank, downwards positive.

    .. math:: a \approx \omega^2 r \left(\cos\theta + \frac{r}{l} \cos 2\theta\right)

    Exact at the dead centres; elsewhere short of the exact acceleration by the higher orders.

    Parameters
    ----------
    crank_angle : float or array_like
        theta, from top dead centre. [rad]
    engine_speed : float or array_like
        omega, of the crank, constant. [rad/s]
    stroke : float or array_like
        2 r, twice the throw. [m]
    rod_length : float or array_like
        l, centre to centre. [m]

    Returns
    -------
    AccelerationOrders
        [m/s2]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the rod is not longer than the throw.

    Examples
    --------
    >>> found = acceleration_orders(0.0, 680.6784, 0.092, 0.155)
    >>> print(round(found.primary_acceleration), round(found.approximate_acceleration))
    21313 27638

    References
    ----------
    .. [1] Norton, Design of Machinery, slider-crank by a binomial series (from memory; beside the exact
       acceleration in the tests).
    """
    angle = require("crank_angle", crank_angle)
    throw = require("stroke", stroke) / 2.0
    lean = throw / require("rod_length", rod_length)
    require_between(
        "throw over rod_length",
        lean,
        Range(0.0, 1.0),
        source="a shorter rod lets the crank jam",
        advice="Check that the stroke is not taken for the throw, and the units of both",
    )
    scale: Real = require("engine_speed", engine_speed) ** 2 * throw
    primary, secondary = scale * np.cos(angle), scale * lean * np.cos(2.0 * angle)
    return AccelerationOrders(primary, secondary, primary + secondary)
