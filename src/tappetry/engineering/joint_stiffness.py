"""How stiff bolts and clamped parts are."""

from __future__ import annotations

import math

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.lists import require_list
from tappetry.engineering.materials import STEEL_MODULUS
from tappetry.engineering.ranges import (
    Metre,
    NewtonPerMetre,
    OutOfRange,
    Pascal,
    Radian,
    Range,
    Real,
    SquareMetre,
    require_between,
)

CONE = math.pi / 6.0
"""Half angle of the cone of pressure, 30 degrees (Shigley's Mechanical Engineering Design, 8-5). [rad]"""

_ABOVE_ZERO = Range(0.0, math.inf, low_excluded=True)
_FITS = {  # A and B of the exponential fit (Wileman and others 1991, in Shigley's table 8-8, from memory)
    "steel": (0.78715, 0.62873),
    "aluminium": (0.79670, 0.63816),
    "copper": (0.79568, 0.63553),
    "cast iron": (0.77871, 0.61616),
    "any": (0.78952, 0.62914),
}
JOINT_MATERIALS = tuple(_FITS)
"""Materials of the clamped parts for which the fit is known."""


def bolt_stiffness(
    nominal_diameter: Metre,
    stress_area: SquareMetre,
    shank_length: Metre,
    grip_thread_length: Metre,
    elastic_modulus: Pascal = STEEL_MODULUS,
) -> NewtonPerMetre:
    r"""Stiffness of a bolt within the grip: its shank and its thread one behind the other.

    .. math:: k = \frac{A_d A_t E}{A_d l_t + A_t l_d},\quad A_d = \pi d^2 / 4

    Parameters
    ----------
    nominal_diameter : float or array_like
        d, of the shank. [m]
    stress_area : float or array_like
        A_t, of the thread. [m2]
    shank_length : float or array_like
        l_d, unthreaded, within the grip. [m]
    grip_thread_length : float or array_like
        l_t, threaded, within the grip. [m]
    elastic_modulus : float or array_like, optional
        E. [Pa]

    Returns
    -------
    float or ndarray
        [N/m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or nothing lies within the grip.

    Examples
    --------
    >>> print(round(bolt_stiffness(0.012, 84.3e-6, 0.060, 0.030) / 1e6))
    234

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 8-17 (from memory): two springs in series.
    """
    shank = require("shank_length", shank_length)
    thread = require("grip_thread_length", grip_thread_length)
    require_between(
        "shank_length and grip_thread_length together",
        shank + thread,
        _ABOVE_ZERO,
        "m",
        source="a bolt has a length",
    )
    full = math.pi / 4.0 * require("nominal_diameter", nominal_diameter) ** 2
    area = require("stress_area", stress_area)
    modulus = require("elastic_modulus", elastic_modulus)
    return full * area * modulus / (full * thread + area * shank)


def frustum_stiffness(
    nominal_diameter: Metre,
    frustum_thickness: Metre,
    frustum_diameter: Metre,
    elastic_modulus: Pascal,
    cone_half_angle: Radian = CONE,
) -> NewtonPerMetre:
    r"""Stiffness of one piece of the cone of pressure, within one material.

    .. math:: k = \frac{\pi E d \tan\alpha}
        {\ln \frac{(2 t \tan\alpha + D - d)(D + d)}{(2 t \tan\alpha + D + d)(D - d)}}

    Parameters
    ----------
    nominal_diameter : float or array_like
        d, of the hole, taken as that of the bolt. [m]
    frustum_thickness : float or array_like
        t, of the piece. [m]
    frustum_diameter : float or array_like
        D, of the piece where it is narrower; above d. [m]
    elastic_modulus : float or array_like
        E, of the piece. [Pa]
    cone_half_angle : float or array_like, optional
        alpha. [rad]

    Returns
    -------
    float or ndarray
        [N/m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the piece is not wider than the bolt.

    Examples
    --------
    [1]_ prints 30.80 Mlbf/in for the upper cone of a washer and a plate of steel:

    >>> stiffness = frustum_stiffness(0.5 * 0.0254, 0.595 * 0.0254, 0.75 * 0.0254, 206.843e9)
    >>> print(round(stiffness / 175.127e6, 1))
    30.8

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 8-19 and example 8-2 (from memory).
    """
    bolt = require("nominal_diameter", nominal_diameter)
    narrow = require("frustum_diameter", frustum_diameter)
    require_between(
        "frustum_diameter over nominal_diameter",
        narrow / bolt,
        Range(1.0, 100.0, low_excluded=True),
        source="the cone starts outside the hole",
        advice="1.5 bolt diameters is usual below a head",
    )
    slope = np.tan(require("cone_half_angle", cone_half_angle))
    wide = 2.0 * require("frustum_thickness", frustum_thickness) * slope + narrow
    shares = np.log((wide - bolt) * (narrow + bolt) / ((wide + bolt) * (narrow - bolt)))
    stiffness: Real = math.pi * require("elastic_modulus", elastic_modulus) * bolt * slope / shares
    return stiffness


def joint_stiffness(
    nominal_diameter: Metre,
    grip: Metre,
    washer_face_diameter: Metre,
    elastic_modulus: Pascal = STEEL_MODULUS,
    cone_half_angle: Radian = CONE,
) -> NewtonPerMetre:
    r"""Stiffness of clamped parts of one material, by two equal cones back to back.

    .. math:: k = \frac{\pi E d \tan\alpha}
        {2 \ln \frac{(l \tan\alpha + D - d)(D + d)}{(l \tan\alpha + D + d)(D - d)}}

    Parameters
    ----------
    nominal_diameter : float or array_like
        d. [m]
    grip : float or array_like
        l. [m]
    washer_face_diameter : float or array_like
        D, alike at both ends; 1.5 d below a hexagon head. [m]
    elastic_modulus : float or array_like, optional
        E, of the clamped parts. [Pa]
    cone_half_angle : float or array_like, optional
        alpha. [rad]

    Returns
    -------
    float or ndarray
        [N/m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the washer face is not wider than the bolt.

    Examples
    --------
    [1]_ prints 15.97 Mlbf/in:

    >>> stiffness = joint_stiffness(0.5 * 0.0254, 1.095 * 0.0254, 0.75 * 0.0254, 206.843e9)
    >>> print(round(stiffness / 175.127e6, 2))
    15.97

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 8-21 and example 8-2 (from memory).
    """
    half = require("grip", grip) / 2.0
    face = require("washer_face_diameter", washer_face_diameter)
    return frustum_stiffness(nominal_diameter, half, face, elastic_modulus, cone_half_angle) / 2.0


def joint_stiffness_fit(
    nominal_diameter: Metre, grip: Metre, joint_material: str, elastic_modulus: Pascal = STEEL_MODULUS
) -> NewtonPerMetre:
    r"""Stiffness of clamped parts of one material, by the exponential fit to finite elements.

    .. math:: k = E d A e^{B d / l}

    Parameters
    ----------
    nominal_diameter : float or array_like
        d. [m]
    grip : float or array_like
        l. [m]
    joint_material : str
        `steel`, `aluminium`, `copper`, `cast iron` or `any`.
    elastic_modulus : float or array_like, optional
        E, of the clamped parts. [Pa]

    Returns
    -------
    float or ndarray
        [N/m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the material is not known.

    Examples
    --------
    >>> stiffness = joint_stiffness_fit(0.5 * 0.0254, 1.095 * 0.0254, "steel", 206.843e9)
    >>> print(round(stiffness / 175.127e6, 2))
    15.73

    References
    ----------
    .. [1] Wileman, Choudhury and Green (1991); Shigley's Mechanical Engineering Design, eq. 8-23 and
       table 8-8 (from memory).
    """
    bolt = require("nominal_diameter", nominal_diameter)
    length = require("grip", grip)
    modulus = require("elastic_modulus", elastic_modulus)
    if joint_material not in _FITS:
        raise OutOfRange(f"joint_material {joint_material!r}", None, f"one of {', '.join(JOINT_MATERIALS)}")
    require_between(
        "nominal_diameter over grip",
        bolt / length,
        Range(0.0, 10.0),
        source="the fit is made for grips of half a diameter and more",
        advice="Check the grip and its unit",
    )
    scale, power = _FITS[joint_material]
    stiffness: Real = modulus * bolt * scale * np.exp(power * bolt / length)
    return stiffness


def series_stiffness(stiffnesses: NewtonPerMetre) -> NewtonPerMetre:
    r"""Stiffness of parts that lie one behind the other: plates, gasket and washer of a joint.

    .. math:: \frac1k = \sum \frac{1}{k_i}

    Parameters
    ----------
    stiffnesses : array_like
        k_i, one dimension. [N/m]

    Returns
    -------
    float
        [N/m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(series_stiffness((2e9, 2e9)) / 1e9, 6))
    1.0

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 8-18 (from memory).
    """
    found: Real = 1.0 / (1.0 / require_list("stiffnesses", stiffnesses)).sum(axis=0)
    return found


def parallel_stiffness(stiffnesses: NewtonPerMetre) -> NewtonPerMetre:
    r"""Stiffness of parts that lie side by side: the springs of a pair, the bolts of a flange.

    .. math:: k = \sum k_i

    Parameters
    ----------
    stiffnesses : array_like
        k_i, one dimension. [N/m]

    Returns
    -------
    float
        [N/m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(parallel_stiffness((52e3, 19e3)))
    71000.0

    References
    ----------
    .. [1] Linear springs under one travel.
    """
    found: Real = require_list("stiffnesses", stiffnesses).sum(axis=0)
    return found


def layer_stiffness(
    pressed_area: SquareMetre, layer_thickness: Metre, layer_modulus: Pascal
) -> NewtonPerMetre:
    r"""Stiffness of a flat layer that is pressed all over, as a gasket under one bolt's share of its face.

    .. math:: k = A E / t

    Parameters
    ----------
    pressed_area : float or array_like
        A. [m2]
    layer_thickness : float or array_like
        t. [m]
    layer_modulus : float or array_like
        E, of the layer in pressing. [Pa]

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
    >>> print(round(layer_stiffness(800e-6, 1.5e-3, 480e6) / 1e6))
    256

    References
    ----------
    .. [1] Hooke's law; Shigley's Mechanical Engineering Design, section 8-5 (from memory): a soft gasket
       decides the stiffness of its joint.
    """
    area = require("pressed_area", pressed_area)
    modulus = require("layer_modulus", layer_modulus)
    return area * modulus / require("layer_thickness", layer_thickness)
