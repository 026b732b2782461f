"""The Otto cycle of air whose specific heats rise with temperature, as in the air tables of textbooks."""

from __future__ import annotations

import numpy as np

from tappetry.engineering.air_cycles import AirCycle
from tappetry.engineering.gas_mixtures import AIR, root_between
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import JoulePerKilogram, Kelvin, Pascal, Pure, Range, Real, require_between

COLDEST, HOTTEST = 200.0, 6000.0
"""The range of the table of gases. [K]"""


def _entropy_at_volume(temperature: Real) -> Real:
    """Entropy at a fixed volume, but for a constant: what an isentrope holds against R ln v."""
    entropy: Real = AIR.entropy(temperature) - AIR.gas_constant * np.log(temperature)
    return entropy


def _after_isentrope(temperature: Real, volume_ratio: Real) -> Real:
    """Temperature after a change without heat, by volume before over volume after."""
    wanted = _entropy_at_volume(temperature) + AIR.gas_constant * np.log(volume_ratio)
    return root_between(lambda t: _entropy_at_volume(t) - wanted, COLDEST, HOTTEST)


def _cycle(ratio: Real, start: Real, pressure: Real, compressed: Real, peak: Real) -> AirCycle:
    expanded = _after_isentrope(peak, 1.0 / ratio)
    heat = AIR.internal_energy(peak) - AIR.internal_energy(compressed)
    work = heat - (AIR.internal_energy(expanded) - AIR.internal_energy(start))
    volume = AIR.gas_constant * start / pressure
    return AirCycle(
        compressed_temperature=compressed,
        compressed_pressure=pressure * ratio * compressed / start,
        burned_temperature=peak,
        burned_pressure=pressure * ratio * peak / start,
        expanded_temperature=expanded,
        expanded_pressure=pressure * expanded / start,
        heat_added=heat,
        net_work=work,
        thermal_efficiency=work / heat,
        cycle_mean_pressure=work / (volume * (1.0 - 1.0 / ratio)),
        temperature_product_ratio=start * peak / (compressed * expanded),
    )


def hot_air_otto_cycle(
    compression_ratio: Pure, start_temperature: Kelvin, start_pressure: Pascal, heat_added: JoulePerKilogram
) -> AirCycle:
    r"""The Otto cycle with variable specific heats, from the heat that is added.

    .. math::

        s^\circ(T_2) - s^\circ(T_1) = R \ln\frac{T_2}{T_1} + R \ln \varepsilon,\quad u(T_3) = u(T_2) + q,\quad
        s^\circ(T_4) - s^\circ(T_3) = R \ln\frac{T_4}{T_3} - R \ln \varepsilon,\quad
        w = q - u(T_4) + u(T_1)

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

    Returns
    -------
    AirCycle
        [K], [Pa], [J/kg] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the heat makes the air hotter than 6000 K.

    Examples
    --------
    [1]_ prints 652.4 K, 1575.1 K, 418.17 kJ/kg and 574 kPa, from tables of air:

    >>> cycle = hot_air_otto_cycle(8.0, 290.0, 100e3, 800e3)
    >>> print(round(cycle.compressed_temperature, 1), round(cycle.burned_temperature, 1))
    652.0 1576.4
    >>> print(round(cycle.net_work / 1e3, 1), round(cycle.cycle_mean_pressure / 1e3))
    418.5 575

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, example 9-2 (from memory).
    """
    ratio = require("compression_ratio", compression_ratio)
    start = require("start_temperature", start_temperature)
    pressure = require("start_pressure", start_pressure)
    heat = require("heat_added", heat_added)
    compressed = _after_isentrope(start, ratio)
    energy = AIR.internal_energy(compressed) + heat
    require_between(
        "heat added to the air of the table",
        heat,
        Range(0.0, float(np.min(AIR.internal_energy(HOTTEST) - AIR.internal_energy(compressed)))),
        "J/kg",
        source=f"the table of air ends at {HOTTEST:g} K",
        advice="Heat for each kilogram of the whole charge, not of the fuel",
    )
    peak = root_between(lambda t: AIR.internal_energy(t) - energy, COLDEST, HOTTEST)
    return _cycle(ratio, start, pressure, compressed, peak)


def hot_air_otto_cycle_to_peak(
    compression_ratio: Pure, start_temperature: Kelvin, start_pressure: Pascal, peak_temperature: Kelvin
) -> AirCycle:
    r"""The Otto cycle with variable specific heats, from its highest temperature.

    .. math:: \text{as } \texttt{hot\_air\_otto\_cycle},\quad q = u(T_3) - u(T_2)

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
    [1]_ prints 1212, 1878 degR and 118 psi:

    >>> cycle = hot_air_otto_cycle_to_peak(8.0, 300.0, 101325.0, 2000.0)
    >>> print(round(cycle.compressed_temperature * 1.8), round(cycle.expanded_temperature * 1.8))
    1211 1874
    >>> print(round(cycle.thermal_efficiency, 2), round(cycle.cycle_mean_pressure / 6894.757))
    0.51 118

    References
    ----------
    .. [1] Moran and Shapiro, Fundamentals of Engineering Thermodynamics, example 9.1 (from memory).
    """
    ratio = require("compression_ratio", compression_ratio)
    start = require("start_temperature", start_temperature)
    pressure = require("start_pressure", start_pressure)
    peak = require("peak_temperature", peak_temperature)
    compressed = _after_isentrope(start, ratio)
    require_between(
        "peak_temperature over compressed_temperature",
        peak / compressed,
        Range(1.0, np.inf, low_excluded=True),
        source="the heat comes after the compression",
        advice="The compression alone is hotter than the peak; check units and ratio",
    )
    return _cycle(ratio, start, pressure, compressed, peak)
