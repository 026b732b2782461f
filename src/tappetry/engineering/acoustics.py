"""Small waves in pipes: tones, tuning, reflection where the area changes, energy."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    CubicMetre,
    Hertz,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    OutOfRange,
    Pascal,
    PascalSecondPerMetre,
    Pure,
    Real,
    SquareMetre,
    WattPerSquareMetre,
)

END_CORRECTIONS = {"flanged": 8.0 / (3.0 * math.pi), "unflanged": 0.6}
"""Length that an open end adds, by its radius (Kinsler et al., from memory). [1]"""

END_REFLECTIONS = {"closed": 1.0, "open": -1.0}
"""Reflected over incoming pressure. [1]"""


@dataclass(frozen=True, slots=True)
class AreaChange:
    """What a small wave does where the area changes.

    Attributes
    ----------
    pressure_reflection : float or ndarray
        Reflected over incoming pressure. [1]
    pressure_transmission : float or ndarray
        Transmitted over incoming pressure. [1]
    reflected_energy : float or ndarray
        Share of the power. [1]
    transmitted_energy : float or ndarray
        Share of the power. [1]
    energy_sum : float or ndarray
        Both together. [1]
    """

    pressure_reflection: Pure
    pressure_transmission: Pure
    reflected_energy: Pure
    transmitted_energy: Pure
    energy_sum: Pure


@dataclass(frozen=True, slots=True)
class PlaneWave:
    """A small plane wave.

    Attributes
    ----------
    acoustic_impedance : float or ndarray
        [Pa.s/m]
    acoustic_velocity : float or ndarray
        Of the gas, with the wave where the pressure is above rest. [m/s]
    acoustic_intensity : float or ndarray
        Mean power of a sine of this amplitude. [W/m2]
    """

    acoustic_impedance: PascalSecondPerMetre
    acoustic_velocity: MetrePerSecond
    acoustic_intensity: WattPerSquareMetre


def quarter_wave_frequency(
    pipe_length: Metre, sound_speed: MetrePerSecond, mode_number: Pure = 1.0, end_correction: Metre = 0.0
) -> Hertz:
    r"""Tones of a pipe that is closed at one end and open at the other: odd multiples of the lowest.

    .. math:: f_n = \frac{(2 n - 1)\, a}{4 (L + \Delta)}

    Parameters
    ----------
    pipe_length : float or array_like
        L. [m]
    sound_speed : float or array_like
        a. [m/s]
    mode_number : float or array_like, optional
        n: 1 for the lowest tone. [1]
    end_correction : float or array_like, optional
        Delta, that the open end adds. [m]

    Returns
    -------
    float or ndarray
        [Hz]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(quarter_wave_frequency(0.5, 343.2), 1), round(quarter_wave_frequency(0.5, 343.2, 2.0), 1))
    171.6 514.8

    References
    ----------
    .. [1] Kinsler et al., Fundamentals of Acoustics, chapter 10 (from memory).
    """
    length = require("pipe_length", pipe_length) + require("end_correction", end_correction)
    odd = 2.0 * require("mode_number", mode_number) - 1.0
    return odd * require("sound_speed", sound_speed) / (4.0 * length)


def half_wave_frequency(
    pipe_length: Metre, sound_speed: MetrePerSecond, mode_number: Pure = 1.0, end_correction: Metre = 0.0
) -> Hertz:
    r"""Tones of a pipe that is open at both ends, or closed at both: all multiples of the lowest.

    .. math:: f_n = \frac{n\, a}{2 (L + \Delta)}

    Parameters
    ----------
    pipe_length : float or array_like
        L. [m]
    sound_speed : float or array_like
        a. [m/s]
    mode_number : float or array_like, optional
        n: 1 for the lowest tone. [1]
    end_correction : float or array_like, optional
        Delta, that both open ends add together. [m]

    Returns
    -------
    float or ndarray
        [Hz]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(half_wave_frequency(0.5, 343.2), 1), round(half_wave_frequency(0.5, 343.2, 2.0), 1))
    343.2 686.4

    References
    ----------
    .. [1] Kinsler et al., Fundamentals of Acoustics, chapter 10 (from memory).
    """
    length = require("pipe_length", pipe_length) + require("end_correction", end_correction)
    return require("mode_number", mode_number) * require("sound_speed", sound_speed) / (2.0 * length)


def end_correction(pipe_radius: Metre, end_shape: str) -> Metre:
    r"""Length that an open end adds to a pipe or a neck.

    .. math:: \Delta = \frac{8 r}{3 \pi} \text{ in a wall},\quad \Delta = 0.6\, r \text{ standing free}

    Parameters
    ----------
    pipe_radius : float or array_like
        r, inside. [m]
    end_shape : str
        `flanged` where the end lies in a wall, `unflanged` where it stands free.

    Returns
    -------
    float or ndarray
        For one end. [m]

    Raises
    ------
    OutOfRange
        The radius lies outside its range, or the shape has no name here.

    Examples
    --------
    >>> print(
    ...     round(end_correction(0.02, "flanged") * 1e3, 2), round(end_correction(0.02, "unflanged") * 1e3, 2)
    ... )
    16.98 12.0

    References
    ----------
    .. [1] Kinsler et al., Fundamentals of Acoustics, section 10.2 (from memory). More exact theories
       give 0.82 and 0.61.
    """
    if end_shape not in END_CORRECTIONS:
        raise OutOfRange(f"end shape {end_shape!r}", None, f"one of {', '.join(END_CORRECTIONS)}")
    return END_CORRECTIONS[end_shape] * require("pipe_radius", pipe_radius)


def helmholtz_frequency(
    neck_area: SquareMetre, neck_length: Metre, cavity_volume: CubicMetre, sound_speed: MetrePerSecond
) -> Hertz:
    r"""Tone of a volume with a neck: a plenum, or a cylinder with its runner.

    .. math:: f = \frac{a}{2 \pi} \sqrt{\frac{A}{V L}}

    Parameters
    ----------
    neck_area : float or array_like
        A. [m2]
    neck_length : float or array_like
        L, end corrections included. [m]
    cavity_volume : float or array_like
        V. [m3]
    sound_speed : float or array_like
        a. [m/s]

    Returns
    -------
    float or ndarray
        [Hz]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(helmholtz_frequency(5e-4, 0.1, 1e-3, 343.0), 2))
    122.07

    References
    ----------
    .. [1] Kinsler et al., Fundamentals of Acoustics, section 10.8 (from memory).
    """
    squared = require("neck_area", neck_area) / (
        require("cavity_volume", cavity_volume) * require("neck_length", neck_length)
    )
    frequency: Real = require("sound_speed", sound_speed) / (2.0 * math.pi) * np.sqrt(squared)
    return frequency


def wavelength(wave_frequency: Hertz, sound_speed: MetrePerSecond) -> Metre:
    r"""Length of one period of a tone.

    .. math:: \lambda = a / f

    Parameters
    ----------
    wave_frequency : float or array_like
        f. [Hz]
    sound_speed : float or array_like
        a. [m/s]

    Returns
    -------
    float or ndarray
        [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(wavelength(200.0, 343.0), 3))
    1.715

    References
    ----------
    .. [1] Definition.
    """
    return require("sound_speed", sound_speed) / require("wave_frequency", wave_frequency)


def plane_wave(
    acoustic_pressure: Pascal, gas_density: KilogramPerCubicMetre, sound_speed: MetrePerSecond
) -> PlaneWave:
    r"""Impedance, velocity of the gas and power of a small plane wave.

    .. math:: Z = \rho a,\quad u = p / Z,\quad I = p^2 / (2 Z)

    Parameters
    ----------
    acoustic_pressure : float or array_like
        p, above or below that at rest. [Pa]
    gas_density : float or array_like
        rho. [kg/m3]
    sound_speed : float or array_like
        a. [m/s]

    Returns
    -------
    PlaneWave
        [Pa.s/m], [m/s] and [W/m2]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> wave = plane_wave(1000.0, 1.2, 343.0)
    >>> print(round(wave.acoustic_impedance, 1), round(wave.acoustic_velocity, 3))
    411.6 2.43

    References
    ----------
    .. [1] Kinsler et al., Fundamentals of Acoustics, chapter 5 (from memory).
    """
    pressure = require("acoustic_pressure", acoustic_pressure)
    impedance = require("gas_density", gas_density) * require("sound_speed", sound_speed)
    return PlaneWave(
        acoustic_impedance=impedance + 0.0 * pressure,
        acoustic_velocity=pressure / impedance,
        acoustic_intensity=pressure**2 / (2.0 * impedance),
    )


def area_change(
    upstream_area: SquareMetre, downstream_area: SquareMetre, branch_area: SquareMetre = 0.0
) -> AreaChange:
    r"""Reflection and transmission of a small wave where the area changes, or where a pipe parts in two.

    .. math::

        R = \frac{A_1 - A_2 - A_3}{A_1 + A_2 + A_3},\quad T = 1 + R,\quad
        R^2 + \frac{A_2 + A_3}{A_1} T^2 = 1

    Parameters
    ----------
    upstream_area : float or array_like
        A_1, from which the wave comes. [m2]
    downstream_area : float or array_like
        A_2; 0 is a closed end, infinite an open one. [m2]
    branch_area : float or array_like, optional
        A_3, of a second pipe that leaves the same place. [m2]

    Returns
    -------
    AreaChange
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> change = area_change(10e-4, 25e-4)
    >>> print(round(change.pressure_reflection, 4), round(change.pressure_transmission, 4))
    -0.4286 0.5714

    References
    ----------
    .. [1] Kinsler et al., Fundamentals of Acoustics, section 10.6 (from memory).
    """
    onward = require("downstream_area", downstream_area) + require("branch_area", branch_area)
    transmission = 2.0 / (1.0 + onward / require("upstream_area", upstream_area))
    reflection = transmission - 1.0
    # (A2 + A3)/A1 T^2 is T (2 - T), which stays finite for an open end.
    passed = transmission * (2.0 - transmission)
    return AreaChange(
        pressure_reflection=reflection,
        pressure_transmission=transmission,
        reflected_energy=reflection**2,
        transmitted_energy=passed,
        energy_sum=reflection**2 + passed,
    )


def pipe_end_reflection(pipe_end: str) -> Pure:
    r"""Reflection of a small wave at the end of a pipe: a pulse comes back as a pulse, or as suction.

    .. math:: R = 1 \text{ closed},\quad R = -1 \text{ open}

    Parameters
    ----------
    pipe_end : str
        `closed` or `open`.

    Returns
    -------
    float
        Reflected over incoming pressure. [1]

    Raises
    ------
    OutOfRange
        The end has no name here.

    Examples
    --------
    >>> print(pipe_end_reflection("closed"), pipe_end_reflection("open"))
    1.0 -1.0

    References
    ----------
    .. [1] Kinsler et al., Fundamentals of Acoustics, chapter 10 (from memory); `area_change` without bound.
    """
    if pipe_end not in END_REFLECTIONS:
        raise OutOfRange(f"pipe end {pipe_end!r}", None, f"one of {', '.join(END_REFLECTIONS)}")
    return END_REFLECTIONS[pipe_end]


def transmission_loss(
    chamber_area: SquareMetre,
    upstream_area: SquareMetre,
    pipe_length: Metre,
    wave_frequency: Hertz,
    sound_speed: MetrePerSecond,
) -> Pure:
    r"""What an expansion chamber takes from a tone, between two pipes of one area.

    .. math::

        TL = 10 \lg\left[1 + \frac{1}{4} \left(m - \frac{1}{m}\right)^2 \sin^2 k L\right],\quad
        m = \frac{A_c}{A},\quad k = \frac{2 \pi f}{a}

    Parameters
    ----------
    chamber_area : float or array_like
        A_c. [m2]
    upstream_area : float or array_like
        A, of the pipes before and after. [m2]
    pipe_length : float or array_like
        L, of the chamber. [m]
    wave_frequency : float or array_like
        f. [Hz]
    sound_speed : float or array_like
        a. [m/s]

    Returns
    -------
    float or ndarray
        In decibels; without flow and with nothing behind. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(transmission_loss(0.01, 0.001, 0.4, 214.375, 343.0), 2))
    14.07

    References
    ----------
    .. [1] Kinsler et al., Fundamentals of Acoustics, section 10.11 (from memory; matrices of the same pipe
       agree in the tests).
    """
    ratio = require("chamber_area", chamber_area) / require("upstream_area", upstream_area)
    number = 2.0 * math.pi * require("wave_frequency", wave_frequency) / require("sound_speed", sound_speed)
    swing = np.sin(number * require("pipe_length", pipe_length))
    loss: Real = 10.0 * np.log10(1.0 + 0.25 * ((ratio - 1.0 / ratio) * swing) ** 2)
    return loss
