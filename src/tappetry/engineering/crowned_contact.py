"""Pressure of a crowned follower on its lobe: an ellipse of contact, between a ball's circle and a line."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Metre, Newton, Pascal, Real

_NARROWEST = 1e-6  # ratio of the axes down to which an ellipse is searched


@dataclass(frozen=True, slots=True)
class EllipseContact:
    """What an ellipse of contact carries.

    Attributes
    ----------
    half_length_across : float or ndarray
        Of the ellipse, across the lobe. [m]
    half_length_along : float or ndarray
        Of the ellipse, along the way of rolling. [m]
    contact_pressure : float or ndarray
        Largest pressure, in the middle. [Pa]
    """

    half_length_across: Metre
    half_length_along: Metre
    contact_pressure: Pascal


def crowned_contact(
    lifter_load: Newton,
    nose_radius: Metre,
    follower_radius: Metre,
    crown_radius: Metre,
    contact_modulus: Pascal,
) -> EllipseContact:
    r"""Largest pressure of a crowned tappet or roller on a straight lobe, free of its edges.

    .. math::

        B = \frac12 \left(\frac1{R_n} + \frac1{R_f}\right),\quad A = \frac1{2 R_c},\quad
        \frac{B}{A} = \frac{(a/b)^2 E(e) - K(e)}{K(e) - E(e)},\quad
        a^3 = \frac{3 F E(e)}{2 \pi E^* (A + B) (1 - e^2)},\quad p = \frac{3 F}{2 \pi a b}

    Parameters
    ----------
    lifter_load : float or array_like
        F. [N]
    nose_radius : float or array_like
        R_n, radius of curvature of the lobe; never the envelope. [m]
    follower_radius : float or array_like
        R_f, along the way of rolling: the roller's radius; of a crowned flat tappet that of its crown. [m]
    crown_radius : float or array_like
        R_c, of the crown across the lobe. [m]
    contact_modulus : float or array_like
        E*. [Pa]

    Returns
    -------
    EllipseContact
        Half lengths in [m], pressure in [Pa].

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    A tappet with a crown of 1.5 m on a nose of 10 mm, 1,200 N:

    >>> found = crowned_contact(1200.0, 0.010, 1.5, 1.5, 113.7e9)
    >>> print(round(found.half_length_across * 1e3, 2), round(found.contact_pressure / 1e6, -1))
    3.77 930.0

    References
    ----------
    .. [1] Hertz; Johnson, Contact Mechanics, chapter 4, with complete elliptic integrals (from memory).
    """
    from scipy.special import ellipe, ellipk

    load = require("lifter_load", lifter_load)
    along = 1.0 / require("nose_radius", nose_radius) + 1.0 / require("follower_radius", follower_radius)
    across = 1.0 / require("crown_radius", crown_radius)
    modulus = require("contact_modulus", contact_modulus)
    wanted = np.maximum(along / across, across / along)
    low, high = np.log(_NARROWEST) + 0.0 * wanted, 0.0 * wanted
    for _ in range(80):
        middle = (low + high) / 2.0
        square = np.exp(2.0 * middle)
        whole, part = ellipk(1.0 - square), ellipe(1.0 - square)
        too_round = part / square - whole < wanted * (whole - part)
        low, high = np.where(too_round, low, middle), np.where(too_round, middle, high)
    narrow = np.exp((low + high) / 2.0)
    long: Real = np.cbrt(
        3.0 * load * ellipe(1.0 - narrow**2) / (math.pi * modulus * (along + across) * narrow**2)
    )
    short = narrow * long
    wide = across <= along
    return EllipseContact(
        half_length_across=np.where(wide, long, short)[()],
        half_length_along=np.where(wide, short, long)[()],
        contact_pressure=1.5 * load / (math.pi * long * short),
    )
