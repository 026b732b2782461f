"""Pushrods: the length after changes to the engine, the preload they leave, and how much they carry."""

from __future__ import annotations

import math

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.materials import STEEL_MODULUS
from tappetry.engineering.ranges import (
    Metre,
    Newton,
    OutOfRange,
    Pascal,
    Pure,
    Radian,
    Real,
)
from tappetry.engineering.sections import tube_section


def pushrod_length(
    reference_length: Metre,
    reference_base_circle_diameter: Metre,
    base_circle_diameter: Metre,
    gasket_change: Metre = 0.0,
    skim: Metre = 0.0,
    lifter_bore_angle: Radian = 0.0,
    pedestal_rise: Metre = 0.0,
    valve_tip_rise: Metre = 0.0,
    rocker_ratio: Pure | None = None,
    cup_offset: Metre = 0.0,
    preload_change: Metre = 0.0,
) -> Metre:
    r"""Pushrod length after changes, from a length whose preload is known.

    .. math::

        l = l_{ref} + \frac{d_{ref} - d}{2} + (\Delta_{gasket} - \Delta_{skim}) \cos\beta
        + \Delta_{pedestal} (1 + 1/i) - \Delta_{tip} / i - \Delta_{cup} + \Delta_{preload}

    It predicts. The length that is ordered is measured, in the convention that the maker states.

    Parameters
    ----------
    reference_length : float or array_like
        l_ref, in the same convention as the result. [m]
    reference_base_circle_diameter : float or array_like
        Of the cam that the reference length belongs to. [m]
    base_circle_diameter : float or array_like
        d, of the cam to be fitted. [m]
    gasket_change : float or array_like, optional
        Head gasket thicker than before, compressed. [m]
    skim : float or array_like, optional
        Taken off deck and head face together. [m]
    lifter_bore_angle : float or array_like, optional
        beta, between lifter bore and cylinder axis. [rad]
    pedestal_rise : float or array_like, optional
        Rocker pedestal higher, bolt-down rockers. [m]
    valve_tip_rise : float or array_like, optional
        Valve tip higher, as after a seat cut. [m]
    rocker_ratio : float or array_like, optional
        i; needed where pedestal or tip change. [1]
    cup_offset : float or array_like, optional
        Pushrod cup of the lifter higher. [m]
    preload_change : float or array_like, optional
        More preload wanted. [m]

    Returns
    -------
    float or ndarray
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or a pedestal or tip changes and no rocker ratio is given.

    Examples
    --------
    >>> print(round(pushrod_length(0.18796, 0.040, 0.0386) / 0.0254, 4))
    7.4276

    References
    ----------
    .. [1] Chain of lengths over a lever whose pivot stands still. A gasket lifts the head as a skim lowers
       it, so the angle counts for both.
    """
    pedestal_rise = require("pedestal_rise", pedestal_rise)
    valve_tip_rise = require("valve_tip_rise", valve_tip_rise)
    rocker_side: Real = 0.0
    if rocker_ratio is not None:
        arm = 1.0 / require("rocker_ratio", rocker_ratio)
        rocker_side = pedestal_rise * (1.0 + arm) - valve_tip_rise * arm
    elif np.any(pedestal_rise) or np.any(valve_tip_rise):
        raise OutOfRange(
            "rocker_ratio",
            None,
            "given",
            advice="Pedestal and tip move the rod through the rocker",
        )
    reference = require("reference_base_circle_diameter", reference_base_circle_diameter)
    head_rise = require("gasket_change", gasket_change) - require("skim", skim)
    return (
        require("reference_length", reference_length)
        + (reference - require("base_circle_diameter", base_circle_diameter)) / 2.0
        + head_rise * np.cos(require("lifter_bore_angle", lifter_bore_angle))
        + rocker_side
        - require("cup_offset", cup_offset)
        + require("preload_change", preload_change)
    )


def preload(pushrod_length: Metre, required_length: Metre, wanted_preload: Metre) -> Metre:
    r"""Lifter preload that a pushrod of some length gives.

    .. math:: p = p_{wanted} + l - l_{required}

    Parameters
    ----------
    pushrod_length : float or array_like
        l, of the rod that is fitted. [m]
    required_length : float or array_like
        Length that gives the wanted preload, in the same convention. [m]
    wanted_preload : float or array_like
        Preload that belongs to the required length. [m]

    Returns
    -------
    float or ndarray
        Negative: there is a gap and the lifter ticks. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(preload(7.425 * 0.0254, 7.4276 * 0.0254, 0.080 * 0.0254) / 0.0254, 4))
    0.0774

    References
    ----------
    .. [1] Chain of lengths.
    """
    spare = require("pushrod_length", pushrod_length) - require("required_length", required_length)
    return require("wanted_preload", wanted_preload) + spare


def preload_from_turns(turns: Pure, thread_pitch: Metre, rocker_ratio: Pure) -> Metre:
    r"""Preload from the turns of a bolt-down rocker's bolt, zero lash to final torque.

    .. math:: p = n P (1 + 1/i)

    The valve tip is the fixed pivot, so the cup goes down by more than the bolt does. A quarter turn is about
    0.5 mm: good for acceptance, not for choosing a rod.

    Parameters
    ----------
    turns : float or array_like
        n. [1]
    thread_pitch : float or array_like
        P. [m]
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
    >>> print(round(preload_from_turns(1.0, 1.25e-3, 1.65) * 1e3, 3))
    2.008

    References
    ----------
    .. [1] Lever with the valve tip as pivot.
    """
    lever = 1.0 + 1.0 / require("rocker_ratio", rocker_ratio)
    return require("turns", turns) * require("thread_pitch", thread_pitch) * lever


def pushrod_buckling_load(
    outside_diameter: Metre,
    wall_thickness: Metre,
    pushrod_length: Metre,
    elastic_modulus: Pascal = STEEL_MODULUS,
) -> Newton:
    r"""Load at which a slender pushrod with ball ends buckles.

    .. math:: P = \pi^2 E I / l^2

    A stocky rod yields first: use `pushrod_column_load` where the yield strength is known. At least 2.5 times
    the load is common practice, no source.

    Parameters
    ----------
    outside_diameter : float or array_like
        [m]
    wall_thickness : float or array_like
        Of the tube; half the diameter for a solid rod. [m]
    pushrod_length : float or array_like
        l. [m]
    elastic_modulus : float or array_like, optional
        E. [Pa]

    Returns
    -------
    float or ndarray
        [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the wall is thicker than half the diameter.

    Examples
    --------
    >>> print(round(pushrod_buckling_load(8.0e-3, 2.0e-3, 0.188595) / 4.448222, -1))
    2430.0

    References
    ----------
    .. [1] Euler's column with pinned ends; Shigley's Mechanical Engineering Design, eq. 4-42 (from memory).
    """
    _, second_moment = tube_section(outside_diameter, wall_thickness)
    stiffness = math.pi**2 * require("elastic_modulus", elastic_modulus) * second_moment
    return stiffness / require("pushrod_length", pushrod_length) ** 2


def pushrod_column_load(
    outside_diameter: Metre,
    wall_thickness: Metre,
    pushrod_length: Metre,
    yield_strength: Pascal,
    elastic_modulus: Pascal = STEEL_MODULUS,
) -> Newton:
    r"""Load at which a pushrod with ball ends buckles or yields, slender or stocky.

    .. math::

        P = \pi^2 E I / l^2 \;(l/k \ge \lambda),\quad
        P = A \left[S_y - \frac{1}{E} \left(\frac{S_y l}{2 \pi k}\right)^2\right] \;(l/k < \lambda),\quad
        \lambda = \sqrt{2 \pi^2 E / S_y},\quad k = \sqrt{I/A}

    Parameters
    ----------
    outside_diameter : float or array_like
        [m]
    wall_thickness : float or array_like
        Of the tube; half the diameter for a solid rod. [m]
    pushrod_length : float or array_like
        l. [m]
    yield_strength : float or array_like
        S_y. [Pa]
    elastic_modulus : float or array_like, optional
        E. [Pa]

    Returns
    -------
    float or ndarray
        [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the wall is thicker than half the diameter.

    Examples
    --------
    >>> print(round(pushrod_column_load(8.0e-3, 2.0e-3, 0.188595, 620e6)))
    10827

    References
    ----------
    .. [1] Euler and J. B. Johnson; Shigley's Mechanical Engineering Design, eqs. 4-42 to 4-44 (from memory).
    """
    area, second_moment = tube_section(outside_diameter, wall_thickness)
    strength = require("yield_strength", yield_strength)
    modulus = require("elastic_modulus", elastic_modulus)
    length = require("pushrod_length", pushrod_length)
    slenderness = length * np.sqrt(area / second_moment)
    euler = math.pi**2 * modulus * second_moment / length**2
    johnson = area * (strength - (strength * slenderness / (2.0 * math.pi)) ** 2 / modulus)
    slender = slenderness >= np.sqrt(2.0 * math.pi**2 * modulus / strength)
    load: Real = np.where(slender, euler, johnson)[()]
    return load


def pushrod_load(
    valve_force: Newton, cylinder_pressure: Pascal, valve_head_diameter: Metre, rocker_ratio: Pure
) -> Newton:
    r"""Load of a pushrod that opens a valve against spring, inertia and cylinder pressure.

    .. math:: F = i (F_v + p \pi d^2 / 4)

    Parameters
    ----------
    valve_force : float or array_like
        F_v, spring and inertia at the valve. [N]
    cylinder_pressure : float or array_like
        p, gauge, when the exhaust valve opens; 0 for an intake valve. [Pa]
    valve_head_diameter : float or array_like
        d. [m]
    rocker_ratio : float or array_like
        i. [1]

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
    >>> print(round(pushrod_load(1475.8, 480e3, 0.041, 1.65)))
    3481

    References
    ----------
    .. [1] Lever arms.
    """
    area = math.pi / 4.0 * require("valve_head_diameter", valve_head_diameter) ** 2
    pushed = require("valve_force", valve_force) + require("cylinder_pressure", cylinder_pressure) * area
    return require("rocker_ratio", rocker_ratio) * pushed


def pushrod_compression(
    pushrod_load: Newton,
    outside_diameter: Metre,
    wall_thickness: Metre,
    pushrod_length: Metre,
    elastic_modulus: Pascal = STEEL_MODULUS,
) -> Metre:
    r"""Shortening of a pushrod under its load.

    .. math:: \delta = F l / (A E)

    Parameters
    ----------
    pushrod_load : float or array_like
        F. [N]
    outside_diameter : float or array_like
        [m]
    wall_thickness : float or array_like
        Of the tube; half the diameter for a solid rod. [m]
    pushrod_length : float or array_like
        l. [m]
    elastic_modulus : float or array_like, optional
        E. [Pa]

    Returns
    -------
    float or ndarray
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the wall is thicker than half the diameter.

    Examples
    --------
    >>> print(round(pushrod_compression(4003.4, 8.0e-3, 2.0e-3, 0.188595) / 0.0254, 4))
    0.0038

    References
    ----------
    .. [1] Hooke's law.
    """
    area, _ = tube_section(outside_diameter, wall_thickness)
    strain = require("pushrod_load", pushrod_load) / (area * require("elastic_modulus", elastic_modulus))
    return strain * require("pushrod_length", pushrod_length)
