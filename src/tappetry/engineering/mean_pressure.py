"""Mean pressures, torque and power, and what friction takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    CubicMetre,
    MetrePerSecond,
    NewtonMetre,
    Pascal,
    PascalSecondPerMetre,
    PascalSquareSecondPerSquareMetre,
    Pure,
    RadianPerSecond,
    Range,
    Watt,
    require_between,
)


@dataclass(frozen=True, slots=True)
class IndicatedPressure:
    """What the pistons give, and how much of it arrives at the crank.

    Attributes
    ----------
    indicated_mean_pressure : float or ndarray
        [Pa]
    mechanical_efficiency : float or ndarray
        [1]
    """

    indicated_mean_pressure: Pascal
    mechanical_efficiency: Pure


def brake_mean_pressure(
    engine_torque: NewtonMetre, displacement: CubicMetre, strokes_per_cycle: Pure = 4.0
) -> Pascal:
    r"""Brake mean effective pressure: the engine's torque without its size.

    .. math:: p_e = \frac{\pi\, n_s T}{V_d}

    Parameters
    ----------
    engine_torque : float or array_like
        T. [N.m]
    displacement : float or array_like
        V_d, of all cylinders. [m3]
    strokes_per_cycle : float or array_like, optional
        n_s, 4 or 2. [1]

    Returns
    -------
    float or ndarray
        [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(brake_mean_pressure(500.0, 5.7e-3) / 1e3, 1))
    1102.3

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 2.20 (from memory; it rounds 2 pi to 6.28).
    """
    strokes = require("strokes_per_cycle", strokes_per_cycle)
    return math.pi * strokes * require("engine_torque", engine_torque) / require("displacement", displacement)


def torque_from_mean_pressure(
    brake_mean_pressure: Pascal, displacement: CubicMetre, strokes_per_cycle: Pure = 4.0
) -> NewtonMetre:
    r"""Torque of an engine from its brake mean effective pressure.

    .. math:: T = \frac{p_e V_d}{\pi\, n_s}

    Parameters
    ----------
    brake_mean_pressure : float or array_like
        p_e. [Pa]
    displacement : float or array_like
        V_d, of all cylinders. [m3]
    strokes_per_cycle : float or array_like, optional
        n_s, 4 or 2. [1]

    Returns
    -------
    float or ndarray
        [N.m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(torque_from_mean_pressure(1.1e6, 5.7e-3), 1))
    499.0

    References
    ----------
    .. [1] `brake_mean_pressure` turned round.
    """
    work = require("brake_mean_pressure", brake_mean_pressure) * require("displacement", displacement)
    return work / (math.pi * require("strokes_per_cycle", strokes_per_cycle))


def mean_pressure_from_power(
    engine_power: Watt, displacement: CubicMetre, engine_speed: RadianPerSecond, strokes_per_cycle: Pure = 4.0
) -> Pascal:
    r"""Brake mean effective pressure from power and speed.

    .. math:: p_e = \frac{\pi\, n_s P}{V_d\, \omega}

    Parameters
    ----------
    engine_power : float or array_like
        P. [W]
    displacement : float or array_like
        V_d, of all cylinders. [m3]
    engine_speed : float or array_like
        omega, above 0. [rad/s]
    strokes_per_cycle : float or array_like, optional
        n_s, 4 or 2. [1]

    Returns
    -------
    float or ndarray
        [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the engine stands still.

    Examples
    --------
    >>> print(round(mean_pressure_from_power(300e3, 5.7e-3, 5500 * math.pi / 30) / 1e3))
    1148

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, eq. 2.19 (from memory).
    """
    torque = engine_torque(engine_power, engine_speed)
    strokes = require("strokes_per_cycle", strokes_per_cycle)
    return math.pi * strokes * torque / require("displacement", displacement)


def engine_power(engine_torque: NewtonMetre, engine_speed: RadianPerSecond) -> Watt:
    r"""Power from torque and speed.

    .. math:: P = T \omega

    Parameters
    ----------
    engine_torque : float or array_like
        T. [N.m]
    engine_speed : float or array_like
        omega. [rad/s]

    Returns
    -------
    float or ndarray
        [W]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    400 lbf ft at 5500 rpm are 418.9 hp:

    >>> print(round(engine_power(400 * 1.3558179483, 5500 * math.pi / 30) / 745.69987158, 1))
    418.9

    References
    ----------
    .. [1] Definition of power.
    """
    return require("engine_torque", engine_torque) * require("engine_speed", engine_speed)


def engine_torque(engine_power: Watt, engine_speed: RadianPerSecond) -> NewtonMetre:
    r"""Torque from power and speed.

    .. math:: T = P / \omega

    Parameters
    ----------
    engine_power : float or array_like
        P. [W]
    engine_speed : float or array_like
        omega, above 0. [rad/s]

    Returns
    -------
    float or ndarray
        [N.m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the engine stands still.

    Examples
    --------
    >>> print(round(engine_torque(312.358e3, 5500 * math.pi / 30), 1))
    542.3

    References
    ----------
    .. [1] Definition of power.
    """
    speed = require_between(
        "engine_speed of a power",
        require("engine_speed", engine_speed),
        Range(0.0, math.inf, low_excluded=True),
        "rad/s",
        source="an engine that stands has no power",
    )
    return require("engine_power", engine_power) / speed


def indicated_pressure(brake_mean_pressure: Pascal, friction_mean_pressure: Pascal) -> IndicatedPressure:
    r"""Indicated mean pressure and mechanical efficiency from brake and friction mean pressure.

    .. math:: p_i = p_e + p_f,\quad \eta_m = p_e / p_i

    Parameters
    ----------
    brake_mean_pressure : float or array_like
        p_e. [Pa]
    friction_mean_pressure : float or array_like
        p_f. [Pa]

    Returns
    -------
    IndicatedPressure
        Net where the friction leaves the gas exchange out, gross where it holds it. [Pa] and [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or both are 0.

    Examples
    --------
    >>> got = indicated_pressure(1.1e6, 1.9e5)
    >>> print(round(got.indicated_mean_pressure / 1e3), round(got.mechanical_efficiency, 3))
    1290 0.853

    References
    ----------
    .. [1] Heywood, Internal Combustion Engine Fundamentals, sections 2.4 and 13.2 (from memory).
    """
    brake = require("brake_mean_pressure", brake_mean_pressure)
    indicated = require_between(
        "brake and friction mean pressure together",
        brake + require("friction_mean_pressure", friction_mean_pressure),
        Range(0.0, math.inf, low_excluded=True),
        "Pa",
        source="an efficiency needs work",
    )
    return IndicatedPressure(indicated_mean_pressure=indicated, mechanical_efficiency=brake / indicated)


def friction_mean_pressure(
    friction_constant: Pascal,
    friction_pressure_factor: Pure,
    friction_speed_factor: PascalSecondPerMetre,
    peak_pressure: Pascal,
    mean_piston_speed: MetrePerSecond,
    friction_square_factor: PascalSquareSecondPerSquareMetre = 0.0,
) -> Pascal:
    r"""Friction mean pressure in the form of Chen and Flynn; the constants are those of one engine.

    .. math:: p_f = A + B p_{max} + C s + D s^2

    Parameters
    ----------
    friction_constant : float or array_like
        A. [Pa]
    friction_pressure_factor : float or array_like
        B. [1]
    friction_speed_factor : float or array_like
        C. [Pa.s/m]
    peak_pressure : float or array_like
        p_max, in the cylinder. [Pa]
    mean_piston_speed : float or array_like
        s. [m/s]
    friction_square_factor : float or array_like, optional
        D. [Pa.s2/m2]

    Returns
    -------
    float or ndarray
        [Pa]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    With A = 0.137 bar, B = 0.005 and C = 0.162 bar s/m:

    >>> print(round(friction_mean_pressure(13.7e3, 0.005, 16.2e3, 70e5, 12.0) / 1e5, 3))
    2.431

    References
    ----------
    .. [1] Chen and Flynn, SAE 650733 (from memory); published sets of constants differ.
    """
    speed = require("mean_piston_speed", mean_piston_speed)
    return (
        require("friction_constant", friction_constant)
        + require("friction_pressure_factor", friction_pressure_factor)
        * require("peak_pressure", peak_pressure)
        + require("friction_speed_factor", friction_speed_factor) * speed
        + require("friction_square_factor", friction_square_factor) * speed**2
    )


def total_friction_mean_pressure(engine_speed: RadianPerSecond) -> Pascal:
    r"""Friction, pumping and auxiliaries of motored engines at full throttle, after Barnes-Moss.

    .. math:: p_{tf} = 0.97 + 0.15 \frac{N}{1000} + 0.05 \left(\frac{N}{1000}\right)^2\ \mathrm{bar}

    Parameters
    ----------
    engine_speed : float or array_like
        N in rpm in the formula. [rad/s]

    Returns
    -------
    float or ndarray
        [Pa]

    Raises
    ------
    OutOfRange
        The speed lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(total_friction_mean_pressure(3000 * math.pi / 30) / 1e5, 2))
    1.87

    References
    ----------
    .. [1] Barnes-Moss, in Heywood, Internal Combustion Engine Fundamentals, eq. 13.6 (constants from memory:
       look them up before relying on them).
    """
    thousands = require("engine_speed", engine_speed) * 30.0 / math.pi / 1000.0
    return 1e5 * (0.97 + 0.15 * thousands + 0.05 * thousands**2)
