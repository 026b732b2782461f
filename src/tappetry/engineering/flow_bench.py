"""The flow bench: flow and coefficient at a depression, areas of valve and port, and what the engine asks."""

from __future__ import annotations

import math

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.lists import require_list, require_pairs
from tappetry.engineering.lobe import lobe_lift_at_angle
from tappetry.engineering.nozzles import orifice_flow
from tappetry.engineering.ranges import (
    CubicMetrePerSecond,
    JoulePerKilogramKelvin,
    Kelvin,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    Pascal,
    Pure,
    RadianPerSecond,
    Range,
    Real,
    SquareMetre,
    require_between,
)

UNIT_LIFT = 0.01
"""Any lift at all, from which the shape of a lobe is taken. [m]"""

POINTS = 500
"""Places at which a lobe's half is sampled, each in the middle of its share: good to 1 in 10,000. [1]"""


def bench_velocity(test_depression: Pascal, gas_density: KilogramPerCubicMetre) -> MetrePerSecond:
    r"""Velocity that a bench's depression gives to air at rest, density unchanged.

    .. math:: v = \sqrt{2 \Delta p / \rho}

    Parameters
    ----------
    test_depression : float or array_like
        Delta p. [Pa]
    gas_density : float or array_like
        rho, of the air before the part. [kg/m3]

    Returns
    -------
    float or ndarray
        [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    28 inH2O and standard air:

    >>> print(round(bench_velocity(28 * 249.08891, 1.225), 1))
    106.7

    References
    ----------
    .. [1] Bernoulli's equation; textbook.
    """
    drop = require("test_depression", test_depression)
    velocity: Real = np.sqrt(2.0 * drop / require("gas_density", gas_density))
    return velocity


def flow_at_depression(
    bench_flow: CubicMetrePerSecond, test_depression: Pascal, wanted_depression: Pascal
) -> CubicMetrePerSecond:
    r"""Flow of the same part at another depression.

    .. math:: Q_2 = Q_1 \sqrt{\Delta p_2 / \Delta p_1}

    Parameters
    ----------
    bench_flow : float or array_like
        Q_1. [m3/s]
    test_depression : float or array_like
        Delta p_1. [Pa]
    wanted_depression : float or array_like
        Delta p_2. [Pa]

    Returns
    -------
    float or ndarray
        [m3/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    100 cfm at 10 inH2O are 167 cfm at 28:

    >>> print(round(flow_at_depression(0.0471947, 2490.889, 6974.49) / 0.000471947, 1))
    167.3

    References
    ----------
    .. [1] Bernoulli's equation; common practice, no source.
    """
    ratio = require("wanted_depression", wanted_depression) / require("test_depression", test_depression)
    flow: Real = require("bench_flow", bench_flow) * np.sqrt(ratio)
    return flow


def bench_discharge_coefficient(
    bench_flow: CubicMetrePerSecond,
    test_depression: Pascal,
    flow_area: SquareMetre,
    gas_density: KilogramPerCubicMetre,
) -> Pure:
    r"""Discharge coefficient from a bench flow, density unchanged.

    .. math:: C_D = \frac{Q}{A \sqrt{2 \Delta p / \rho}}

    A coefficient belongs to its area: head, port or curtain. Say which.

    Parameters
    ----------
    bench_flow : float or array_like
        Q, at the state of the air before the part. [m3/s]
    test_depression : float or array_like
        Delta p. [Pa]
    flow_area : float or array_like
        A. [m2]
    gas_density : float or array_like
        rho, of the air before the part. [kg/m3]

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
    260 cfm at 28 inH2O through the curtain of a 52 mm valve at 12.7 mm lift:

    >>> print(round(bench_discharge_coefficient(260 * 0.000471947, 6974.49, 2.0747e-3, 1.2), 3))
    0.549

    References
    ----------
    .. [1] Bernoulli's equation; definition.
    """
    velocity = bench_velocity(test_depression, gas_density)
    return require("bench_flow", bench_flow) / (require("flow_area", flow_area) * velocity)


def compressible_discharge_coefficient(
    bench_flow: CubicMetrePerSecond,
    test_depression: Pascal,
    flow_area: SquareMetre,
    stagnation_pressure: Pascal,
    stagnation_temperature: Kelvin,
    heat_capacity_ratio: Pure,
    gas_constant: JoulePerKilogramKelvin,
) -> Pure:
    r"""Discharge coefficient from a bench flow, against the ideal nozzle of a perfect gas.

    .. math:: C_D = \frac{Q p_0 / (R T_0)}{\dot m_{ideal}(p_0, T_0, p_0 - \Delta p, A)}

    This is the coefficient that `orifice_flow` takes.

    Parameters
    ----------
    bench_flow : float or array_like
        Q, at the state of the air before the part. [m3/s]
    test_depression : float or array_like
        Delta p, below p_0. [Pa]
    flow_area : float or array_like
        A. [m2]
    stagnation_pressure : float or array_like
        p_0, of the air before the part, absolute. [Pa]
    stagnation_temperature : float or array_like
        T_0, of the air before the part. [K]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R. [J/kg.K]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the depression is more than the pressure.

    Examples
    --------
    >>> flow = 260 * 0.000471947
    >>> got = compressible_discharge_coefficient(flow, 6974.49, 2.0747e-3, 101325.0, 293.15, 1.4, 287.05)
    >>> print(round(got, 3))
    0.571

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, section 6.3.2 and eq. C.8 (from memory).
    """
    pressure = require("stagnation_pressure", stagnation_pressure)
    temperature = require("stagnation_temperature", stagnation_temperature)
    density = pressure / (require("gas_constant", gas_constant) * temperature)
    downstream = require_between(
        "stagnation_pressure less test_depression",
        pressure - require("test_depression", test_depression),
        Range(0.0, math.inf, low_excluded=True),
        "Pa",
        source="a bench cannot pull more than a vacuum",
        advice="Check the units of both; the pressure is absolute",
    )
    ideal = orifice_flow(pressure, temperature, downstream, flow_area, heat_capacity_ratio, gas_constant)
    return require("bench_flow", bench_flow) * density / ideal.mass_flow


def mean_flow_coefficient(
    lift_at_valve: Metre, lobe_exponent: Pure, flow_lifts: Metre, flow_coefficients: Pure
) -> Pure:
    r"""Mean of a bench's flow coefficients over the opening of a power lobe.

    .. math:: C_i = \frac{1}{b} \int_0^b C(L(t))\, dt

    Parameters
    ----------
    lift_at_valve : float or array_like
        Largest lift, at most the last one of the bench. [m]
    lobe_exponent : float or array_like
        p of the power lobe. [1]
    flow_lifts : array_like
        Lifts of the bench, rising from above 0; straight lines are drawn between them, the first from 0. [m]
    flow_coefficients : array_like
        Discharge coefficients at these lifts, by the area of the head. [1]

    Returns
    -------
    float or ndarray
        By the area of the head, as `inlet_mach_index` takes it. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the lifts do not rise, the lists do not belong together, or the valve
        lifts higher than the bench went.

    Examples
    --------
    >>> lifts, coefficients = [0.0025, 0.005, 0.0075, 0.010, 0.0125], [0.13, 0.26, 0.37, 0.45, 0.49]
    >>> print(round(mean_flow_coefficient(0.012, 5.5, lifts, coefficients), 3))
    0.24

    References
    ----------
    .. [1] Taylor, The Internal-Combustion Engine, volume 1, chapter 6 (from memory: mean over crank angle).
    """
    lifts = require_list("flow_lifts", flow_lifts)
    coefficients = require_pairs("flow_coefficients", flow_coefficients, "flow_lifts", lifts)
    largest = require("lift_at_valve", lift_at_valve)
    exponent = np.asarray(require("lobe_exponent", lobe_exponent))[..., None]
    require_between(
        "step of flow_lifts",
        np.diff(lifts, prepend=0.0),
        Range(0.0, math.inf, low_excluded=True),
        "m",
        source="the lifts of a bench rise",
    )
    require_between(
        "lift_at_valve over the last of flow_lifts",
        largest / lifts[-1],
        Range(0.0, 1.0),
        source="beyond the last lift nothing was measured",
        advice="Flow the head at a higher lift",
    )
    share = (np.arange(POINTS) + 0.5) / POINTS
    shape = lobe_lift_at_angle(share, UNIT_LIFT, exponent, 1.0) / UNIT_LIFT
    flowing = np.interp(
        np.asarray(largest)[..., None] * shape, np.append(0.0, lifts), np.append(0.0, coefficients)
    )
    mean: Real = flowing.mean(axis=-1)[()]
    return mean


def inlet_mach_index(
    bore: Metre,
    intake_valve_diameter: Metre,
    intake_valves: Pure,
    mean_flow_coefficient: Pure,
    mean_piston_speed: MetrePerSecond,
    sound_speed: MetrePerSecond,
) -> Pure:
    r"""Taylor's inlet Mach index: how near the intake valves bring the engine to choking.

    .. math:: Z = \frac{1}{n} \left(\frac{b}{D}\right)^2 \frac{s}{C_i a}

    Volumetric efficiency falls beyond about 0.6.

    Parameters
    ----------
    bore : float or array_like
        b. [m]
    intake_valve_diameter : float or array_like
        D, of the head. [m]
    intake_valves : float or array_like
        n, in one cylinder. [1]
    mean_flow_coefficient : float or array_like
        C_i, mean while the valve is open, by the area of the head. [1]
    mean_piston_speed : float or array_like
        s. [m/s]
    sound_speed : float or array_like
        a, at the state before the valve. [m/s]

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
    >>> print(round(inlet_mach_index(0.1, 0.046, 1.0, 0.35, 15.0, 343.0), 4))
    0.5905

    References
    ----------
    .. [1] Taylor, The Internal-Combustion Engine, volume 1, chapter 6 (from memory).
    """
    area_ratio = (require("bore", bore) / require("intake_valve_diameter", intake_valve_diameter)) ** 2
    return (
        area_ratio
        / require("intake_valves", intake_valves)
        * require("mean_piston_speed", mean_piston_speed)
        / (require("mean_flow_coefficient", mean_flow_coefficient) * require("sound_speed", sound_speed))
    )


def speed_for_mach_index(
    inlet_mach_index: Pure,
    bore: Metre,
    stroke: Metre,
    intake_valve_diameter: Metre,
    intake_valves: Pure,
    mean_flow_coefficient: Pure,
    sound_speed: MetrePerSecond,
) -> RadianPerSecond:
    r"""Engine speed at which the inlet Mach index reaches a value.

    .. math:: \omega = \frac{\pi}{S} Z n \left(\frac{D}{b}\right)^2 C_i a

    Parameters
    ----------
    inlet_mach_index : float or array_like
        Z; 0.6 is where breathing begins to suffer. [1]
    bore : float or array_like
        b. [m]
    stroke : float or array_like
        S. [m]
    intake_valve_diameter : float or array_like
        D, of the head. [m]
    intake_valves : float or array_like
        n, in one cylinder. [1]
    mean_flow_coefficient : float or array_like
        C_i, by the area of the head. [1]
    sound_speed : float or array_like
        a, at the state before the valve. [m/s]

    Returns
    -------
    float or ndarray
        Crank. [rad/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(speed_for_mach_index(0.6, 0.1, 0.09, 0.046, 1.0, 0.35, 343.0) * 30 / math.pi))
    5081

    References
    ----------
    .. [1] `inlet_mach_index` turned round.
    """
    area_ratio = (require("intake_valve_diameter", intake_valve_diameter) / require("bore", bore)) ** 2
    piston_speed = (
        require("inlet_mach_index", inlet_mach_index)
        * require("intake_valves", intake_valves)
        * area_ratio
        * require("mean_flow_coefficient", mean_flow_coefficient)
        * require("sound_speed", sound_speed)
    )
    return math.pi * piston_speed / require("stroke", stroke)


def mean_port_velocity(
    bore: Metre, mean_piston_speed: MetrePerSecond, flow_area: SquareMetre
) -> MetrePerSecond:
    r"""Mean velocity in a port or runner, density unchanged, while the piston moves one stroke.

    .. math:: v = \frac{\pi b^2}{4 A} s

    Parameters
    ----------
    bore : float or array_like
        b. [m]
    mean_piston_speed : float or array_like
        s. [m/s]
    flow_area : float or array_like
        A, of the section looked at, for one cylinder. [m2]

    Returns
    -------
    float or ndarray
        [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(mean_port_velocity(0.099, 18.2, 1.5e-3), 1))
    93.4

    References
    ----------
    .. [1] Continuity.
    """
    piston = math.pi / 4.0 * require("bore", bore) ** 2
    speed = require("mean_piston_speed", mean_piston_speed)
    return piston / require("flow_area", flow_area) * speed
