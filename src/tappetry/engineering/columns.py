"""Columns: how much a rod or tube carries before it bows out, and how thick one has to be."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.materials import STEEL_MODULUS
from tappetry.engineering.ranges import Metre, Newton, Pascal, Pure, Real, SquareMetre
from tappetry.engineering.sections import tube_section


@dataclass(frozen=True, slots=True)
class ColumnLoads:
    """What a column carries.

    Attributes
    ----------
    section_area : float or ndarray
        [m2]
    gyration_radius : float or ndarray
        [m]
    slenderness : float or ndarray
        [1]
    transition_slenderness : float or ndarray
        [1]
    euler_load : float or ndarray
        [N]
    johnson_load : float or ndarray
        [N]
    critical_load : float or ndarray
        Euler's from the transition on, Johnson's below. [N]
    """

    section_area: SquareMetre
    gyration_radius: Metre
    slenderness: Pure
    transition_slenderness: Pure
    euler_load: Newton
    johnson_load: Newton
    critical_load: Newton


@dataclass(frozen=True, slots=True)
class ColumnDiameter:
    """How thick a solid round column has to be.

    Attributes
    ----------
    euler_diameter : float or ndarray
        [m]
    johnson_diameter : float or ndarray
        [m]
    column_diameter : float or ndarray
        The one whose formula holds at its own slenderness. [m]
    slenderness : float or ndarray
        Of that diameter. [1]
    transition_slenderness : float or ndarray
        [1]
    """

    euler_diameter: Metre
    johnson_diameter: Metre
    column_diameter: Metre
    slenderness: Pure
    transition_slenderness: Pure


def transition_slenderness(
    yield_strength: Pascal, elastic_modulus: Pascal = STEEL_MODULUS, end_constant: Pure = 1.0
) -> Pure:
    r"""Slenderness at which Euler takes over from Johnson.

    .. math:: (l/k)_1 = \sqrt{2 \pi^2 C E / S_y}

    Parameters
    ----------
    yield_strength : float or array_like
        S_y. [Pa]
    elastic_modulus : float or array_like, optional
        E. [Pa]
    end_constant : float or array_like, optional
        C. [1]

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
    >>> print(round(transition_slenderness(500e6), 1))
    90.4

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 4-45 (from memory): where Euler gives half of yield.
    """
    modulus = require("elastic_modulus", elastic_modulus) * require("end_constant", end_constant)
    found: Real = np.sqrt(2.0 * math.pi**2 * modulus / require("yield_strength", yield_strength))
    return found


def column_loads(
    outside_diameter: Metre,
    wall_thickness: Metre,
    column_length: Metre,
    yield_strength: Pascal,
    elastic_modulus: Pascal = STEEL_MODULUS,
    end_constant: Pure = 1.0,
) -> ColumnLoads:
    r"""Slenderness and load of a round column, solid or a tube, by Euler and by Johnson.

    .. math::

        P_E = \frac{\pi^2 C E A}{(l/k)^2},\quad
        P_J = A \left[S_y - \frac{1}{C E} \left(\frac{S_y l}{2 \pi k}\right)^2\right],\quad
        (l/k)_1 = \sqrt{2 \pi^2 C E / S_y}

    Parameters
    ----------
    outside_diameter : float or array_like
        [m]
    wall_thickness : float or array_like
        Half the diameter for a solid rod. [m]
    column_length : float or array_like
        l. [m]
    yield_strength : float or array_like
        S_y. [Pa]
    elastic_modulus : float or array_like, optional
        E. [Pa]
    end_constant : float or array_like, optional
        C: 1 for ball ends, 1/4 with one end free, 1.2 as held ends may be trusted. [1]

    Returns
    -------
    ColumnLoads
        Area in [m2], radius in [m], slenderness in [1], loads in [N].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the wall is thicker than half the diameter.

    Examples
    --------
    >>> found = column_loads(8e-3, 1.5e-3, 0.19146, 620e6)
    >>> print(round(found.slenderness, 1), round(found.euler_load), round(found.johnson_load))
    81.2 9496 9496

    References
    ----------
    .. [1] Euler and J. B. Johnson; Shigley's Mechanical Engineering Design, eqs. 4-43 to 4-48 (from memory).
    """
    area, second_moment = tube_section(outside_diameter, wall_thickness)
    length = require("column_length", column_length)
    strength = require("yield_strength", yield_strength)
    stiffness = require("elastic_modulus", elastic_modulus) * require("end_constant", end_constant)
    radius = np.sqrt(second_moment / area)
    slenderness = length / radius
    transition = transition_slenderness(strength, elastic_modulus, end_constant)
    euler = math.pi**2 * stiffness * area / slenderness**2
    johnson = area * (strength - (strength * slenderness / (2.0 * math.pi)) ** 2 / stiffness)
    return ColumnLoads(
        section_area=area,
        gyration_radius=radius,
        slenderness=slenderness,
        transition_slenderness=transition,
        euler_load=euler,
        johnson_load=johnson,
        critical_load=np.where(slenderness >= transition, euler, johnson)[()],
    )


def column_diameter(
    column_load: Newton,
    column_length: Metre,
    yield_strength: Pascal,
    elastic_modulus: Pascal = STEEL_MODULUS,
    end_constant: Pure = 1.0,
) -> ColumnDiameter:
    r"""Diameter of a solid round column for a load.

    .. math::

        d_E = \left(\frac{64 P l^2}{\pi^3 C E}\right)^{1/4},\quad
        d_J = 2 \sqrt{\frac{P}{\pi S_y} + \frac{S_y l^2}{\pi^2 C E}}

    Parameters
    ----------
    column_load : float or array_like
        P, the load times its safety factor. [N]
    column_length : float or array_like
        l. [m]
    yield_strength : float or array_like
        S_y. [Pa]
    elastic_modulus : float or array_like, optional
        E. [Pa]
    end_constant : float or array_like, optional
        C: 1 for ball ends. [1]

    Returns
    -------
    ColumnDiameter
        Diameters in [m], slenderness in [1].

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 37.48 mm for 22 kN, a factor of 4, and 1.5 m:

    >>> print(round(column_diameter(88e3, 1.5, 500e6).column_diameter * 1e3, 2))
    37.48

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, examples 4-16 and 4-17 (from memory).
    """
    load = require("column_load", column_load)
    length = require("column_length", column_length)
    strength = require("yield_strength", yield_strength)
    stiffness = require("elastic_modulus", elastic_modulus) * require("end_constant", end_constant)
    transition = transition_slenderness(strength, elastic_modulus, end_constant)
    euler = (64.0 * load * length**2 / (math.pi**3 * stiffness)) ** 0.25
    johnson = 2.0 * np.sqrt(load / (math.pi * strength) + strength * length**2 / (math.pi**2 * stiffness))
    chosen = np.where(4.0 * length / euler >= transition, euler, johnson)[()]
    return ColumnDiameter(
        euler_diameter=euler,
        johnson_diameter=johnson,
        column_diameter=chosen,
        slenderness=4.0 * length / chosen,
        transition_slenderness=transition,
    )
