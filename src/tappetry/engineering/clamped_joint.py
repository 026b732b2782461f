"""A joint that is clamped: what an outer load, an angle and heat do to its bolt and to its clamp."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Kelvin,
    Metre,
    Newton,
    NewtonPerMetre,
    Pascal,
    PerKelvin,
    Pure,
    Radian,
    Range,
    Real,
    SquareMetre,
    require_between,
)

OPENED_AGAIN = 0.75
"""Share of the proof load for a joint that is opened again (Shigley's Mechanical Engineering Design, 8-9)."""


@dataclass(frozen=True, slots=True)
class JointLoads:
    """How a joint shares an outer load.

    Attributes
    ----------
    joint_constant : float or ndarray
        [1]
    bolt_load : float or ndarray
        [N]
    clamp_load : float or ndarray
        0 once the parts let go. [N]
    separation_load : float or ndarray
        [N]
    """

    joint_constant: Pure
    bolt_load: Newton
    clamp_load: Newton
    separation_load: Newton


@dataclass(frozen=True, slots=True)
class JointFactors:
    """How far a joint is from its bolt's proof load and from parting.

    Attributes
    ----------
    yield_factor : float or ndarray
        [1]
    overload_factor : float or ndarray
        [1]
    separation_factor : float or ndarray
        [1]
    """

    yield_factor: Pure
    overload_factor: Pure
    separation_factor: Pure


@dataclass(frozen=True, slots=True)
class BoltNumber:
    """How many bolts a load asks for.

    Attributes
    ----------
    bolts_required : float or ndarray
        [1]
    bolt_count : float or ndarray
        [1]
    """

    bolts_required: Pure
    bolt_count: Pure


def bolt_stress(bolt_load: Newton, stress_area: SquareMetre) -> Pascal:
    r"""Stress of a bolt at a load.

    .. math:: \sigma = F / A_s

    Parameters
    ----------
    bolt_load : float or array_like
        F. [N]
    stress_area : float or array_like
        A_s. [m2]

    Returns
    -------
    float or ndarray
        [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 67.02 kpsi, which is 462.1 MPa:

    >>> print(round(bolt_stress(111205.5, 240.64e-6) / 1e6, 1))
    462.1

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, example 8-3 (from memory).
    """
    return require("bolt_load", bolt_load) / require("stress_area", stress_area)


def bolt_stretch(bolt_load: Newton, bolt_stiffness: NewtonPerMetre) -> Metre:
    r"""Lengthening of a bolt under its load, while it is elastic.

    .. math:: \delta = F / k_b

    Parameters
    ----------
    bolt_load : float or array_like
        F. [N]
    bolt_stiffness : float or array_like
        k_b. [N/m]

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
    >>> print(round(bolt_stretch(60e3, 240e6) * 1e3, 3))
    0.25

    References
    ----------
    .. [1] Hooke's law.
    """
    return require("bolt_load", bolt_load) / require("bolt_stiffness", bolt_stiffness)


def joint_constant(bolt_stiffness: NewtonPerMetre, joint_stiffness: NewtonPerMetre) -> Pure:
    r"""Share of an outer load that the bolt feels while the joint is shut.

    .. math:: C = \frac{k_b}{k_b + k_m}

    Parameters
    ----------
    bolt_stiffness : float or array_like
        k_b. [N/m]
    joint_stiffness : float or array_like
        k_m, of the clamped parts. [N/m]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(joint_constant(300e6, 900e6))
    0.25

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, section 8-7 (from memory).
    """
    bolt = require("bolt_stiffness", bolt_stiffness)
    return bolt / (bolt + require("joint_stiffness", joint_stiffness))


def joint_loads(
    bolt_preload: Newton,
    external_load: Newton,
    bolt_stiffness: NewtonPerMetre,
    joint_stiffness: NewtonPerMetre,
) -> JointLoads:
    r"""Load of the bolt, clamp that is left, and the outer load at which the joint parts.

    .. math:: F_b = F_i + C P,\quad F_m = F_i - (1 - C) P,\quad P_0 = \frac{F_i}{1 - C}

    Beyond P_0 the bolt carries the whole outer load.

    Parameters
    ----------
    bolt_preload : float or array_like
        F_i. [N]
    external_load : float or array_like
        P, each bolt's, pulling. [N]
    bolt_stiffness : float or array_like
        k_b. [N/m]
    joint_stiffness : float or array_like
        k_m. [N/m]

    Returns
    -------
    JointLoads
        Loads in [N].

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> found = joint_loads(40e3, 20e3, 300e6, 900e6)
    >>> print(found.bolt_load, found.clamp_load, round(found.separation_load))
    45000.0 25000.0 53333

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eqs. 8-24 and 8-25 (from memory).
    """
    preload = require("bolt_preload", bolt_preload)
    outer = require("external_load", external_load)
    share = joint_constant(bolt_stiffness, joint_stiffness)
    clamp: Real = np.maximum(preload - (1.0 - share) * outer, 0.0)
    return JointLoads(
        joint_constant=share,
        bolt_load=clamp + outer,
        clamp_load=clamp,
        separation_load=preload / (1.0 - share),
    )


def joint_factors(
    bolt_preload: Newton,
    joint_constant: Pure,
    external_load: Newton,
    stress_area: SquareMetre,
    proof_stress: Pascal,
) -> JointFactors:
    r"""Factors of a joint against yield, overload and parting.

    .. math::

        n_p = \frac{S_p A}{C P + F_i},\quad n_L = \frac{S_p A - F_i}{C P},\quad n_0 = \frac{F_i}{P (1 - C)}

    Parameters
    ----------
    bolt_preload : float or array_like
        F_i. [N]
    joint_constant : float or array_like
        C. [1]
    external_load : float or array_like
        P, each bolt's. [N]
    stress_area : float or array_like
        A. [m2]
    proof_stress : float or array_like
        S_p. [Pa]

    Returns
    -------
    JointFactors
        Infinite where there is no outer load. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 1.18, 3.44 and 6.13 for 25 kip, 6 kip and grade 5:

    >>> found = joint_factors(111205.5, 0.3202, 26689.3, 240.64e-6, 586.05e6)
    >>> print(
    ...     round(found.yield_factor, 2), round(found.overload_factor, 2), round(found.separation_factor, 2)
    ... )
    1.18 3.49 6.13

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eqs. 8-28 to 8-30 and example 8-3 (from memory).
    """
    preload = require("bolt_preload", bolt_preload)
    share = require("joint_constant", joint_constant)
    outer = require("external_load", external_load)
    proof = require("stress_area", stress_area) * require("proof_stress", proof_stress)
    with np.errstate(divide="ignore"):
        return JointFactors(
            yield_factor=proof / (share * outer + preload),
            overload_factor=np.divide(proof - preload, share * outer),
            separation_factor=np.divide(preload, outer * (1.0 - share)),
        )


def preload_for_proof(
    stress_area: SquareMetre, proof_stress: Pascal, proof_share: Pure = OPENED_AGAIN
) -> Newton:
    r"""Preload as a share of the proof load.

    .. math:: F_i = c\, A\, S_p

    Parameters
    ----------
    stress_area : float or array_like
        A. [m2]
    proof_stress : float or array_like
        S_p. [Pa]
    proof_share : float or array_like, optional
        c: 0.75 where the joint is opened again, 0.90 where it stays. [1]

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
    [1]_ prints 14.4 kip, which is 64.1 kN:

    >>> print(round(preload_for_proof(145.81e-6, 586.05e6) / 1e3, 1))
    64.1

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 8-31 and example 8-4 (from memory).
    """
    proof = require("stress_area", stress_area) * require("proof_stress", proof_stress)
    return require("proof_share", proof_share) * proof


def bolts_required(
    total_load: Newton,
    load_factor: Pure,
    joint_constant: Pure,
    bolt_preload: Newton,
    stress_area: SquareMetre,
    proof_stress: Pascal,
) -> BoltNumber:
    r"""Number of bolts for an outer load with a factor on it.

    .. math:: N = \frac{C n P}{S_p A - F_i}

    Parameters
    ----------
    total_load : float or array_like
        P, of the whole joint. [N]
    load_factor : float or array_like
        n. [1]
    joint_constant : float or array_like
        C. [1]
    bolt_preload : float or array_like
        F_i, of each bolt, below its proof load. [N]
    stress_area : float or array_like
        A. [m2]
    proof_stress : float or array_like
        S_p. [Pa]

    Returns
    -------
    BoltNumber
        As it comes out, and rounded up. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the preload reaches the proof load.

    Examples
    --------
    [1]_ prints 5.52 for 36 kip and a factor of 2:

    >>> found = bolts_required(160136.0, 2.0, 0.368, 64087.0, 145.81e-6, 586.05e6)
    >>> print(round(found.bolts_required, 2), found.bolt_count)
    5.52 6.0

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, example 8-4 (from memory).
    """
    load = require("total_load", total_load) * require("load_factor", load_factor)
    share = require("joint_constant", joint_constant)
    preload = require("bolt_preload", bolt_preload)
    proof = require("stress_area", stress_area) * require("proof_stress", proof_stress)
    left = require_between(
        "proof load less bolt_preload",
        proof - preload,
        Range(0.0, math.inf, low_excluded=True),
        "N",
        source="a bolt at its proof load has nothing left for an outer load",
    )
    number = share * load / left
    return BoltNumber(bolts_required=number, bolt_count=np.ceil(number - 1e-9))


def preload_gain(
    tightening_angle: Radian,
    thread_pitch: Metre,
    bolt_stiffness: NewtonPerMetre,
    joint_stiffness: NewtonPerMetre,
) -> Newton:
    r"""Preload that an angle after the snug torque adds, while bolt and joint are elastic.

    .. math:: \Delta F = \frac{P \alpha}{2 \pi} \frac{k_b k_m}{k_b + k_m}

    Parameters
    ----------
    tightening_angle : float or array_like
        alpha, from snug. [rad]
    thread_pitch : float or array_like
        P. [m]
    bolt_stiffness : float or array_like
        k_b. [N/m]
    joint_stiffness : float or array_like
        k_m. [N/m]

    Returns
    -------
    float or ndarray
        Beyond yield the bolt gains hardly more. [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(preload_gain(math.pi / 2, 1.5e-3, 270e6, 950e6)))
    78842

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, section 8-8 (from memory): turn of the nut.
    """
    travel = require("tightening_angle", tightening_angle) * require("thread_pitch", thread_pitch)
    return travel / (2.0 * math.pi) * _together(bolt_stiffness, joint_stiffness)


def _together(bolt_stiffness: Real, joint_stiffness: Real) -> Real:
    """Stiffness of bolt and joint in series."""
    share = joint_constant(bolt_stiffness, joint_stiffness)
    return share * require("joint_stiffness", joint_stiffness)


def thermal_load_change(
    joint_expansion: PerKelvin,
    bolt_expansion: PerKelvin,
    temperature_rise: Kelvin,
    grip: Metre,
    bolt_stiffness: NewtonPerMetre,
    joint_stiffness: NewtonPerMetre,
) -> Newton:
    r"""Change of a joint's preload by heat, bolt and parts equally warm.

    .. math:: \Delta F = (\alpha_m - \alpha_b)\,\Delta T\, l\, \frac{k_b k_m}{k_b + k_m}

    Parameters
    ----------
    joint_expansion : float or array_like
        alpha_m, of the clamped parts. [1/K]
    bolt_expansion : float or array_like
        alpha_b. [1/K]
    temperature_rise : float or array_like
        Delta T, since tightening. [K]
    grip : float or array_like
        l. [m]
    bolt_stiffness : float or array_like
        k_b. [N/m]
    joint_stiffness : float or array_like
        k_m. [N/m]

    Returns
    -------
    float or ndarray
        Positive tightens: a steel bolt in a warm aluminium head. [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(thermal_load_change(23.1e-6, 11.7e-6, 80.0, 60e-3, 260e6, 800e6)))
    10738

    References
    ----------
    .. [1] Free expansions differ; the two springs share the difference.
    """
    strain = require("joint_expansion", joint_expansion) - require("bolt_expansion", bolt_expansion)
    misfit = strain * require("temperature_rise", temperature_rise) * require("grip", grip)
    return misfit * _together(bolt_stiffness, joint_stiffness)
