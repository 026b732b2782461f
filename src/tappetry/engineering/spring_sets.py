"""Springs whose coils close one after the other, and two springs in each other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Metre,
    Newton,
    NewtonPerMetre,
    Pascal,
    Pure,
    Range,
    Real,
    require_between,
)
from tappetry.engineering.round_wire import conical_spring_rate


@dataclass(frozen=True, slots=True)
class ConeClosing:
    """Loads between which the coils of a cone close.

    Attributes
    ----------
    first_closing_load : float or ndarray
        [N]
    first_closing_travel : float or ndarray
        [m]
    last_closing_load : float or ndarray
        [N]
    """

    first_closing_load: Newton
    first_closing_travel: Metre
    last_closing_load: Newton


@dataclass(frozen=True, slots=True)
class DualSpring:
    """Two springs in each other under a lift.

    Attributes
    ----------
    seat_load : float or ndarray
        Both, valve closed. [N]
    open_load : float or ndarray
        Both, at full lift. [N]
    spring_rate : float or ndarray
        Both together. [N/m]
    outer_margin : float or ndarray
        [m]
    inner_margin : float or ndarray
        [m]
    coil_bind_margin : float or ndarray
        Of the one that binds first. [m]
    """

    seat_load: Newton
    open_load: Newton
    spring_rate: NewtonPerMetre
    outer_margin: Metre
    inner_margin: Metre
    coil_bind_margin: Metre


def conical_closing(
    wire_diameter: Metre,
    small_mean_diameter: Metre,
    large_mean_diameter: Metre,
    active_coils: Pure,
    shear_modulus: Pascal,
    closing_travel: Metre,
) -> ConeClosing:
    r"""Loads at which the coils of a conical spring of constant pitch begin to close, and have all closed.

    .. math:: F_1 = \frac{G d^4}{8 D_2^3} \frac{y}{n},\quad F_2 = \frac{G d^4}{8 D_1^3} \frac{y}{n}

    Up to F_1 the spring is a straight line; above it, its rate rises.

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
    closing_travel : float or array_like
        y, active free length less active solid length. [m]

    Returns
    -------
    ConeClosing
        Loads in [N], travel in [m].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or a D/d lies outside 3..20.

    Examples
    --------
    >>> found = conical_closing(4e-3, 20e-3, 28e-3, 5.0, 79.3e9, 15e-3)
    >>> print(round(found.first_closing_load, 1), round(found.last_closing_load, 1))
    346.8 951.6

    References
    ----------
    .. [1] Rodriguez, Paredes and Sartor, J. Mech. Des. 128 (2006), constant pitch (from memory): each coil
       closes when its own deflection is the pitch.
    """
    rate = conical_spring_rate(
        wire_diameter, small_mean_diameter, large_mean_diameter, active_coils, shear_modulus
    )
    pitch = require("closing_travel", closing_travel) / require("active_coils", active_coils)
    stiffness = require("shear_modulus", shear_modulus) * require("wire_diameter", wire_diameter) ** 4 / 8.0
    ends = (
        require("small_mean_diameter", small_mean_diameter),
        require("large_mean_diameter", large_mean_diameter),
    )
    first = stiffness * pitch / np.maximum(*ends) ** 3
    return ConeClosing(
        first_closing_load=first,
        first_closing_travel=first / rate,
        last_closing_load=stiffness * pitch / np.minimum(*ends) ** 3,
    )


def conical_travel(
    spring_load: Newton,
    wire_diameter: Metre,
    small_mean_diameter: Metre,
    large_mean_diameter: Metre,
    active_coils: Pure,
    shear_modulus: Pascal,
    closing_travel: Metre,
) -> Metre:
    r"""Travel of a conical spring of constant pitch at a load, closed coils left out.

    .. math::

        y = p\,(n - n_f) + \frac{2 F n_f}{G d^4} (D_1 + D_f)(D_1^2 + D_f^2),\quad
        n_f = n \frac{D_f - D_1}{D_2 - D_1}

    D_f is the largest coil that is still free: 8 F D_f^3 / (G d^4) = p.

    Parameters
    ----------
    spring_load : float or array_like
        F. [N]
    wire_diameter : float or array_like
        d. [m]
    small_mean_diameter, large_mean_diameter : float or array_like
        D_1 below D_2, to wire centres. [m]
    active_coils : float or array_like
        n. [1]
    shear_modulus : float or array_like
        G. [Pa]
    closing_travel : float or array_like
        n p, active free length less active solid length. [m]

    Returns
    -------
    float or ndarray
        The whole closing travel from the load on at which all coils are closed. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, a D/d lies outside 3..20, or the spring is no cone.

    Examples
    --------
    >>> print(round(conical_travel(500.0, 4e-3, 20e-3, 28e-3, 5.0, 79.3e9, 15e-3) * 1e3, 2))
    12.72

    References
    ----------
    .. [1] Coils in series, each stopped at its own pitch; summed coil by coil in the tests.
    """
    load = require("spring_load", spring_load)
    conical_spring_rate(wire_diameter, small_mean_diameter, large_mean_diameter, active_coils, shear_modulus)
    small = require("small_mean_diameter", small_mean_diameter)
    large = require("large_mean_diameter", large_mean_diameter)
    require_between(
        "large_mean_diameter over small_mean_diameter",
        large / small,
        Range(1.0 + 1e-6, 10.0),
        source="a cone has a larger and a smaller end",
        advice="Use round-wire-rate for a cylinder",
    )
    coils = require("active_coils", active_coils)
    travel = require("closing_travel", closing_travel)
    softness = 8.0 / (require("shear_modulus", shear_modulus) * require("wire_diameter", wire_diameter) ** 4)
    with np.errstate(divide="ignore"):
        free = np.clip(np.cbrt(np.divide(travel / coils, softness * load)), small, large)
    turning = coils * (free - small) / (large - small)
    bent = softness * load * turning * (small + free) * (small**2 + free**2) / 4.0
    found: Real = travel * (1.0 - turning / coils) + bent
    return found


def dual_spring(
    installed_height: Metre,
    lift_at_valve: Metre,
    reference_height: Metre,
    outer_load: Newton,
    outer_rate: NewtonPerMetre,
    outer_solid_height: Metre,
    inner_load: Newton,
    inner_rate: NewtonPerMetre,
    inner_solid_height: Metre,
    inner_step: Metre = 0.0,
) -> DualSpring:
    r"""Loads of two springs in each other, and which of them binds first.

    .. math:: F = \sum_i F_i + k_i (h_{ref} - h + L),\quad m_i = h - s_i - L - h_{solid,i}

    Parameters
    ----------
    installed_height : float or array_like
        h, of the outer spring. [m]
    lift_at_valve : float or array_like
        L. [m]
    reference_height : float or array_like
        h_ref, of the outer spring, at which both loads were read. [m]
    outer_load, inner_load : float or array_like
        Each alone, at the reference height of the pair. [N]
    outer_rate, inner_rate : float or array_like
        [N/m]
    outer_solid_height, inner_solid_height : float or array_like
        [m]
    inner_step : float or array_like, optional
        s, by which seat and retainer together leave the inner spring less room. [m]

    Returns
    -------
    DualSpring
        Friction between the two is left out: it damps, and carries nothing that lasts.

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> found = dual_spring(0.0483, 0.0150, 0.0483, 500.0, 50e3, 0.0285, 180.0, 20e3, 0.0270, 0.004)
    >>> print(round(found.open_load), round(found.inner_margin * 1e3, 2))
    1730 2.3

    References
    ----------
    .. [1] Linear springs side by side; chain of lengths.
    """
    height = require("installed_height", installed_height)
    lift = require("lift_at_valve", lift_at_valve)
    rate = require("outer_rate", outer_rate) + require("inner_rate", inner_rate)
    load = require("outer_load", outer_load) + require("inner_load", inner_load)
    seat = load + rate * (require("reference_height", reference_height) - height)
    outer = height - lift - require("outer_solid_height", outer_solid_height)
    inner = (
        height - lift - require("inner_step", inner_step) - require("inner_solid_height", inner_solid_height)
    )
    return DualSpring(
        seat_load=seat,
        open_load=seat + rate * lift,
        spring_rate=rate,
        outer_margin=outer,
        inner_margin=inner,
        coil_bind_margin=np.minimum(outer, inner),
    )


def spring_interference(
    outer_mean_diameter: Metre,
    outer_wire_diameter: Metre,
    inner_mean_diameter: Metre,
    inner_wire_diameter: Metre,
) -> Metre:
    r"""How much an inner spring is too large for the outer one.

    .. math:: \delta = (D_i + d_i) - (D_o - d_o)

    Parameters
    ----------
    outer_mean_diameter, outer_wire_diameter : float or array_like
        D_o and d_o, the mean diameter to wire centres. [m]
    inner_mean_diameter, inner_wire_diameter : float or array_like
        D_i and d_i. [m]

    Returns
    -------
    float or ndarray
        On the diameter; negative where the inner spring stands free. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(spring_interference(32e-3, 5e-3, 23.6e-3, 3.5e-3) * 1e3, 2))
    0.1

    References
    ----------
    .. [1] Geometry.
    """
    inside = require("outer_mean_diameter", outer_mean_diameter) - require(
        "outer_wire_diameter", outer_wire_diameter
    )
    outside = require("inner_mean_diameter", inner_mean_diameter) + require(
        "inner_wire_diameter", inner_wire_diameter
    )
    return outside - inside
