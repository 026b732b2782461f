"""Where the oil goes: holes, bearings and lifters, and how a bearing carries its load."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import TURN, require
from tappetry.engineering.ranges import (
    CubicMetrePerSecond,
    CubicMetrePerSecondPascal,
    KilogramPerCubicMetre,
    Metre,
    Newton,
    NewtonMetre,
    Pascal,
    PascalSecond,
    Pure,
    RadianPerSecond,
    Range,
    Real,
    Watt,
    require_between,
)


@dataclass(frozen=True, slots=True)
class BearingNumbers:
    """How hard a bearing is loaded.

    Attributes
    ----------
    bearing_pressure : float or ndarray
        Load over length times diameter. [Pa]
    sommerfeld_number : float or ndarray
        [1]
    bearing_friction : float or ndarray
        Friction coefficient of the centred journal (Petroff). [1]
    bearing_torque : float or ndarray
        That holds the journal back. [N.m]
    bearing_power : float or ndarray
        That heats the oil. [W]
    """

    bearing_pressure: Pascal
    sommerfeld_number: Pure
    bearing_friction: Pure
    bearing_torque: NewtonMetre
    bearing_power: Watt


def hole_flow(
    hole_diameter: Metre,
    pressure_drop: Pascal,
    oil_density: KilogramPerCubicMetre,
    discharge_coefficient: Pure,
) -> CubicMetrePerSecond:
    r"""Flow of oil through a hole.

    .. math:: Q = C_d \frac{\pi}{4} d^2 \sqrt{2 \Delta p / \rho}

    Parameters
    ----------
    hole_diameter : float or array_like
        d. [m]
    pressure_drop : float or array_like
        Across the hole. [Pa]
    oil_density : float or array_like
        rho. [kg/m3]
    discharge_coefficient : float or array_like
        C_d, about 0.6 for a sharp edge and thin oil. [1]

    Returns
    -------
    float or ndarray
        [m3/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(hole_flow(2e-3, 300e3, 850.0, 0.62) * 6e4, 3))
    3.105

    References
    ----------
    .. [1] Bernoulli's equation; thick oil passes less.
    """
    area = math.pi / 4.0 * require("hole_diameter", hole_diameter) ** 2
    drop = require("pressure_drop", pressure_drop)
    velocity = np.sqrt(2.0 * drop / require("oil_density", oil_density))
    flow: Real = require("discharge_coefficient", discharge_coefficient) * area * velocity
    return flow


def side_flow(
    oil_pressure: Pascal,
    journal_radius: Metre,
    radial_clearance: Metre,
    half_length: Metre,
    oil_viscosity: PascalSecond,
    eccentricity_ratio: Pure = 0.0,
) -> CubicMetrePerSecond:
    r"""Flow out of both ends of a pressure-fed bearing with a groove round its middle.

    .. math:: Q = \frac{\pi p r c^3}{3 \mu l'} (1 + 1.5 \epsilon^2)

    Parameters
    ----------
    oil_pressure : float or array_like
        p in the groove, gauge. [Pa]
    journal_radius : float or array_like
        r. [m]
    radial_clearance : float or array_like
        c, half the difference of the diameters. [m]
    half_length : float or array_like
        l', from the groove to one end. [m]
    oil_viscosity : float or array_like
        mu, hot and at the bearing's shear. [Pa.s]
    eccentricity_ratio : float or array_like, optional
        epsilon; 0 is the centred journal. [1]

    Returns
    -------
    float or ndarray
        Both ends together. [m3/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the clearance is no thin gap.

    Examples
    --------
    >>> print(round(side_flow(300e3, 25e-3, 30e-6, 10e-3, 0.01, 0.5) * 6e4, 5))
    0.17495

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 12-22 (from memory; integrated in the tests).
    """
    radius = require("journal_radius", journal_radius)
    gap = _thin("journal_radius", radius, require("radial_clearance", radial_clearance))
    pressure = require("oil_pressure", oil_pressure)
    resistance = 3.0 * require("oil_viscosity", oil_viscosity) * require("half_length", half_length)
    off_centre = 1.0 + 1.5 * require("eccentricity_ratio", eccentricity_ratio) ** 2
    flow: Real = math.pi * pressure * radius * gap**3 / resistance * off_centre
    return flow


def gap_flow(
    pressure_drop: Pascal,
    lifter_diameter: Metre,
    radial_clearance: Metre,
    land_length: Metre,
    oil_viscosity: PascalSecond,
    eccentricity_ratio: Pure = 0.0,
) -> CubicMetrePerSecond:
    r"""Flow through the gap between a lifter and its bore.

    .. math:: Q = \frac{\pi d c^3 \Delta p}{12 \mu l} (1 + 1.5 \epsilon^2)

    Parameters
    ----------
    pressure_drop : float or array_like
        Along the gap. [Pa]
    lifter_diameter : float or array_like
        d. [m]
    radial_clearance : float or array_like
        c, half the difference of the diameters. [m]
    land_length : float or array_like
        l, from the oil band to the end of the bore. [m]
    oil_viscosity : float or array_like
        mu. [Pa.s]
    eccentricity_ratio : float or array_like, optional
        epsilon; a lifter that leans on its bore has 1 and passes 2.5 times as much. [1]

    Returns
    -------
    float or ndarray
        One way out of one lifter. [m3/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the clearance is no thin gap.

    Examples
    --------
    >>> print(round(gap_flow(300e3, 21.4e-3, 15e-6, 15e-3, 0.01) * 6e4, 5))
    0.00227

    References
    ----------
    .. [1] Laminar flow through a thin annulus (from memory; integrated in the tests).
    """
    diameter = require("lifter_diameter", lifter_diameter)
    gap = _thin("half the lifter_diameter", diameter / 2.0, require("radial_clearance", radial_clearance))
    drop = require("pressure_drop", pressure_drop)
    resistance = 12.0 * require("oil_viscosity", oil_viscosity) * require("land_length", land_length)
    off_centre = 1.0 + 1.5 * require("eccentricity_ratio", eccentricity_ratio) ** 2
    flow: Real = math.pi * diameter * gap**3 * drop / resistance * off_centre
    return flow


def leak_conductance(gap_flow: CubicMetrePerSecond, pressure_drop: Pascal) -> CubicMetrePerSecondPascal:
    r"""How much a gap lets through for its pressure; gaps side by side add up.

    .. math:: G = Q / \Delta p

    Parameters
    ----------
    gap_flow : float or array_like
        Q, of one gap or of all together. [m3/s]
    pressure_drop : float or array_like
        Not 0. [Pa]

    Returns
    -------
    float or ndarray
        [m3/s.Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the pressure is 0.

    Examples
    --------
    >>> print(leak_conductance(3e-5, 3e5))
    1e-10

    References
    ----------
    .. [1] Definition, for laminar flow.
    """
    drop = require("pressure_drop", pressure_drop)
    require_between(
        "pressure_drop", drop, Range(0.0, math.inf, low_excluded=True), "Pa", source="nothing flows at 0"
    )
    return require("gap_flow", gap_flow) / drop


def bearing_numbers(
    bearing_load: Newton,
    bearing_length: Metre,
    journal_radius: Metre,
    radial_clearance: Metre,
    oil_viscosity: PascalSecond,
    journal_speed: RadianPerSecond,
) -> BearingNumbers:
    r"""Pressure, Sommerfeld number and Petroff friction of a journal bearing.

    .. math:: P = \frac{W}{2 r l},\quad S = \left(\frac{r}{c}\right)^2 \frac{\mu N}{P},\quad
        f = 2 \pi^2 \frac{\mu N}{P} \frac{r}{c},\quad T = f W r

    N counts turns a second.

    Parameters
    ----------
    bearing_load : float or array_like
        W. [N]
    bearing_length : float or array_like
        l. [m]
    journal_radius : float or array_like
        r. [m]
    radial_clearance : float or array_like
        c, half the difference of the diameters. [m]
    oil_viscosity : float or array_like
        mu. [Pa.s]
    journal_speed : float or array_like
        [rad/s]

    Returns
    -------
    BearingNumbers
        Pressure in [Pa], torque in [N.m], power in [W], numbers in [1].

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the clearance is no thin gap.

    Examples
    --------
    >>> found = bearing_numbers(2224.11, 38.1e-3, 19.05e-3, 38.1e-6, 27.579e-3, 188.4956)
    >>> print(round(found.sommerfeld_number, 3))
    0.135

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, chapter 12, with example 12-1 (from memory).
    """
    radius = require("journal_radius", journal_radius)
    gap = _thin("journal_radius", radius, require("radial_clearance", radial_clearance))
    load = require("bearing_load", bearing_load)
    pressure = load / (2.0 * radius * require("bearing_length", bearing_length))
    speed = require("journal_speed", journal_speed)
    hersey = require("oil_viscosity", oil_viscosity) * speed / TURN / pressure
    slimness = radius / gap
    friction = 2.0 * math.pi**2 * hersey * slimness
    torque = friction * load * radius
    return BearingNumbers(
        bearing_pressure=pressure,
        sommerfeld_number=slimness**2 * hersey,
        bearing_friction=friction,
        bearing_torque=torque,
        bearing_power=torque * speed,
    )


def _thin(name: str, radius: Real, gap: Real) -> Real:
    require_between(
        f"radial_clearance over {name}",
        gap / radius,
        Range(0.0, 0.1),
        source="the gap is taken as thin",
        advice="Check that the clearance is half the difference of the diameters, and its unit",
    )
    return gap
