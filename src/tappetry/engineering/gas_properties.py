"""Properties of air and of other ideal gases, from cold air to burned gas at 6,000 K."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.gas_mixtures import AIR, Mixture, properties_at
from tappetry.engineering.gas_tables import SPECIES
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    JoulePerKilogram,
    JoulePerKilogramKelvin,
    Kelvin,
    KilogramPerCubicMetre,
    KilogramPerMole,
    MetrePerSecond,
    OutOfRange,
    Pascal,
    PascalSecond,
    Pure,
    Range,
    Real,
    WattPerMetreKelvin,
    require_between,
)

GASES = ("dry air", *SPECIES)
"""The gases that have a name here: dry air, and formulas such as CO2."""


@dataclass(frozen=True, slots=True)
class GasConstants:
    """What does not change with the state of a gas.

    Attributes
    ----------
    molar_mass : float
        [kg/mol]
    gas_constant : float
        R. [J/kg.K]
    """

    molar_mass: KilogramPerMole
    gas_constant: JoulePerKilogramKelvin


@dataclass(frozen=True, slots=True)
class GasProperties:
    """An ideal gas at a temperature.

    Attributes
    ----------
    isobaric_heat_capacity : float or ndarray
        c_p. [J/kg.K]
    isochoric_heat_capacity : float or ndarray
        c_v. [J/kg.K]
    heat_capacity_ratio : float or ndarray
        gamma. [1]
    sound_speed : float or ndarray
        [m/s]
    gas_enthalpy : float or ndarray
        With the heat of formation, 0 for elements at 298.15 K. [J/kg]
    molar_mass : float or ndarray
        [kg/mol]
    gas_constant : float or ndarray
        R. [J/kg.K]
    """

    isobaric_heat_capacity: JoulePerKilogramKelvin
    isochoric_heat_capacity: JoulePerKilogramKelvin
    heat_capacity_ratio: Pure
    sound_speed: MetrePerSecond
    gas_enthalpy: JoulePerKilogram
    molar_mass: KilogramPerMole
    gas_constant: JoulePerKilogramKelvin


@dataclass(frozen=True, slots=True)
class AirTransport:
    """How air passes on momentum and heat.

    Attributes
    ----------
    dynamic_viscosity : float or ndarray
        [Pa.s]
    thermal_conductivity : float or ndarray
        [W/m.K]
    prandtl_number : float or ndarray
        [1]
    """

    dynamic_viscosity: PascalSecond
    thermal_conductivity: WattPerMetreKelvin
    prandtl_number: Pure


def _named(gas: str) -> Mixture:
    if gas not in GASES:
        raise OutOfRange(f"gas {gas!r}", None, f"one of {', '.join(GASES)}")
    return AIR if gas == "dry air" else Mixture({gas: 1.0})


def gas_constants(gas: str) -> GasConstants:
    r"""Molar mass and gas constant of a gas.

    .. math:: R = R_m / M

    Parameters
    ----------
    gas : str
        `dry air`, or a formula of `GASES`.

    Returns
    -------
    GasConstants
        [kg/mol] and [J/kg.K]

    Raises
    ------
    OutOfRange
        The gas has no name here.

    Examples
    --------
    >>> air = gas_constants("dry air")
    >>> print(round(air.molar_mass * 1e3, 3), round(air.gas_constant, 2))
    28.965 287.05

    References
    ----------
    .. [1] CODATA 2018; US Standard Atmosphere 1976, table 3 (composition of air, from memory).
    """
    mixture = _named(gas)
    return GasConstants(molar_mass=mixture.molar_mass, gas_constant=mixture.gas_constant)


def gas_density(
    gas_pressure: Pascal, gas_temperature: Kelvin, gas_constant: JoulePerKilogramKelvin
) -> KilogramPerCubicMetre:
    r"""Density of an ideal gas.

    .. math:: \rho = p / (R T)

    Parameters
    ----------
    gas_pressure : float or array_like
        p, absolute. [Pa]
    gas_temperature : float or array_like
        T. [K]
    gas_constant : float or array_like
        R, of this gas. [J/kg.K]

    Returns
    -------
    float or ndarray
        [kg/m3]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(gas_density(101325.0, 288.15, 287.05287), 3))
    1.225

    References
    ----------
    .. [1] Ideal gas; US Standard Atmosphere 1976, sea level.
    """
    energy = require("gas_constant", gas_constant) * require("gas_temperature", gas_temperature)
    return require("gas_pressure", gas_pressure) / energy


def gas_properties(gas: str, gas_temperature: Kelvin) -> GasProperties:
    r"""Heat capacities, gamma and speed of sound of an ideal gas.

    .. math::

        \frac{c_p}{R} = a_1 + a_2 T + a_3 T^2 + a_4 T^3 + a_5 T^4,\quad
        \gamma = \frac{c_p}{c_p - R},\quad a = \sqrt{\gamma R T}

    Air at 1 atm and room temperature has 0.2 % more heat capacity than the ideal gas.

    Parameters
    ----------
    gas : str
        `dry air`, or a formula of `GASES`.
    gas_temperature : float or array_like
        T. [K]

    Returns
    -------
    GasProperties
        [J/kg.K], [1], [m/s], [J/kg] and [kg/mol]

    Raises
    ------
    OutOfRange
        The gas has no name here, or the temperature lies outside its range.

    Examples
    --------
    >>> air = gas_properties("dry air", 300.0)
    >>> print(round(air.isobaric_heat_capacity, 1), round(air.heat_capacity_ratio, 4))
    1004.8 1.3999
    >>> print(round(air.sound_speed, 1))
    347.2

    References
    ----------
    .. [1] McBride, Gordon and Reno, NASA TM-4513 (1993).
    """
    return GasProperties(**properties_at(_named(gas), require("gas_temperature", gas_temperature)))


_COLLISION = (0.431, -0.4623, 0.08406, 0.005341, -0.00331)


def air_transport(gas_temperature: Kelvin) -> AirTransport:
    r"""Viscosity, conductivity and Prandtl number of dry air at pressures that engines breathe.

    .. math::

        \mu = \frac{26.6958\ \mathrm{nPa\,s} \sqrt{M T}}{\sigma^2 \Omega(T/103.3\ \mathrm{K})},\quad
        \ln \Omega = \sum_{i=0}^{4} b_i (\ln T^*)^i

    Parameters
    ----------
    gas_temperature : float or array_like
        T, at most 2000 K: there the formula's own range ends. [K]

    Returns
    -------
    AirTransport
        [Pa.s], [W/m.K] and [1]

    Raises
    ------
    OutOfRange
        The temperature lies outside its range in the glossary, or above 2000 K.

    Examples
    --------
    >>> air = air_transport(300.0)
    >>> print(round(air.dynamic_viscosity * 1e6, 2), round(air.prandtl_number, 2))
    18.52 0.71

    References
    ----------
    .. [1] Lemmon and Jacobsen, Viscosity and thermal conductivity equations for nitrogen, oxygen, argon and
       air, Int. J. Thermophysics 25 (2004), dilute gas (from memory; a property library agrees in the tests).
    """
    temperature = require_between(
        "temperature for viscosity",
        require("gas_temperature", gas_temperature),
        Range(200.0, 2000.0),
        "K",
        source="range of the published formula for air",
    )
    reduced: Real = np.log(temperature / 103.3)
    logarithm = sum(coefficient * reduced**power for power, coefficient in enumerate(_COLLISION))
    viscosity: Real = 0.0266958e-6 * np.sqrt(28.9586 * temperature) / (0.360**2 * np.exp(logarithm))
    tau = 132.6312 / temperature
    conductivity = 1e-3 * (1.308 * viscosity * 1e6 + 1.405 * tau**-1.1 - 1.036 * tau**-0.3)
    return AirTransport(
        dynamic_viscosity=viscosity,
        thermal_conductivity=conductivity,
        prandtl_number=viscosity * AIR.isobaric_heat_capacity(temperature) / conductivity,
    )
