"""Measured power brought to the air of a standard: SAE J1349, SAE J607, ISO 1585, DIN 70020."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.humid_air import humid_air
from tappetry.engineering.ranges import Kelvin, Pascal, Pure, Range, Real, Watt

INCH_OF_MERCURY = 25.4e-3 * 13595.1 * 9.80665
"""Conventional. [Pa]"""

FAHRENHEIT_ZERO = 273.15 - 32.0 / 1.8
"""0 degF. [K]"""

ISO_1585_LIMITS = Range(0.93, 1.07)
"""Between these a factor of ISO 1585 may be used (from memory). [1]"""


@dataclass(frozen=True, slots=True)
class CheckedFactor:
    """A factor, and whether its standard lets it be used.

    Attributes
    ----------
    correction_factor : float or ndarray
        By which a measured power is multiplied. [1]
    validity_excess : float or ndarray
        By how much it lies outside 0.93 to 1.07; 0 inside. [1]
    """

    correction_factor: Pure
    validity_excess: Pure


@dataclass(frozen=True, slots=True)
class PowerCorrections:
    """All factors for the air of one day.

    Attributes
    ----------
    dry_pressure : float or ndarray
        [Pa]
    sae_j1349_factor : float or ndarray
        [1]
    sae_j607_factor : float or ndarray
        [1]
    iso_1585_factor : float or ndarray
        [1]
    din_70020_factor : float or ndarray
        [1]
    """

    dry_pressure: Pascal
    sae_j1349_factor: Pure
    sae_j607_factor: Pure
    iso_1585_factor: Pure
    din_70020_factor: Pure


def _j1349(pressure: Real, temperature: Real) -> Real:
    factor: Real = 1.180 * (99e3 / pressure) * np.sqrt((temperature - 0.15) / 298.0) - 0.180
    return factor


def _j607(pressure: Real, temperature: Real) -> Real:
    fahrenheit = (temperature - FAHRENHEIT_ZERO) * 1.8
    factor: Real = 29.92 * INCH_OF_MERCURY / pressure * np.sqrt((fahrenheit + 460.0) / 520.0)
    return factor


def _iso_1585(pressure: Real, temperature: Real) -> Real:
    return (99e3 / pressure) ** 1.2 * (temperature / 298.0) ** 0.6


def _din_70020(pressure: Real, temperature: Real) -> Real:
    factor: Real = 101325.0 / pressure * np.sqrt(temperature / 293.0)
    return factor


def sae_j1349_factor(dry_pressure: Pascal, air_temperature: Kelvin) -> Pure:
    r"""Factor of SAE J1349 for a spark-ignition engine of 85 % mechanical efficiency.

    .. math:: c = 1.180 \left[\frac{990}{p_d} \sqrt{\frac{t + 273}{298}}\right] - 0.18

    Parameters
    ----------
    dry_pressure : float or array_like
        p_d, without the vapour; in mbar in the formula. [Pa]
    air_temperature : float or array_like
        Of the air at the intake, t in degC in the formula. [K]

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
    >>> print(round(sae_j1349_factor(96.5e3, 303.15), 4))
    1.0407

    References
    ----------
    .. [1] SAE J1349, 1990 (from memory).
    """
    return _j1349(require("dry_pressure", dry_pressure), require("air_temperature", air_temperature))


def sae_j607_factor(dry_pressure: Pascal, air_temperature: Kelvin) -> Pure:
    r"""Factor in the style of SAE J607, which many dynamometers call standard.

    .. math:: c = \frac{29.92}{p_d} \sqrt{\frac{t + 460}{520}}

    Parameters
    ----------
    dry_pressure : float or array_like
        p_d, without the vapour; in inHg in the formula. [Pa]
    air_temperature : float or array_like
        Of the air at the intake, t in degF in the formula. [K]

    Returns
    -------
    float or ndarray
        About 4 % above that of SAE J1349, for the same run. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(sae_j607_factor(28.85 * 3386.389, 302.594), 4))
    1.0617

    References
    ----------
    .. [1] SAE J607, withdrawn (constants from memory: look them up before relying on them).
    """
    return _j607(require("dry_pressure", dry_pressure), require("air_temperature", air_temperature))


def iso_1585(dry_pressure: Pascal, air_temperature: Kelvin) -> CheckedFactor:
    r"""Factor of ISO 1585 for a spark-ignition engine.

    .. math:: c = \left(\frac{99\ \mathrm{kPa}}{p_d}\right)^{1.2} \left(\frac{T}{298\ \mathrm{K}}\right)^{0.6}

    Parameters
    ----------
    dry_pressure : float or array_like
        p_d, without the vapour. [Pa]
    air_temperature : float or array_like
        T, of the air at the intake. [K]

    Returns
    -------
    CheckedFactor
        Outside 0.93 to 1.07 the test is to be repeated in other air. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(iso_1585(96.5e3, 303.0).correction_factor, 4))
    1.0415

    References
    ----------
    .. [1] ISO 1585 (constants and limits from memory: look them up before relying on them).
    """
    factor = _iso_1585(require("dry_pressure", dry_pressure), require("air_temperature", air_temperature))
    above, below = factor - ISO_1585_LIMITS.high, ISO_1585_LIMITS.low - factor
    excess: Real = np.maximum(np.maximum(above, below), 0.0)
    return CheckedFactor(correction_factor=factor, validity_excess=excess)


def din_70020_factor(air_pressure: Pascal, air_temperature: Kelvin) -> Pure:
    r"""Factor of DIN 70020, by the whole pressure of the air.

    .. math:: c = \frac{1013.25\ \mathrm{mbar}}{p} \sqrt{\frac{T}{293\ \mathrm{K}}}

    Parameters
    ----------
    air_pressure : float or array_like
        p, with the vapour. [Pa]
    air_temperature : float or array_like
        T, of the air at the intake. [K]

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
    >>> print(round(din_70020_factor(98e3, 303.0), 4))
    1.0514

    References
    ----------
    .. [1] DIN 70020-6, withdrawn (constants from memory: look them up before relying on them).
    """
    return _din_70020(require("air_pressure", air_pressure), require("air_temperature", air_temperature))


def power_corrections(
    air_pressure: Pascal, air_temperature: Kelvin, relative_humidity: Pure
) -> PowerCorrections:
    r"""All factors from barometer, temperature and humidity of one day.

    .. math:: p_d = p - \phi p_s(T),\quad \text{then each factor}

    Parameters
    ----------
    air_pressure : float or array_like
        p, as the barometer at this place reads it; not reduced to sea level. [Pa]
    air_temperature : float or array_like
        T, of the air at the intake. [K]
    relative_humidity : float or array_like
        phi. [1]

    Returns
    -------
    PowerCorrections
        [Pa] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the vapour alone would have the whole pressure.

    Examples
    --------
    >>> got = power_corrections(98e3, 303.15, 0.5)
    >>> print(round(got.sae_j1349_factor, 4), round(got.sae_j607_factor, 4), round(got.iso_1585_factor, 4))
    1.0486 1.0829 1.05

    References
    ----------
    .. [1] SAE J1349, SAE J607, ISO 1585, DIN 70020-6 (constants from memory: look them up before relying on
       them).
    """
    dry = humid_air(air_pressure, air_temperature, relative_humidity).dry_pressure
    temperature = require("air_temperature", air_temperature)
    shape = 0.0 * dry
    return PowerCorrections(
        dry_pressure=dry,
        sae_j1349_factor=_j1349(dry, temperature),
        sae_j607_factor=_j607(dry, temperature),
        iso_1585_factor=_iso_1585(dry, temperature),
        din_70020_factor=_din_70020(require("air_pressure", air_pressure) + shape, temperature),
    )


def corrected_power(engine_power: Watt, correction_factor: Pure) -> Watt:
    r"""Power at the reference air of a standard.

    .. math:: P_c = c P

    Parameters
    ----------
    engine_power : float or array_like
        P, as measured. [W]
    correction_factor : float or array_like
        c, of one named standard. [1]

    Returns
    -------
    float or ndarray
        Name the standard beside it. [W]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(corrected_power(300e3, 1.0407) / 1e3, 1))
    312.2

    References
    ----------
    .. [1] SAE J1349 (from memory).
    """
    return require("engine_power", engine_power) * require("correction_factor", correction_factor)


def correction_for_efficiency(
    dry_pressure: Pascal, air_temperature: Kelvin, mechanical_efficiency: Pure
) -> Pure:
    r"""Factor in the manner of SAE J1349 for another mechanical efficiency: friction is not corrected.

    .. math::

        c = \frac{f - 1}{\eta} + 1,\quad f = \frac{99\ \mathrm{kPa}}{p_d} \sqrt{\frac{t + 273}{298}}

    Parameters
    ----------
    dry_pressure : float or array_like
        p_d, without the vapour. [Pa]
    air_temperature : float or array_like
        Of the air at the intake, t in degC in the formula. [K]
    mechanical_efficiency : float or array_like
        eta, at the measured power. [1]

    Returns
    -------
    float or ndarray
        At 0.85 that of `sae_j1349_factor`, which rounds 1/0.85 to 1.18. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(correction_for_efficiency(96.5e3, 303.15, 0.85), 4))
    1.0406

    References
    ----------
    .. [1] SAE J1349 (from memory): indicated power is corrected, friction is not.
    """
    efficiency = require("mechanical_efficiency", mechanical_efficiency)
    temperature = require("air_temperature", air_temperature)
    indicated = 99e3 / require("dry_pressure", dry_pressure) * np.sqrt((temperature - 0.15) / 298.0)
    factor: Real = (indicated - 1.0) / efficiency + 1.0
    return factor
