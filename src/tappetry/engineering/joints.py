"""Screwed joints: the bolt's depth in its hole, its load, and what a torque or an angle does to it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Metre,
    Newton,
    NewtonMetre,
    Pascal,
    Pure,
    Radian,
    Range,
    Real,
    SquareMetre,
    require_between,
)


@dataclass(frozen=True, slots=True)
class BoltDepth:
    """A bolt in its hole.

    Attributes
    ----------
    bolt_penetration : float or ndarray
        Bolt below the deck. [m]
    engaged_thread : float or ndarray
        Thread of the hole that the bolt fills; 0 where it does not reach. [m]
    bottom_clearance : float or ndarray
        Hole left below the bolt; negative bottoms early and does not clamp. [m]
    """

    bolt_penetration: Metre
    engaged_thread: Metre
    bottom_clearance: Metre


def bolt_load(stress_area: SquareMetre, bolt_stress: Pascal) -> Newton:
    r"""Load of a bolt at a stress, as its proof or yield load.

    .. math:: F = A_s \sigma

    Parameters
    ----------
    stress_area : float or array_like
        A_s. [m2]
    bolt_stress : float or array_like
        sigma. [Pa]

    Returns
    -------
    float or ndarray
        [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(bolt_load(84.27e-6, 830e6) / 1e3, 1))
    69.9

    References
    ----------
    .. [1] ISO 898-1, proof load.
    """
    return require("stress_area", stress_area) * require("bolt_stress", bolt_stress)


def bolt_depth(
    bolt_length: Metre, clamped_length: Metre, thread_start: Metre, hole_bottom: Metre
) -> BoltDepth:
    r"""Penetration, engaged thread and bottom clearance of a bolt in a blind hole.

    .. math::

        p = l - c,\quad e = \max(0, \min(p, z) - s),\quad g = z - p

    At least 2 diameters of thread in alloy, 1.5 in iron, and 3 mm below the bolt (common practice, no
    source).

    Parameters
    ----------
    bolt_length : float or array_like
        l, under the head. [m]
    clamped_length : float or array_like
        c, head boss, washer and compressed gasket. [m]
    thread_start : float or array_like
        s, first full thread below the deck. [m]
    hole_bottom : float or array_like
        z, below the deck. [m]

    Returns
    -------
    BoltDepth
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the thread starts at or below the bottom of the hole.

    Examples
    --------
    >>> depth = bolt_depth(0.175, 0.092, 0.042, 0.090)
    >>> print(round(depth.engaged_thread * 1e3, 1), round(depth.bottom_clearance * 1e3, 1))
    41.0 7.0

    References
    ----------
    .. [1] Chain of lengths.
    """
    penetration = require("bolt_length", bolt_length) - require("clamped_length", clamped_length)
    start = require("thread_start", thread_start)
    bottom = require("hole_bottom", hole_bottom)
    require_between(
        "hole_bottom less thread_start",
        bottom - start,
        Range(0.0, math.inf, low_excluded=True),
        "m",
        source="the thread lies in the hole",
        advice="Measure both from the deck",
    )
    engaged: Real = np.maximum(np.minimum(penetration, bottom) - start, 0.0)
    return BoltDepth(
        bolt_penetration=penetration, engaged_thread=engaged, bottom_clearance=bottom - penetration
    )


def tension_from_torque(torque: NewtonMetre, nut_factor: Pure, nominal_diameter: Metre) -> Newton:
    r"""Pull in a bolt that a torque makes.

    .. math:: F = T / (K d)

    Torque is a poor measure of clamp, because most of it is friction. A torque belongs to its lubricant.

    Parameters
    ----------
    torque : float or array_like
        T. [N.m]
    nut_factor : float or array_like
        K: about 0.20 dry, 0.15 oiled, 0.13 paste, 0.10 moly (common practice, no source). [1]
    nominal_diameter : float or array_like
        d. [m]

    Returns
    -------
    float or ndarray
        [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(tension_from_torque(120.0, 0.13, 0.012) / 1e3, 1))
    76.9

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 8-27 (from memory); tested by ISO 16047.
    """
    return require("torque", torque) / (
        require("nut_factor", nut_factor) * require("nominal_diameter", nominal_diameter)
    )


def torque_for_tension(bolt_load: Newton, nut_factor: Pure, nominal_diameter: Metre) -> NewtonMetre:
    r"""Torque that makes a pull in a bolt.

    .. math:: T = K d F

    Parameters
    ----------
    bolt_load : float or array_like
        F. [N]
    nut_factor : float or array_like
        K of this thread, head and lubricant. [1]
    nominal_diameter : float or array_like
        d. [m]

    Returns
    -------
    float or ndarray
        [N.m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 3750 lbf in for 25,000 lbf, which is 423.7 N.m:

    >>> print(round(torque_for_tension(111205.5, 0.2, 0.01905), 1))
    423.7

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, example 8-3 (from memory).
    """
    factor = require("nut_factor", nut_factor) * require("nominal_diameter", nominal_diameter)
    return factor * require("bolt_load", bolt_load)


def tightening_travel(tightening_angle: Radian, thread_pitch: Metre) -> Metre:
    r"""Advance of a bolt in an angle after the snug torque: its stretch and the joint's squeeze together.

    .. math:: \delta = P \alpha / 2 \pi

    Parameters
    ----------
    tightening_angle : float or array_like
        alpha. [rad]
    thread_pitch : float or array_like
        P. [m]

    Returns
    -------
    float or ndarray
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(tightening_travel(math.pi, 0.00175) * 1e3, 3))
    0.875

    References
    ----------
    .. [1] Definition of the pitch.
    """
    turns = require("tightening_angle", tightening_angle) / (2.0 * math.pi)
    return turns * require("thread_pitch", thread_pitch)
