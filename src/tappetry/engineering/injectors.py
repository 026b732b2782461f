"""Injectors: how large they have to be, how long they are open, and what they pass at another pressure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import TURN, require
from tappetry.engineering.ranges import (
    CubicMetrePerSecond,
    JoulePerKilogram,
    Kilogram,
    KilogramPerCubicMetre,
    KilogramPerJoule,
    KilogramPerSecond,
    Pascal,
    Pure,
    RadianPerSecond,
    Real,
    Second,
    Watt,
)


@dataclass(frozen=True, slots=True)
class InjectorSize:
    """What an injector has to pass.

    Attributes
    ----------
    fuel_flow : float or ndarray
        Of the whole engine. [kg/s]
    injector_flow : float or ndarray
        Of one injector held open. [kg/s]
    injector_volume_flow : float or ndarray
        [m3/s]
    """

    fuel_flow: KilogramPerSecond
    injector_flow: KilogramPerSecond
    injector_volume_flow: CubicMetrePerSecond


def injector_size(
    engine_power: Watt,
    specific_consumption: KilogramPerJoule,
    injector_count: Pure,
    duty_limit: Pure,
    fuel_density: KilogramPerCubicMetre,
) -> InjectorSize:
    r"""Size of the injectors for a power.

    .. math:: \dot m_f = P\, b,\quad \dot m = \frac{\dot m_f}{n d}

    Parameters
    ----------
    engine_power : float or array_like
        P. [W]
    specific_consumption : float or array_like
        b, of this fuel at that power. [kg/J]
    injector_count : float or array_like
        n. [1]
    duty_limit : float or array_like
        d. [1]
    fuel_density : float or array_like
        [kg/m3]

    Returns
    -------
    InjectorSize
        Masses in [kg/s], volume in [m3/s].

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> size = injector_size(298.28e3, 8.4483e-8, 8.0, 0.85, 745.0)
    >>> print(round(size.injector_flow / 0.45359237 * 3600, 2), round(size.injector_volume_flow * 6e7))
    29.41 298

    References
    ----------
    .. [1] Conservation of fuel; 80 to 85 % is common practice, no source.
    """
    fuel = require("engine_power", engine_power) * require("specific_consumption", specific_consumption)
    each = fuel / (require("injector_count", injector_count) * require("duty_limit", duty_limit))
    return InjectorSize(
        fuel_flow=fuel,
        injector_flow=each,
        injector_volume_flow=each / require("fuel_density", fuel_density),
    )


def injector_duty(
    fuel_flow: KilogramPerSecond, injector_count: Pure, injector_flow: KilogramPerSecond
) -> Pure:
    r"""Share of the time that the injectors are open.

    .. math:: d = \frac{\dot m_f}{n \dot m}

    Parameters
    ----------
    fuel_flow : float or array_like
        Of the whole engine. [kg/s]
    injector_count : float or array_like
        n. [1]
    injector_flow : float or array_like
        Of one held open, at the fuel pressure. [kg/s]

    Returns
    -------
    float or ndarray
        Above 1 they are too small. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(injector_duty(0.0217, 8.0, 3.7e-3), 3))
    0.733

    References
    ----------
    .. [1] Conservation of fuel.
    """
    held_open = require("injector_count", injector_count) * require("injector_flow", injector_flow)
    return require("fuel_flow", fuel_flow) / held_open


def duty_of_pulse(pulse_width: Second, engine_speed: RadianPerSecond) -> Pure:
    r"""Share of the time that a pulse takes, once in two turns of the crank.

    .. math:: d = t \frac{n}{2}

    Parameters
    ----------
    pulse_width : float or array_like
        t. [s]
    engine_speed : float or array_like
        [rad/s]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(duty_of_pulse(16e-3, 6000 * 3.14159265 / 30), 3))
    0.8

    References
    ----------
    .. [1] Definition, for sequential injection.
    """
    return require("pulse_width", pulse_width) * require("engine_speed", engine_speed) / (2.0 * TURN)


def pulse_for_fuel(fuel_mass: Kilogram, injector_flow: KilogramPerSecond, dead_time: Second) -> Second:
    r"""Pulse that gives a mass of fuel.

    .. math:: t = \frac{m}{\dot m} + t_0

    Parameters
    ----------
    fuel_mass : float or array_like
        m, for one cylinder and cycle. [kg]
    injector_flow : float or array_like
        Held open, at the fuel pressure. [kg/s]
    dead_time : float or array_like
        t_0, at the battery's voltage. [s]

    Returns
    -------
    float or ndarray
        [s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(pulse_for_fuel(40e-6, 3.7e-3, 0.9e-3) * 1e3, 2))
    11.71

    References
    ----------
    .. [1] Straight line between pulse and fuel; short pulses bend it.
    """
    open_for = require("fuel_mass", fuel_mass) / require("injector_flow", injector_flow)
    return open_for + require("dead_time", dead_time)


def flow_at_pressure(
    injector_flow: KilogramPerSecond, rated_pressure: Pascal, fuel_pressure: Pascal
) -> KilogramPerSecond:
    r"""Flow of an injector at another pressure than the stated one.

    .. math:: \dot m_2 = \dot m_1 \sqrt{p_2 / p_1}

    Parameters
    ----------
    injector_flow : float or array_like
        As stated. [kg/s]
    rated_pressure : float or array_like
        Across the injector, at which it was stated. [Pa]
    fuel_pressure : float or array_like
        Across the injector, rail less manifold. [Pa]

    Returns
    -------
    float or ndarray
        [kg/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(flow_at_pressure(3.7e-3, 300e3, 400e3) * 1e3, 3))
    4.272

    References
    ----------
    .. [1] Bernoulli's equation.
    """
    ratio = require("fuel_pressure", fuel_pressure) / require("rated_pressure", rated_pressure)
    flow: Real = require("injector_flow", injector_flow) * np.sqrt(ratio)
    return flow


def specific_consumption(fuel_flow: KilogramPerSecond, engine_power: Watt) -> KilogramPerJoule:
    r"""Fuel for the work at the crank.

    .. math:: b = \dot m_f / P

    Parameters
    ----------
    fuel_flow : float or array_like
        Of the whole engine. [kg/s]
    engine_power : float or array_like
        P. [W]

    Returns
    -------
    float or ndarray
        [kg/J]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(specific_consumption(0.0217, 270e3) * 3.6e9))
    289

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 2.22 (from memory).
    """
    return require("fuel_flow", fuel_flow) / require("engine_power", engine_power)


def brake_efficiency(specific_consumption: KilogramPerJoule, heating_value: JoulePerKilogram) -> Pure:
    r"""Share of the fuel's heat that comes out as work at the crank.

    .. math:: \eta = \frac{1}{b H}

    Parameters
    ----------
    specific_consumption : float or array_like
        b. [kg/J]
    heating_value : float or array_like
        H, lower. [J/kg]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(brake_efficiency(8.4e-8, 43.5e6), 3))
    0.274

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 2.24 (from memory).
    """
    heat = require("specific_consumption", specific_consumption) * require("heating_value", heating_value)
    return 1.0 / heat
