"""The dual and the Diesel air cycle with constant specific heats, state by state."""

from __future__ import annotations

from dataclasses import dataclass

from tappetry.engineering.air_cycles import dual_efficiency
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import JoulePerKilogram, JoulePerKilogramKelvin, Kelvin, Pascal, Pure


@dataclass(frozen=True, slots=True)
class DualCycle:
    """A cycle that burns at constant volume, then at constant pressure.

    Attributes
    ----------
    compressed_temperature : float or ndarray
        [K]
    compressed_pressure : float or ndarray
        [Pa]
    risen_temperature : float or ndarray
        After the burn at constant volume. [K]
    burned_temperature : float or ndarray
        After all the heat. [K]
    burned_pressure : float or ndarray
        [Pa]
    expanded_temperature : float or ndarray
        [K]
    expanded_pressure : float or ndarray
        [Pa]
    heat_added : float or ndarray
        [J/kg]
    net_work : float or ndarray
        [J/kg]
    thermal_efficiency : float or ndarray
        [1]
    cycle_mean_pressure : float or ndarray
        Work over swept volume. [Pa]
    """

    compressed_temperature: Kelvin
    compressed_pressure: Pascal
    risen_temperature: Kelvin
    burned_temperature: Kelvin
    burned_pressure: Pascal
    expanded_temperature: Kelvin
    expanded_pressure: Pascal
    heat_added: JoulePerKilogram
    net_work: JoulePerKilogram
    thermal_efficiency: Pure
    cycle_mean_pressure: Pascal


def dual_cycle(
    compression_ratio: Pure,
    pressure_rise_ratio: Pure,
    cutoff_ratio: Pure,
    start_temperature: Kelvin,
    start_pressure: Pascal,
    isochoric_heat_capacity: JoulePerKilogramKelvin,
    heat_capacity_ratio: Pure,
) -> DualCycle:
    r"""The dual cycle with constant specific heats, state by state; the Diesel cycle at a rise of 1.

    .. math::

        T_2 = T_1 \varepsilon^{\gamma - 1},\quad T_x = \alpha T_2,\quad T_3 = \rho T_x,\quad
        T_4 = T_3 (\rho / \varepsilon)^{\gamma - 1}

        q = c_v (T_x - T_2) + \gamma c_v (T_3 - T_x),\quad w = q - c_v (T_4 - T_1)

    Parameters
    ----------
    compression_ratio : float or array_like
        epsilon. [1]
    pressure_rise_ratio : float or array_like
        alpha, of the burn at constant volume; at 1 it is the Diesel cycle. [1]
    cutoff_ratio : float or array_like
        rho, of the burn at constant pressure; at 1 it is the Otto cycle. [1]
    start_temperature : float or array_like
        T_1. [K]
    start_pressure : float or array_like
        p_1, absolute. [Pa]
    isochoric_heat_capacity : float or array_like
        c_v. [J/kg.K]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    DualCycle
        [K], [Pa], [J/kg] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the heat lasts beyond the expansion.

    Examples
    --------
    [1]_ prints 1,716 R, 3,432 R and 1,425 R for a Diesel cycle of 18 and a cutoff of 2 from 540 R:

    >>> cycle = dual_cycle(18.0, 1.0, 2.0, 300.0, 101325.0, 717.0, 1.4)
    >>> print(
    ...     *(round(t * 1.8) for t in (cycle.compressed_temperature, cycle.burned_temperature)),
    ...     round(cycle.expanded_temperature * 1.8),
    ... )
    1716 3432 1425

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, example 9-3 (from memory).
    """
    ratio = require("compression_ratio", compression_ratio)
    rise = require("pressure_rise_ratio", pressure_rise_ratio)
    cutoff = require("cutoff_ratio", cutoff_ratio)
    start = require("start_temperature", start_temperature)
    pressure = require("start_pressure", start_pressure)
    capacity = require("isochoric_heat_capacity", isochoric_heat_capacity)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    efficiency = dual_efficiency(ratio, rise, cutoff, gamma)  # refuses heat beyond the stroke
    compressed = start * ratio ** (gamma - 1.0)
    risen = rise * compressed
    burned = cutoff * risen
    expanded = burned * (cutoff / ratio) ** (gamma - 1.0)
    heat = capacity * (risen - compressed + gamma * (burned - risen))
    work = heat - capacity * (expanded - start)
    return DualCycle(
        compressed_temperature=compressed,
        compressed_pressure=pressure * ratio**gamma,
        risen_temperature=risen,
        burned_temperature=burned,
        burned_pressure=rise * pressure * ratio**gamma,
        expanded_temperature=expanded,
        expanded_pressure=pressure * expanded / start,
        heat_added=heat,
        net_work=work,
        thermal_efficiency=efficiency,
        cycle_mean_pressure=work * pressure / (capacity * (gamma - 1.0) * start * (1.0 - 1.0 / ratio)),
    )
