"""Heat from the gas to the walls of a cylinder, after Woschni and after Hohenberg."""

from __future__ import annotations

from dataclasses import dataclass

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    CubicMetre,
    Kelvin,
    Metre,
    MetrePerSecond,
    Pascal,
    Pure,
    Range,
    WattPerSquareMetre,
    WattPerSquareMetreKelvin,
    require_between,
)


@dataclass(frozen=True, slots=True)
class WoschniVelocities:
    """Woschni's gas velocity in the three parts of the cycle.

    Attributes
    ----------
    exchange_velocity : float or ndarray
        While the valves are open. [m/s]
    compression_velocity : float or ndarray
        [m/s]
    combustion_velocity : float or ndarray
        While it burns and expands. [m/s]
    """

    exchange_velocity: MetrePerSecond
    compression_velocity: MetrePerSecond
    combustion_velocity: MetrePerSecond


def woschni_velocities(
    mean_piston_speed: MetrePerSecond,
    swept_volume: CubicMetre,
    trapped_temperature: Kelvin,
    trapped_pressure: Pascal,
    trapped_volume: CubicMetre,
    burning_pressure: Pascal,
    motored_pressure: Pascal,
    swirl_velocity: MetrePerSecond = 0.0,
) -> WoschniVelocities:
    r"""Gas velocity of Woschni's correlation.

    .. math::

        w_{ex} = 6.18\, s + 0.417\, v,\quad w_c = 2.28\, s + 0.308\, v,\quad
        w_b = w_c + 0.00324 \frac{V_d T_r}{p_r V_r} (p - p_m)

    Parameters
    ----------
    mean_piston_speed : float or array_like
        s. [m/s]
    swept_volume : float or array_like
        V_d, of one cylinder. [m3]
    trapped_temperature : float or array_like
        T_r, when the intake valve shuts. [K]
    trapped_pressure : float or array_like
        p_r, then, absolute. [Pa]
    trapped_volume : float or array_like
        V_r, then. [m3]
    burning_pressure : float or array_like
        p, absolute. [Pa]
    motored_pressure : float or array_like
        p_m, at the same crank angle without a fire, absolute; at most p. [Pa]
    swirl_velocity : float or array_like, optional
        v, tangential, at the bore. [m/s]

    Returns
    -------
    WoschniVelocities
        [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the motored pressure is the higher one.

    Examples
    --------
    >>> got = woschni_velocities(12.0, 600e-6, 360.0, 110e3, 600e-6, 3e6, 1.4e6)
    >>> print(round(got.exchange_velocity, 2), round(got.compression_velocity, 2))
    74.16 27.36
    >>> print(round(got.combustion_velocity, 2))
    44.33

    References
    ----------
    .. [1] Woschni, SAE 670931; Heywood, Internal Combustion Engine Fundamentals, eq. 12.18 (constants from
       memory: look them up before relying on them).
    """
    speed = require("mean_piston_speed", mean_piston_speed)
    swirl = require("swirl_velocity", swirl_velocity)
    pressure, motored = (
        require("burning_pressure", burning_pressure),
        require("motored_pressure", motored_pressure),
    )
    require_between(
        "motored_pressure over burning_pressure",
        motored / pressure,
        Range(0.0, 1.0),
        source="a fire raises the pressure",
        advice="Both belong to one crank angle",
    )
    state = require("trapped_temperature", trapped_temperature) / (
        require("trapped_pressure", trapped_pressure) * require("trapped_volume", trapped_volume)
    )
    rise = 3.24e-3 * require("swept_volume", swept_volume) * state * (pressure - motored)
    compression = 2.28 * speed + 0.308 * swirl
    shape = 0.0 * rise
    return WoschniVelocities(
        exchange_velocity=6.18 * speed + 0.417 * swirl + shape,
        compression_velocity=compression + shape,
        combustion_velocity=compression + rise,
    )


def woschni_coefficient(
    bore: Metre, burning_pressure: Pascal, gas_temperature: Kelvin, correlation_velocity: MetrePerSecond
) -> WattPerSquareMetreKelvin:
    r"""Heat transfer coefficient after Woschni, with the exponent 0.55 of the temperature.

    .. math:: h = 3.26\, B^{-0.2}\, p^{0.8}\, T^{-0.55}\, w^{0.8},\quad p \text{ in kPa}

    Other printings have T to the power of -0.53 with the same constant: at 2000 K they give 16 % more.

    Parameters
    ----------
    bore : float or array_like
        B. [m]
    burning_pressure : float or array_like
        p, absolute. [Pa]
    gas_temperature : float or array_like
        T, mean of the cylinder. [K]
    correlation_velocity : float or array_like
        w, from `woschni_velocities`. [m/s]

    Returns
    -------
    float or ndarray
        [W/m2.K]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(woschni_coefficient(0.1, 3e6, 2000.0, 20.0), 1))
    525.0

    References
    ----------
    .. [1] Woschni, SAE 670931; Heywood, Internal Combustion Engine Fundamentals, eq. 12.19 (constants from
       memory: look them up before relying on them).
    """
    return (
        3.26
        * require("bore", bore) ** -0.2
        * (require("burning_pressure", burning_pressure) / 1e3) ** 0.8
        * require("gas_temperature", gas_temperature) ** -0.55
        * require("correlation_velocity", correlation_velocity) ** 0.8
    )


def woschni_coefficient_in_bar(
    bore: Metre, burning_pressure: Pascal, gas_temperature: Kelvin, correlation_velocity: MetrePerSecond
) -> WattPerSquareMetreKelvin:
    r"""Heat transfer coefficient after Woschni, in the printing with the exponent 0.53 of the temperature.

    .. math:: h = 130\, B^{-0.2}\, p^{0.8}\, T^{-0.53}\, w^{0.8},\quad p \text{ in bar}

    Parameters
    ----------
    bore : float or array_like
        B. [m]
    burning_pressure : float or array_like
        p, absolute. [Pa]
    gas_temperature : float or array_like
        T, mean of the cylinder. [K]
    correlation_velocity : float or array_like
        w, from `woschni_velocities`. [m/s]

    Returns
    -------
    float or ndarray
        16 % above `woschni_coefficient` at 2000 K. [W/m2.K]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(woschni_coefficient_in_bar(0.1, 3e6, 2000.0, 20.0), 1))
    612.2

    References
    ----------
    .. [1] Woschni, SAE 670931, as printed in handbooks (constants from memory: look them up before relying on
       them).
    """
    return (
        130.0
        * require("bore", bore) ** -0.2
        * (require("burning_pressure", burning_pressure) / 1e5) ** 0.8
        * require("gas_temperature", gas_temperature) ** -0.53
        * require("correlation_velocity", correlation_velocity) ** 0.8
    )


def heat_transfer_ratio(
    bore_ratio: Pure,
    pressure_change_ratio: Pure,
    temperature_change_ratio: Pure,
    velocity_change_ratio: Pure,
) -> Pure:
    r"""Change of Woschni's coefficient from changes of what it depends on.

    .. math:: \frac{h_2}{h_1} = b^{-0.2}\, p^{0.8}\, t^{-0.55}\, w^{0.8}

    Parameters
    ----------
    bore_ratio : float or array_like
        b, after over before. [1]
    pressure_change_ratio : float or array_like
        p. [1]
    temperature_change_ratio : float or array_like
        t. [1]
    velocity_change_ratio : float or array_like
        w. [1]

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
    >>> print(round(heat_transfer_ratio(1.0, 2.0, 1.0, 1.0), 3))
    1.741

    References
    ----------
    .. [1] `woschni_coefficient`, exponents (from memory).
    """
    return (
        require("bore_ratio", bore_ratio) ** -0.2
        * require("pressure_change_ratio", pressure_change_ratio) ** 0.8
        * require("temperature_change_ratio", temperature_change_ratio) ** -0.55
        * require("velocity_change_ratio", velocity_change_ratio) ** 0.8
    )


def hohenberg_coefficient(
    cylinder_volume: CubicMetre,
    burning_pressure: Pascal,
    gas_temperature: Kelvin,
    mean_piston_speed: MetrePerSecond,
) -> WattPerSquareMetreKelvin:
    r"""Heat transfer coefficient after Hohenberg.

    .. math:: h = 130\, V^{-0.06}\, p^{0.8}\, T^{-0.4}\, (s + 1.4)^{0.8},\quad p \text{ in bar}

    Parameters
    ----------
    cylinder_volume : float or array_like
        V, at the moment looked at. [m3]
    burning_pressure : float or array_like
        p, absolute. [Pa]
    gas_temperature : float or array_like
        T. [K]
    mean_piston_speed : float or array_like
        s, from 0. [m/s]

    Returns
    -------
    float or ndarray
        [W/m2.K]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(hohenberg_coefficient(120e-6, 3e6, 2000.0, 12.0)))
    1295

    References
    ----------
    .. [1] Hohenberg, SAE 790825 (constants from memory: look them up before relying on them).
    """
    speed = require_between(
        "mean piston speed of the correlation",
        require("mean_piston_speed", mean_piston_speed),
        Range(0.0, 100.0),
        "m/s",
        source="a piston's mean speed",
    )
    return (
        130.0
        * require("cylinder_volume", cylinder_volume) ** -0.06
        * (require("burning_pressure", burning_pressure) / 1e5) ** 0.8
        * require("gas_temperature", gas_temperature) ** -0.4
        * (speed + 1.4) ** 0.8
    )


def motored_pressure(
    trapped_pressure: Pascal,
    trapped_volume: CubicMetre,
    cylinder_volume: CubicMetre,
    polytropic_exponent: Pure,
) -> Pascal:
    r"""Pressure in the cylinder without a fire, from the state when the intake valve shuts.

    .. math:: p_m = p_r (V_r / V)^n

    Parameters
    ----------
    trapped_pressure : float or array_like
        p_r, absolute. [Pa]
    trapped_volume : float or array_like
        V_r. [m3]
    cylinder_volume : float or array_like
        V, at the moment looked at. [m3]
    polytropic_exponent : float or array_like
        n, 1.3 to 1.35 for a running engine (common practice, no source). [1]

    Returns
    -------
    float or ndarray
        Absolute. [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(motored_pressure(95e3, 600e-6, 75e-6, 1.32) / 1e5, 2))
    14.78

    References
    ----------
    .. [1] Polytropic compression; textbook.
    """
    ratio = require("trapped_volume", trapped_volume) / require("cylinder_volume", cylinder_volume)
    exponent = require("polytropic_exponent", polytropic_exponent)
    return require("trapped_pressure", trapped_pressure) * ratio**exponent


def wall_heat_flux(
    heat_transfer_coefficient: WattPerSquareMetreKelvin, gas_temperature: Kelvin, wall_temperature: Kelvin
) -> WattPerSquareMetre:
    r"""Heat from the gas to a wall.

    .. math:: q = h (T - T_w)

    Parameters
    ----------
    heat_transfer_coefficient : float or array_like
        h. [W/m2.K]
    gas_temperature : float or array_like
        T. [K]
    wall_temperature : float or array_like
        T_w, on the side of the gas. [K]

    Returns
    -------
    float or ndarray
        Negative where the wall heats the gas. [W/m2]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(wall_heat_flux(525.0, 2000.0, 450.0) / 1e6, 3))
    0.814

    References
    ----------
    .. [1] Definition of the coefficient.
    """
    difference = require("gas_temperature", gas_temperature) - require("wall_temperature", wall_temperature)
    return require("heat_transfer_coefficient", heat_transfer_coefficient) * difference
