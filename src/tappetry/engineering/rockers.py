"""Rockers and what stands around them: contact on the valve tip, lash at the lobe, heat, skimming."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Kelvin,
    Metre,
    PerKelvin,
    Pure,
    Radian,
    Range,
    Real,
    require_between,
)


@dataclass(frozen=True, slots=True)
class RockerSweep:
    """Path of a rocker's contact over the valve tip.

    Attributes
    ----------
    sweep_width : float or ndarray
        [m]
    closed_contact : float or ndarray
        [m]
    open_contact : float or ndarray
        [m]
    """

    sweep_width: Metre
    closed_contact: Metre
    open_contact: Metre


@dataclass(frozen=True, slots=True)
class SkimShift:
    """What a skim of deck or head does to the intake flange of a V engine.

    Attributes
    ----------
    face_gap_change : float or ndarray
        [m]
    port_mismatch : float or ndarray
        [m]
    """

    face_gap_change: Metre
    port_mismatch: Metre


def hot_preload_loss(
    engine_expansion: PerKelvin, rod_expansion: PerKelvin, growing_height: Metre, temperature_rise: Kelvin
) -> Metre:
    r"""Lifter preload that is lost because block and head grow away from the pushrod.

    .. math:: (\alpha_e - \alpha_r)\, h\, \Delta T

    Parameters
    ----------
    engine_expansion : float or array_like
        alpha_e. [1/K]
    rod_expansion : float or array_like
        alpha_r. [1/K]
    growing_height : float or array_like
        h, of the metal that grows more than the rod: the head alone on an iron block. [m]
    temperature_rise : float or array_like
        Delta T, from setting to running. [K]

    Returns
    -------
    float or ndarray
        Negative where the rod grows more. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(hot_preload_loss(23e-6, 12e-6, 10 * 0.0254, 80.0) / 0.0254, 4))
    0.0088

    References
    ----------
    .. [1] Thermal expansion, all of it equally warm.
    """
    more = require("engine_expansion", engine_expansion) - require("rod_expansion", rod_expansion)
    return more * require("growing_height", growing_height) * require("temperature_rise", temperature_rise)


def skim_shift(skim: Metre, face_angle: Radian) -> SkimShift:
    r"""How a skim of deck or head moves the head's intake face against the flange of a V engine.

    .. math:: s \cos\alpha,\quad s \sin\alpha

    Parameters
    ----------
    skim : float or array_like
        s, deck and head together, along the bore. [m]
    face_angle : float or array_like
        alpha, from the casting. [rad]

    Returns
    -------
    SkimShift
        Nearer to the flange, and lower along it. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> found = skim_shift(0.5e-3, 80 * DEGREE)
    >>> print(round(found.face_gap_change * 1e3, 3), round(found.port_mismatch * 1e3, 3))
    0.087 0.492

    References
    ----------
    .. [1] Geometry.
    """
    lowered = require("skim", skim)
    angle = require("face_angle", face_angle)
    return SkimShift(face_gap_change=lowered * np.cos(angle), port_mismatch=lowered * np.sin(angle))


def lash_at_lobe(hot_lash: Metre, rocker_ratio: Pure) -> Metre:
    r"""Lift of the lobe that is lost to the lash at the valve.

    .. math:: c / i

    Parameters
    ----------
    hot_lash : float or array_like
        c, at the valve. [m]
    rocker_ratio : float or array_like
        i. [1]

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
    >>> print(round(lash_at_lobe(0.018 * 0.0254, 1.6) / 0.0254, 5))
    0.01125

    References
    ----------
    .. [1] Lever arms.
    """
    return require("hot_lash", hot_lash) / require("rocker_ratio", rocker_ratio)


def rocker_sweep(rocker_arm: Metre, lift_at_valve: Metre, square_lift: Metre) -> RockerSweep:
    r"""How far a rocker's contact wanders over the valve tip, from closed to full lift.

    .. math:: x = \sqrt{a^2 - (y - q)^2} - a,\quad 0 \le y \le L

    Least where the arm stands square to the valve at half lift. A pattern of 2 mm at most, and centred within
    1 mm, is common practice, no source.

    Parameters
    ----------
    rocker_arm : float or array_like
        a, from the rocker's axis to its contact; longer than the lift. [m]
    lift_at_valve : float or array_like
        L. [m]
    square_lift : float or array_like
        q, lift at which the arm stands square to the valve. [m]

    Returns
    -------
    RockerSweep
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the arm is too short for the lift.

    Examples
    --------
    >>> found = rocker_sweep(1.550 * 0.0254, 0.569 * 0.0254, 0.2845 * 0.0254)
    >>> print(round(found.sweep_width / 0.0254, 3))
    0.026

    References
    ----------
    .. [1] Geometry: a circle about the rocker's axis, seen across the valve's; the contact itself is taken
       as a point of the rocker.
    """
    arm = require("rocker_arm", rocker_arm)
    lift = require("lift_at_valve", lift_at_valve)
    square = require("square_lift", square_lift)
    require_between(
        "rocker_arm over reach",
        arm / np.maximum(np.maximum(square, np.abs(lift - square)), 1e-12),
        Range(1.0, math.inf, low_excluded=True),
        source="the arm reaches the valve at every lift",
        advice="Give the arm on the valve's side, not that of the pushrod",
    )
    closed, opened = (np.sqrt(arm**2 - height**2) - arm for height in (square, lift - square))
    inside = (square >= 0.0) & (square <= lift)
    farthest: Real = np.where(inside, 0.0, np.maximum(closed, opened))
    return RockerSweep(
        sweep_width=(farthest - np.minimum(closed, opened))[()], closed_contact=closed, open_contact=opened
    )
