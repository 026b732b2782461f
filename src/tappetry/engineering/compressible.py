"""Steady flow of a perfect gas without loss: Mach number, stagnation, sonic state, area, standing shock."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    JoulePerKilogramKelvin,
    Kelvin,
    MetrePerSecond,
    Pascal,
    Pure,
    Real,
)


@dataclass(frozen=True, slots=True)
class FlowSpeed:
    """How fast a gas flows, by its own measure.

    Attributes
    ----------
    sound_speed : float or ndarray
        In the gas as it is. [m/s]
    mach_number : float or ndarray
        Velocity over speed of sound, without a sign. [1]
    """

    sound_speed: MetrePerSecond
    mach_number: Pure


@dataclass(frozen=True, slots=True)
class StagnationRatios:
    """Gas brought to rest without loss over gas as it moves.

    Attributes
    ----------
    stagnation_temperature_ratio : float or ndarray
        T0/T. [1]
    stagnation_pressure_ratio : float or ndarray
        p0/p. [1]
    stagnation_density_ratio : float or ndarray
        rho0/rho. [1]
    """

    stagnation_temperature_ratio: Pure
    stagnation_pressure_ratio: Pure
    stagnation_density_ratio: Pure


@dataclass(frozen=True, slots=True)
class CriticalRatios:
    """Gas at Mach 1 over the same gas at rest.

    Attributes
    ----------
    critical_temperature_ratio : float or ndarray
        T*/T0. [1]
    critical_pressure_ratio : float or ndarray
        p*/p0; a nozzle with less behind it is choked. [1]
    critical_density_ratio : float or ndarray
        rho*/rho0. [1]
    """

    critical_temperature_ratio: Pure
    critical_pressure_ratio: Pure
    critical_density_ratio: Pure


@dataclass(frozen=True, slots=True)
class CriticalState:
    """Gas at Mach 1.

    Attributes
    ----------
    critical_temperature : float or ndarray
        T*. [K]
    critical_pressure : float or ndarray
        p*, absolute. [Pa]
    """

    critical_temperature: Kelvin
    critical_pressure: Pascal


@dataclass(frozen=True, slots=True)
class MachPair:
    """The two Mach numbers that fit one area.

    Attributes
    ----------
    subsonic_mach : float or ndarray
        At most 1. [1]
    supersonic_mach : float or ndarray
        At least 1. [1]
    """

    subsonic_mach: Pure
    supersonic_mach: Pure


def sound_speed(
    gas_temperature: Kelvin, heat_capacity_ratio: Pure, gas_constant: JoulePerKilogramKelvin
) -> MetrePerSecond:
    r"""Speed of sound in a perfect gas.

    .. math:: a = \sqrt{\gamma R T}

    Parameters
    ----------
    gas_temperature : float or array_like
        T. [K]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R, of this gas. [J/kg.K]

    Returns
    -------
    float or ndarray
        [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(sound_speed(303.0, 1.4, 287.0), 1))
    348.9

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, example 17-2 (from memory): 349 m/s.
    """
    speed: Real = np.sqrt(
        require("heat_capacity_ratio", heat_capacity_ratio)
        * require("gas_constant", gas_constant)
        * require("gas_temperature", gas_temperature)
    )
    return speed


def mach_number(
    gas_velocity: MetrePerSecond,
    gas_temperature: Kelvin,
    heat_capacity_ratio: Pure,
    gas_constant: JoulePerKilogramKelvin,
) -> FlowSpeed:
    r"""Mach number and speed of sound of a moving gas.

    .. math:: M = |u| / \sqrt{\gamma R T}

    Parameters
    ----------
    gas_velocity : float or array_like
        u. [m/s]
    gas_temperature : float or array_like
        T, of the gas as it moves. [K]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R, of this gas. [J/kg.K]

    Returns
    -------
    FlowSpeed
        [m/s] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 0.573:

    >>> print(round(mach_number(200.0, 303.0, 1.4, 287.0).mach_number, 3))
    0.573

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, example 17-2 (from memory).
    """
    speed = sound_speed(gas_temperature, heat_capacity_ratio, gas_constant)
    velocity: Real = np.abs(require("gas_velocity", gas_velocity))
    return FlowSpeed(sound_speed=speed, mach_number=velocity / speed)


def _stagnation_temperature_ratio(mach: Real, gamma: Real) -> Real:
    return 1.0 + (gamma - 1.0) / 2.0 * mach**2


def stagnation_ratios(mach_number: Pure, heat_capacity_ratio: Pure) -> StagnationRatios:
    r"""Temperature, pressure and density of a gas brought to rest, over those of the moving gas.

    .. math::

        \frac{T_0}{T} = 1 + \frac{\gamma - 1}{2} M^2,\quad
        \frac{p_0}{p} = \left(\frac{T_0}{T}\right)^{\gamma / (\gamma - 1)},\quad
        \frac{\rho_0}{\rho} = \left(\frac{T_0}{T}\right)^{1 / (\gamma - 1)}

    Parameters
    ----------
    mach_number : float or array_like
        M. [1]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    StagnationRatios
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 7.824 and 1.800 at Mach 2:

    >>> ratios = stagnation_ratios(2.0, 1.4)
    >>> print(round(ratios.stagnation_pressure_ratio, 3), round(ratios.stagnation_temperature_ratio, 3))
    7.824 1.8

    References
    ----------
    .. [1] Anderson, Modern Compressible Flow, appendix A (from memory); NACA Report 1135, eqs. 43 to 45.
    """
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    ratio = _stagnation_temperature_ratio(require("mach_number", mach_number), gamma)
    return StagnationRatios(
        stagnation_temperature_ratio=ratio,
        stagnation_pressure_ratio=ratio ** (gamma / (gamma - 1.0)),
        stagnation_density_ratio=ratio ** (1.0 / (gamma - 1.0)),
    )


def mach_from_pressure_ratio(stagnation_pressure_ratio: Pure, heat_capacity_ratio: Pure) -> Pure:
    r"""Mach number from stagnation and static pressure, as a pitot tube gives it below Mach 1.

    .. math::

        M = \sqrt{\frac{2}{\gamma - 1} \left[\left(\frac{p_0}{p}\right)^{(\gamma - 1)/\gamma} - 1\right]}

    Parameters
    ----------
    stagnation_pressure_ratio : float or array_like
        p0/p. [1]
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
    >>> print(round(mach_from_pressure_ratio(1.18621, 1.4), 3))
    0.5

    References
    ----------
    .. [1] `stagnation_ratios` turned round.
    """
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    ratio = require("stagnation_pressure_ratio", stagnation_pressure_ratio)
    mach: Real = np.sqrt(2.0 / (gamma - 1.0) * (ratio ** ((gamma - 1.0) / gamma) - 1.0))
    return mach


def critical_ratios(heat_capacity_ratio: Pure) -> CriticalRatios:
    r"""Temperature, pressure and density where a gas flows at Mach 1, over those at rest.

    .. math::

        \frac{T^*}{T_0} = \frac{2}{\gamma + 1},\quad
        \frac{p^*}{p_0} = \left(\frac{2}{\gamma + 1}\right)^{\gamma / (\gamma - 1)},\quad
        \frac{\rho^*}{\rho_0} = \left(\frac{2}{\gamma + 1}\right)^{1 / (\gamma - 1)}

    Parameters
    ----------
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    CriticalRatios
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 0.5283 for air:

    >>> print(round(critical_ratios(1.4).critical_pressure_ratio, 4))
    0.5283

    References
    ----------
    .. [1] NACA Report 1135, tables (from memory).
    """
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    temperature = 2.0 / (gamma + 1.0)
    return CriticalRatios(
        critical_temperature_ratio=temperature,
        critical_pressure_ratio=temperature ** (gamma / (gamma - 1.0)),
        critical_density_ratio=temperature ** (1.0 / (gamma - 1.0)),
    )


def critical_state(
    stagnation_pressure: Pascal, stagnation_temperature: Kelvin, heat_capacity_ratio: Pure
) -> CriticalState:
    r"""Temperature and pressure where a gas that starts from rest reaches Mach 1.

    .. math:: T^* = \frac{2 T_0}{\gamma + 1},\quad p^* = p_0 (T^* / T_0)^{\gamma / (\gamma - 1)}

    Parameters
    ----------
    stagnation_pressure : float or array_like
        p0, absolute. [Pa]
    stagnation_temperature : float or array_like
        T0. [K]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    CriticalState
        [K] and [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 413 K and 767 kPa:

    >>> state = critical_state(1.4e6, 473.0, 1.289)
    >>> print(round(state.critical_temperature), round(state.critical_pressure / 1e3))
    413 767

    References
    ----------
    .. [1] Cengel and Boles, Thermodynamics, example 17-4 (from memory).
    """
    ratios = critical_ratios(heat_capacity_ratio)
    temperature = require("stagnation_temperature", stagnation_temperature)
    pressure = require("stagnation_pressure", stagnation_pressure)
    return CriticalState(
        critical_temperature=temperature * ratios.critical_temperature_ratio,
        critical_pressure=pressure * ratios.critical_pressure_ratio,
    )


def _sonic_area_ratio(mach: Real, gamma: Real) -> Real:
    exponent = (gamma + 1.0) / (2.0 * (gamma - 1.0))
    return (2.0 / (gamma + 1.0) * _stagnation_temperature_ratio(mach, gamma)) ** exponent / mach


def sonic_area_ratio(mach_number: Pure, heat_capacity_ratio: Pure) -> Pure:
    r"""Flow area over the area in which the same flow would be sonic.

    .. math::

        \frac{A}{A^*} = \frac{1}{M} \left[\frac{2}{\gamma + 1}
            \left(1 + \frac{\gamma - 1}{2} M^2\right)\right]^{(\gamma + 1) / (2 (\gamma - 1))}

    Parameters
    ----------
    mach_number : float or array_like
        M. [1]
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
    [1]_ prints 1.340 at Mach 0.5:

    >>> print(round(sonic_area_ratio(0.5, 1.4), 3))
    1.34

    References
    ----------
    .. [1] Anderson, Modern Compressible Flow, appendix A (from memory).
    """
    return _sonic_area_ratio(
        require("mach_number", mach_number), require("heat_capacity_ratio", heat_capacity_ratio)
    )


def _mach_of_area(area_ratio: Real, gamma: Real, fastest: float) -> Real:
    """The root of the area formula between Mach 1 and a Mach number beyond it, by halving log M.

    A/A* has one minimum, at M = 1, so each side has one root.
    """
    exponent = (gamma + 1.0) / (2.0 * (gamma - 1.0))
    wanted = np.log(area_ratio)
    near, far = 0.0 * wanted, math.log(fastest) + 0.0 * wanted
    for _ in range(64):
        middle = 0.5 * (near + far)
        ratio = 2.0 / (gamma + 1.0) * _stagnation_temperature_ratio(np.exp(middle), gamma)
        beyond = exponent * np.log(ratio) - middle > wanted
        near, far = np.where(beyond, near, middle), np.where(beyond, middle, far)
    mach: Real = np.exp(near)[()]
    return mach


def mach_from_area_ratio(sonic_area_ratio: Pure, heat_capacity_ratio: Pure) -> MachPair:
    r"""The two Mach numbers, below and above 1, at which a flow fills an area.

    .. math:: A/A^*(M) = \mathrm{given}

    Parameters
    ----------
    sonic_area_ratio : float or array_like
        A/A*. [1]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    MachPair
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> pair = mach_from_area_ratio(1.6875, 1.4)
    >>> print(round(pair.supersonic_mach, 6), round(pair.subsonic_mach, 4))
    2.0 0.3722

    References
    ----------
    .. [1] `sonic_area_ratio` turned round, by bisection.
    """
    ratio = require("sonic_area_ratio", sonic_area_ratio)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    return MachPair(
        subsonic_mach=_mach_of_area(ratio, gamma, 1e-8), supersonic_mach=_mach_of_area(ratio, gamma, 1e3)
    )


def flow_parameter(mach_number: Pure, heat_capacity_ratio: Pure) -> Pure:
    r"""Mass flow in a pure number: the same for every size, pressure, temperature and gas of one gamma.

    .. math::

        \frac{\dot m \sqrt{R T_0}}{A p_0} = \sqrt{\gamma} M
            \left(1 + \frac{\gamma - 1}{2} M^2\right)^{-(\gamma + 1) / (2 (\gamma - 1))}

    Parameters
    ----------
    mach_number : float or array_like
        M. [1]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    float or ndarray
        Largest at Mach 1: 0.6847 for air. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 0.04042 for air, with the root of R (287.05 J/kg.K) taken out:

    >>> print(round(flow_parameter(1.0, 1.4) / 287.05**0.5, 5))
    0.04041

    References
    ----------
    .. [1] Choked flow of air, textbooks (from memory; they round 0.040415 up).
    """
    mach = require("mach_number", mach_number)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    exponent = -(gamma + 1.0) / (2.0 * (gamma - 1.0))
    parameter: Real = np.sqrt(gamma) * mach * _stagnation_temperature_ratio(mach, gamma) ** exponent
    return parameter
