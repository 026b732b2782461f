"""Pressure of a lifter on its lobe: line contact of two cylinders."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tappetry.engineering.glossary import require
from tappetry.engineering.materials import STEEL_MODULUS, STEEL_POISSON_RATIO
from tappetry.engineering.ranges import Metre, Newton, Pascal, Pure, Real


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
