"""Water in the air: saturation, dew point, wet bulb, dry pressure and the density of moist air."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.gas_mixtures import AIR, Mixture
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    JoulePerKilogramKelvin,
    Kelvin,
    KilogramPerCubicMetre,
    Pascal,
    Pure,
    Range,
    Real,
    require_between,
)

WATER_GAS_CONSTANT = float(Mixture({"H2O": 1.0}).gas_constant)
"""R of water vapour. [J/kg.K]"""

AIR_GAS_CONSTANT = float(AIR.gas_constant)
"""R of dry air. [J/kg.K]"""

TRIPLE_POINT, TRIPLE_PRESSURE = 273.16, 611.657
"""Where ice, water and vapour meet. [K] and [Pa]"""


@dataclass(frozen=True, slots=True)
class HumidAir:
    """Moist air.

    Attributes
    ----------
    vapour_pressure : float or ndarray
        Of the water in it. [Pa]
    dry_pressure : float or ndarray
        What is left of the barometer for the air itself. [Pa]
    humidity_ratio : float or ndarray
        Mass of vapour over mass of dry air. [1]
    gas_density : float or ndarray
        Air and vapour together. [kg/m3]
    gas_constant : float or ndarray
        R of the moist air. [J/kg.K]
    """

    vapour_pressure: Pascal
    dry_pressure: Pascal
    humidity_ratio: Pure
    gas_density: KilogramPerCubicMetre
    gas_constant: JoulePerKilogramKelvin


_IF97 = (
    1167.0521452767,
    -724213.16703206,
    -17.073846940092,
    12020.82470247,
    -3232555.0322333,
    14.91510861353,
    -4823.2657361591,
    405113.40542057,
    -0.23855557567849,
    650.17534844798,
)


def _over_water(t: Real) -> Real:
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _IF97
    theta = t + n9 / (t - n10)
    a, b, c = theta**2 + n1 * theta + n2, n3 * theta**2 + n4 * theta + n5, n6 * theta**2 + n7 * theta + n8
    pressure: Real = 1e6 * (2.0 * c / (np.sqrt(b**2 - 4.0 * a * c) - b)) ** 4
    return pressure


def _over_ice(t: Real) -> Real:
    theta = t / TRIPLE_POINT
    powers = (
        -21.2144006 * theta**0.00333333333 + 27.3203819 * theta**1.20666667 - 6.10598130 * theta**1.70333333
    )
    pressure: Real = TRIPLE_PRESSURE * np.exp(powers / theta)
    return pressure


def saturation_pressure(water_temperature: Kelvin) -> Pascal:
    r"""Vapour pressure of water, and of ice below 273.16 K.

    .. math::

        p_s = \left[\frac{2 C}{-B + \sqrt{B^2 - 4 A C}}\right]^4\ \mathrm{MPa},\quad
        A = \vartheta^2 + n_1 \vartheta + n_2,\quad \vartheta = T + \frac{n_9}{T - n_{10}}

    Over water the equation of region 4 of IAPWS R7-97, over ice that of IAPWS R14-08. Air above the water
    raises it by 0.4 %, which is left out.

    Parameters
    ----------
    water_temperature : float or array_like
        T. [K]

    Returns
    -------
    float or ndarray
        Absolute. [Pa]

    Raises
    ------
    OutOfRange
        The temperature lies outside its range in the glossary.

    Examples
    --------
    Steam tables print 3.1698 kPa at 25 degC:

    >>> print(round(saturation_pressure(298.15) / 1e3, 4))
    3.1697

    References
    ----------
    .. [1] IAPWS R7-97(2012), eq. 30 and table 35; IAPWS R14-08(2011), eq. 6 (from memory; both reproduce the
       printed values of their tables in the tests).
    """
    temperature = require("water_temperature", water_temperature)
    pressure: Real = np.where(
        temperature < TRIPLE_POINT,
        _over_ice(np.minimum(temperature, TRIPLE_POINT)),
        _over_water(np.maximum(temperature, TRIPLE_POINT)),
    )[()]
    return pressure


def dew_point(vapour_pressure: Pascal) -> Kelvin:
    r"""Temperature to which air may cool before its water condenses, or freezes.

    .. math:: p_s(T_d) = p_v

    Parameters
    ----------
    vapour_pressure : float or array_like
        p_v, above that of ice at 200 K (0.16 Pa). [Pa]

    Returns
    -------
    float or ndarray
        [K]

    Raises
    ------
    OutOfRange
        The pressure lies outside its range in the glossary, or below that of ice at 200 K.

    Examples
    --------
    >>> print(round(dew_point(1584.9) - 273.15, 2))
    13.86

    References
    ----------
    .. [1] `saturation_pressure` turned round.
    """
    pressure = require("vapour_pressure", vapour_pressure)
    coldest = 200.0
    require_between(
        "vapour pressure for a dew point",
        pressure,
        Range(float(saturation_pressure(coldest)), 1e6),
        "Pa",
        source="below ice at 200 K no formula holds",
        advice="Dry air has no dew point",
    )
    low, high = coldest + 0.0 * pressure, 500.0 + 0.0 * pressure
    for _ in range(60):
        middle = 0.5 * (low + high)
        above = saturation_pressure(middle) > pressure
        low, high = np.where(above, low, middle)[()], np.where(above, middle, high)[()]
    return 0.5 * (low + high)


def relative_humidity(vapour_pressure: Pascal, air_temperature: Kelvin) -> Pure:
    r"""Relative humidity from the pressure of the vapour.

    .. math:: \phi = p_v / p_s(T)

    Parameters
    ----------
    vapour_pressure : float or array_like
        p_v. [Pa]
    air_temperature : float or array_like
        T. [K]

    Returns
    -------
    float or ndarray
        Below 0 degC over ice. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the air is wetter than saturated.

    Examples
    --------
    >>> print(round(relative_humidity(1584.9, 298.15), 3))
    0.5

    References
    ----------
    .. [1] Definition.
    """
    pressure = require("vapour_pressure", vapour_pressure)
    return require_between(
        "relative_humidity",
        pressure / saturation_pressure(require("air_temperature", air_temperature)),
        Range(0.0, 1.0),
        source="air holds no more vapour than saturated",
        advice="Check that both belong to the same air",
    )


def vapour_pressure_from_wet_bulb(
    wet_bulb_temperature: Kelvin, air_temperature: Kelvin, air_pressure: Pascal
) -> Pascal:
    r"""Pressure of the vapour from a ventilated wet and a dry thermometer.

    .. math:: p_v = p_s(T_w) - 0.000653\ (1 + 0.000944\ t_w)\ p\ (T - T_w)

    Parameters
    ----------
    wet_bulb_temperature : float or array_like
        T_w, sock not frozen; t_w is the same from 0 degC. [K]
    air_temperature : float or array_like
        T. [K]
    air_pressure : float or array_like
        p, as the barometer reads it. [Pa]

    Returns
    -------
    float or ndarray
        [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the wet bulb is warmer than the dry one, or so cold that no vapour is
        left.

    Examples
    --------
    >>> print(round(vapour_pressure_from_wet_bulb(291.15, 298.15, 101325.0)))
    1594

    References
    ----------
    .. [1] World Meteorological Organization, Guide to Meteorological Instruments, annex 4.B (from memory).
    """
    wet = require("wet_bulb_temperature", wet_bulb_temperature)
    dry = require("air_temperature", air_temperature)
    pressure = require("air_pressure", air_pressure)
    require_between(
        "air_temperature less wet_bulb_temperature",
        dry - wet,
        Range(0.0, 100.0),
        "K",
        source="a wet sock cools",
        advice="Exchange the two readings",
    )
    factor = 0.000653 * (1.0 + 0.000944 * (wet - 273.15))
    return require_between(
        "vapour_pressure",
        saturation_pressure(wet) - factor * pressure * (dry - wet),
        Range(0.0, 1e6),
        "Pa",
        source="drier than dry is not possible",
        advice="Check the readings, and that the sock was wet and ventilated",
    )


def humid_air(air_pressure: Pascal, air_temperature: Kelvin, relative_humidity: Pure) -> HumidAir:
    r"""Dry pressure, water content and density of moist air.

    .. math::

        p_v = \phi p_s(T),\quad p_d = p - p_v,\quad
        x = \frac{R_d p_v}{R_v p_d},\quad \rho = \frac{p_d}{R_d T} + \frac{p_v}{R_v T}

    Parameters
    ----------
    air_pressure : float or array_like
        p, as the barometer at this place reads it; not reduced to sea level. [Pa]
    air_temperature : float or array_like
        T. [K]
    relative_humidity : float or array_like
        phi. [1]

    Returns
    -------
    HumidAir
        [Pa], [1], [kg/m3] and [J/kg.K]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the vapour alone would have the whole pressure.

    Examples
    --------
    >>> air = humid_air(101325.0, 298.15, 0.5)
    >>> print(round(air.dry_pressure), round(air.humidity_ratio * 1e3, 2), round(air.gas_density, 4))
    99740 9.88 1.1769

    References
    ----------
    .. [1] Dalton's law of ideal gases; textbook.
    """
    pressure = require("air_pressure", air_pressure)
    temperature = require("air_temperature", air_temperature)
    vapour = require("relative_humidity", relative_humidity) * saturation_pressure(temperature)
    dry = require_between(
        "dry_pressure",
        pressure - vapour,
        Range(0.0, 1e7, low_excluded=True),
        "Pa",
        source="the air's own share of the barometer",
        advice="Check the units of pressure and temperature",
    )
    density = dry / (AIR_GAS_CONSTANT * temperature) + vapour / (WATER_GAS_CONSTANT * temperature)
    return HumidAir(
        vapour_pressure=vapour,
        dry_pressure=dry,
        humidity_ratio=AIR_GAS_CONSTANT * vapour / (WATER_GAS_CONSTANT * dry),
        gas_density=density,
        gas_constant=pressure / (density * temperature),
    )
