"""Springs on the head: loads at two heights, coil bind, the height itself, shims, boost and surge.

A spring is taken as a straight line of load over height. For a beehive, conical or ovate spring, whose rate
rises, take reference load and rate from its maker's sheet near the heights that are used.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import (
    Hertz,
    Kilogram,
    Metre,
    Newton,
    NewtonPerMetre,
    Pascal,
    Pure,
    RadianPerSecond,
    Range,
    Real,
    require_between,
)


@dataclass(frozen=True, slots=True)
class SpringFit:
    """A spring at its installed height under a lift.

    Attributes
    ----------
    seat_load : float or ndarray
        Valve closed. [N]
    open_load : float or ndarray
        At full lift. [N]
    coil_bind_margin : float or ndarray
        Left before the coils touch at full lift. [m]
    """

    seat_load: Newton
    open_load: Newton
    coil_bind_margin: Metre


def installed_height(
    reference_height: Metre,
    seat_change: Metre = 0.0,
    shim_thickness: Metre = 0.0,
    lock_offset: Metre = 0.0,
    retainer_step: Metre = 0.0,
) -> Metre:
    r"""Installed height after changes in the stack that holds the spring.

    .. math:: h = h_{ref} - \Delta_{seat} - t_{shims} + \Delta_{locks} - \Delta_{retainer}

    Parameters
    ----------
    reference_height : float or array_like
        Height read with the reference seat, no shims, reference locks and retainer. [m]
    seat_change : float or array_like, optional
        Seat thicker than the reference's. [m]
    shim_thickness : float or array_like, optional
        All shims together. [m]
    lock_offset : float or array_like, optional
        Locks that hold the retainer higher. [m]
    retainer_step : float or array_like, optional
        Spring face of the retainer nearer to the seat than the reference's. [m]

    Returns
    -------
    float or ndarray
        Seat to retainer, valve closed. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or no height is left.

    Examples
    --------
    >>> print(round(installed_height(0.04572, seat_change=0.000381), 6))
    0.045339

    References
    ----------
    .. [1] Chain of lengths. It predicts; the height is measured on every valve.
    """
    height = (
        require("reference_height", reference_height)
        - require("seat_change", seat_change)
        - require("shim_thickness", shim_thickness)
        + require("lock_offset", lock_offset)
        - require("retainer_step", retainer_step)
    )
    return require("installed_height", height)


def seat_load(
    installed_height: Metre, reference_height: Metre, reference_load: Newton, spring_rate: NewtonPerMetre
) -> Newton:
    r"""Load of the spring on the closed valve.

    .. math:: F_s = F_{ref} + k (h_{ref} - h)

    Parameters
    ----------
    installed_height : float or array_like
        h. [m]
    reference_height : float or array_like
        Height of the maker's reference load. [m]
    reference_load : float or array_like
        Load at that height. [N]
    spring_rate : float or array_like
        k. [N/m]

    Returns
    -------
    float or ndarray
        Negative means that the spring is loose at that height. [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(seat_load(0.045466, 0.04572, 533.8, 65148.0), 1))
    550.3

    References
    ----------
    .. [1] Linear spring.
    """
    reference_height = require("reference_height", reference_height)
    squeeze = reference_height - require("installed_height", installed_height)
    return require("reference_load", reference_load) + require("spring_rate", spring_rate) * squeeze


def open_load(seat_load: Newton, spring_rate: NewtonPerMetre, lift_at_valve: Metre) -> Newton:
    r"""Load of the spring at the valve's largest lift.

    .. math:: F_o = F_s + k L

    Parameters
    ----------
    seat_load : float or array_like
        F_s, valve closed. [N]
    spring_rate : float or array_like
        k. [N/m]
    lift_at_valve : float or array_like
        L, at the valve, lash taken off. [m]

    Returns
    -------
    float or ndarray
        [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(open_load(533.8, 65148.0, 0.014459), 1))
    1475.8

    References
    ----------
    .. [1] Linear spring.
    """
    gain = require("spring_rate", spring_rate) * require("lift_at_valve", lift_at_valve)
    return require("seat_load", seat_load) + gain


def free_length(reference_height: Metre, reference_load: Newton, spring_rate: NewtonPerMetre) -> Metre:
    r"""Length of the unloaded spring.

    .. math:: h_0 = h_{ref} + F_{ref} / k

    Parameters
    ----------
    reference_height : float or array_like
        Height of the reference load. [m]
    reference_load : float or array_like
        Load at that height. [N]
    spring_rate : float or array_like
        k. [N/m]

    Returns
    -------
    float or ndarray
        Of a linear spring; a rising rate makes the real one longer. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(free_length(0.04572, 578.3, 66548.0), 5))
    0.05441

    References
    ----------
    .. [1] Linear spring.
    """
    stretch = require("reference_load", reference_load) / require("spring_rate", spring_rate)
    return require("reference_height", reference_height) + stretch


def coil_bind_margin(installed_height: Metre, solid_height: Metre, lift_at_valve: Metre) -> Metre:
    r"""What is left before the coils touch at full lift.

    .. math:: m = h - h_{solid} - L

    The spring's own stated minimum wins; without one at least 1.5 mm is common practice, no source. Take the
    shortest installed height and the largest lift of the engine.

    Parameters
    ----------
    installed_height : float or array_like
        h. [m]
    solid_height : float or array_like
        Of the spring that binds first where two stand in each other. [m]
    lift_at_valve : float or array_like
        L. [m]

    Returns
    -------
    float or ndarray
        Negative: the coils bind. [m]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(coil_bind_margin(0.04572, 0.031369, 0.013327) * 1e3, 3))
    1.024

    References
    ----------
    .. [1] Chain of lengths.
    """
    return (
        require("installed_height", installed_height)
        - require("solid_height", solid_height)
        - require("lift_at_valve", lift_at_valve)
    )


def spring_fit(
    installed_height: Metre,
    reference_height: Metre,
    reference_load: Newton,
    spring_rate: NewtonPerMetre,
    solid_height: Metre,
    lift_at_valve: Metre,
) -> SpringFit:
    """Seat load, open load and coil-bind margin of a spring under a lift, in one result.

    See `seat_load`, `open_load` and `coil_bind_margin` for formulas, units, ranges and errors.
    """
    closed = seat_load(installed_height, reference_height, reference_load, spring_rate)
    return SpringFit(
        seat_load=closed,
        open_load=open_load(closed, spring_rate, lift_at_valve),
        coil_bind_margin=coil_bind_margin(installed_height, solid_height, lift_at_valve),
    )


def boost_valve_load(boost_pressure: Pascal, valve_head_diameter: Metre) -> Newton:
    r"""Force with which boost or back pressure lifts a closed valve.

    .. math:: F = p \pi d^2 / 4

    Take it off the seat load, and compare what is left with the least seat load of the follower.

    Parameters
    ----------
    boost_pressure : float or array_like
        p, gauge; the turbine's inlet pressure for an exhaust valve. [Pa]
    valve_head_diameter : float or array_like
        d. [m]

    Returns
    -------
    float or ndarray
        [N]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(boost_valve_load(68948.0, 0.052), 1))
    146.4

    References
    ----------
    .. [1] Pressure on the head's area; the stem's area is left out.
    """
    area = math.pi / 4.0 * require("valve_head_diameter", valve_head_diameter) ** 2
    return require("boost_pressure", boost_pressure) * area


def surge_ratio(surge_frequency: Hertz, engine_speed: RadianPerSecond) -> Pure:
    r"""Spring's lowest natural frequency over the turns of the cam in the same time.

    .. math:: f / (\omega / 4 \pi)

    At least 8 to 9 in production, 13 for racing (common practice, no source).

    Parameters
    ----------
    surge_frequency : float or array_like
        f, both ends held. [Hz]
    engine_speed : float or array_like
        omega, of the crank; the cam turns at half of it. [rad/s]

    Returns
    -------
    float or ndarray
        Harmonic of the cam that meets the spring's own. [1]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the engine stands still.

    Examples
    --------
    >>> print(round(surge_ratio(490.0, 680.68), 2))
    9.05

    References
    ----------
    .. [1] Definition.
    """
    speed = require_between(
        "engine_speed",
        require("engine_speed", engine_speed),
        Range(0.0, math.inf, low_excluded=True),
        "rad/s",
    )
    return 4.0 * math.pi * require("surge_frequency", surge_frequency) / speed


def surge_frequency(spring_rate: NewtonPerMetre, active_mass: Kilogram) -> Hertz:
    r"""Lowest natural frequency of a spring whose rate and moving mass are known, both ends held.

    .. math:: f = \tfrac12 \sqrt{k / m}

    Parameters
    ----------
    spring_rate : float or array_like
        k. [N/m]
    active_mass : float or array_like
        m, of the active coils only. [kg]

    Returns
    -------
    float or ndarray
        [Hz]

    Raises
    ------
    OutOfRange
        An input lies outside its range in the glossary.

    Examples
    --------
    >>> print(round(surge_frequency(57966.0, 0.0512), 0))
    532.0

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, eq. 10-25, fixed-fixed (from memory; the round-wire
       form is derived from it in the tests).
    """
    frequency: Real = 0.5 * (require("spring_rate", spring_rate) / require("active_mass", active_mass)) ** 0.5
    return frequency
