"""Knock: the delay of the end gas, its integral, and what the pump's number means in an engine."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.glossary import require
from tappetry.engineering.lists import require_list, require_pairs
from tappetry.engineering.ranges import (
    Kelvin,
    OutOfRange,
    Pascal,
    Pure,
    Radian,
    RadianPerSecond,
    Range,
    Real,
    Second,
    require_between,
)

ATMOSPHERE = 101325.0


@dataclass(frozen=True, slots=True)
class KnockIntegral:
    """How far the end gas is on its way to knock.

    Attributes
    ----------
    knock_integral : float or ndarray
        At the end; from 1 on the end gas has lit. [1]
    knock_time : float or ndarray
        When the integral reached 1; infinite where it did not. [s]
    """

    knock_integral: Pure
    knock_time: Second


@dataclass(frozen=True, slots=True)
class KnockAngle:
    """How far the end gas is on its way to knock, by crank angle.

    Attributes
    ----------
    knock_integral : float or ndarray
        At the end of the trace. [1]
    knock_angle : float or ndarray
        Where the integral reached 1; infinite where it did not. [rad]
    """

    knock_integral: Pure
    knock_angle: Radian


def _delay(octane: Real, pressure: Real, temperature: Real) -> Real:
    delay: Real = (
        17.68e-3 * (octane / 100.0) ** 3.402 * (pressure / ATMOSPHERE) ** -1.7 * np.exp(3800.0 / temperature)
    )
    return delay


def knock_delay(octane_number: Pure, end_gas_pressure: Pascal, end_gas_temperature: Kelvin) -> Second:
    r"""Time in which an end gas lights itself at a steady state, after Douaud and Eyzat.

    .. math::

        \tau = 17.68\ \mathrm{ms} \left(\frac{ON}{100}\right)^{3.402} p^{-1.7} e^{3800\ \mathrm{K}/T},\quad
        p \text{ in atm}

    Parameters
    ----------
    octane_number : float or array_like
        ON, of the fuel; fitted to fuels of 80 to 100. [1]
    end_gas_pressure : float or array_like
        p, absolute. [Pa]
    end_gas_temperature : float or array_like
        T. [K]

    Returns
    -------
    float or ndarray
        [s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(knock_delay(95.0, 40 * 101325.0, 800.0) * 1e3, 3))
    3.244

    References
    ----------
    .. [1] Douaud and Eyzat, SAE 780080; Heywood, Internal Combustion Engine Fundamentals, eq. 9.61 (constants
       from memory: look them up before relying on them).
    """
    return _delay(
        require("octane_number", octane_number),
        require("end_gas_pressure", end_gas_pressure),
        require("end_gas_temperature", end_gas_temperature),
    )


def _reached(times: NDArray[np.float64], sums: NDArray[np.float64]) -> Real:
    """Where sums over the last axis, which rise from 0, pass 1; infinite where they do not."""
    after = np.argmax(sums >= 1.0, axis=-1)[..., None]
    before = np.maximum(after - 1, 0)
    low, high = np.take_along_axis(sums, before, -1), np.take_along_axis(sums, after, -1)
    start, end = times[before], times[after]
    share = (1.0 - low) / np.where(high > low, high - low, 1.0)
    reached: Real = np.where(high >= 1.0, start + share * (end - start), math.inf)[..., 0][()]
    return reached


def knock_integral(
    octane_number: Pure, step_durations: Second, step_pressures: Pascal, step_temperatures: Kelvin
) -> KnockIntegral:
    r"""Integral of Livengood and Wu over steady steps, and the time of knock.

    .. math:: I = \sum_i \frac{\Delta t_i}{\tau_i},\quad I(t_{knock}) = 1

    Parameters
    ----------
    octane_number : float or array_like
        Of the fuel. [1]
    step_durations : array_like
        Delta t_i, one for each state. Where one less is given the last state lasts until it knocks. [s]
    step_pressures : array_like
        Of the end gas in each step, absolute. [Pa]
    step_temperatures : array_like
        Of the end gas in each step. [K]

    Returns
    -------
    KnockIntegral
        The integral is infinite where the last state lasts on. [1] and [s]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the lists do not belong together.

    Examples
    --------
    >>> atm = 101325.0
    >>> got = knock_integral(95.0, [1e-3, 1e-3], [25 * atm, 40 * atm, 60 * atm], [700.0, 800.0, 900.0])
    >>> print(round(got.knock_time * 1e3, 3))
    2.597

    References
    ----------
    .. [1] Livengood and Wu, Fifth Symposium on Combustion (1955) (from memory); the delay is `knock_delay`.
    """
    octane = np.asarray(require("octane_number", octane_number))[..., None]
    durations = require_list("step_durations", step_durations)
    pressures = require_list("step_pressures", step_pressures)
    temperatures = require_pairs("step_temperatures", step_temperatures, "step_pressures", pressures)
    states, steps = len(pressures), len(durations)
    if steps not in (states - 1, states):
        raise OutOfRange(
            "number of step_durations", steps, f"{states - 1} or {states}", source="one for each state"
        )
    if steps < states:
        durations = np.append(durations, math.inf)
    rates = 1.0 / _delay(octane, pressures, temperatures)
    shares = np.concatenate([np.zeros_like(octane), np.cumsum(rates * durations, axis=-1)], axis=-1)
    times = np.append(0.0, np.cumsum(durations))
    whole: Real = shares[..., -1][()]
    after = np.argmax(shares >= 1.0, axis=-1)[..., None]
    before = np.maximum(after - 1, 0)
    rate = np.take_along_axis(np.broadcast_to(rates, shares[..., 1:].shape), before, -1)
    knocks = times[before] + (1.0 - np.take_along_axis(shares, before, -1)) / rate
    time: Real = np.where(whole >= 1.0, knocks[..., 0], math.inf)[()]
    return KnockIntegral(knock_integral=whole, knock_time=time)


def knock_angle(
    octane_number: Pure,
    engine_speed: RadianPerSecond,
    trace_angles: Radian,
    trace_pressures: Pascal,
    trace_temperatures: Kelvin,
) -> KnockAngle:
    r"""Integral of Livengood and Wu along a trace by crank angle, and the angle of knock.

    .. math:: I(\theta) = \frac{1}{\omega} \int \frac{d\theta}{\tau}

    Parameters
    ----------
    octane_number : float or array_like
        Of the fuel. [1]
    engine_speed : float or array_like
        omega, above 0. [rad/s]
    trace_angles : array_like
        Crank angles, rising. [rad]
    trace_pressures : array_like
        Of the end gas at each angle, absolute. [Pa]
    trace_temperatures : array_like
        Of the end gas at each angle. [K]

    Returns
    -------
    KnockAngle
        By trapezia between the angles. [1] and [rad]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the engine stands still, the angles do not rise, or the lists do not
        belong together.

    Examples
    --------
    >>> import numpy as np
    >>> angles = np.radians([-20.0, 0.0, 20.0, 40.0])
    >>> got = knock_angle(91.0, 200.0, angles, [12e5, 25e5, 55e5, 60e5], [650.0, 760.0, 880.0, 900.0])
    >>> print(round(got.knock_integral, 2), round(np.degrees(got.knock_angle), 1))
    2.87 19.3

    References
    ----------
    .. [1] Livengood and Wu, Fifth Symposium on Combustion (1955) (from memory); the delay is `knock_delay`.
    """
    octane = np.asarray(require("octane_number", octane_number))[..., None]
    speed = require_between(
        "engine_speed of a trace",
        np.asarray(require("engine_speed", engine_speed)),
        Range(0.0, math.inf, low_excluded=True),
        "rad/s",
        source="time passes with the crank",
    )
    angles = require_list("trace_angles", trace_angles)
    pressures = require_pairs("trace_pressures", trace_pressures, "trace_angles", angles)
    temperatures = require_pairs("trace_temperatures", trace_temperatures, "trace_angles", angles)
    require_between(
        "number of trace_angles", len(angles), Range(2.0, math.inf), source="a trace has a length"
    )
    steps = np.diff(angles)
    require_between(
        "step of trace_angles",
        steps,
        Range(0.0, math.inf, low_excluded=True),
        "rad",
        source="the angles of a trace rise",
    )
    rates = 1.0 / (_delay(octane, pressures, temperatures) * np.asarray(speed)[..., None])
    shares = np.cumsum(0.5 * (rates[..., 1:] + rates[..., :-1]) * steps, axis=-1)
    sums = np.concatenate([np.zeros((*shares.shape[:-1], 1)), shares], axis=-1)
    whole: Real = sums[..., -1][()]
    return KnockAngle(knock_integral=whole, knock_angle=_reached(angles, sums))


def end_gas_temperature(
    end_gas_pressure: Pascal,
    reference_end_gas_pressure: Pascal,
    reference_end_gas_temperature: Kelvin,
    heat_capacity_ratio: Pure,
) -> Kelvin:
    r"""Temperature of the end gas that the burned gas compresses without heat.

    .. math:: T = T_1 (p / p_1)^{(\gamma - 1)/\gamma}

    Parameters
    ----------
    end_gas_pressure : float or array_like
        p, of the cylinder, absolute. [Pa]
    reference_end_gas_pressure : float or array_like
        p_1, absolute. [Pa]
    reference_end_gas_temperature : float or array_like
        T_1, at that pressure. [K]
    heat_capacity_ratio : float or array_like
        gamma of the unburned mixture, about 1.3 when hot. [1]

    Returns
    -------
    float or ndarray
        Walls cool it, late heat warms it. [K]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(end_gas_temperature(50e5, 12e5, 650.0, 1.31)))
    911

    References
    ----------
    .. [1] Isentrope of a perfect gas; textbook.
    """
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    ratio = require("end_gas_pressure", end_gas_pressure) / require(
        "reference_end_gas_pressure", reference_end_gas_pressure
    )
    start = require("reference_end_gas_temperature", reference_end_gas_temperature)
    return start * ratio ** ((gamma - 1.0) / gamma)


def antiknock_index(research_octane: Pure, motor_octane: Pure) -> Pure:
    r"""The number on pumps that show (R+M)/2.

    .. math:: AKI = (RON + MON) / 2

    Parameters
    ----------
    research_octane : float or array_like
        RON. [1]
    motor_octane : float or array_like
        MON. [1]

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
    >>> print(antiknock_index(95.0, 85.0))
    90.0

    References
    ----------
    .. [1] Definition.
    """
    return (require("research_octane", research_octane) + require("motor_octane", motor_octane)) / 2.0


def octane_index(research_octane: Pure, motor_octane: Pure, octane_weight: Pure) -> Pure:
    r"""Octane number that an engine feels.

    .. math:: OI = (1 - K)\, RON + K\, MON

    Parameters
    ----------
    research_octane : float or array_like
        RON. [1]
    motor_octane : float or array_like
        MON. [1]
    octane_weight : float or array_like
        K: 0.5 gives the antiknock index, many engines of today lie at 0 or below. [1]

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
    >>> print(octane_index(95.0, 85.0, -0.5))
    100.0

    References
    ----------
    .. [1] Kalghatgi, SAE 2001-01-3584 (from memory).
    """
    research, motor = require("research_octane", research_octane), require("motor_octane", motor_octane)
    return research - require("octane_weight", octane_weight) * (research - motor)
