"""Gas in one piece: its temperature from its energy, and volumes that fill and empty."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation.columns import (
    BURNED,
    BURNED_SHARE,
    CAPACITY,
    CONSTANT,
    ENERGY,
    ENTHALPY,
    FUEL,
    FUEL_SHARE,
    GAMMA,
    IN_BURNED,
    IN_ENERGY,
    IN_FUEL,
    IN_MASS,
    MASS,
    PRESSURE,
    SPACE,
    TEMPERATURE,
    WALL_CONDUCTANCE,
    WALL_HEAT,
    WALL_TEMPERATURE,
)
from tappetry.simulation.compiled import kernel

Buffer = NDArray[np.float64]

CLOSE = 1e-5
"""Relative change of a temperature that is the last: what is left is of the order of its square."""


@kernel
def gas_state(g: Buffer, burned: float, fuel: float, t: float) -> tuple[float, float, float]:
    """Gas constant, internal energy and heat capacity at constant volume, for a mass. [J/kg.K], [J/kg]"""
    air = 1.0 - burned - fuel
    n = 1 if t < 1000.0 else 7
    c0 = air * g[0, n] + burned * g[1, n] + fuel * g[2, n]
    c1 = air * g[0, n + 1] + burned * g[1, n + 1] + fuel * g[2, n + 1]
    c2 = air * g[0, n + 2] + burned * g[1, n + 2] + fuel * g[2, n + 2]
    c3 = air * g[0, n + 3] + burned * g[1, n + 3] + fuel * g[2, n + 3]
    c4 = air * g[0, n + 4] + burned * g[1, n + 4] + fuel * g[2, n + 4]
    c5 = air * g[0, n + 5] + burned * g[1, n + 5] + fuel * g[2, n + 5]
    energy = c0 + t * (c1 + t * (c2 + t * (c3 + t * (c4 + t * c5))))
    capacity = c1 + t * (2.0 * c2 + t * (3.0 * c3 + t * (4.0 * c4 + t * (5.0 * c5))))
    return air * g[0, 0] + burned * g[1, 0] + fuel * g[2, 0], energy, capacity


@kernel
def gas_temperature(
    g: Buffer, burned: float, fuel: float, energy: float, guess: float
) -> tuple[float, float, float]:
    """Temperature of a gas of an internal energy, by Newton's method; gas constant and heat capacity there.

    The last step is so small that what is left is of the order of the rounding; the heat capacity is that
    before it.
    """
    t = guess
    constant, at_t, capacity = gas_state(g, burned, fuel, t)
    for _ in range(30):
        change = (energy - at_t) / capacity
        t = max(t + change, 0.5 * t)
        if abs(change) < CLOSE * t:
            break
        constant, at_t, capacity = gas_state(g, burned, fuel, t)
    return t, constant, capacity


@kernel
def settle(v: Buffer, n: int, g: Buffer) -> None:
    """Find the state of a volume from what it holds."""
    mass = v[n, MASS]
    burned, fuel, energy = v[n, BURNED] / mass, v[n, FUEL] / mass, v[n, ENERGY] / mass
    # As if its heat capacity stayed: so near that one step of Newton's method most often is enough.
    guess = v[n, TEMPERATURE]
    if v[n, CAPACITY] > 0.0:
        guess = max(guess + (energy - v[n, ENTHALPY] + v[n, CONSTANT] * guess) / v[n, CAPACITY], 0.5 * guess)
    t, constant, capacity = gas_temperature(g, burned, fuel, energy, guess)
    v[n, TEMPERATURE], v[n, CAPACITY] = t, capacity
    v[n, PRESSURE] = mass * constant * t / v[n, SPACE]
    v[n, GAMMA] = 1.0 + constant / capacity
    v[n, CONSTANT] = constant
    v[n, ENTHALPY] = energy + constant * t
    v[n, BURNED_SHARE] = burned
    v[n, FUEL_SHARE] = fuel


@kernel
def settle_all(v: Buffer, g: Buffer) -> None:
    """Find the state of every volume from what it holds."""
    for n in range(v.shape[0]):
        settle(v, n, g)


@kernel
def charge(v: Buffer, g: Buffer, states: Buffer) -> None:
    """Fill the first volumes with gas: its pressure, its temperature, its space, shares burned and of fuel.

    ``states`` has a row for each of them. [Pa], [K], [m3] and shares by mass [1]
    """
    for n in range(states.shape[0]):
        pressure, temperature, space = states[n, 0], states[n, 1], states[n, 2]
        burned, fuel = states[n, 3], states[n, 4]
        constant, energy, _ = gas_state(g, burned, fuel, temperature)
        mass = pressure * space / (constant * temperature)
        v[n, MASS], v[n, ENERGY], v[n, SPACE] = mass, mass * energy, space
        v[n, BURNED], v[n, FUEL] = mass * burned, mass * fuel
        v[n, TEMPERATURE], v[n, CAPACITY] = temperature, 0.0
        settle(v, n, g)


@kernel
def take_in(v: Buffer, n: int) -> None:
    """Add what came in during a step to what a volume holds."""
    v[n, MASS] += v[n, IN_MASS]
    v[n, ENERGY] += v[n, IN_ENERGY]
    v[n, BURNED] += v[n, IN_BURNED]
    v[n, FUEL] += v[n, IN_FUEL]
    v[n, IN_MASS] = v[n, IN_ENERGY] = v[n, IN_BURNED] = v[n, IN_FUEL] = 0.0


@kernel
def advance_chamber(v: Buffer, n: int, g: Buffer, step: float) -> None:
    """A volume that does not move, over a step; its wall warms it."""
    heat = v[n, WALL_CONDUCTANCE] * (v[n, WALL_TEMPERATURE] - v[n, TEMPERATURE]) * step
    take_in(v, n)
    v[n, ENERGY] += heat
    v[n, WALL_HEAT] += heat
    settle(v, n, g)


@kernel
def nozzle_flux(pressure: float, temperature: float, gamma: float, constant: float, outside: float) -> float:
    """Mass of a perfect gas that leaves through an effective area in a second; 0 where it would come in."""
    if outside >= pressure:
        return 0.0
    # With y = (p / p_0)^((gamma - 1) / (2 gamma)), and sonic where y squared is 2 / (gamma + 1).
    k = 2.0 / (gamma - 1.0)
    sonic = 2.0 / (gamma + 1.0)
    square = (outside / pressure) ** (2.0 / (k + 2.0)) if outside > 0.45 * pressure else sonic
    square = max(square, sonic)
    speed = math.sqrt(k * gamma * constant * temperature * (1.0 - square))
    return pressure / (constant * temperature) * square ** (0.5 * k) * speed
