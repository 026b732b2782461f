"""Contact between lobe and tappet along the whole lobe: roller, and the wear pad of a flat tappet."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.curvature import path_curvature
from tappetry.engineering.glossary import require
from tappetry.engineering.lobe import CRANK_PER_CAM, LobeMotion, lobe_motion
from tappetry.engineering.ranges import (
    Kilogram,
    Metre,
    Newton,
    NewtonPerMetre,
    Pascal,
    Pure,
    Radian,
    RadianPerSecond,
    Range,
    Real,
    require_between,
)


@dataclass(frozen=True, slots=True)
class RollerContact:
    """A roller on its lobe at one angle.

    Attributes
    ----------
    lobe_radius : float or ndarray
        [m]
    pressure_angle : float or ndarray
        [rad]
    pressed_load : float or ndarray
        [N]
    contact_pressure : float or ndarray
        [Pa]
    """

    lobe_radius: Metre
    pressure_angle: Radian
    pressed_load: Newton
    contact_pressure: Pascal


@dataclass(frozen=True, slots=True)
class PadContact:
    """A flat tappet on its lobe at one angle.

    Attributes
    ----------
    lobe_radius : float or ndarray
        [m]
    contact_offset : float or ndarray
        [m]
    pad_margin : float or ndarray
        [m]
    pressed_load : float or ndarray
        [N]
    contact_pressure : float or ndarray
        [Pa]
    """

    lobe_radius: Metre
    contact_offset: Metre
    pad_margin: Metre
    pressed_load: Newton
    contact_pressure: Pascal


def roller_contact_along(
    angle_from_nose: Radian,
    lobe_lift: Metre,
    lobe_exponent: Pure,
    lobe_half_width: Radian,
    base_circle_diameter: Metre,
    roller_diameter: Metre,
    contact_width: Metre,
    contact_modulus: Pascal,
    seat_load: Newton,
    spring_rate: NewtonPerMetre,
    rocker_ratio: Pure,
    equivalent_mass: Kilogram,
    engine_speed: RadianPerSecond,
) -> RollerContact:
    r"""Load, curvature and pressure of a roller on its lobe at any angle of the lobe.

    .. math::

        F = i (F_0 + k i y + m i y'' \omega^2),\quad N = F / \cos\alpha,\quad
        p = \sqrt{\frac{N E^*}{\pi w} \left(\frac1\rho + \frac{1}{R_r}\right)}

    Parameters
    ----------
    angle_from_nose : float or array_like
        Crank angle; an array of them is the whole lobe. [rad]
    lobe_lift : float or array_like
        Largest lift. [m]
    lobe_exponent : float or array_like
        p of the power lobe. [1]
    lobe_half_width : float or array_like
        Crank angle. [rad]
    base_circle_diameter, roller_diameter, contact_width : float or array_like
        [m]
    contact_modulus : float or array_like
        E*. [Pa]
    seat_load : float or array_like
        F_0. [N]
    spring_rate : float or array_like
        k. [N/m]
    rocker_ratio : float or array_like
        i. [1]
    equivalent_mass : float or array_like
        m, as the valve feels it. [kg]
    engine_speed : float or array_like
        omega, of the crank. [rad/s]

    Returns
    -------
    RollerContact
        Radius of the lobe, negative where hollow [m], pressure angle [rad], load [N] and pressure [Pa]; load
        and pressure are 0 where the lobe has no lift or the train has parted.

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the lobe is undercut there.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> lobe = (8.763e-3, 5.5053, 167.731 * DEGREE)
    >>> at_nose = roller_contact_along(
    ...     0.0, *lobe, 38.6e-3, 18.0e-3, 11.0e-3, 113.7e9, 534.0, 65e3, 1.65, 0.266, 0.0
    ... )
    >>> print(round(at_nose.pressed_load), round(at_nose.contact_pressure / 1e6))
    2432 1207

    References
    ----------
    .. [1] Hertz, as in `line_contact`; curvature of the roller centre's path in polar coordinates, less the
       roller (from memory; re-derived in the tests).
    """
    motion = lobe_motion(angle_from_nose, lobe_lift, lobe_exponent, lobe_half_width)
    radius = require("roller_diameter", roller_diameter) / 2.0
    reach = require("base_circle_diameter", base_circle_diameter) / 2.0 + radius + motion.lobe_lift_at_angle
    slope = CRANK_PER_CAM * motion.lobe_velocity_at_angle
    curvature = path_curvature(reach, slope, CRANK_PER_CAM**2 * motion.lobe_acceleration_at_angle)
    require_between(
        "roller radius times the curvature of its centre's path",
        radius * curvature,
        Range(-math.inf, 1.0),
        source="a lobe cannot be ground undercut",
        advice="Check that the lobe's lift is at the tappet, and its width in crank degrees",
    )
    lobe_radius = 1.0 / np.where(curvature == 0.0, np.inf, curvature) - radius
    angle = np.arctan(slope / reach)
    load = _load(motion, seat_load, spring_rate, rocker_ratio, equivalent_mass, engine_speed) / np.cos(angle)
    # 1/rho + 1/R of a lobe whose offset curve has the curvature c is 1/(R (1 - c R))
    gap = 1.0 / (radius * (1.0 - radius * curvature))
    return RollerContact(
        lobe_radius=lobe_radius[()],
        pressure_angle=np.abs(angle)[()],
        pressed_load=load[()],
        contact_pressure=_pressure(load, contact_width, contact_modulus, gap),
    )


def pad_contact_along(
    angle_from_nose: Radian,
    lobe_lift: Metre,
    lobe_exponent: Pure,
    lobe_half_width: Radian,
    base_circle_diameter: Metre,
    pad_diameter: Metre,
    contact_width: Metre,
    contact_modulus: Pascal,
    seat_load: Newton,
    spring_rate: NewtonPerMetre,
    rocker_ratio: Pure,
    equivalent_mass: Kilogram,
    engine_speed: RadianPerSecond,
) -> PadContact:
    r"""Load, curvature, pressure and place of contact of a flat tappet's wear pad at any angle of the lobe.

    .. math::

        \rho = \frac{d_b}{2} + y + y''_{cam},\quad e = y'_{cam},\quad
        g = \frac{d_p}{2} - \sqrt{e^2 + (w/2)^2}

    Parameters
    ----------
    angle_from_nose : float or array_like
        Crank angle; an array of them is the whole lobe. [rad]
    lobe_lift : float or array_like
        Largest lift. [m]
    lobe_exponent : float or array_like
        p of the power lobe. [1]
    lobe_half_width : float or array_like
        Crank angle. [rad]
    base_circle_diameter, pad_diameter : float or array_like
        [m]
    contact_width : float or array_like
        w, of the lobe, centred on the tappet. [m]
    contact_modulus : float or array_like
        E*. [Pa]
    seat_load : float or array_like
        [N]
    spring_rate : float or array_like
        [N/m]
    rocker_ratio : float or array_like
        [1]
    equivalent_mass : float or array_like
        As the valve feels it. [kg]
    engine_speed : float or array_like
        Of the crank. [rad/s]

    Returns
    -------
    PadContact
        Lengths [m], load [N] and pressure [Pa]; the latter two are 0 where there is no lift or the train has
        parted.

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the lobe comes to an edge there.

    Examples
    --------
    >>> from tappetry.engineering.angles import DEGREE
    >>> lobe = (6.655e-3, 5.4, 165 * DEGREE)
    >>> at_nose = pad_contact_along(
    ...     0.0, *lobe, 31.0e-3, 21.4e-3, 12.0e-3, 113.7e9, 380.0, 45e3, 1.5, 0.3, 0.0
    ... )
    >>> print(round(at_nose.contact_pressure / 1e6))
    962

    References
    ----------
    .. [1] Norton, Cam Design and Manufacturing Handbook, flat-faced follower (from memory; re-derived in the
       tests by the lobe's envelope); Hertz, as in `line_contact`.
    """
    motion = lobe_motion(angle_from_nose, lobe_lift, lobe_exponent, lobe_half_width)
    base = require("base_circle_diameter", base_circle_diameter) / 2.0
    radius = require_between(
        "lobe_radius",
        base + motion.lobe_lift_at_angle + CRANK_PER_CAM**2 * motion.lobe_acceleration_at_angle,
        Range(0.0, math.inf, low_excluded=True),
        "m",
        source="a flat tappet must not ride on an edge",
        advice="Use a larger base circle, less lift or a longer duration",
    )
    offset = CRANK_PER_CAM * motion.lobe_velocity_at_angle
    rim = require("pad_diameter", pad_diameter) / 2.0
    load = _load(motion, seat_load, spring_rate, rocker_ratio, equivalent_mass, engine_speed)
    return PadContact(
        lobe_radius=radius,
        contact_offset=offset,
        pad_margin=rim - np.hypot(offset, require("contact_width", contact_width) / 2.0),
        pressed_load=load,
        contact_pressure=_pressure(load, contact_width, contact_modulus, 1.0 / radius),
    )


def _load(motion: LobeMotion, seat: Real, rate: Real, ratio: Real, mass: Real, speed: Real) -> Real:
    """Load along the tappet's axis: spring and inertia, 0 without lift and where they would part."""
    ratio = require("rocker_ratio", ratio)
    lift = motion.lobe_lift_at_angle
    inertia = require("equivalent_mass", mass) * motion.lobe_acceleration_at_angle
    at_valve = require("seat_load", seat) + ratio * (
        require("spring_rate", rate) * lift + inertia * require("engine_speed", speed) ** 2
    )
    load: Real = np.where(lift > 0.0, np.maximum(ratio * at_valve, 0.0), 0.0)[()]
    return load


def _pressure(load: Real, width: Real, modulus: Real, curvature: Real) -> Real:
    per_width = load / require("contact_width", width)
    pressure: Real = np.sqrt(per_width * require("contact_modulus", modulus) * curvature / math.pi)
    return pressure
