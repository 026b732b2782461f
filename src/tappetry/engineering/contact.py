"""Pressure of a lifter on its lobe, of cylinders and of balls: Hertzian contact, and the shear below it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.materials import STEEL_MODULUS, STEEL_POISSON_RATIO
from tappetry.engineering.ranges import Metre, Newton, Pascal, Pure, Range, Real, require_between


@dataclass(frozen=True, slots=True)
class LineContact:
    """What a line of contact carries.

    Attributes
    ----------
    contact_half_width : float or ndarray
        Half the width of the pressed strip. [m]
    contact_pressure : float or ndarray
        Largest pressure, in the middle of the strip. [Pa]
    """

    contact_half_width: Metre
    contact_pressure: Pascal


@dataclass(frozen=True, slots=True)
class PointContact:
    """What a ball carries.

    Attributes
    ----------
    contact_radius : float or ndarray
        Of the pressed circle. [m]
    contact_pressure : float or ndarray
        Largest pressure, in the middle of the circle. [Pa]
    """

    contact_radius: Metre
    contact_pressure: Pascal


@dataclass(frozen=True, slots=True)
class ShearBelow:
    """The largest shear stress below a contact.

    Attributes
    ----------
    greatest_shear_stress : float or ndarray
        [Pa]
    shear_depth : float or ndarray
        Below the surface, on the axis of the contact. [m]
    """

    greatest_shear_stress: Pascal
    shear_depth: Metre


def contact_modulus(
    elastic_modulus: Pascal = STEEL_MODULUS, poisson_ratio: Pure = STEEL_POISSON_RATIO
) -> Pascal:
    r"""Modulus of a contact between two bodies of one material.

    .. math:: E^* = \frac{E}{2 (1 - \nu^2)}

    Parameters
    ----------
    elastic_modulus : float or array_like, optional
        E. [Pa]
    poisson_ratio : float or array_like, optional
        nu. [1]

    Returns
    -------
    float or ndarray
        114 GPa for steel on steel. [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(contact_modulus() / 1e9, 1))
    113.7

    References
    ----------
    .. [1] Johnson, Contact Mechanics, chapter 4 (from memory).
    """
    modulus = require("elastic_modulus", elastic_modulus)
    return modulus / (2.0 * (1.0 - require("poisson_ratio", poisson_ratio) ** 2))


def line_contact(
    lifter_load: Newton,
    contact_width: Metre,
    nose_radius: Metre,
    follower_radius: Metre,
    contact_modulus: Pascal,
) -> LineContact:
    r"""Largest pressure and half width of a lifter's line of contact on a lobe.

    .. math::

        p = \sqrt{\frac{F}{w} \frac{E^*}{\pi R}},\quad b = \sqrt{\frac{4 F R}{\pi w E^*}},\quad
        \frac1R = \frac1{R_n} + \frac1{R_f}

    The load is that at the lifter: the valve's force times the rocker ratio. Idling counts too; no inertia
    takes load off there. Up to 1,400 MPa for hardened cast iron and 1,700 MPa for hardened steel (common
    practice, no source).

    Parameters
    ----------
    lifter_load : float or array_like
        F. [N]
    contact_width : float or array_like
        w, of the roller that bears. [m]
    nose_radius : float or array_like
        R_n, radius of curvature of the lobe; never the envelope. [m]
    follower_radius : float or array_like
        R_f, of the roller; infinite for a flat follower. [m]
    contact_modulus : float or array_like
        E*. [Pa]

    Returns
    -------
    LineContact
        Pressure [Pa] and half width [m].

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> contact = line_contact(2437.0, 11.0e-3, 14.08e-3, 9.0e-3, 113.7e9)
    >>> print(round(contact.contact_pressure / 1e6, -1))
    1210.0

    References
    ----------
    .. [1] Hertz; Shigley's Mechanical Engineering Design, eqs. 3-73 and 3-74 (from memory).
    """
    per_width = require("lifter_load", lifter_load) / require("contact_width", contact_width)
    curvature = 1.0 / require("nose_radius", nose_radius) + 1.0 / require("follower_radius", follower_radius)
    modulus = require("contact_modulus", contact_modulus)
    pressure: Real = (per_width * modulus * curvature / math.pi) ** 0.5
    half_width: Real = (4.0 * per_width / (math.pi * modulus * curvature)) ** 0.5
    return LineContact(contact_half_width=half_width, contact_pressure=pressure)


def pair_modulus(
    first_elastic_modulus: Pascal,
    first_poisson_ratio: Pure,
    second_elastic_modulus: Pascal,
    second_poisson_ratio: Pure,
) -> Pascal:
    r"""Modulus of a contact between two bodies of different materials.

    .. math:: \frac{1}{E^*} = \frac{1 - \nu_1^2}{E_1} + \frac{1 - \nu_2^2}{E_2}

    Parameters
    ----------
    first_elastic_modulus, second_elastic_modulus : float or array_like
        E_1 and E_2. [Pa]
    first_poisson_ratio, second_poisson_ratio : float or array_like
        nu_1 and nu_2. [1]

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
    >>> print(round(pair_modulus(207e9, 0.292, 100e9, 0.211) / 1e9, 1))
    71.6

    References
    ----------
    .. [1] Johnson, Contact Mechanics, chapter 4 (from memory).
    """
    first = (1.0 - require("first_poisson_ratio", first_poisson_ratio) ** 2) / require(
        "first_elastic_modulus", first_elastic_modulus
    )
    second = (1.0 - require("second_poisson_ratio", second_poisson_ratio) ** 2) / require(
        "second_elastic_modulus", second_elastic_modulus
    )
    return 1.0 / (first + second)


def _curvature(first_diameter: Real, second_diameter: Real) -> Real:
    """Curvature of the gap between two round bodies; the second may be flat or hollow."""
    first = require("first_diameter", first_diameter)
    second = require("second_diameter", second_diameter)
    require_between(
        "size of second_diameter",
        np.abs(second),
        Range(0.0, math.inf, low_excluded=True, may_be_infinite=True),
        "m",
        source="an edge has no contact of its own",
    )
    return require_between(
        "curvature of the gap",
        2.0 / first + 2.0 / second,
        Range(0.0, math.inf, low_excluded=True),
        "1/m",
        source="the first body fits into the hollow",
        advice="Give the hollow as second body, larger than the first, with a minus",
    )


def cylinder_contact(
    contact_load: Newton,
    contact_width: Metre,
    first_diameter: Metre,
    second_diameter: Metre,
    contact_modulus: Pascal,
) -> LineContact:
    r"""Half width and largest pressure between two parallel cylinders, or a cylinder and a flat or a groove.

    .. math::

        b = \sqrt{\frac{4 F R}{\pi w E^*}},\quad p = \frac{2 F}{\pi b w},\quad
        \frac1R = \frac{2}{d_1} + \frac{2}{d_2}

    Parameters
    ----------
    contact_load : float or array_like
        F. [N]
    contact_width : float or array_like
        w, along the cylinders. [m]
    first_diameter : float or array_like
        d_1. [m]
    second_diameter : float or array_like
        d_2: infinite for a flat, negative for a groove. [m]
    contact_modulus : float or array_like
        E*. [Pa]

    Returns
    -------
    LineContact
        Half width [m] and pressure [Pa].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the cylinder does not go into the groove.

    Examples
    --------
    >>> contact = cylinder_contact(3500.0, 12e-3, 36e-3, 19e-3, 113.15e9)
    >>> print(round(contact.contact_half_width * 1e3, 4), round(contact.contact_pressure / 1e6))
    0.1429 1300

    References
    ----------
    .. [1] Hertz; Shigley's Mechanical Engineering Design, eqs. 3-73 and 3-74 (from memory).
    """
    per_width = require("contact_load", contact_load) / require("contact_width", contact_width)
    curvature = _curvature(first_diameter, second_diameter)
    modulus = require("contact_modulus", contact_modulus)
    half_width = np.sqrt(4.0 * per_width / (math.pi * modulus * curvature))
    return LineContact(
        contact_half_width=half_width, contact_pressure=2.0 * per_width / (math.pi * half_width)
    )


def sphere_contact(
    contact_load: Newton, first_diameter: Metre, second_diameter: Metre, contact_modulus: Pascal
) -> PointContact:
    r"""Radius of the circle and largest pressure between two balls, or a ball and a flat or a cup.

    .. math::

        a = \left(\frac{3 F R}{4 E^*}\right)^{1/3},\quad p = \frac{3 F}{2 \pi a^2},\quad
        \frac1R = \frac{2}{d_1} + \frac{2}{d_2}

    Parameters
    ----------
    contact_load : float or array_like
        F. [N]
    first_diameter : float or array_like
        d_1, of the ball. [m]
    second_diameter : float or array_like
        d_2: infinite for a flat, negative for a cup. [m]
    contact_modulus : float or array_like
        E*. [Pa]

    Returns
    -------
    PointContact
        Radius [m] and pressure [Pa].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the ball does not go into the cup.

    Examples
    --------
    >>> contact = sphere_contact(500.0, 12e-3, math.inf, 113.74e9)
    >>> print(round(contact.contact_radius * 1e3, 3), round(contact.contact_pressure / 1e6, -1))
    0.27 3260.0

    References
    ----------
    .. [1] Hertz; Shigley's Mechanical Engineering Design, eqs. 3-68 and 3-69 (from memory).
    """
    load = require("contact_load", contact_load)
    curvature = _curvature(first_diameter, second_diameter)
    radius = np.cbrt(3.0 * load / (4.0 * require("contact_modulus", contact_modulus) * curvature))
    return PointContact(contact_radius=radius, contact_pressure=1.5 * load / (math.pi * radius**2))


def line_contact_shear(contact_pressure: Pascal, contact_half_width: Metre) -> ShearBelow:
    r"""Largest shear stress below a line of contact, and its depth.

    .. math:: \tau = p \zeta \left(1 - \frac{\zeta}{\sqrt{1 + \zeta^2}}\right),\quad
        \zeta^2 = \frac{\sqrt5 - 1}{2},\quad z = \zeta b

    Parameters
    ----------
    contact_pressure : float or array_like
        p, the largest. [Pa]
    contact_half_width : float or array_like
        b. [m]

    Returns
    -------
    ShearBelow
        0.300 p [Pa] in a depth of 0.786 b [m].

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> below = line_contact_shear(1300e6, 0.143e-3)
    >>> print(round(below.greatest_shear_stress / 1e6), round(below.shear_depth * 1e3, 3))
    390 0.112

    References
    ----------
    .. [1] Johnson, Contact Mechanics, chapter 4 (from memory): the root of the derivative closes.
    """
    depth = math.sqrt((math.sqrt(5.0) - 1.0) / 2.0)
    share = depth * (1.0 - depth / math.sqrt(1.0 + depth**2))
    return ShearBelow(
        greatest_shear_stress=share * require("contact_pressure", contact_pressure),
        shear_depth=depth * require("contact_half_width", contact_half_width),
    )


def point_contact_shear(
    contact_pressure: Pascal, contact_radius: Metre, poisson_ratio: Pure = STEEL_POISSON_RATIO
) -> ShearBelow:
    r"""Largest shear stress below a circle of contact, and its depth.

    .. math:: \tau = \frac p2 \left[\frac{3}{2 (1 + \zeta^2)} - (1 + \nu)
        \left(1 - \zeta \arctan\frac1\zeta\right)\right]

    Parameters
    ----------
    contact_pressure : float or array_like
        p, the largest. [Pa]
    contact_radius : float or array_like
        a. [m]
    poisson_ratio : float or array_like, optional
        nu. [1]

    Returns
    -------
    ShearBelow
        For steel 0.310 p [Pa] in a depth of 0.481 a [m].

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> below = point_contact_shear(3264e6, 0.2705e-3)
    >>> print(round(below.greatest_shear_stress / 1e6), round(below.shear_depth * 1e3, 3))
    1012 0.13

    References
    ----------
    .. [1] Johnson, Contact Mechanics, chapter 3 (from memory): stresses on the axis of a ball's contact.
    """
    pressure = require("contact_pressure", contact_pressure)
    radius = require("contact_radius", contact_radius)
    more = 1.0 + require("poisson_ratio", poisson_ratio)
    low, high = 0.3 + 0.0 * more, 0.8 + 0.0 * more  # of half-way points the slope says which side to keep
    for _ in range(60):
        depth = (low + high) / 2.0
        rises = (
            more * (np.arctan(1.0 / depth) - depth / (1.0 + depth**2)) > 3.0 * depth / (1.0 + depth**2) ** 2
        )
        low, high = np.where(rises, depth, low)[()], np.where(rises, high, depth)[()]
    depth = (low + high) / 2.0
    share = 0.75 / (1.0 + depth**2) - more / 2.0 * (1.0 - depth * np.arctan(1.0 / depth))
    return ShearBelow(greatest_shear_stress=share * pressure, shear_depth=depth * radius)
