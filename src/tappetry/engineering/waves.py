"""Waves of any strength in a pipe: simple waves, where they meet, when they steepen, and running shocks."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    JoulePerKilogramKelvin,
    Kelvin,
    Metre,
    MetrePerSecond,
    Pure,
    Range,
    Real,
    Second,
    require_between,
)


@dataclass(frozen=True, slots=True)
class SimpleWave:
    """A point of a wave that runs into gas at rest.

    Attributes
    ----------
    undisturbed_sound_speed : float or ndarray
        a0. [m/s]
    pressure_amplitude_ratio : float or ndarray
        X. [1]
    particle_velocity : float or ndarray
        Of the gas, with the wave positive; a wave of low pressure draws it back. [m/s]
    propagation_velocity : float or ndarray
        Of this point of the wave. [m/s]
    local_sound_speed : float or ndarray
        [m/s]
    """

    undisturbed_sound_speed: MetrePerSecond
    pressure_amplitude_ratio: Pure
    particle_velocity: MetrePerSecond
    propagation_velocity: MetrePerSecond
    local_sound_speed: MetrePerSecond


@dataclass(frozen=True, slots=True)
class Superposition:
    """Two waves that meet head on.

    Attributes
    ----------
    superposed_pressure_ratio : float or ndarray
        Pressure over that of the gas at rest. [1]
    particle_velocity : float or ndarray
        In the direction of the first wave positive. [m/s]
    local_sound_speed : float or ndarray
        [m/s]
    """

    superposed_pressure_ratio: Pure
    particle_velocity: MetrePerSecond
    local_sound_speed: MetrePerSecond


def _at_rest(
    undisturbed_temperature: Real, heat_capacity_ratio: Real, gas_constant: Real
) -> tuple[Real, Real]:
    """Gamma and speed of sound of the gas before a wave comes."""
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    sound: Real = np.sqrt(
        gamma
        * require("gas_constant", gas_constant)
        * require("undisturbed_temperature", undisturbed_temperature)
    )
    return gamma, sound


def finite_amplitude_wave(
    wave_pressure_ratio: Pure,
    undisturbed_temperature: Kelvin,
    heat_capacity_ratio: Pure,
    gas_constant: JoulePerKilogramKelvin,
) -> SimpleWave:
    r"""Velocities of a wave of any strength that runs into gas at rest.

    .. math::

        X = \left(\frac{p}{p_0}\right)^{(\gamma - 1)/(2 \gamma)},\quad
        c = \frac{2 a_0}{\gamma - 1} (X - 1),\quad
        \alpha = a + c = a_0 \left(\frac{\gamma + 1}{\gamma - 1} X - \frac{2}{\gamma - 1}\right)

    Parameters
    ----------
    wave_pressure_ratio : float or array_like
        p/p_0: above 1 for an exhaust pulse, below 1 for suction. [1]
    undisturbed_temperature : float or array_like
        T_0. [K]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R, of this gas. [J/kg.K]

    Returns
    -------
    SimpleWave
        [m/s] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 45.3 and 397 m/s:

    >>> wave = finite_amplitude_wave(1.2, 293.0, 1.4, 287.0)
    >>> print(round(wave.particle_velocity, 1), round(wave.propagation_velocity, 1))
    45.3 397.4

    References
    ----------
    .. [1] Blair, Design and Simulation of Four-Stroke Engines, section 2.1 (from memory).
    """
    ratio = require("wave_pressure_ratio", wave_pressure_ratio)
    gamma, sound = _at_rest(undisturbed_temperature, heat_capacity_ratio, gas_constant)
    amplitude = ratio ** ((gamma - 1.0) / (2.0 * gamma))
    particle = 2.0 / (gamma - 1.0) * sound * (amplitude - 1.0)
    shape = 0.0 * particle
    return SimpleWave(
        undisturbed_sound_speed=sound + shape,
        pressure_amplitude_ratio=amplitude + shape,
        particle_velocity=particle,
        propagation_velocity=particle + sound * amplitude,
        local_sound_speed=sound * amplitude,
    )


def wave_superposition(
    wave_pressure_ratio: Pure,
    other_pressure_ratio: Pure,
    undisturbed_temperature: Kelvin,
    heat_capacity_ratio: Pure,
    gas_constant: JoulePerKilogramKelvin,
) -> Superposition:
    r"""Pressure and velocity where two waves meet head on; a closed end is the meeting with its own mirror.

    .. math::

        X_s = X_1 + X_2 - 1,\quad \frac{p_s}{p_0} = X_s^{2 \gamma/(\gamma - 1)},\quad
        c_s = \frac{2 a_0}{\gamma - 1} (X_1 - X_2)

    Parameters
    ----------
    wave_pressure_ratio : float or array_like
        p_1/p_0. [1]
    other_pressure_ratio : float or array_like
        p_2/p_0, of the wave that comes against it. [1]
    undisturbed_temperature : float or array_like
        T_0. [K]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R, of this gas. [J/kg.K]

    Returns
    -------
    Superposition
        [1] and [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or two waves of suction leave a vacuum.

    Examples
    --------
    A pulse of 1.2 at a closed end stands at 1.433, more than twice its rise:

    >>> print(round(wave_superposition(1.2, 1.2, 293.0, 1.4, 287.0).superposed_pressure_ratio, 4))
    1.4334

    References
    ----------
    .. [1] Blair, Design and Simulation of Four-Stroke Engines, section 2.2 (from memory; the exact solution
       of two states that meet agrees in the tests).
    """
    first = require("wave_pressure_ratio", wave_pressure_ratio)
    second = require("other_pressure_ratio", other_pressure_ratio)
    gamma, sound = _at_rest(undisturbed_temperature, heat_capacity_ratio, gas_constant)
    power = (gamma - 1.0) / (2.0 * gamma)
    one, other = first**power, second**power
    met = require_between(
        "sum of both amplitudes less 1",
        one + other - 1.0,
        Range(0.0, math.inf, low_excluded=True),
        source="two waves of suction cannot take more than all the gas",
        advice="Check the pressure ratios",
    )
    return Superposition(
        superposed_pressure_ratio=met ** (1.0 / power),
        particle_velocity=2.0 / (gamma - 1.0) * sound * (one - other),
        local_sound_speed=sound * met,
    )


def shock_formation_distance(
    wave_pressure_ratio: Pure,
    rise_time: Second,
    undisturbed_temperature: Kelvin,
    heat_capacity_ratio: Pure,
    gas_constant: JoulePerKilogramKelvin,
) -> Metre:
    r"""Run of a pressure pulse after which its crest has caught up with its foot.

    .. math:: x = \frac{a_0\, \alpha\, t_r}{\alpha - a_0}

    Parameters
    ----------
    wave_pressure_ratio : float or array_like
        Of the crest, above 1. [1]
    rise_time : float or array_like
        t_r, from foot to crest as they pass one place. [s]
    undisturbed_temperature : float or array_like
        T_0. [K]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R, of this gas. [J/kg.K]

    Returns
    -------
    float or ndarray
        A shock begins before this where the rise is steeper in the middle. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the wave is one of suction, which flattens.

    Examples
    --------
    >>> print(round(shock_formation_distance(1.5, 2e-3, 700.0, 1.34, 289.0), 2))
    3.91

    References
    ----------
    .. [1] `finite_amplitude_wave`: the crest leaves by t_r later and runs faster.
    """
    require_between(
        "wave_pressure_ratio of a crest",
        require("wave_pressure_ratio", wave_pressure_ratio),
        Range(1.0, math.inf, low_excluded=True),
        source="a wave of suction flattens as it runs",
    )
    wave = finite_amplitude_wave(
        wave_pressure_ratio, undisturbed_temperature, heat_capacity_ratio, gas_constant
    )
    foot, crest = wave.undisturbed_sound_speed, wave.propagation_velocity
    return foot * crest * require("rise_time", rise_time) / (crest - foot)


def courant_time_step(
    cell_length: Metre, gas_velocity: MetrePerSecond, sound_speed: MetrePerSecond, courant_number: Pure
) -> Second:
    r"""Longest time step in which no wave outruns its cell.

    .. math:: \Delta t = \frac{C \Delta x}{|u| + a}

    Parameters
    ----------
    cell_length : float or array_like
        Delta x. [m]
    gas_velocity : float or array_like
        u. [m/s]
    sound_speed : float or array_like
        a. [m/s]
    courant_number : float or array_like
        C, at most 1 for an explicit scheme. [1]

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
    >>> print(round(courant_time_step(0.01, 100.0, 500.0, 0.9) * 1e6, 1))
    15.0

    References
    ----------
    .. [1] Courant, Friedrichs and Lewy; textbook.
    """
    speed: Real = np.abs(require("gas_velocity", gas_velocity)) + require("sound_speed", sound_speed)
    return require("courant_number", courant_number) * require("cell_length", cell_length) / speed
