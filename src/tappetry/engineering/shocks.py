"""Shocks of a perfect gas: standing across a flow, running into gas at rest, thrown back by a wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.compressible import sound_speed, stagnation_ratios
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import JoulePerKilogramKelvin, Kelvin, MetrePerSecond, Pure, Real


@dataclass(frozen=True, slots=True)
class NormalShock:
    """What a standing shock does to a gas.

    Attributes
    ----------
    downstream_mach : float or ndarray
        M2. [1]
    shock_pressure_ratio : float or ndarray
        p2/p1. [1]
    shock_density_ratio : float or ndarray
        rho2/rho1. [1]
    shock_temperature_ratio : float or ndarray
        T2/T1. [1]
    shock_stagnation_ratio : float or ndarray
        p02/p01: what is lost for good. [1]
    """

    downstream_mach: Pure
    shock_pressure_ratio: Pure
    shock_density_ratio: Pure
    shock_temperature_ratio: Pure
    shock_stagnation_ratio: Pure


@dataclass(frozen=True, slots=True)
class RunningShock:
    """A shock that runs into gas at rest.

    Attributes
    ----------
    shock_mach : float or ndarray
        [1]
    shock_velocity : float or ndarray
        [m/s]
    particle_velocity : float or ndarray
        Of the gas behind it. [m/s]
    shock_density_ratio : float or ndarray
        [1]
    shock_temperature_ratio : float or ndarray
        [1]
    reflected_pressure_ratio : float or ndarray
        After a closed end has thrown it back, over the pressure behind the first shock. [1]
    """

    shock_mach: Pure
    shock_velocity: MetrePerSecond
    particle_velocity: MetrePerSecond
    shock_density_ratio: Pure
    shock_temperature_ratio: Pure
    reflected_pressure_ratio: Pure


@dataclass(frozen=True, slots=True)
class ShockLimits:
    """What a shock cannot exceed, however strong.

    Attributes
    ----------
    density_ratio_limit : float or ndarray
        [1]
    reflected_pressure_limit : float or ndarray
        [1]
    """

    density_ratio_limit: Pure
    reflected_pressure_limit: Pure


def normal_shock(supersonic_mach: Pure, heat_capacity_ratio: Pure) -> NormalShock:
    r"""A shock that stands across the flow.

    .. math::

        M_2^2 = \frac{1 + \frac{\gamma - 1}{2} M_1^2}{\gamma M_1^2 - \frac{\gamma - 1}{2}},\quad
        \frac{p_2}{p_1} = 1 + \frac{2 \gamma}{\gamma + 1} (M_1^2 - 1),\quad
        \frac{\rho_2}{\rho_1} = \frac{(\gamma + 1) M_1^2}{2 + (\gamma - 1) M_1^2}

    The stagnation pressures follow from `stagnation_ratios` on both sides.

    Parameters
    ----------
    supersonic_mach : float or array_like
        M1, ahead of the shock, at least 1. [1]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    NormalShock
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 0.5774, 4.500, 2.667, 1.687 and 0.7209 at Mach 2:

    >>> shock = normal_shock(2.0, 1.4)
    >>> print(round(shock.downstream_mach, 4), round(shock.shock_pressure_ratio, 4))
    0.5774 4.5
    >>> print(round(shock.shock_density_ratio, 3), round(shock.shock_stagnation_ratio, 4))
    2.667 0.7209

    References
    ----------
    .. [1] Anderson, Modern Compressible Flow, appendix B (from memory).
    """
    mach = require("supersonic_mach", supersonic_mach)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    half = (gamma - 1.0) / 2.0
    pressure = 1.0 + 2.0 * gamma / (gamma + 1.0) * (mach**2 - 1.0)
    density = (gamma + 1.0) * mach**2 / (2.0 + (gamma - 1.0) * mach**2)
    downstream: Real = np.sqrt((1.0 + half * mach**2) / (gamma * mach**2 - half))
    ahead = stagnation_ratios(mach, gamma).stagnation_pressure_ratio
    behind = stagnation_ratios(downstream, gamma).stagnation_pressure_ratio
    return NormalShock(
        downstream_mach=downstream,
        shock_pressure_ratio=pressure,
        shock_density_ratio=density,
        shock_temperature_ratio=pressure / density,
        shock_stagnation_ratio=pressure * behind / ahead,
    )


def running_shock(
    shock_pressure_ratio: Pure,
    undisturbed_temperature: Kelvin,
    heat_capacity_ratio: Pure,
    gas_constant: JoulePerKilogramKelvin,
) -> RunningShock:
    r"""A shock that runs into gas at rest, and what a closed end makes of it.

    .. math::

        M = \sqrt{1 + \frac{\gamma + 1}{2 \gamma} (P - 1)},\quad
        u = \frac{2 a_0}{\gamma + 1} \left(M - \frac{1}{M}\right),\quad
        \frac{p_r}{p} = \frac{(3 \gamma - 1) P - (\gamma - 1)}{(\gamma - 1) P + \gamma + 1}

    Parameters
    ----------
    shock_pressure_ratio : float or array_like
        P, behind over ahead. [1]
    undisturbed_temperature : float or array_like
        Ahead. [K]
    heat_capacity_ratio : float or array_like
        gamma. [1]
    gas_constant : float or array_like
        R, of this gas. [J/kg.K]

    Returns
    -------
    RunningShock
        [1] and [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> shock = running_shock(4.5, 300.0, 1.4, 287.0)
    >>> print(round(shock.shock_mach, 4), round(shock.shock_velocity, 1), round(shock.particle_velocity, 1))
    2.0 694.4 434.0

    References
    ----------
    .. [1] Anderson, Modern Compressible Flow, sections 7.2 and 7.3 (from memory; conservation laws agree in
       the tests).
    """
    ratio = require("shock_pressure_ratio", shock_pressure_ratio)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    temperature = require("undisturbed_temperature", undisturbed_temperature)
    sound = sound_speed(temperature, gamma, gas_constant)
    mach: Real = np.sqrt(1.0 + (gamma + 1.0) / (2.0 * gamma) * (ratio - 1.0))
    density = (gamma + 1.0) * mach**2 / (2.0 + (gamma - 1.0) * mach**2)
    shape = 0.0 * sound * mach
    return RunningShock(
        shock_mach=mach + shape,
        shock_velocity=mach * sound,
        particle_velocity=2.0 * sound / (gamma + 1.0) * (mach - 1.0 / mach),
        shock_density_ratio=density + shape,
        shock_temperature_ratio=ratio / density + shape,
        reflected_pressure_ratio=((3.0 * gamma - 1.0) * ratio - (gamma - 1.0))
        / ((gamma - 1.0) * ratio + gamma + 1.0)
        + shape,
    )


def strong_shock_limits(heat_capacity_ratio: Pure) -> ShockLimits:
    r"""Density and reflected pressure that no shock exceeds.

    .. math::

        \frac{\rho_2}{\rho_1} \to \frac{\gamma + 1}{\gamma - 1},\quad
        \frac{p_r}{p} \to \frac{3 \gamma - 1}{\gamma - 1}

    Parameters
    ----------
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    ShockLimits
        [1]

    Raises
    ------
    OutOfRange
        The input lies outside its range in the glossary.

    Examples
    --------
    >>> limits = strong_shock_limits(1.4)
    >>> print(round(limits.density_ratio_limit, 6), round(limits.reflected_pressure_limit, 6))
    6.0 8.0

    References
    ----------
    .. [1] `running_shock` without bound.
    """
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    return ShockLimits(
        density_ratio_limit=(gamma + 1.0) / (gamma - 1.0),
        reflected_pressure_limit=(3.0 * gamma - 1.0) / (gamma - 1.0),
    )
