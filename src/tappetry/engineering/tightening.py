"""Torque, friction and preload of a bolt; threads that strip; bolts that are used again."""

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
    SquareMetre,
    require_between,
)
from tappetry.engineering.threads import thread_diameters

FLANK = math.pi / 6.0
"""Half the angle between the flanks of a 60 degree thread (ISO 68-1, ASME B1.1). [rad]"""

SHEAR_SHARE = 1.0 / math.sqrt(3.0)
"""Shear strength over tensile strength by the shape-change hypothesis. [1]"""


@dataclass(frozen=True, slots=True)
class FrictionTorque:
    """Torque of a bolt, part by part.

    Attributes
    ----------
    torque : float or ndarray
        [N.m]
    thread_torque : float or ndarray
        [N.m]
    head_torque : float or ndarray
        [N.m]
    nut_factor : float or ndarray
        What K comes to. [1]
    """

    torque: NewtonMetre
    thread_torque: NewtonMetre
    head_torque: NewtonMetre
    nut_factor: Pure


@dataclass(frozen=True, slots=True)
class Assembly:
    """Preload and torque of a bolt that is tightened to a share of its yield.

    Attributes
    ----------
    bolt_preload : float or ndarray
        [N]
    torque : float or ndarray
        [N.m]
    """

    bolt_preload: Newton
    torque: NewtonMetre


@dataclass(frozen=True, slots=True)
class TighteningStress:
    """Stress of a bolt's core while it is tightened.

    Attributes
    ----------
    pull_stress : float or ndarray
        [Pa]
    twist_stress : float or ndarray
        [Pa]
    combined_stress : float or ndarray
        [Pa]
    """

    pull_stress: Pascal
    twist_stress: Pascal
    combined_stress: Pascal


@dataclass(frozen=True, slots=True)
class ThreadStrip:
    """What strips a thread.

    Attributes
    ----------
    bolt_shear_area : float or ndarray
        [m2]
    hole_shear_area : float or ndarray
        [m2]
    bolt_strip_load : float or ndarray
        [N]
    hole_strip_load : float or ndarray
        [N]
    """

    bolt_shear_area: SquareMetre
    hole_shear_area: SquareMetre
    bolt_strip_load: Newton
    hole_strip_load: Newton


@dataclass(frozen=True, slots=True)
class BoltReuse:
    """Whether a used bolt is within its length.

    Attributes
    ----------
    permanent_stretch : float or ndarray
        [m]
    stretch_left : float or ndarray
        [m]
    """

    permanent_stretch: Metre
    stretch_left: Metre


def torque_from_friction(
    bolt_preload: Newton,
    nominal_diameter: Metre,
    thread_pitch: Metre,
    root_area: SquareMetre,
    thread_friction: Pure,
    head_friction: Pure,
    head_friction_diameter: Metre,
    thread_half_angle: Radian = FLANK,
) -> FrictionTorque:
    r"""Torque of a bolt from the friction of its thread and head, the thread as a wedge.

    .. math::

        T = \frac{F d_m}{2} \frac{P + \pi f d_m \sec\alpha}{\pi d_m - f P \sec\alpha}
        + \frac{F f_c d_c}{2},\quad
        d_m = \frac{d + \sqrt{4 A_r / \pi}}{2}

    Parameters
    ----------
    bolt_preload : float or array_like
        F. [N]
    nominal_diameter : float or array_like
        d. [m]
    thread_pitch : float or array_like
        P; one inch over the threads to the inch. [m]
    root_area : float or array_like
        A_r, at the root of the thread. [m2]
    thread_friction : float or array_like
        f. [1]
    head_friction : float or array_like
        f_c. [1]
    head_friction_diameter : float or array_like
        d_c, mean; 1.25 d below a hexagon head. [m]
    thread_half_angle : float or array_like, optional
        alpha. [rad]

    Returns
    -------
    FrictionTorque
        Torques in [N.m], K in [1].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the root is not smaller than the bolt.

    Examples
    --------
    [1]_ prints 3551 lbf in:

    >>> found = torque_from_friction(111205.5, 19.05e-3, 25.4e-3 / 16, 226.45e-6, 0.15, 0.15, 23.8125e-3)
    >>> print(round(found.torque / 0.112985))
    3551

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 8-26 and example 8-3 (from memory).
    """
    load = require("bolt_preload", bolt_preload)
    diameter = require("nominal_diameter", nominal_diameter)
    root = np.sqrt(4.0 / math.pi * require("root_area", root_area))
    require_between(
        "root diameter over nominal_diameter",
        root / diameter,
        Range(0.0, 1.0, low_excluded=True),
        source="a thread is cut into the bolt",
        advice="Check the units of the root area",
    )
    mean = (diameter + root) / 2.0
    pitch = require("thread_pitch", thread_pitch)
    wedge = require("thread_friction", thread_friction) / np.cos(
        require("thread_half_angle", thread_half_angle)
    )
    thread = load * mean / 2.0 * (pitch + math.pi * wedge * mean) / (math.pi * mean - wedge * pitch)
    ring = require("head_friction_diameter", head_friction_diameter)
    head = load * require("head_friction", head_friction) * ring / 2.0
    return FrictionTorque(
        torque=thread + head,
        thread_torque=thread,
        head_torque=head,
        nut_factor=(thread + head) / (load * diameter),
    )


def assembly_torque(
    bolt_preload: Newton,
    nominal_diameter: Metre,
    thread_pitch: Metre,
    thread_friction: Pure,
    head_friction: Pure,
    head_outer_diameter: Metre,
    through_hole_diameter: Metre,
) -> FrictionTorque:
    r"""Torque of a bolt from its thread's size and both frictions.

    .. math::

        M_A = F_M \left[\frac{P}{2 \pi} + \frac{\mu_G d_2}{2 \cos 30°} + \mu_K \frac{D_{Km}}{2}\right],\quad
        D_{Km} = \frac{d_w + d_h}{2}

    The standard rounds the first two factors to 0.16 and 0.58.

    Parameters
    ----------
    bolt_preload : float or array_like
        F_M. [N]
    nominal_diameter : float or array_like
        d. [m]
    thread_pitch : float or array_like
        P. [m]
    thread_friction : float or array_like
        mu_G. [1]
    head_friction : float or array_like
        mu_K. [1]
    head_outer_diameter : float or array_like
        d_w, outside of the bearing ring under the head. [m]
    through_hole_diameter : float or array_like
        d_h, through hole. [m]

    Returns
    -------
    FrictionTorque
        Torques in [N.m], K in [1].

    Raises
    ------
    OutOfRange
        An input lies outside its range, the pitch does not belong to a thread of this diameter, or the ring
        under the head is none.

    Examples
    --------
    >>> found = assembly_torque(43.4e3, 0.010, 1.5e-3, 0.12, 0.12, 14.63e-3, 11e-3)
    >>> print(round(found.torque), round(found.nut_factor, 3))
    71 0.163

    References
    ----------
    .. [1] VDI 2230-1, R13 (from memory).
    """
    load = require("bolt_preload", bolt_preload)
    thread = thread_diameters(nominal_diameter, thread_pitch)
    outer = require("head_outer_diameter", head_outer_diameter)
    inner = require("through_hole_diameter", through_hole_diameter)
    require_between(
        "head_outer_diameter over through_hole_diameter",
        outer / inner,
        Range(1.0, math.inf, low_excluded=True),
        source="the head bears on a ring around the hole",
        advice="Check that the two are not exchanged",
    )
    flank = require("thread_friction", thread_friction) / math.cos(FLANK)
    turn = require("thread_pitch", thread_pitch) / (2.0 * math.pi) + flank * thread.pitch_diameter / 2.0
    ring = require("head_friction", head_friction) * (outer + inner) / 4.0
    return FrictionTorque(
        torque=load * (turn + ring),
        thread_torque=load * turn,
        head_torque=load * ring,
        nut_factor=(turn + ring) / require("nominal_diameter", nominal_diameter),
    )


def preload_from_torque(
    torque: NewtonMetre,
    nominal_diameter: Metre,
    thread_pitch: Metre,
    thread_friction: Pure,
    head_friction: Pure,
    head_outer_diameter: Metre,
    through_hole_diameter: Metre,
) -> Newton:
    r"""Preload that a torque makes, from the thread's size and both frictions.

    .. math:: F_M = M_A \Big/
        \left[\frac{P}{2 \pi} + \frac{\mu_G d_2}{2 \cos 30°} + \mu_K \frac{D_{Km}}{2}\right]

    Parameters
    ----------
    torque : float or array_like
        M_A. [N.m]
    nominal_diameter, thread_pitch : float or array_like
        d and P. [m]
    thread_friction, head_friction : float or array_like
        mu_G and mu_K. [1]
    head_outer_diameter, through_hole_diameter : float or array_like
        d_w and d_h. [m]

    Returns
    -------
    float or ndarray
        [N]

    Raises
    ------
    OutOfRange
        As in `assembly_torque`.

    Examples
    --------
    >>> print(round(preload_from_torque(71.0, 0.010, 1.5e-3, 0.12, 0.12, 14.63e-3, 11e-3) / 1e3, 1))
    43.5

    References
    ----------
    .. [1] VDI 2230-1, R13 (from memory).
    """
    wrench = require("torque", torque)
    each = assembly_torque(
        1.0,
        nominal_diameter,
        thread_pitch,
        thread_friction,
        head_friction,
        head_outer_diameter,
        through_hole_diameter,
    )
    return wrench / each.torque


def assembly_preload(
    nominal_diameter: Metre,
    thread_pitch: Metre,
    yield_strength: Pascal,
    thread_friction: Pure,
    head_friction: Pure,
    head_outer_diameter: Metre,
    through_hole_diameter: Metre,
    yield_share: Pure = 0.9,
) -> Assembly:
    r"""Preload and torque of a bolt whose yield strength is used to a share, its twist included.

    .. math::

        F_M = A_0 \frac{\nu R_{p0.2}}{\sqrt{1 + 3 \left[\frac32 \frac{d_2}{d_0}
        \left(\frac{P}{\pi d_2} + 1.155 \mu_G\right)\right]^2}},\quad d_0 = \frac{d_2 + d_3}{2}

    Parameters
    ----------
    nominal_diameter, thread_pitch : float or array_like
        d and P, of a bolt with full shank. [m]
    yield_strength : float or array_like
        R_p0.2, the least. [Pa]
    thread_friction, head_friction : float or array_like
        mu_G and mu_K. [1]
    head_outer_diameter, through_hole_diameter : float or array_like
        d_w and d_h. [m]
    yield_share : float or array_like, optional
        nu; 0.9 in the standard's tables. [1]

    Returns
    -------
    Assembly
        Preload in [N], torque in [N.m].

    Raises
    ------
    OutOfRange
        As in `assembly_torque`.

    Examples
    --------
    [1]_ prints 43.4 kN and 71 N.m for M10, 10.9, 0.12:

    >>> found = assembly_preload(0.010, 1.5e-3, 940e6, 0.12, 0.12, 14.63e-3, 11e-3)
    >>> print(round(found.bolt_preload / 1e3, 1), round(found.torque))
    43.5 71

    References
    ----------
    .. [1] VDI 2230-1, table A1 and R7 (from memory).
    """
    thread = thread_diameters(nominal_diameter, thread_pitch)
    strength = require("yield_strength", yield_strength) * require("yield_share", yield_share)
    flank = require("thread_friction", thread_friction) / math.cos(FLANK)
    core = (thread.pitch_diameter + thread.root_diameter) / 2.0
    lead = require("thread_pitch", thread_pitch) / (math.pi * thread.pitch_diameter)
    twist = 1.5 * thread.pitch_diameter / core * (lead + flank)
    preload = math.pi / 4.0 * core**2 * strength / np.sqrt(1.0 + 3.0 * twist**2)
    return Assembly(
        bolt_preload=preload,
        torque=assembly_torque(
            preload,
            nominal_diameter,
            thread_pitch,
            thread_friction,
            head_friction,
            head_outer_diameter,
            through_hole_diameter,
        ).torque,
    )


def tightening_stress(
    bolt_preload: Newton, thread_torque: NewtonMetre, nominal_diameter: Metre, thread_pitch: Metre
) -> TighteningStress:
    r"""Stress of a bolt while it is tightened: pull, twist, and both together.

    .. math::

        \sigma = \frac{F}{A_s},\quad \tau = \frac{16 M_G}{\pi d_0^3},\quad
        \sigma_{red} = \sqrt{\sigma^2 + 3 \tau^2},\quad d_0 = \frac{d_2 + d_3}{2}

    Parameters
    ----------
    bolt_preload : float or array_like
        F. [N]
    thread_torque : float or array_like
        M_G, the thread's part of the torque. [N.m]
    nominal_diameter, thread_pitch : float or array_like
        d and P. [m]

    Returns
    -------
    TighteningStress
        [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the pitch does not belong to a thread of this diameter.

    Examples
    --------
    >>> found = tightening_stress(43.48e3, 37.7, 0.010, 1.5e-3)
    >>> print(round(found.pull_stress / 1e6), round(found.combined_stress / 1e6))
    750 915

    References
    ----------
    .. [1] VDI 2230-1 (from memory), elastic twist; the standard's tables take that of a yielding core,
       which is 3/4 of it.
    """
    load = require("bolt_preload", bolt_preload)
    torque = require("thread_torque", thread_torque)
    thread = thread_diameters(nominal_diameter, thread_pitch)
    core = (thread.pitch_diameter + thread.root_diameter) / 2.0
    pull = load / (math.pi / 4.0 * core**2)
    twist = 16.0 * torque / (math.pi * core**3)
    return TighteningStress(
        pull_stress=pull, twist_stress=twist, combined_stress=np.sqrt(pull**2 + 3.0 * twist**2)
    )


def thread_strip(
    nominal_diameter: Metre,
    thread_pitch: Metre,
    engaged_thread: Metre,
    bolt_tensile_strength: Pascal,
    hole_tensile_strength: Pascal,
    shear_share: Pure = SHEAR_SHARE,
) -> ThreadStrip:
    r"""Loads that strip the thread of a bolt and of its hole, on basic diameters.

    .. math::

        A_{bolt} = \pi D_1 \frac{l}{P} \left[\frac P2 + \frac{d_2 - D_1}{\sqrt3}\right],\quad
        A_{hole} = \pi d \frac{l}{P} \left[\frac P2 + \frac{d - d_2}{\sqrt3}\right],\quad F = c\,A\,R_m

    Real threads lie within tolerances: 10 to 25 % less. The bolt should break before either strips.

    Parameters
    ----------
    nominal_diameter : float or array_like
        d. [m]
    thread_pitch : float or array_like
        P. [m]
    engaged_thread : float or array_like
        l, full thread that bears, chamfers left out. [m]
    bolt_tensile_strength, hole_tensile_strength : float or array_like
        R_m of either. [Pa]
    shear_share : float or array_like, optional
        c. [1]

    Returns
    -------
    ThreadStrip
        Areas in [m2], loads in [N].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the pitch does not belong to a thread of this diameter.

    Examples
    --------
    >>> found = thread_strip(0.010, 1.5e-3, 0.015, 1040e6, 250e6)
    >>> print(round(found.bolt_shear_area * 1e6), round(found.hole_strip_load / 1e3))
    296 60

    References
    ----------
    .. [1] ISO 898-1 and ASME B1.1, shear areas of the basic profile (from memory): sum of the turns' flanks.
    """
    thread = thread_diameters(nominal_diameter, thread_pitch)
    diameter = require("nominal_diameter", nominal_diameter)
    pitch = require("thread_pitch", thread_pitch)
    turns = require("engaged_thread", engaged_thread) / pitch
    slope = 1.0 / math.sqrt(3.0)
    inner = thread.minor_diameter
    bolt = math.pi * inner * turns * (pitch / 2.0 + slope * (thread.pitch_diameter - inner))
    hole = math.pi * diameter * turns * (pitch / 2.0 + slope * (diameter - thread.pitch_diameter))
    share = require("shear_share", shear_share)
    return ThreadStrip(
        bolt_shear_area=bolt,
        hole_shear_area=hole,
        bolt_strip_load=share * bolt * require("bolt_tensile_strength", bolt_tensile_strength),
        hole_strip_load=share * hole * require("hole_tensile_strength", hole_tensile_strength),
    )


def bolt_reuse(measured_length: Metre, new_length: Metre, allowed_stretch: Metre) -> BoltReuse:
    r"""How much a bolt has stretched for good, and what is left before it is not used again.

    .. math:: \delta = l - l_0,\quad r = \delta_{max} - \delta

    Parameters
    ----------
    measured_length : float or array_like
        l, clean and cold. [m]
    new_length : float or array_like
        l_0. [m]
    allowed_stretch : float or array_like
        delta_max: the maker's greatest length less the new one; 0.05 mm for studs against their own
        record (common practice, no source). [m]

    Returns
    -------
    BoltReuse
        Below 0 is left: not used again. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> found = bolt_reuse(0.1752, 0.1750, 0.00005)
    >>> print(round(found.stretch_left * 1e3, 2))
    -0.15

    References
    ----------
    .. [1] Definition. A bolt that its maker calls single-use stays that, whatever its length.
    """
    stretch = require("measured_length", measured_length) - require("new_length", new_length)
    return BoltReuse(
        permanent_stretch=stretch, stretch_left=require("allowed_stretch", allowed_stretch) - stretch
    )
