"""Gas in one piece: its temperature from its energy, and volumes that fill and empty."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation.columns import (
    BURNED,
    BURNED_SHARE,
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

CLOSE = 1e-7
"""Relative change of a temperature that is the last."""


@kernel
def gas_state(g: Buffer, burned: float, fuel: float, t: float) -> tuple[float, float, float]:
    """Gas constant, internal energy and heat capacity at constant volume, for a mass. [J/kg.K], [J/kg]"""
    air = 1.0 - burned - fuel
    constant = air * g[0, 0] + burned * g[1, 0] + fuel * g[2, 0]
    first = 1 if t < 1000.0 else 7
    energy, capacity = 0.0, 0.0
    for n in range(5, -1, -1):
        term = air * g[0, first + n] + burned * g[1, first + n] + fuel * g[2, first + n]
        energy = energy * t + term
        if n > 0:
            capacity = capacity * t + n * term
    return constant, energy, capacity


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
def settle(v: Buffer, g: Buffer) -> None:
    """Find the state of a volume from what it holds."""
    mass = v[MASS]
    burned, fuel, energy = v[BURNED] / mass, v[FUEL] / mass, v[ENERGY] / mass
    t, constant, capacity = gas_temperature(g, burned, fuel, energy, v[TEMPERATURE])
    v[TEMPERATURE] = t
    v[PRESSURE] = mass * constant * t / v[SPACE]
    v[GAMMA] = 1.0 + constant / capacity
    v[CONSTANT] = constant
    v[ENTHALPY] = energy + constant * t
    v[BURNED_SHARE] = burned
    v[FUEL_SHARE] = fuel


@kernel
def take_in(v: Buffer) -> None:
    """Add what came in during a step to what a volume holds."""
    v[MASS] += v[IN_MASS]
    v[ENERGY] += v[IN_ENERGY]
    v[BURNED] += v[IN_BURNED]
    v[FUEL] += v[IN_FUEL]
    v[IN_MASS] = v[IN_ENERGY] = v[IN_BURNED] = v[IN_FUEL] = 0.0


@kernel
def advance_chamber(v: Buffer, g: Buffer, step: float) -> None:
    """A volume that does not move, over a step; its wall warms it."""
    heat = v[WALL_CONDUCTANCE] * (v[WALL_TEMPERATURE] - v[TEMPERATURE]) * step
    take_in(v)
    v[ENERGY] += heat
    v[WALL_HEAT] += heat
    settle(v, g)


@kernel
def nozzle_flux(pressure: float, temperature: float, gamma: float, constant: float, outside: float) -> float:
    """Mass of a perfect gas that leaves through an effective area in a second; 0 where it would come in."""
    if outside >= pressure:
        return 0.0
    critical = (2.0 / (gamma + 1.0)) ** (gamma / (gamma - 1.0))
    ratio = max(outside / pressure, critical)
    speed = math.sqrt(
        2.0 * gamma / (gamma - 1.0) * constant * temperature * (1.0 - ratio ** (1.0 - 1.0 / gamma))
    )
    return pressure / (constant * temperature) * ratio ** (1.0 / gamma) * speed
