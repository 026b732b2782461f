"""Air-standard cycles with constant specific heats: Otto, Diesel, dual, and the longer expansion."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    JoulePerKilogram,
    JoulePerKilogramKelvin,
    Kelvin,
    Pascal,
    Pure,
    Range,
    Real,
    require_between,
)


@dataclass(frozen=True, slots=True)
class AirCycle:
    """A closed cycle of air.

    Attributes
    ----------
    compressed_temperature : float or ndarray
        T2, after the compression. [K]
    compressed_pressure : float or ndarray
        p2. [Pa]
    burned_temperature : float or ndarray
        T3, after the heat. [K]
    burned_pressure : float or ndarray
        p3. [Pa]
    expanded_temperature : float or ndarray
        T4, after the expansion. [K]
    expanded_pressure : float or ndarray
        p4. [Pa]
    heat_added : float or ndarray
        [J/kg]
    net_work : float or ndarray
        [J/kg]
    thermal_efficiency : float or ndarray
        [1]
    cycle_mean_pressure : float or ndarray
        Work over swept volume. [Pa]
    temperature_product_ratio : float or ndarray
        T1 T3 / (T2 T4); 1 for an Otto cycle of constant specific heats. [1]
    """

    compressed_temperature: Kelvin
    compressed_pressure: Pascal
    burned_temperature: Kelvin
    burned_pressure: Pascal
    expanded_temperature: Kelvin
    expanded_pressure: Pascal
    heat_added: JoulePerKilogram
    net_work: JoulePerKilogram
    thermal_efficiency: Pure
    cycle_mean_pressure: Pascal
    temperature_product_ratio: Pure


def otto_efficiency(compression_ratio: Pure, heat_capacity_ratio: Pure) -> Pure:
    r"""Efficiency of the Otto cycle with constant specific heats.

    .. math:: \eta = 1 - \varepsilon^{1 - \gamma}

    Parameters
    ----------
    compression_ratio : float or array_like
        epsilon. [1]
    heat_capacity_ratio : float or array_like
        gamma. [1]

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
    >>> print(round(otto_efficiency(8.0, 1.4), 3), round(otto_efficiency(10.0, 1.4), 3))
    0.565 0.602

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, eq. 9-8 (from memory).
    """
    ratio = require("compression_ratio", compression_ratio)
    return 1.0 - ratio ** (1.0 - require("heat_capacity_ratio", heat_capacity_ratio))


def diesel_efficiency(compression_ratio: Pure, cutoff_ratio: Pure, heat_capacity_ratio: Pure) -> Pure:
    r"""Efficiency of the Diesel cycle with constant specific heats.

    .. math:: \eta = 1 - \varepsilon^{1 - \gamma} \frac{\rho^\gamma - 1}{\gamma (\rho - 1)}

    Parameters
    ----------
    compression_ratio : float or array_like
        epsilon. [1]
    cutoff_ratio : float or array_like
        rho, volume after over volume before the heat; at 1 it is the Otto cycle. [1]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the heat lasts beyond the expansion.

    Examples
    --------
    [1]_ prints 63.2 %:

    >>> print(round(diesel_efficiency(18.0, 2.0, 1.4), 3))
    0.632

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, example 9-3 (from memory).
    """
    return dual_efficiency(compression_ratio, 1.0, cutoff_ratio, heat_capacity_ratio)


def _require_cutoff(compression_ratio: Real, cutoff_ratio: Real) -> Real:
    cutoff = require("cutoff_ratio", cutoff_ratio)
    require_between(
        "cutoff_ratio over compression_ratio",
        cutoff / compression_ratio,
        Range(0.0, 1.0),
        source="the heat ends before the stroke does",
        advice="Both are ratios of volumes",
    )
    return cutoff


def dual_efficiency(
    compression_ratio: Pure, pressure_rise_ratio: Pure, cutoff_ratio: Pure, heat_capacity_ratio: Pure
) -> Pure:
    r"""Efficiency of the cycle that burns first at constant volume, then at constant pressure.

    .. math::

        \eta = 1 - \varepsilon^{1 - \gamma} \frac{\alpha \rho^\gamma - 1}
            {\alpha - 1 + \gamma \alpha (\rho - 1)}

    Parameters
    ----------
    compression_ratio : float or array_like
        epsilon. [1]
    pressure_rise_ratio : float or array_like
        alpha, of the burn at constant volume; at 1 it is the Diesel cycle. [1]
    cutoff_ratio : float or array_like
        rho, of the burn at constant pressure; at 1 it is the Otto cycle. [1]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the heat lasts beyond the expansion.

    Examples
    --------
    >>> print(round(dual_efficiency(15.0, 1.5, 1.2, 1.4), 4))
    0.6555

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, table 5.2 (from memory; a cycle worked state by
       state agrees in the tests).
    """
    ratio = require("compression_ratio", compression_ratio)
    rise = require("pressure_rise_ratio", pressure_rise_ratio)
    cutoff = _require_cutoff(ratio, cutoff_ratio)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    # Where both ratios are 1 there is no heat; the limit of little heat is the Otto cycle's efficiency.
    heat = rise - 1.0 + gamma * rise * (cutoff - 1.0)
    lost = rise - 1.0 + rise * np.expm1(gamma * np.log(cutoff))
    share: Real = np.where(heat > 0.0, lost / np.where(heat > 0.0, heat, 1.0), 1.0)[()]
    return 1.0 - ratio ** (1.0 - gamma) * share


def overexpanded_efficiency(
    compression_ratio: Pure, expansion_ratio: Pure, pressure_rise_ratio: Pure, heat_capacity_ratio: Pure
) -> Pure:
    r"""Efficiency of a cycle that expands further than it compresses, as with an intake that closes late.

    .. math::

        T_2 = T_1 \varepsilon^{\gamma - 1},\quad T_3 = \alpha T_2,
        T_4 = T_3 \varepsilon_e^{1 - \gamma},\quad T_5 = T_1 \frac{\varepsilon_e}{\varepsilon},\quad
        \eta = 1 - \frac{T_4 - T_5 + \gamma (T_5 - T_1)}{T_3 - T_2}

    Parameters
    ----------
    compression_ratio : float or array_like
        epsilon, from intake closing. [1]
    expansion_ratio : float or array_like
        epsilon_e, at least epsilon. [1]
    pressure_rise_ratio : float or array_like
        alpha, above 1. [1]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the expansion is the shorter one or goes below the pressure of the
        start, or there is no heat.

    Examples
    --------
    >>> print(round(overexpanded_efficiency(8.0, 12.0, 4.0, 1.4), 4))
    0.6226

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, section 5.4.5 (from memory; a cycle worked state
       by state agrees in the tests).
    """
    ratio = require("compression_ratio", compression_ratio)
    longer = require("expansion_ratio", expansion_ratio)
    rise = require("pressure_rise_ratio", pressure_rise_ratio)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    require_between(
        "expansion_ratio over compression_ratio",
        longer / ratio,
        Range(1.0, np.inf),
        source="this cycle expands further than it compresses",
        advice="Take the compression ratio from intake closing, and the expansion ratio from the crank",
    )
    require_between(
        "pressure at the end of the expansion over that of the start",
        rise * (ratio / longer) ** gamma,
        Range(1.0, np.inf),
        source="below it the expansion would take work",
        advice="Take more heat or a shorter expansion",
    )
    require_between(
        "pressure_rise_ratio",
        rise,
        Range(1.0, np.inf, low_excluded=True),
        source="without heat there is no efficiency",
    )
    compressed = ratio ** (gamma - 1.0)
    expanded, cooled = rise * compressed * longer ** (1.0 - gamma), longer / ratio
    lost = expanded - cooled + gamma * (cooled - 1.0)
    return 1.0 - lost / (compressed * (rise - 1.0))


@dataclass(frozen=True, slots=True)
class OttoTemperatures:
    """Temperatures of an Otto cycle, over which nothing but gamma rules.

    Attributes
    ----------
    compressed_temperature : float or ndarray
        T2. [K]
    expanded_temperature : float or ndarray
        T4. [K]
    thermal_efficiency : float or ndarray
        [1]
    temperature_product_ratio : float or ndarray
        T1 T3 / (T2 T4), which is 1. [1]
    """

    compressed_temperature: Kelvin
    expanded_temperature: Kelvin
    thermal_efficiency: Pure
    temperature_product_ratio: Pure


def _require_peak(peak: Real, compressed: Real) -> None:
    require_between(
        "peak_temperature over compressed_temperature",
        peak / compressed,
        Range(1.0, np.inf, low_excluded=True),
        source="the heat comes after the compression",
        advice="The compression alone is hotter than the peak; check units and ratio",
    )


def otto_temperatures(
    compression_ratio: Pure, start_temperature: Kelvin, peak_temperature: Kelvin, heat_capacity_ratio: Pure
) -> OttoTemperatures:
    r"""Temperatures of the Otto cycle with constant specific heats.

    .. math:: T_2 = T_1 \varepsilon^{\gamma - 1},\quad T_4 = T_3 \varepsilon^{1 - \gamma}

    Parameters
    ----------
    compression_ratio : float or array_like
        epsilon. [1]
    start_temperature : float or array_like
        T_1. [K]
    peak_temperature : float or array_like
        T_3, above T_2. [K]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    OttoTemperatures
        [K] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the compression alone is hotter than the peak.

    Examples
    --------
    >>> cycle = otto_temperatures(10.0, 300.0, 2500.0, 1.4)
    >>> print(round(cycle.compressed_temperature, 1), round(cycle.expanded_temperature, 1))
    753.6 995.3

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, chapter 9 (from memory).
    """
    ratio = require("compression_ratio", compression_ratio)
    start = require("start_temperature", start_temperature)
    peak = require("peak_temperature", peak_temperature)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    compressed, expanded = start * ratio ** (gamma - 1.0), peak * ratio ** (1.0 - gamma)
    _require_peak(peak, compressed)
    return OttoTemperatures(
        compressed_temperature=compressed,
        expanded_temperature=expanded,
        thermal_efficiency=1.0 - (expanded - start) / (peak - compressed),
        temperature_product_ratio=start * peak / (compressed * expanded),
    )


def _otto(ratio: Real, start: Real, pressure: Real, peak: Real, capacity: Real, gamma: Real) -> AirCycle:
    gas = capacity * (gamma - 1.0)
    compressed = start * ratio ** (gamma - 1.0)
    expanded = peak * ratio ** (1.0 - gamma)
    heat, lost = capacity * (peak - compressed), capacity * (expanded - start)
    return AirCycle(
        compressed_temperature=compressed,
        compressed_pressure=pressure * ratio**gamma,
        burned_temperature=peak,
        burned_pressure=pressure * ratio * peak / start,
        expanded_temperature=expanded,
        expanded_pressure=pressure * expanded / start,
        heat_added=heat,
        net_work=heat - lost,
        thermal_efficiency=1.0 - lost / heat,
        cycle_mean_pressure=(heat - lost) * pressure / (gas * start * (1.0 - 1.0 / ratio)),
        temperature_product_ratio=start * peak / (compressed * expanded),
    )


def otto_cycle(
    compression_ratio: Pure,
    start_temperature: Kelvin,
    start_pressure: Pascal,
    heat_added: JoulePerKilogram,
    isochoric_heat_capacity: JoulePerKilogramKelvin,
    heat_capacity_ratio: Pure,
) -> AirCycle:
    r"""The Otto cycle with constant specific heats, from the heat that is added.

    .. math::

        T_2 = T_1 \varepsilon^{\gamma - 1},\quad T_3 = T_2 + q / c_v,\quad
        T_4 = T_3 \varepsilon^{1 - \gamma},\quad
        p_m = \frac{w}{v_1 (1 - 1/\varepsilon)},\quad v_1 = \frac{(\gamma - 1) c_v T_1}{p_1}

    Parameters
    ----------
    compression_ratio : float or array_like
        epsilon. [1]
    start_temperature : float or array_like
        T_1. [K]
    start_pressure : float or array_like
        p_1, absolute. [Pa]
    heat_added : float or array_like
        q. [J/kg]
    isochoric_heat_capacity : float or array_like
        c_v. [J/kg.K]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    AirCycle
        [K], [Pa], [J/kg] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> cycle = otto_cycle(9.5, 300.0, 100e3, 1.8e6, 718.0, 1.4)
    >>> print(round(cycle.compressed_temperature), round(cycle.burned_temperature))
    738 3245
    >>> print(round(cycle.net_work / 1e3, 1), round(cycle.cycle_mean_pressure / 1e3))
    1068.6 1386

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, chapter 9 (from memory).
    """
    ratio = require("compression_ratio", compression_ratio)
    start = require("start_temperature", start_temperature)
    pressure = require("start_pressure", start_pressure)
    capacity = require("isochoric_heat_capacity", isochoric_heat_capacity)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    peak = start * ratio ** (gamma - 1.0) + require("heat_added", heat_added) / capacity
    return _otto(ratio, start, pressure, peak, capacity, gamma)


def otto_cycle_to_peak(
    compression_ratio: Pure,
    start_temperature: Kelvin,
    start_pressure: Pascal,
    peak_temperature: Kelvin,
    isochoric_heat_capacity: JoulePerKilogramKelvin,
    heat_capacity_ratio: Pure,
) -> AirCycle:
    r"""The Otto cycle with constant specific heats, from its highest temperature.

    .. math:: \text{as } \texttt{otto\_cycle},\quad q = c_v (T_3 - T_2)

    Parameters
    ----------
    compression_ratio : float or array_like
        epsilon. [1]
    start_temperature : float or array_like
        T_1. [K]
    start_pressure : float or array_like
        p_1, absolute. [Pa]
    peak_temperature : float or array_like
        T_3, above T_2. [K]
    isochoric_heat_capacity : float or array_like
        c_v. [J/kg.K]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    AirCycle
        [K], [Pa], [J/kg] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the compression alone is hotter than the peak.

    Examples
    --------
    >>> cycle = otto_cycle_to_peak(10.0, 300.0, 100e3, 2500.0, 718.0, 1.4)
    >>> print(round(cycle.compressed_temperature, 1), round(cycle.expanded_temperature, 1))
    753.6 995.3

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, chapter 9 (from memory).
    """
    ratio = require("compression_ratio", compression_ratio)
    start = require("start_temperature", start_temperature)
    pressure = require("start_pressure", start_pressure)
    peak = require("peak_temperature", peak_temperature)
    capacity = require("isochoric_heat_capacity", isochoric_heat_capacity)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    _require_peak(peak, start * ratio ** (gamma - 1.0))
    return _otto(ratio, start, pressure, peak, capacity, gamma)
