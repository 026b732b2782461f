"""The valve train as the valve feels it: lift, the seal below the retainer, moving mass, speed limit."""

from __future__ import annotations

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Kilogram,
    Metre,
    MetrePerSquareRadian,
    Newton,
    Pure,
    RadianPerSecond,
    Range,
    Real,
    require_between,
)


def lift_at_valve(lobe_lift: Metre, rocker_ratio: Pure, hot_lash: Metre = 0.0) -> Metre:
    r"""Largest lift at the valve, without deflection.

    .. math:: L = \max(0, L_{lobe} i - c)

    Parameters
    ----------
    lobe_lift : float or array_like
        L_lobe, at the tappet. [m]
    rocker_ratio : float or array_like
        i, measured; not the number that is stamped on the rocker. [1]
    hot_lash : float or array_like, optional
        c, at the valve; 0 for hydraulic lifters. It is not multiplied by the ratio. [m]

    Returns
    -------
    float or ndarray
        Deflection takes another 2 to 5 % at speed (common practice, no source). [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(lift_at_valve(8.763e-3, 1.65) * 1e3, 3))
    14.459

    References
    ----------
    .. [1] Lever arms.
    """
    lift: Real = np.maximum(
        require("lobe_lift", lobe_lift) * require("rocker_ratio", rocker_ratio)
        - require("hot_lash", hot_lash),
        0.0,
    )
    return lift


def rocker_ratio(valve_lift_measured: Metre, lobe_lift_measured: Metre) -> Pure:
    r"""Rocker ratio from two lifts read at once.

    .. math:: i = L_{valve} / L_{lobe}

    Parameters
    ----------
    valve_lift_measured : float or array_like
        At the valve, solid lifter and light spring, no lash. [m]
    lobe_lift_measured : float or array_like
        At the tappet. [m]

    Returns
    -------
    float or ndarray
        Production rockers vary by 2 % either way (common practice, no source). [1]

    Raises
    ------
    OutOfRange
        A lift lies outside its range, or the ratio outside 0.5..3.

    Examples
    --------
    >>> print(round(rocker_ratio(14.2e-3, 8.763e-3), 3))
    1.62

    References
    ----------
    .. [1] Definition.
    """
    lobe = require("lobe_lift_measured", lobe_lift_measured)
    return require("rocker_ratio", require("valve_lift_measured", valve_lift_measured) / lobe)


def retainer_to_seal(closed_distance: Metre, lift_at_valve: Metre) -> Metre:
    r"""What is left between the retainer and the stem seal at full lift.

    .. math:: m = a - L

    Locks that hold the retainer higher add to the closed distance, a step in the retainer takes from it.
    At least 1.5 mm is common practice, no source.

    Parameters
    ----------
    closed_distance : float or array_like
        a, retainer's underside to the seal's top, valve closed. [m]
    lift_at_valve : float or array_like
        L. [m]

    Returns
    -------
    float or ndarray
        Negative: the retainer crushes the seal. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(retainer_to_seal(16.256e-3, 14.459e-3) * 1e3, 3))
    1.797

    References
    ----------
    .. [1] Chain of lengths.
    """
    return require("closed_distance", closed_distance) - require("lift_at_valve", lift_at_valve)


def equivalent_mass(
    valve_mass: Kilogram,
    retainer_mass: Kilogram,
    lock_mass: Kilogram,
    spring_mass: Kilogram,
    rocker_mass_at_valve: Kilogram,
    pushrod_mass: Kilogram,
    lifter_mass: Kilogram,
    rocker_ratio: Pure,
) -> Kilogram:
    r"""Moving mass as the valve feels it.

    .. math:: m = m_v + m_r + m_l + m_s/3 + m_{rocker} + (m_p + m_t)/i^2

    The cam side moves less than the valve, so its mass is divided by the ratio squared.

    Parameters
    ----------
    valve_mass, retainer_mass : float or array_like
        m_v and m_r. [kg]
    lock_mass : float or array_like
        m_l, both halves. [kg]
    spring_mass : float or array_like
        m_s, the whole spring; a third of it moves. [kg]
    rocker_mass_at_valve : float or array_like
        Moment of inertia over the arm squared. [kg]
    pushrod_mass, lifter_mass : float or array_like
        m_p and m_t. [kg]
    rocker_ratio : float or array_like
        i. [1]

    Returns
    -------
    float or ndarray
        [kg]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(equivalent_mass(0.106, 0.022, 0.005, 0.092, 0.042, 0.052, 0.112, 1.65), 3))
    0.266

    References
    ----------
    .. [1] Equal kinetic energy; a third of a uniform spring's mass is Rayleigh's textbook result.
    """
    cam_side = require("pushrod_mass", pushrod_mass) + require("lifter_mass", lifter_mass)
    return (
        require("valve_mass", valve_mass)
        + require("retainer_mass", retainer_mass)
        + require("lock_mass", lock_mass)
        + require("spring_mass", spring_mass) / 3.0
        + require("rocker_mass_at_valve", rocker_mass_at_valve)
        + cam_side / require("rocker_ratio", rocker_ratio) ** 2
    )


def _deceleration_at_valve(nose_acceleration: Real, rocker_ratio: Real) -> Real:
    """Size of the acceleration at the valve by crank angle squared; it must not be 0."""
    return -require_between(
        "nose_acceleration",
        require("nose_acceleration", nose_acceleration),
        Range(-1.0, -1e-12),
        "m/rad2",
        source="at the nose the lobe slows the valve down",
        advice="It is negative, by crank angle and at the lobe",
    ) * require("rocker_ratio", rocker_ratio)


def separation_speed(
    open_load: Newton, equivalent_mass: Kilogram, nose_acceleration: MetrePerSquareRadian, rocker_ratio: Pure
) -> RadianPerSecond:
    r"""Speed at which the spring can no longer hold the train on the nose.

    .. math:: \omega = \sqrt{\frac{F_o}{m\, i\, |y''|}}

    The train is taken as rigid.

    Parameters
    ----------
    open_load : float or array_like
        F_o, of the spring at full lift. [N]
    equivalent_mass : float or array_like
        m, at the valve. [kg]
    nose_acceleration : float or array_like
        y'', of the lobe by crank angle squared, negative. [m/rad2]
    rocker_ratio : float or array_like
        i. [1]

    Returns
    -------
    float or ndarray
        Of the crank. [rad/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the nose acceleration is not negative.

    Examples
    --------
    >>> from math import pi
    >>> print(round(separation_speed(1475.8, 0.266, -5.614e-3, 1.65) * 30 / pi))
    7390

    References
    ----------
    .. [1] Force is mass times acceleration, at the nose.
    """
    slowing = _deceleration_at_valve(nose_acceleration, rocker_ratio)
    mass = require("equivalent_mass", equivalent_mass)
    speed: Real = (require("open_load", open_load) / (mass * slowing)) ** 0.5
    return speed


def force_at_nose(
    engine_speed: RadianPerSecond,
    equivalent_mass: Kilogram,
    nose_acceleration: MetrePerSquareRadian,
    rocker_ratio: Pure,
) -> Newton:
    r"""Spring load that follows the nose at a speed.

    .. math:: F = m\, i\, |y''|\, \omega^2

    Parameters
    ----------
    engine_speed : float or array_like
        omega, of the crank. [rad/s]
    equivalent_mass : float or array_like
        m, at the valve. [kg]
    nose_acceleration : float or array_like
        y'', of the lobe by crank angle squared, negative. [m/rad2]
    rocker_ratio : float or array_like
        i. [1]

    Returns
    -------
    float or ndarray
        At the valve. [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the nose acceleration is not negative.

    Examples
    --------
    >>> print(round(force_at_nose(680.68, 0.266, -5.614e-3, 1.65) / 4.448222))
    257

    References
    ----------
    .. [1] Force is mass times acceleration, at the nose.
    """
    slowing = _deceleration_at_valve(nose_acceleration, rocker_ratio)
    mass = require("equivalent_mass", equivalent_mass)
    return mass * slowing * require("engine_speed", engine_speed) ** 2


def working_speed(separation_speed: RadianPerSecond, speed_factor: Pure = 0.9) -> RadianPerSecond:
    r"""Highest speed that may be used.

    .. math:: \omega_w = f \omega

    Never above the lifter maker's pump-up limit or the rocker's fatigue limit.

    Parameters
    ----------
    separation_speed : float or array_like
        omega, at which the train parts at the nose. [rad/s]
    speed_factor : float or array_like, optional
        f, 0.9 for a lobe whose data are known, 1 for the raised-cosine estimate, which is low by itself
        (common practice, no source). [1]

    Returns
    -------
    float or ndarray
        Of the crank. [rad/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(working_speed(700.0))
    630.0

    References
    ----------
    .. [1] A margin for bending rods and surging springs; a spin test has the last word.
    """
    return require("speed_factor", speed_factor) * require("separation_speed", separation_speed)
