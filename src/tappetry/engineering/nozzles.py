"""Flow through orifices, valves and nozzles: perfect gas, choked or not, and the same without compression."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.compressible import critical_ratios, flow_parameter, mach_from_pressure_ratio
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    JoulePerKilogramKelvin,
    Kelvin,
    KilogramPerCubicMetre,
    KilogramPerSecond,
    MetrePerSecond,
    Pascal,
    Pure,
    Range,
    Real,
    SquareMetre,
    require_between,
)


@dataclass(frozen=True, slots=True)
class OrificeFlow:
    """What passes a restriction.

    Attributes
    ----------
    mass_flow : float or ndarray
        [kg/s]
    throat_mach : float or ndarray
        In the narrowest section; 1 where it is choked. [1]
    throat_pressure : float or ndarray
        In the narrowest section; above the pressure downstream where it is choked. [Pa]
    """

    mass_flow: KilogramPerSecond
    throat_mach: Pure
    throat_pressure: Pascal


@dataclass(frozen=True, slots=True)
class NozzleFlow:
    """What passes a nozzle that gas enters with a velocity.

    Attributes
    ----------
    stagnation_temperature : float or ndarray
        [K]
    stagnation_pressure : float or ndarray
        [Pa]
    mass_flow : float or ndarray
        [kg/s]
    throat_mach : float or ndarray
        1 where it is choked. [1]
    throat_pressure : float or ndarray
        [Pa]
    """

    stagnation_temperature: Kelvin
    stagnation_pressure: Pascal
    mass_flow: KilogramPerSecond
    throat_mach: Pure
    throat_pressure: Pascal


def _choked_by(downstream_pressure: Real, stagnation_pressure: Real, gamma: Real) -> Real:
    """Pressure in the throat: that downstream, or the sonic one where that is higher."""
    require_between(
        "downstream_pressure over stagnation_pressure",
        downstream_pressure / stagnation_pressure,
        Range(0.0, 1.0),
        source="gas flows from the higher pressure to the lower",
        advice="Exchange the two sides for the flow backwards; both pressures are absolute",
    )
    sonic = critical_ratios(gamma).critical_pressure_ratio * stagnation_pressure
    pressure: Real = np.maximum(downstream_pressure, sonic)
    return pressure


def orifice_flow(
    stagnation_pressure: Pascal,
    stagnation_temperature: Kelvin,
    downstream_pressure: Pascal,
    flow_area: SquareMetre,
    heat_capacity_ratio: Pure,
    gas_constant: JoulePerKilogramKelvin,
    discharge_coefficient: Pure = 1.0,
) -> OrificeFlow:
    r"""Mass flow of a perfect gas through a valve, an orifice or a nozzle, choked or not.

    .. math::

        \dot m = \frac{C_D A p_0}{\sqrt{R T_0}} \left(\frac{p_T}{p_0}\right)^{1/\gamma}
            \sqrt{\frac{2 \gamma}{\gamma - 1}
                \left[1 - \left(\frac{p_T}{p_0}\right)^{(\gamma - 1)/\gamma}\right]},\quad
        p_T = \max\left(p, p_0 \left(\frac{2}{\gamma + 1}\right)^{\gamma / (\gamma - 1)}\right)

    Parameters
    ----------
    stagnation_pressure : float or array_like
        p0, upstream, absolute. [Pa]
    stagnation_temperature : float or array_like
        T0, upstream. [K]
    downstream_pressure : float or array_like
        p, absolute, at most the one upstream. [Pa]
    flow_area : float or array_like
        A, the area to which the coefficient belongs. [m2]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R, of this gas. [J/kg.K]
    discharge_coefficient : float or array_like, optional
        C_D; 1 for a nozzle without loss. [1]

    Returns
    -------
    OrificeFlow
        [kg/s], [1] and [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the pressure downstream is the higher one.

    Examples
    --------
    >>> flow = orifice_flow(100e3, 300.0, 90e3, 5e-4, 1.4, 287.0, 0.6)
    >>> print(round(flow.mass_flow, 5), round(flow.throat_mach, 3))
    0.0432 0.391

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eqs. C.8 and C.9 (from memory; the choked flow is
       the largest of the unchoked ones in the tests).
    """
    pressure = require("stagnation_pressure", stagnation_pressure)
    temperature = require("stagnation_temperature", stagnation_temperature)
    downstream = require("downstream_pressure", downstream_pressure)
    area = require("discharge_coefficient", discharge_coefficient) * require("flow_area", flow_area)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    gas = require("gas_constant", gas_constant)
    throat = _choked_by(downstream, pressure, gamma)
    ratio = throat / pressure
    velocity_term = 2.0 * gamma / (gamma - 1.0) * (1.0 - ratio ** ((gamma - 1.0) / gamma))
    flow: Real = (
        area * pressure / np.sqrt(gas * temperature) * ratio ** (1.0 / gamma) * np.sqrt(velocity_term)
    )
    mach: Real = np.minimum(mach_from_pressure_ratio(np.maximum(1.0 / ratio, 1.0)[()], gamma), 1.0)
    return OrificeFlow(mass_flow=flow, throat_mach=mach, throat_pressure=throat)


def choked_mass_flow(
    stagnation_pressure: Pascal,
    stagnation_temperature: Kelvin,
    flow_area: SquareMetre,
    heat_capacity_ratio: Pure,
    gas_constant: JoulePerKilogramKelvin,
    discharge_coefficient: Pure = 1.0,
) -> KilogramPerSecond:
    r"""Largest mass flow that a perfect gas can have through an area.

    .. math::

        \dot m = \frac{C_D A p_0}{\sqrt{R T_0}} \sqrt{\gamma}
            \left(\frac{2}{\gamma + 1}\right)^{(\gamma + 1) / (2 (\gamma - 1))}

    Parameters
    ----------
    stagnation_pressure : float or array_like
        p0, upstream, absolute. [Pa]
    stagnation_temperature : float or array_like
        T0, upstream. [K]
    flow_area : float or array_like
        A, narrowest. [m2]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R, of this gas. [J/kg.K]
    discharge_coefficient : float or array_like, optional
        C_D; 1 for a nozzle without loss. [1]

    Returns
    -------
    float or ndarray
        [kg/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(choked_mass_flow(101325.0, 288.15, 1e-4, 1.4, 287.05), 6))
    0.024124

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. C.9 (from memory).
    """
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    area = require("discharge_coefficient", discharge_coefficient) * require("flow_area", flow_area)
    energy = require("gas_constant", gas_constant) * require("stagnation_temperature", stagnation_temperature)
    flow: Real = (
        area
        * require("stagnation_pressure", stagnation_pressure)
        / np.sqrt(energy)
        * flow_parameter(1.0, gamma)
    )
    return flow


def nozzle_flow(
    static_pressure: Pascal,
    static_temperature: Kelvin,
    gas_velocity: MetrePerSecond,
    downstream_pressure: Pascal,
    flow_area: SquareMetre,
    isobaric_heat_capacity: JoulePerKilogramKelvin,
    heat_capacity_ratio: Pure,
    gas_constant: JoulePerKilogramKelvin,
    discharge_coefficient: Pure = 1.0,
) -> NozzleFlow:
    r"""Mass flow through a converging nozzle that gas enters with a velocity.

    .. math::

        T_0 = T + \frac{u^2}{2 c_p},\quad
        p_0 = p \left(\frac{T_0}{T}\right)^{\gamma / (\gamma - 1)},\quad
        \dot m \text{ as in } \texttt{orifice\_flow}

    Parameters
    ----------
    static_pressure : float or array_like
        p, before the nozzle, absolute. [Pa]
    static_temperature : float or array_like
        T, before the nozzle. [K]
    gas_velocity : float or array_like
        u, before the nozzle. [m/s]
    downstream_pressure : float or array_like
        Behind the nozzle, absolute. [Pa]
    flow_area : float or array_like
        Of the throat. [m2]
    isobaric_heat_capacity : float or array_like
        c_p. [J/kg.K]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R; within 2 % of (gamma - 1)/gamma c_p, so that rounded tables may be used. [J/kg.K]
    discharge_coefficient : float or array_like, optional
        1 for a nozzle without loss. [1]

    Returns
    -------
    NozzleFlow
        [K], [Pa], [kg/s] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, the pressure downstream is the higher one, or R does not fit the
        other two properties.

    Examples
    --------
    [1]_ prints 884 K, 1.045 MPa and 7.10 kg/s:

    >>> flow = nozzle_flow(1e6, 873.0, 150.0, 0.4e6, 5e-3, 1005.0, 1.4, 287.0)
    >>> print(round(flow.stagnation_temperature), round(flow.stagnation_pressure / 1e6, 4))
    884 1.0456
    >>> print(round(flow.mass_flow, 3), round(flow.throat_mach, 3))
    7.106 1.0

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, example 17-5 (from memory).
    """
    temperature = require("static_temperature", static_temperature)
    pressure = require("static_pressure", static_pressure)
    capacity = require("isobaric_heat_capacity", isobaric_heat_capacity)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    gas = require("gas_constant", gas_constant)
    require_between(
        "gas_constant over (gamma - 1)/gamma x isobaric_heat_capacity",
        gas / (capacity * (gamma - 1.0) / gamma),
        Range(0.98, 1.02),
        source="a perfect gas has R = cp - cv",
        advice="Take all three properties of one gas at one temperature",
    )
    at_rest = temperature + require("gas_velocity", gas_velocity) ** 2 / (2.0 * capacity)
    pressure_at_rest = pressure * (at_rest / temperature) ** (gamma / (gamma - 1.0))
    flow = orifice_flow(
        pressure_at_rest, at_rest, downstream_pressure, flow_area, gamma, gas, discharge_coefficient
    )
    return NozzleFlow(
        stagnation_temperature=at_rest,
        stagnation_pressure=pressure_at_rest,
        mass_flow=flow.mass_flow,
        throat_mach=flow.throat_mach,
        throat_pressure=flow.throat_pressure,
    )


def effective_area(
    mass_flow: KilogramPerSecond,
    stagnation_pressure: Pascal,
    stagnation_temperature: Kelvin,
    downstream_pressure: Pascal,
    heat_capacity_ratio: Pure,
    gas_constant: JoulePerKilogramKelvin,
) -> SquareMetre:
    r"""Area of the nozzle without loss that passes a measured mass flow.

    .. math:: C_D A = \dot m / (\dot m / A)_{ideal}

    Parameters
    ----------
    mass_flow : float or array_like
        Measured. [kg/s]
    stagnation_pressure : float or array_like
        Upstream, absolute. [Pa]
    stagnation_temperature : float or array_like
        Upstream. [K]
    downstream_pressure : float or array_like
        Absolute, below the one upstream. [Pa]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R, of this gas. [J/kg.K]

    Returns
    -------
    float or ndarray
        [m2]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or there is no pressure difference.

    Examples
    --------
    >>> print(round(effective_area(0.0432046, 100e3, 300.0, 90e3, 1.4, 287.0) * 1e6, 1))
    300.0

    References
    ----------
    .. [1] `orifice_flow` turned round.
    """
    through = require("mass_flow", mass_flow)
    ideal = orifice_flow(
        stagnation_pressure,
        stagnation_temperature,
        downstream_pressure,
        1.0,
        heat_capacity_ratio,
        gas_constant,
    ).mass_flow
    require_between(
        "flow through 1 m2",
        ideal,
        Range(0.0, np.inf, low_excluded=True),
        "kg/s",
        source="without a pressure difference nothing flows",
        advice="The pressure downstream is the lower one",
    )
    return through / ideal


def incompressible_mass_flow(
    pressure_drop: Pascal,
    gas_density: KilogramPerCubicMetre,
    flow_area: SquareMetre,
    discharge_coefficient: Pure = 1.0,
) -> KilogramPerSecond:
    r"""Mass flow through a restriction as if the density did not change.

    .. math:: \dot m = C_D A \sqrt{2 \rho \Delta p}

    Good for a drop of a few per cent of the pressure: at 7 kPa (28 inH2O) it reads 4 % too much.

    Parameters
    ----------
    pressure_drop : float or array_like
        Delta p. [Pa]
    gas_density : float or array_like
        rho, upstream. [kg/m3]
    flow_area : float or array_like
        A. [m2]
    discharge_coefficient : float or array_like, optional
        C_D; 1 for a nozzle without loss. [1]

    Returns
    -------
    float or ndarray
        [kg/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(incompressible_mass_flow(10e3, 100e3 / 287.0 / 300.0, 5e-4, 0.6), 5))
    0.04572

    References
    ----------
    .. [1] Bernoulli's equation; textbook.
    """
    area = require("discharge_coefficient", discharge_coefficient) * require("flow_area", flow_area)
    flux: Real = np.sqrt(2.0 * require("gas_density", gas_density) * require("pressure_drop", pressure_drop))
    return area * flux
