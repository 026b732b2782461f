"""A helical spring of round wire from first principles: rate, index, stress and natural frequency."""

from __future__ import annotations

import math

from tappetry.engineering.glossary import QUANTITIES, require
from tappetry.engineering.materials import STEEL_DENSITY
from tappetry.engineering.ranges import (
    Hertz,
    KilogramPerCubicMetre,
    Metre,
    Newton,
    NewtonPerMetre,
    Pascal,
    Pure,
    Real,
    require_between,
)


def spring_index(mean_diameter: Metre, wire_diameter: Metre) -> Pure:
    r"""Spring index.

    .. math:: C = D / d

    Parameters
    ----------
    mean_diameter : float or array_like
        D, to wire centres; not the outside diameter. [m]
    wire_diameter : float or array_like
        d. [m]

    Returns
    -------
    float or ndarray
        3 to 20. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the index lies outside 3..20.

    Examples
    --------
    >>> print(round(spring_index(27.254e-3, 4.7498e-3), 2))
    5.74

    References
    ----------
    .. [1] Definition.
    """
    return _index(require("mean_diameter", mean_diameter), require("wire_diameter", wire_diameter))


def _index(mean_diameter: Real, wire_diameter: Real) -> Real:
    return require_between(
        "spring_index",
        mean_diameter / wire_diameter,
        QUANTITIES["spring_index"].range,
        source="theory of helical springs",
        advice="Check that the mean diameter is not the outside or the inside diameter",
    )


def round_wire_rate(
    wire_diameter: Metre, mean_diameter: Metre, active_coils: Pure, shear_modulus: Pascal
) -> NewtonPerMetre:
    r"""Axial rate of a round-wire compression spring of constant pitch and diameter.

    .. math:: k = G d^4 / (8 D^3 n)

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    mean_diameter : float or array_like
        D, to wire centres; not the outside diameter. [m]
    active_coils : float or array_like
        n. [1]
    shear_modulus : float or array_like
        G. [Pa]

    Returns
    -------
    float or ndarray
        [N/m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or D/d lies outside 3..20.

    Examples
    --------
    [1]_ prints 4.13 lbf/in, which is 723 N/m:

    >>> print(round(round_wire_rate(0.9398e-3, 10.16e-3, 10.5, 81.703e9)))
    723

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, example 10-1 (from memory; re-derived in the tests).
    """
    spring_index(mean_diameter, wire_diameter)
    wire = require("wire_diameter", wire_diameter) ** 4
    coil = 8.0 * require("mean_diameter", mean_diameter) ** 3 * require("active_coils", active_coils)
    return require("shear_modulus", shear_modulus) * wire / coil


def conical_spring_rate(
    wire_diameter: Metre,
    small_mean_diameter: Metre,
    large_mean_diameter: Metre,
    active_coils: Pure,
    shear_modulus: Pascal,
) -> NewtonPerMetre:
    r"""First rate of a conical spring of round wire and constant pitch, before its large coils close.

    .. math:: k = \frac{G d^4}{2 n (D_1 + D_2)(D_1^2 + D_2^2)}

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    small_mean_diameter, large_mean_diameter : float or array_like
        D_1 and D_2, to wire centres. [m]
    active_coils : float or array_like
        n. [1]
    shear_modulus : float or array_like
        G. [Pa]

    Returns
    -------
    float or ndarray
        Rises once the large coils lie on each other. [N/m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or a D/d lies outside 3..20.

    Examples
    --------
    >>> print(round(conical_spring_rate(4.0e-3, 20.0e-3, 28.0e-3, 5.0, 79.3e9)))
    35721

    References
    ----------
    .. [1] Wahl, Mechanical Springs, conical spring (from memory; the cylinder is its limit in the tests).
    """
    wire = require("wire_diameter", wire_diameter)
    small = require("small_mean_diameter", small_mean_diameter)
    large = require("large_mean_diameter", large_mean_diameter)
    _index(small, wire)
    _index(large, wire)
    stiffness = require("shear_modulus", shear_modulus) * wire**4
    return stiffness / (2.0 * require("active_coils", active_coils) * (small + large) * (small**2 + large**2))


def beehive_spring_rate(
    wire_diameter: Metre,
    mean_diameter: Metre,
    cylinder_coils: Pure,
    small_mean_diameter: Metre,
    cone_coils: Pure,
    shear_modulus: Pascal,
) -> NewtonPerMetre:
    r"""Rate of a beehive spring before its coils begin to close: a cylinder with a cone on top.

    .. math:: k = \frac{G d^4}{8 \left[n_1 D^3 + n_2 (D + D_s)(D^2 + D_s^2) / 4\right]}

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    mean_diameter : float or array_like
        D, of the cylinder. [m]
    cylinder_coils : float or array_like
        n_1, active coils of the cylinder. [1]
    small_mean_diameter : float or array_like
        D_s, at the retainer. [m]
    cone_coils : float or array_like
        n_2, active coils of the cone. [1]
    shear_modulus : float or array_like
        G. [Pa]

    Returns
    -------
    float or ndarray
        [N/m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(beehive_spring_rate(4.6e-3, 27.5e-3, 3.0, 20.0e-3, 2.5, 79.3e9)))
    45889

    References
    ----------
    .. [1] Twist of the wire along the helix, its diameter falling evenly with the coils of the cone; the two
       parts one behind the other.
    """
    wire = require("wire_diameter", wire_diameter)
    large, small = (
        require("mean_diameter", mean_diameter),
        require("small_mean_diameter", small_mean_diameter),
    )
    cylinder = require("cylinder_coils", cylinder_coils) * large**3
    cone = require("cone_coils", cone_coils) * (large + small) * (large**2 + small**2) / 4.0
    return require("shear_modulus", shear_modulus) * wire**4 / (8.0 * (cylinder + cone))


def solid_height(wire_diameter: Metre, total_coils: Pure) -> Metre:
    r"""Height at which the coils of a spring with ground ends touch.

    .. math:: h = d n_t

    Squared ends that are not ground take one wire more.

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    total_coils : float or array_like
        n_t, active and closed. [1]

    Returns
    -------
    float or ndarray
        A press or the maker's sheet has the last word. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(solid_height(4.7498e-3, 6.3) * 1e3, 2))
    29.92

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, table 10-1, squared and ground (from memory).
    """
    return require("wire_diameter", wire_diameter) * require("total_coils", total_coils)


def wahl_factor(spring_index: Pure) -> Pure:
    r"""Stress correction for the curvature of the wire and direct shear.

    .. math:: K_w = \frac{4C - 1}{4C - 4} + \frac{0.615}{C}

    Parameters
    ----------
    spring_index : float or array_like
        C, 3 to 20. [1]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        The index lies outside 3..20.

    Examples
    --------
    >>> print(round(wahl_factor(6.0), 4))
    1.2525

    References
    ----------
    .. [1] Wahl, Mechanical Springs (from memory).
    """
    index = require("spring_index", spring_index)
    return (4.0 * index - 1.0) / (4.0 * index - 4.0) + 0.615 / index


def wire_shear_stress(spring_load: Newton, mean_diameter: Metre, wire_diameter: Metre) -> Pascal:
    r"""Largest shear stress of the wire, corrected for curvature.

    .. math:: \tau = K_w \frac{8 F D}{\pi d^3}

    Parameters
    ----------
    spring_load : float or array_like
        F. [N]
    mean_diameter : float or array_like
        D, to wire centres. [m]
    wire_diameter : float or array_like
        d. [m]

    Returns
    -------
    float or ndarray
        At the inside of the coil. [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or D/d lies outside 3..20.

    Examples
    --------
    >>> print(round(wire_shear_stress(900.0, 29.0e-3, 4.6e-3) / 1e6))
    846

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 10-7 with the Wahl factor (from memory).
    """
    factor = wahl_factor(spring_index(mean_diameter, wire_diameter))
    bend = 8.0 * require("spring_load", spring_load) * require("mean_diameter", mean_diameter)
    return factor * bend / (math.pi * require("wire_diameter", wire_diameter) ** 3)


def round_wire_surge(
    wire_diameter: Metre,
    mean_diameter: Metre,
    active_coils: Pure,
    shear_modulus: Pascal,
    density: KilogramPerCubicMetre = STEEL_DENSITY,
) -> Hertz:
    r"""Lowest natural frequency of a round-wire spring with both ends held.

    .. math:: f = \frac{d}{2 \pi D^2 n} \sqrt{\frac{G}{2 \rho}}

    Parameters
    ----------
    wire_diameter : float or array_like
        d. [m]
    mean_diameter : float or array_like
        D, to wire centres. [m]
    active_coils : float or array_like
        n. [1]
    shear_modulus : float or array_like
        G. [Pa]
    density : float or array_like, optional
        rho, of the wire. [kg/m3]

    Returns
    -------
    float or ndarray
        Times 60 in cycles a minute. [Hz]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or D/d lies outside 3..20.

    Examples
    --------
    >>> print(round(round_wire_surge(4.6e-3, 29.0e-3, 5.5, 79.3e9), 1))
    355.7

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 10-25; EN 13906-1 rounds the constant to 3560
       (from memory; derived from rate and mass in the tests).
    """
    spring_index(mean_diameter, wire_diameter)
    stiffness = (require("shear_modulus", shear_modulus) / (2.0 * require("density", density))) ** 0.5
    coil = (
        2.0 * math.pi * require("mean_diameter", mean_diameter) ** 2 * require("active_coils", active_coils)
    )
    frequency: Real = require("wire_diameter", wire_diameter) / coil * stiffness
    return frequency
