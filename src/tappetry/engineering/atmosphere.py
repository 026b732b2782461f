"""The standard atmosphere: temperature, pressure and density by altitude, and altitude by either."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Kelvin,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    Pascal,
    PascalSecond,
    Range,
    Real,
    require_between,
)

GRAVITY = 9.80665
SEA_LEVEL_TEMPERATURE = 288.15
SEA_LEVEL_PRESSURE = 101325.0
GAS_CONSTANT = 8.31432 / 0.0289644
"""R of air with the molar gas constant and the molar mass of 1976. [J/kg.K]"""

GAMMA = 1.4
EARTH_RADIUS = 6356766.0
BASES = (0.0, 11000.0, 20000.0, 32000.0, 47000.0, 51000.0, 71000.0)
LAPSES = (-0.0065, 0.0, 0.001, 0.0028, 0.0, -0.0028, -0.002)
LOWEST, HIGHEST = -5000.0, 84852.0


@dataclass(frozen=True, slots=True)
class Atmosphere:
    """Air of the standard atmosphere.

    Attributes
    ----------
    gas_temperature : float or ndarray
        [K]
    gas_pressure : float or ndarray
        [Pa]
    gas_density : float or ndarray
        [kg/m3]
    sound_speed : float or ndarray
        [m/s]
    dynamic_viscosity : float or ndarray
        [Pa.s]
    """

    gas_temperature: Kelvin
    gas_pressure: Pascal
    gas_density: KilogramPerCubicMetre
    sound_speed: MetrePerSecond
    dynamic_viscosity: PascalSecond


def _temperature_and_pressure(altitude: Real) -> tuple[Real, Real]:
    """Layer by layer from sea level up; each layer begins with what the one below ends with."""
    temperature: Real = SEA_LEVEL_TEMPERATURE + 0.0 * altitude
    pressure: Real = SEA_LEVEL_PRESSURE + 0.0 * altitude
    for base, top, lapse in zip(BASES, (*BASES[1:], HIGHEST), LAPSES, strict=True):
        height = np.clip(altitude, LOWEST if base == 0.0 else base, top) - base
        warmer = temperature + lapse * height
        if lapse:
            pressure = pressure * (warmer / temperature) ** (-GRAVITY / (GAS_CONSTANT * lapse))
        else:
            pressure = pressure * np.exp(-GRAVITY * height / (GAS_CONSTANT * temperature))
        temperature = warmer
    return temperature, pressure


def standard_atmosphere(altitude: Metre) -> Atmosphere:
    r"""Temperature, pressure, density, speed of sound and viscosity at an altitude.

    .. math::

        T = T_b + L (H - H_b),\quad
        p = p_b \left(\frac{T}{T_b}\right)^{-g_0 / (R L)} \text{ or }
        p_b\, e^{-g_0 (H - H_b) / (R T_b)},\quad
        \mu = \frac{1.458 \cdot 10^{-6}\, T^{1.5}}{T + 110.4\ \mathrm{K}}

    Parameters
    ----------
    altitude : float or array_like
        H, geopotential; below 5 km it is the height by tape within 4 m. [m]

    Returns
    -------
    Atmosphere
        [K], [Pa], [kg/m3], [m/s] and [Pa.s]

    Raises
    ------
    OutOfRange
        The altitude lies outside its range in the glossary.

    Examples
    --------
    >>> air = standard_atmosphere(1524.0)
    >>> print(round(air.gas_temperature, 2), round(air.gas_pressure), round(air.gas_density, 4))
    278.24 84307 1.0555

    References
    ----------
    .. [1] US Standard Atmosphere 1976, part 1 (from memory; a library agrees in the tests).
    """
    temperature, pressure = _temperature_and_pressure(require("altitude", altitude))
    viscosity: Real = 1.458e-6 * temperature**1.5 / (temperature + 110.4)
    return Atmosphere(
        gas_temperature=temperature,
        gas_pressure=pressure,
        gas_density=pressure / (GAS_CONSTANT * temperature),
        sound_speed=np.sqrt(GAMMA * GAS_CONSTANT * temperature),
        dynamic_viscosity=viscosity,
    )


def altitude(geometric_altitude: Metre) -> Metre:
    r"""Geopotential altitude, on which the atmosphere is built, from the height by tape.

    .. math:: H = \frac{r_0 Z}{r_0 + Z}

    Parameters
    ----------
    geometric_altitude : float or array_like
        Z. [m]

    Returns
    -------
    float or ndarray
        [m]

    Raises
    ------
    OutOfRange
        The altitude lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(altitude(11019.1), 1))
    11000.0

    References
    ----------
    .. [1] US Standard Atmosphere 1976, eq. 18 (from memory).
    """
    height = require("geometric_altitude", geometric_altitude)
    return EARTH_RADIUS * height / (EARTH_RADIUS + height)


def _where(density: bool, wanted: Real) -> Real:
    """The altitude at which pressure or density, both of which fall, have a value."""
    low, high = LOWEST + 0.0 * wanted, HIGHEST + 0.0 * wanted
    for _ in range(60):
        middle = 0.5 * (low + high)
        temperature, pressure = _temperature_and_pressure(middle)
        value = pressure / (GAS_CONSTANT * temperature) if density else pressure
        above = value > wanted
        low, high = np.where(above, middle, low)[()], np.where(above, high, middle)[()]
    return 0.5 * (low + high)


def _require_reached(quantity: str, value: Real, low: Real, high: Real, unit: str) -> None:
    require_between(
        f"{quantity} for an altitude",
        value,
        Range(float(low), float(high)),
        unit,
        source=f"standard atmosphere from {LOWEST:g} to {HIGHEST:g} m",
        advice="Check the unit",
    )


def pressure_altitude(gas_pressure: Pascal) -> Metre:
    r"""Altitude at which the standard atmosphere has a pressure.

    .. math:: p(H) = p

    Parameters
    ----------
    gas_pressure : float or array_like
        p, as the barometer at this place reads it; not reduced to sea level. [Pa]

    Returns
    -------
    float or ndarray
        Geopotential. [m]

    Raises
    ------
    OutOfRange
        The pressure lies outside its range, or outside that of the atmosphere.

    Examples
    --------
    >>> print(round(pressure_altitude(84307.3)))
    1524

    References
    ----------
    .. [1] `standard_atmosphere` turned round.
    """
    pressure = require("gas_pressure", gas_pressure)
    thin, thick = standard_atmosphere(HIGHEST), standard_atmosphere(LOWEST)
    _require_reached("gas_pressure", pressure, thin.gas_pressure, thick.gas_pressure, "Pa")
    return _where(False, pressure)


def density_altitude(gas_density: KilogramPerCubicMetre) -> Metre:
    r"""Altitude at which the standard atmosphere has a density: what an engine feels.

    .. math:: \rho(H) = \rho

    Parameters
    ----------
    gas_density : float or array_like
        rho, of the moist air; see `humid_air`. [kg/m3]

    Returns
    -------
    float or ndarray
        Geopotential. [m]

    Raises
    ------
    OutOfRange
        The density lies outside its range, or outside that of the atmosphere.

    Examples
    --------
    >>> print(round(density_altitude(1.0)))
    2064

    References
    ----------
    .. [1] `standard_atmosphere` turned round.
    """
    density = require("gas_density", gas_density)
    thin, thick = standard_atmosphere(HIGHEST), standard_atmosphere(LOWEST)
    _require_reached("gas_density", density, thin.gas_density, thick.gas_density, "kg/m3")
    return _where(True, density)
