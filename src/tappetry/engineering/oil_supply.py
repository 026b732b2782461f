"""Pan and pickup: how long the oil lasts at a speed, and what pressure is left where the pump draws."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tappetry.engineering.glossary import TURN, require
from tappetry.engineering.ranges import (
    CubicMetre,
    CubicMetrePerSecond,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    MetrePerSquareSecond,
    Pascal,
    PascalSecond,
    Pure,
    RadianPerSecond,
    Range,
    Real,
    Second,
    require_between,
)

STANDARD_GRAVITY = 9.80665
"""Standard gravity, exact by definition. [m/s2]"""

STANDARD_PRESSURE = 101325.0
"""Standard atmosphere, exact by definition. [Pa]"""


@dataclass(frozen=True, slots=True)
class DrainDown:
    """How long a pan lasts.

    Attributes
    ----------
    engine_flow : float or ndarray
        What the engine takes at this speed. [m3/s]
    drain_time : float or ndarray
        Infinite where as much comes back as is taken. [s]
    """

    engine_flow: CubicMetrePerSecond
    drain_time: Second


@dataclass(frozen=True, slots=True)
class PickupState:
    """The oil on its way from pan to pump.

    Attributes
    ----------
    tube_velocity : float or ndarray
        [m/s]
    reynolds_number : float or ndarray
        [1]
    inlet_pressure : float or ndarray
        Absolute, at the pump. [Pa]
    """

    tube_velocity: MetrePerSecond
    reynolds_number: Pure
    inlet_pressure: Pascal


def pan_drain_down(
    usable_oil: CubicMetre,
    pump_speed: RadianPerSecond,
    pump_displacement: CubicMetre,
    pump_efficiency: Pure,
    greatest_engine_flow: CubicMetrePerSecond,
    return_flow: CubicMetrePerSecond,
) -> DrainDown:
    r"""How long the oil in the pan lasts at a speed of the pump.

    .. math:: t = \frac{V}{Q - Q_{return}},\quad Q = \min(\eta V_p n, Q_{relief})

    What the relief valve sends back to the pump's inlet does not leave the pan. The return is what drains
    from heads, valley and timing case; it grows little with speed, which is why pans run dry high up.

    Parameters
    ----------
    usable_oil : float or array_like
        V, above the pickup's mouth with the engine running. [m3]
    pump_speed : float or array_like
        Of the pump's own shaft. [rad/s]
    pump_displacement : float or array_like
        V_p, in one turn. [m3]
    pump_efficiency : float or array_like
        eta, volumetric. [1]
    greatest_engine_flow : float or array_like
        Through the engine at relief pressure. [m3/s]
    return_flow : float or array_like
        [m3/s]

    Returns
    -------
    DrainDown
        Flow in [m3/s], time in [s].

    Raises
    ------
    OutOfRange
        An input lies outside its range.

    Examples
    --------
    >>> found = pan_drain_down(3.5e-3, 314.159, 13.4e-6, 0.95, 6e-4, 3e-4)
    >>> print(round(found.engine_flow * 6e4, 1), round(found.drain_time, 1))
    36.0 11.7

    References
    ----------
    .. [1] Conservation of oil.
    """
    oil = require("usable_oil", usable_oil)
    turns = require("pump_speed", pump_speed) / TURN
    moved = (
        require("pump_displacement", pump_displacement) * require("pump_efficiency", pump_efficiency) * turns
    )
    taken = np.minimum(moved, require("greatest_engine_flow", greatest_engine_flow))
    lost = np.asarray(taken - require("return_flow", return_flow))
    with np.errstate(divide="ignore"):
        time = np.where(lost > 0.0, oil / np.maximum(lost, 0.0), math.inf)
    return DrainDown(engine_flow=taken, drain_time=time[()])


def pickup_state(
    pump_flow: CubicMetrePerSecond,
    tube_diameter: Metre,
    tube_length: Metre,
    oil_viscosity: PascalSecond,
    oil_density: KilogramPerCubicMetre,
    loss_coefficient: Pure,
    suction_height: Metre = 0.0,
    ambient_pressure: Pascal = STANDARD_PRESSURE,
    gravity: MetrePerSquareSecond = STANDARD_GRAVITY,
) -> PickupState:
    r"""Pressure at the pump's inlet behind screen and pickup tube.

    .. math:: p = p_a - \rho g h - \left(1 + K + f \frac{l}{d}\right) \frac{\rho v^2}{2},\quad
        f = \max\left(\frac{64}{Re}, \frac{0.3164}{Re^{1/4}}\right)

    The larger of the laminar and the turbulent friction factor: on the safe side where the flow changes over.
    Oil that has air in it gives the air off as the pressure falls; that is what a pump cavitates on.

    Parameters
    ----------
    pump_flow : float or array_like
        All that the pump draws through the tube. [m3/s]
    tube_diameter : float or array_like
        d, inside. [m]
    tube_length : float or array_like
        l. [m]
    oil_viscosity : float or array_like
        mu; cold oil is the hard case. [Pa.s]
    oil_density : float or array_like
        rho. [kg/m3]
    loss_coefficient : float or array_like
        K, screen, mouth and bends in velocity heads. [1]
    suction_height : float or array_like, optional
        h, of the pump's inlet above the oil. [m]
    ambient_pressure : float or array_like, optional
        p_a in the pan, absolute. [Pa]
    gravity : float or array_like, optional
        g; more or less where the car corners or brakes. [m/s2]

    Returns
    -------
    PickupState
        Velocity in [m/s], Reynolds number in [1], pressure in [Pa]; a pressure below 0 says that this flow
        cannot be drawn.

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the Reynolds number is above 100,000.

    Examples
    --------
    >>> found = pickup_state(6e-4, 20e-3, 0.3, 8.3e-3, 830.0, 3.0, 0.05)
    >>> print(round(found.reynolds_number), round(found.inlet_pressure / 1e3, 1))
    3820 93.9

    References
    ----------
    .. [1] Hagen-Poiseuille and Blasius (from memory; tested against a general-purpose library).
    """
    flow = require("pump_flow", pump_flow)
    diameter = require("tube_diameter", tube_diameter)
    density = require("oil_density", oil_density)
    viscosity = require("oil_viscosity", oil_viscosity)
    slimness = require("tube_length", tube_length) / diameter
    velocity: Real = flow / (math.pi / 4.0 * diameter**2)
    reynolds = require("reynolds_number", density * velocity * diameter / viscosity)
    heads = 1.0 + require("loss_coefficient", loss_coefficient)
    turbulent = 0.3164 * reynolds**1.75  # the friction factor times the square of the Reynolds number
    friction = np.maximum(64.0 * reynolds, turbulent) * slimness * (viscosity / diameter) ** 2 / density
    lift = density * require("gravity", gravity) * require("suction_height", suction_height)
    pressure = require("ambient_pressure", ambient_pressure) - lift
    return PickupState(
        tube_velocity=velocity,
        reynolds_number=reynolds,
        inlet_pressure=pressure - heads * density * velocity**2 / 2.0 - friction / 2.0,
    )


def gap_velocity(
    pump_flow: CubicMetrePerSecond, pickup_diameter: Metre, pickup_clearance: Metre
) -> MetrePerSecond:
    r"""Velocity of the oil on its way under the rim of the pickup.

    .. math:: v = \frac{Q}{\pi D h}

    Parameters
    ----------
    pump_flow : float or array_like
        Q. [m3/s]
    pickup_diameter : float or array_like
        D, of the mouth. [m]
    pickup_clearance : float or array_like
        h, to the floor of the pan; less than a quarter of D. [m]

    Returns
    -------
    float or ndarray
        [m/s]

    Raises
    ------
    OutOfRange
        An input lies outside its range, or the gap is wider than the mouth, which then is the narrow place.

    Examples
    --------
    >>> print(round(gap_velocity(6e-4, 60e-3, 8e-3), 3))
    0.398

    References
    ----------
    .. [1] Continuity; a clearance of 6 to 10 mm is common practice, no source.
    """
    mouth = require("pickup_diameter", pickup_diameter)
    gap = require("pickup_clearance", pickup_clearance)
    require_between(
        "pickup_clearance over pickup_diameter",
        gap / mouth,
        Range(0.0, 0.25),
        source="above that the mouth is narrower than the gap",
        advice="Check the unit of the clearance; 6 to 10 mm is usual",
    )
    velocity: Real = require("pump_flow", pump_flow) / (math.pi * mouth * gap)
    return velocity
