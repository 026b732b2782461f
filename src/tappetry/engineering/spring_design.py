"""Design of a round-wire spring: its coils by rate and ends, its mass, and whether it stands straight."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.materials import STEEL_DENSITY, STEEL_MODULUS
from tappetry.engineering.ranges import (
    Hertz,
    Joule,
    Kilogram,
    KilogramPerCubicMetre,
    Metre,
    Newton,
    NewtonPerMetre,
    OutOfRange,
    Pascal,
    Pure,
    Range,
    Real,
    require_between,
)
from tappetry.engineering.round_wire import spring_index

_ENDS = {  # inactive coils; wires that the solid height has beyond the coils, the free length beyond pitches
    "plain": (0.0, 1.0, 1.0),
    "plain and ground": (1.0, 0.0, 0.0),
    "squared": (2.0, 1.0, 3.0),
    "squared and ground": (2.0, 0.0, 2.0),
}
SPRING_ENDS = tuple(_ENDS)
"""How the ends of a spring may be finished; squared is also called closed."""


@dataclass(frozen=True, slots=True)
class SpringCoils:
    """Coils of a spring by the form of its ends.

    Attributes
    ----------
    active_coils : float or ndarray
        [1]
    inactive_coils : float or ndarray
        [1]
    solid_height : float or ndarray
        [m]
    """

    active_coils: Pure
    inactive_coils: Pure
    solid_height: Metre


@dataclass(frozen=True, slots=True)
class SpringStability:
    """Whether a spring without a guide stands straight.

    Attributes
    ----------
    effective_slenderness : float or ndarray
        [1]
    stable_length : float or ndarray
        [m]
    buckling_travel : float or ndarray
        Infinite where the spring is stable at every travel. [m]
    """

    effective_slenderness: Pure
    stable_length: Metre
    buckling_travel: Metre


def active_coils(total_coils: Pure, inactive_coils: Pure) -> Pure:
    r"""Coils that move.

    .. math:: n = n_t - n_e

    Parameters
    ----------
    total_coils : float or array_like
        n_t. [1]
    inactive_coils : float or array_like
        n_e, 2 where both ends are squared. [1]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or no coil is left.

    Examples
    --------
    >>> print(active_coils(12.5, 2.0))
    10.5

    References
    ----------
    .. [1] Definition.
    """
    left = require("total_coils", total_coils) - require("inactive_coils", inactive_coils)
    return require("active_coils", left)


def spring_coils(wire_diameter: Metre, total_coils: Pure, spring_ends: str) -> SpringCoils:
    r"""Active coils and solid height of a spring by the form of its ends.

    .. math:: n = n_t - n_e,\quad h = d (n_t + z)

    with one wire more in the solid height (z = 1) where the ends are not ground.

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    total_coils : float or array_like
        n_t. [1]
    spring_ends : str
        `plain`, `plain and ground`, `squared` or `squared and ground`.

    Returns
    -------
    SpringCoils
        Coils in [1], height in [m].

    Raises
    ------
    OutOfRange
        An input lies outside its range, the ends are not known, or no coil is left.

    Examples
    --------
    [1]_ prints 0.500 in:

    >>> print(round(spring_coils(0.037 * 0.0254, 12.5, "squared").solid_height / 0.0254, 4))
    0.4995

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, table 10-1 and example 10-1 (from memory).
    """
    wire = require("wire_diameter", wire_diameter)
    total = require("total_coils", total_coils)
    if spring_ends not in _ENDS:
        raise OutOfRange(f"spring_ends {spring_ends!r}", None, f"one of {', '.join(SPRING_ENDS)}")
    closed, more, _ = _ENDS[spring_ends]
    return SpringCoils(
        active_coils=active_coils(total, closed), inactive_coils=closed, solid_height=wire * (total + more)
    )


def coils_for_rate(
    wire_diameter: Metre, mean_diameter: Metre, spring_rate: NewtonPerMetre, shear_modulus: Pascal
) -> Pure:
    r"""Active coils that give a round-wire spring its rate.

    .. math:: n = G d^4 / (8 D^3 k)

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    mean_diameter : float or array_like
        D, to wire centres. [m]
    spring_rate : float or array_like
        k. [N/m]
    shear_modulus : float or array_like
        G. [Pa]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or D/d lies outside 3..20.

    Examples
    --------
    >>> print(round(coils_for_rate(4.6e-3, 29e-3, 33.09e3, 79.3e9), 2))
    5.5

    References
    ----------
    .. [1] Inverse of `round_wire_rate`.
    """
    spring_index(mean_diameter, wire_diameter)
    coil = 8.0 * require("mean_diameter", mean_diameter) ** 3 * require("spring_rate", spring_rate)
    return require("shear_modulus", shear_modulus) * require("wire_diameter", wire_diameter) ** 4 / coil


def round_wire_mass(
    wire_diameter: Metre,
    mean_diameter: Metre,
    active_coils: Pure,
    density: KilogramPerCubicMetre = STEEL_DENSITY,
) -> Kilogram:
    r"""Mass of the coils that move.

    .. math:: m = \pi^2 d^2 D n \rho / 4

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    mean_diameter : float or array_like
        D, to wire centres. [m]
    active_coils : float or array_like
        n; all coils for the whole spring. [1]
    density : float or array_like, optional
        rho, of the wire. [kg/m3]

    Returns
    -------
    float or ndarray
        [kg]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or D/d lies outside 3..20.

    Examples
    --------
    >>> print(round(round_wire_mass(4.6e-3, 29e-3, 5.5) * 1e3, 1))
    65.4

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 10-26 as a mass (from memory).
    """
    spring_index(mean_diameter, wire_diameter)
    length = math.pi * require("mean_diameter", mean_diameter) * require("active_coils", active_coils)
    section = math.pi / 4.0 * require("wire_diameter", wire_diameter) ** 2
    return section * length * require("density", density)


def spring_stability(
    mean_diameter: Metre,
    free_length: Metre,
    end_condition: Pure,
    shear_modulus: Pascal,
    elastic_modulus: Pascal = STEEL_MODULUS,
) -> SpringStability:
    r"""Whether a spring without a guide bows out, and at which travel.

    .. math::

        L_0 < \frac{\pi D}{\alpha} \sqrt{\frac{2 (E - G)}{2 G + E}},\quad
        y = L_0 C_1 \left[1 - \sqrt{1 - C_2 / \lambda^2}\right],\quad \lambda = \alpha L_0 / D

    with C_1 = E / (2 (E - G)) and C_2 = 2 pi^2 (E - G) / (2 G + E).

    Parameters
    ----------
    mean_diameter : float or array_like
        D, to wire centres. [m]
    free_length : float or array_like
        L_0. [m]
    end_condition : float or array_like
        alpha: 0.5 between flat parallel faces. [1]
    shear_modulus : float or array_like
        G, below E. [Pa]
    elastic_modulus : float or array_like, optional
        E. [Pa]

    Returns
    -------
    SpringStability
        Slenderness in [1], lengths in [m].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or G is not below E.

    Examples
    --------
    For steel between flat faces 5.26 mean diameters in [1]_:

    >>> print(round(spring_stability(29e-3, 55e-3, 0.5, 79.3e9).stable_length / 29e-3, 2))
    5.25

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eqs. 10-10 to 10-12 (from memory).
    """
    coil = require("mean_diameter", mean_diameter)
    free = require("free_length", free_length)
    condition = require("end_condition", end_condition)
    shear = require("shear_modulus", shear_modulus)
    modulus = require("elastic_modulus", elastic_modulus)
    require_between(
        "shear_modulus over elastic_modulus",
        shear / modulus,
        Range(0.0, 1.0 - 1e-12, low_excluded=True),
        source="a body stiffer in shear than in pull is none",
        advice="Check that the two are not exchanged",
    )
    slenderness = condition * free / coil
    limit = 2.0 * math.pi**2 * (modulus - shear) / (2.0 * shear + modulus)
    left = 1.0 - limit / slenderness**2
    bow = free * modulus / (2.0 * (modulus - shear)) * (1.0 - np.sqrt(np.maximum(left, 0.0)))
    return SpringStability(
        effective_slenderness=slenderness,
        stable_length=coil / condition * np.sqrt(limit),
        buckling_travel=np.where(left > 0.0, bow, np.inf)[()],
    )


def coil_pitch(wire_diameter: Metre, total_coils: Pure, free_length: Metre, spring_ends: str) -> Metre:
    r"""Pitch of the coils of a free spring by the form of its ends.

    .. math:: p = \frac{L_0 - d}{n},\; \frac{L_0}{n + 1},\; \frac{L_0 - 3 d}{n},\; \frac{L_0 - 2 d}{n}

    for plain, plain and ground, squared, and squared and ground ends.

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    total_coils : float or array_like
        n_t; the active coils n follow from the ends. [1]
    free_length : float or array_like
        L_0. [m]
    spring_ends : str
        `plain`, `plain and ground`, `squared` or `squared and ground`.

    Returns
    -------
    float or ndarray
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the ends are not known, or the coils would touch when free.

    Examples
    --------
    >>> print(round(coil_pitch(2e-3, 12.0, 64e-3, "squared and ground") * 1e3, 3))
    6.0

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, table 10-1 (from memory).
    """
    wire = require("wire_diameter", wire_diameter)
    coils = spring_coils(wire, total_coils, spring_ends)
    pitches = coils.active_coils + float(spring_ends == "plain and ground")
    left = require("free_length", free_length) - _ENDS[spring_ends][2] * wire
    require_between(
        "coil_pitch over wire_diameter",
        left / pitches / wire,
        Range(1.0, 100.0),
        source="free coils do not lie on each other",
        advice="Check the free length, and that the coils are all coils",
    )
    return left / pitches


def load_at_height(free_length: Metre, installed_height: Metre, spring_rate: NewtonPerMetre) -> Newton:
    r"""Load of a linear spring at a height, from its free length.

    .. math:: F = k (h_0 - h)

    Parameters
    ----------
    free_length : float or array_like
        h_0. [m]
    installed_height : float or array_like
        h. [m]
    spring_rate : float or array_like
        k. [N/m]

    Returns
    -------
    float or ndarray
        Negative: the spring is loose at that height. [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(load_at_height(54e-3, 45.5e-3, 65e3), 1))
    552.5

    References
    ----------
    .. [1] Linear spring; a rising rate makes the real load smaller.
    """
    squeeze = require("free_length", free_length) - require("installed_height", installed_height)
    return require("spring_rate", spring_rate) * squeeze


def spring_energy(free_length: Metre, installed_height: Metre, spring_rate: NewtonPerMetre) -> Joule:
    r"""Work that a compressed spring holds.

    .. math:: E = \frac{1}{2} k (L_0 - h)^2

    Parameters
    ----------
    free_length : float or array_like
        L_0. [m]
    installed_height : float or array_like
        h, the height it is pressed to. [m]
    spring_rate : float or array_like
        k. [N/m]

    Returns
    -------
    float or ndarray
        What flies when it slips out of its tool. [J]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(spring_energy(56e-3, 30e-3, 60e3), 2))
    20.28

    References
    ----------
    .. [1] Linear spring.
    """
    load = load_at_height(free_length, installed_height, spring_rate)
    return load**2 / (2.0 * require("spring_rate", spring_rate))


def one_end_free_surge(spring_rate: NewtonPerMetre, active_mass: Kilogram) -> Hertz:
    r"""Lowest natural frequency of a spring with one end free, half of that with both held.

    .. math:: f = \tfrac14 \sqrt{k / m}

    Parameters
    ----------
    spring_rate : float or array_like
        k. [N/m]
    active_mass : float or array_like
        m, of the active coils. [kg]

    Returns
    -------
    float or ndarray
        A valve spring has both ends held: see `surge_frequency`. [Hz]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(one_end_free_surge(57966.0, 0.0512), 0))
    266.0

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 10-26, one end against a flat plate (from memory).
    """
    frequency: Real = 0.25 * np.sqrt(
        require("spring_rate", spring_rate) / require("active_mass", active_mass)
    )
    return frequency
