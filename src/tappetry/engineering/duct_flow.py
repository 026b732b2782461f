"""Steady flow in a pipe with friction, or with heat: each leads to Mach 1."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tappetry.engineering.compressible import sonic_area_ratio
from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Pure, Real


@dataclass(frozen=True, slots=True)
class FrictionRatios:
    """Flow in a pipe with friction and without heat, over the same flow at Mach 1.

    Attributes
    ----------
    choking_length : float or ndarray
        4 f L/D up to Mach 1, f after Fanning. [1]
    friction_pressure_ratio : float or ndarray
        p/p*. [1]
    friction_temperature_ratio : float or ndarray
        T/T*. [1]
    friction_stagnation_ratio : float or ndarray
        p0/p0*. [1]
    """

    choking_length: Pure
    friction_pressure_ratio: Pure
    friction_temperature_ratio: Pure
    friction_stagnation_ratio: Pure


@dataclass(frozen=True, slots=True)
class HeatingRatios:
    """Flow in a pipe with heat and without friction, over the same flow at Mach 1.

    Attributes
    ----------
    heating_pressure_ratio : float or ndarray
        p/p*. [1]
    heating_temperature_ratio : float or ndarray
        T/T*. [1]
    heating_stagnation_ratio : float or ndarray
        T0/T0*. [1]
    """

    heating_pressure_ratio: Pure
    heating_temperature_ratio: Pure
    heating_stagnation_ratio: Pure


def friction_ratios(mach_number: Pure, heat_capacity_ratio: Pure) -> FrictionRatios:
    r"""Fanno flow: a pipe with friction, and the length that chokes it.

    .. math::

        \frac{4 f L^*}{D} = \frac{1 - M^2}{\gamma M^2} + \frac{\gamma + 1}{2 \gamma}
            \ln\frac{(\gamma + 1) M^2}{2 + (\gamma - 1) M^2},\quad
        \frac{T}{T^*} = \frac{\gamma + 1}{2 + (\gamma - 1) M^2},\quad
        \frac{p}{p^*} = \frac{1}{M} \sqrt{\frac{T}{T^*}}

    Parameters
    ----------
    mach_number : float or array_like
        M. [1]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    FrictionRatios
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 1.069, 2.138 and 1.340 at Mach 0.5:

    >>> ratios = friction_ratios(0.5, 1.4)
    >>> print(round(ratios.choking_length, 3), round(ratios.friction_pressure_ratio, 3))
    1.069 2.138

    References
    ----------
    .. [1] Anderson, Modern Compressible Flow, appendix D (from memory).
    """
    mach = require("mach_number", mach_number)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    temperature = (gamma + 1.0) / (2.0 + (gamma - 1.0) * mach**2)
    logarithm = np.log(mach**2 * temperature)
    length = (1.0 - mach**2) / (gamma * mach**2) + (gamma + 1.0) / (2.0 * gamma) * logarithm
    pressure: Real = np.sqrt(temperature) / mach
    return FrictionRatios(
        choking_length=np.maximum(length, 0.0),
        friction_pressure_ratio=pressure,
        friction_temperature_ratio=temperature,
        friction_stagnation_ratio=sonic_area_ratio(mach, gamma),
    )


def heating_ratios(mach_number: Pure, heat_capacity_ratio: Pure) -> HeatingRatios:
    r"""Rayleigh flow: a pipe with heat, which chokes where the stagnation temperature is highest.

    .. math::

        \frac{p}{p^*} = \frac{1 + \gamma}{1 + \gamma M^2},\quad
        \frac{T}{T^*} = M^2 \left(\frac{p}{p^*}\right)^2,\quad
        \frac{T_0}{T_0^*} = \frac{(\gamma + 1) M^2 [2 + (\gamma - 1) M^2]}{(1 + \gamma M^2)^2}

    Parameters
    ----------
    mach_number : float or array_like
        M. [1]
    heat_capacity_ratio : float or array_like
        gamma. [1]

    Returns
    -------
    HeatingRatios
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    [1]_ prints 1.778, 0.7901 and 0.6914 at Mach 0.5:

    >>> ratios = heating_ratios(0.5, 1.4)
    >>> print(round(ratios.heating_pressure_ratio, 3), round(ratios.heating_temperature_ratio, 4))
    1.778 0.7901

    References
    ----------
    .. [1] Anderson, Modern Compressible Flow, appendix C (from memory).
    """
    mach = require("mach_number", mach_number)
    gamma = require("heat_capacity_ratio", heat_capacity_ratio)
    pressure = (1.0 + gamma) / (1.0 + gamma * mach**2)
    energy = (gamma + 1.0) * mach**2 * (2.0 + (gamma - 1.0) * mach**2)
    return HeatingRatios(
        heating_pressure_ratio=pressure,
        heating_temperature_ratio=mach**2 * pressure**2,
        heating_stagnation_ratio=energy / (1.0 + gamma * mach**2) ** 2,
    )
