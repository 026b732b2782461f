"""From crank to road: tyre, axle, gear and converter, and the speeds that belong to each other."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Metre,
    MetrePerSecond,
    Newton,
    NewtonMetre,
    OutOfRange,
    Pure,
    RadianPerMetre,
    RadianPerSecond,
    Range,
    Real,
    require_between,
)

INCH = 0.0254
"""One inch, in which rims are named, exact by definition. [m]"""

RADIAL = 3.05
"""Rolling circumference of a radial tyre over its overall diameter (UN Regulation 30, from memory). [1]"""

_METRIC_SIZE = re.compile(
    r"(?:P|LT|ST|T)?\s*(\d{3})/(\d{2,3})\s*(?:ZR|R|D|B|-)?\s*(\d{2}(?:\.\d)?)(?![\d.]).*"
)
_FLOTATION_SIZE = re.compile(
    r"(\d{2}(?:\.\d+)?)\s*[xX]\s*(\d{1,2}\.\d{1,2})\s*(?:R|D|B|-)?\s*(\d{2}(?:\.\d)?).*"
)


@dataclass(frozen=True, slots=True)
class Tyre:
    """The nominal dimensions of an unloaded tyre.

    Attributes
    ----------
    section_height : float or ndarray
        [m]
    tyre_diameter : float or ndarray
        Overall. [m]
    turns_per_length : float or ndarray
        [rad/m]
    """

    section_height: Metre
    tyre_diameter: Metre
    turns_per_length: RadianPerMetre


@dataclass(frozen=True, slots=True)
class RollingTyre:
    """The tyre as it rolls under its load.

    Attributes
    ----------
    rolling_circumference : float or ndarray
        [m]
    rolling_diameter : float or ndarray
        [m]
    turns_per_length : float or ndarray
        [rad/m]
    """

    rolling_circumference: Metre
    rolling_diameter: Metre
    turns_per_length: RadianPerMetre


def tyre_dimensions(section_width: Metre, aspect_ratio: Pure, rim_diameter: Metre) -> Tyre:
    r"""Nominal dimensions of a tyre from its size.

    .. math:: h = w a,\quad D = d + 2 h

    Parameters
    ----------
    section_width : float or array_like
        w. [m]
    aspect_ratio : float or array_like
        a; 60 in a size is 0.60. [1]
    rim_diameter : float or array_like
        d; 16 in a size is 16 in. [m]

    Returns
    -------
    Tyre
        Lengths in [m], turns in [rad/m].

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(tyre_dimensions(0.225, 0.60, 16 * 0.0254).tyre_diameter, 4))
    0.6764

    References
    ----------
    .. [1] ISO 4000-1, size designation (from memory).
    """
    height = require("section_width", section_width) * require("aspect_ratio", aspect_ratio)
    diameter = require("rim_diameter", rim_diameter) + 2.0 * height
    return Tyre(section_height=height, tyre_diameter=diameter, turns_per_length=2.0 / diameter)


def tyre_from_size(tyre_size: str) -> Tyre:
    """Nominal dimensions of a tyre by what its side says.

    A metric size, as `225/60R16`, or a flotation size, as `31x10.50R15`, whose first number is the overall
    diameter in inches already.

    Parameters
    ----------
    tyre_size : str
        As it is written on the tyre; what follows the rim's diameter does not count.

    Returns
    -------
    Tyre
        Lengths in [m], turns in [rad/m].

    Raises
    ------
    OutOfRange
        The text is neither.

    Examples
    --------
    >>> print(round(tyre_from_size("31x10.50R15").tyre_diameter / 0.0254, 2))
    31.0

    References
    ----------
    .. [1] ISO 4000-1 and common flotation sizes (from memory).
    """
    if metric := _METRIC_SIZE.fullmatch(tyre_size.strip()):
        width, ratio, rim = (float(number) for number in metric.groups())
        return tyre_dimensions(width / 1000.0, ratio / 100.0, rim * INCH)
    if flotation := _FLOTATION_SIZE.fullmatch(tyre_size.strip()):
        diameter, _, rim = (float(number) * INCH for number in flotation.groups())
        return Tyre(
            section_height=(diameter - rim) / 2.0,
            tyre_diameter=diameter,
            turns_per_length=2.0 / diameter,
        )
    raise OutOfRange(
        f"tyre_size {tyre_size!r}",
        None,
        "a size such as 225/60R16 or 31x10.50R15",
        advice="Read it from the tyre's side, width first",
    )


def rolling_tyre(tyre_diameter: Metre, rolling_factor: Pure = RADIAL) -> RollingTyre:
    r"""How far a loaded tyre rolls in one turn.

    .. math:: U = f D

    Parameters
    ----------
    tyre_diameter : float or array_like
        D, overall and unloaded. [m]
    rolling_factor : float or array_like, optional
        f, 3.05 for radial tyres; pi is the unloaded circle. [1]

    Returns
    -------
    RollingTyre
        Lengths in [m], turns in [rad/m].

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(rolling_tyre(0.6764).rolling_circumference, 4))
    2.063

    References
    ----------
    .. [1] UN Regulation 30 (from memory); a chalk mark on tyre and floor has the last word.
    """
    way = require("tyre_diameter", tyre_diameter) * require("rolling_factor", rolling_factor)
    return RollingTyre(
        rolling_circumference=way, rolling_diameter=way / math.pi, turns_per_length=2.0 * math.pi / way
    )


def road_speed(
    engine_speed: RadianPerSecond,
    tyre_diameter: Metre,
    final_drive: Pure,
    gear_ratio: Pure = 1.0,
    converter_slip: Pure = 0.0,
) -> MetrePerSecond:
    r"""Speed over the road at an engine speed.

    .. math:: v = \frac{\omega (1 - s)}{i_g i_a} \frac{D}{2}

    The workshop's 336 in `mph = rpm x inches / (336 x ratio)` is 63360 / (60 pi), 336.135.

    Parameters
    ----------
    engine_speed : float or array_like
        omega. [rad/s]
    tyre_diameter : float or array_like
        D. [m]
    final_drive : float or array_like
        i_a, or the overall ratio with a gear ratio of 1. [1]
    gear_ratio : float or array_like, optional
        i_g. [1]
    converter_slip : float or array_like, optional
        s; 0 where the converter is locked or there is none. [1]

    Returns
    -------
    float or ndarray
        Without slip of the tyre. [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(road_speed(3000 * 3.14159265 / 30, 26 * 0.0254, 3.42) / 0.44704, 2))
    67.85

    References
    ----------
    .. [1] Geometry.
    """
    speed = require("engine_speed", engine_speed)
    return speed / _turns_for_way(tyre_diameter, final_drive, gear_ratio, converter_slip)


def engine_speed_on_road(
    road_speed: MetrePerSecond,
    tyre_diameter: Metre,
    final_drive: Pure,
    gear_ratio: Pure = 1.0,
    converter_slip: Pure = 0.0,
) -> RadianPerSecond:
    r"""Engine speed at a speed over the road.

    .. math:: \omega = \frac{2 v i_g i_a}{D (1 - s)}

    Parameters
    ----------
    road_speed : float or array_like
        v. [m/s]
    tyre_diameter, final_drive, gear_ratio, converter_slip : float or array_like
        As in `road_speed`.

    Returns
    -------
    float or ndarray
        [rad/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> speed = engine_speed_on_road(70 * 0.44704, 29.5 * 0.0254, 3.73, 0.67)
    >>> print(round(speed * 30 / 3.14159265))
    1993

    References
    ----------
    .. [1] Geometry.
    """
    speed = require("road_speed", road_speed)
    return speed * _turns_for_way(tyre_diameter, final_drive, gear_ratio, converter_slip)


def final_drive_for_speeds(
    engine_speed: RadianPerSecond,
    road_speed: MetrePerSecond,
    tyre_diameter: Metre,
    gear_ratio: Pure = 1.0,
    converter_slip: Pure = 0.0,
) -> Pure:
    r"""Axle ratio that brings an engine speed to a road speed.

    .. math:: i_a = \frac{\omega (1 - s) D}{2 v i_g}

    Parameters
    ----------
    engine_speed : float or array_like
        omega. [rad/s]
    road_speed : float or array_like
        v, not 0. [m/s]
    tyre_diameter, gear_ratio, converter_slip : float or array_like
        As in `road_speed`.

    Returns
    -------
    float or ndarray
        With a gear ratio of 1, the overall ratio. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the car stands.

    Examples
    --------
    >>> ratio = final_drive_for_speeds(2400 * 3.14159265 / 30, 65 * 0.44704, 31 * 0.0254)
    >>> print(round(ratio, 3))
    3.405

    References
    ----------
    .. [1] Geometry.
    """
    speed = require("engine_speed", engine_speed)
    way = require("road_speed", road_speed)
    require_between(
        "road_speed",
        way,
        Range(0.0, math.inf, low_excluded=True),
        "m/s",
        source="a car that stands has no ratio",
    )
    return speed / (way * _turns_for_way(tyre_diameter, 1.0, gear_ratio, converter_slip))


def converter_slip(engine_speed: RadianPerSecond, turbine_speed: RadianPerSecond) -> Pure:
    r"""Slip of a torque converter or a clutch.

    .. math:: s = 1 - \omega_{out} / \omega_{in}

    Parameters
    ----------
    engine_speed : float or array_like
        omega_in, not 0. [rad/s]
    turbine_speed : float or array_like
        omega_out, not above it. [rad/s]

    Returns
    -------
    float or ndarray
        [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the output turns faster than the engine.

    Examples
    --------
    >>> print(round(converter_slip(261.8, 248.7), 3))
    0.05

    References
    ----------
    .. [1] Definition.
    """
    turning = require_between(
        "engine_speed",
        require("engine_speed", engine_speed),
        Range(0.0, math.inf, low_excluded=True),
        "rad/s",
        source="an engine that stands still drives no converter",
    )
    ratio = require("turbine_speed", turbine_speed) / turning
    require_between(
        "turbine_speed over engine_speed",
        ratio,
        Range(0.0, 1.0),
        source="the engine drives the converter",
        advice="Measure under load, with the engine driving",
    )
    return 1.0 - ratio


def stall_speed(
    engine_torque: NewtonMetre, reference_torque: NewtonMetre, reference_stall_speed: RadianPerSecond
) -> RadianPerSecond:
    r"""Stall speed of a converter behind an engine with another torque.

    .. math:: \omega = \omega_0 \sqrt{T / T_0}

    Parameters
    ----------
    engine_torque : float or array_like
        T, at the stall speed. [N.m]
    reference_torque : float or array_like
        T_0, at which the stall was stated. [N.m]
    reference_stall_speed : float or array_like
        omega_0. [rad/s]

    Returns
    -------
    float or ndarray
        [rad/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(stall_speed(500.0, 400.0, 220.0), 1))
    246.0

    References
    ----------
    .. [1] A converter takes torque by the square of its speed.
    """
    share = require("engine_torque", engine_torque) / require("reference_torque", reference_torque)
    speed: Real = require("reference_stall_speed", reference_stall_speed) * np.sqrt(share)
    return speed


def speed_after_shift(
    engine_speed: RadianPerSecond, gear_ratio: Pure, next_gear_ratio: Pure
) -> RadianPerSecond:
    r"""Engine speed after a shift at the same road speed.

    .. math:: \omega_2 = \omega_1 i_2 / i_1

    Parameters
    ----------
    engine_speed : float or array_like
        omega_1, before the shift. [rad/s]
    gear_ratio : float or array_like
        i_1. [1]
    next_gear_ratio : float or array_like
        i_2. [1]

    Returns
    -------
    float or ndarray
        [rad/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(speed_after_shift(600.0, 3.06, 1.63), 1))
    319.6

    References
    ----------
    .. [1] Definition.
    """
    ratio = require("next_gear_ratio", next_gear_ratio) / require("gear_ratio", gear_ratio)
    return require("engine_speed", engine_speed) * ratio


def true_road_speed(
    indicated_speed: MetrePerSecond,
    tyre_diameter: Metre,
    original_tyre_diameter: Metre,
    final_drive: Pure,
    original_final_drive: Pure,
) -> MetrePerSecond:
    r"""True speed where tyre or axle differ from those that the speedometer was made for.

    .. math:: v = v_{ind} \frac{D}{D_0} \frac{i_0}{i}

    For a speedometer that counts the gearbox's output.

    Parameters
    ----------
    indicated_speed : float or array_like
        v_ind. [m/s]
    tyre_diameter, original_tyre_diameter : float or array_like
        D and D_0. [m]
    final_drive, original_final_drive : float or array_like
        i and i_0. [1]

    Returns
    -------
    float or ndarray
        [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(true_road_speed(30.0, 0.75, 0.70, 3.73, 3.42), 2))
    29.47

    References
    ----------
    .. [1] Geometry.
    """
    tyres = require("tyre_diameter", tyre_diameter) / require(
        "original_tyre_diameter", original_tyre_diameter
    )
    axles = require("original_final_drive", original_final_drive) / require("final_drive", final_drive)
    return require("indicated_speed", indicated_speed) * tyres * axles


def tractive_force(
    engine_torque: NewtonMetre,
    tyre_diameter: Metre,
    final_drive: Pure,
    gear_ratio: Pure,
    driveline_efficiency: Pure,
) -> Newton:
    r"""Push of the driven tyres.

    .. math:: F = 2 \eta T i_g i_a / D

    Parameters
    ----------
    engine_torque : float or array_like
        T, behind the converter where there is one. [N.m]
    tyre_diameter : float or array_like
        D. [m]
    final_drive : float or array_like
        i_a. [1]
    gear_ratio : float or array_like
        i_g. [1]
    driveline_efficiency : float or array_like
        eta. [1]

    Returns
    -------
    float or ndarray
        As far as the tyres hold. [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> print(round(tractive_force(450.0, 0.70, 3.42, 3.06, 0.85)))
    11437

    References
    ----------
    .. [1] Balance of power.
    """
    torque = require("engine_torque", engine_torque) * require("driveline_efficiency", driveline_efficiency)
    return torque * _turns_for_way(tyre_diameter, final_drive, gear_ratio, 0.0)


def _turns_for_way(tyre_diameter: Real, final_drive: Real, gear_ratio: Real, converter_slip: Real) -> Real:
    """Angle of the crank for a length of the road."""
    ratio = require("final_drive", final_drive) * require("gear_ratio", gear_ratio)
    held = 1.0 - require("converter_slip", converter_slip)
    return 2.0 * ratio / (require("tyre_diameter", tyre_diameter) * held)
