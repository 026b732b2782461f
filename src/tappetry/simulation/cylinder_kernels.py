"""One cylinder over one step: piston, valves, fuel, fire, heat, leak, and the end gas on its way to knock.

Angles are the cylinder's own, in degrees from the dead centre of gas exchange: compression ends at 360.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation.columns import (
    ADDED_ENERGY,
    ADDED_FUEL,
    AIR_FUEL,
    BACK_INTAKE,
    BORE,
    BURN_DONE,
    BURN_LENGTH,
    BURN_START,
    BURNED,
    BURNED_SHARE,
    CLEARANCE,
    CLOSED_WORK,
    CONSTANT,
    CRANKCASE,
    DRY_SHARE,
    END_BURNED,
    END_CONSTANT,
    END_FUEL,
    END_GAS,
    ENERGY,
    ENTHALPY,
    EXHAUST_OPENS,
    FIRE,
    FIRE_HEAT,
    FRESH_AT_START,
    FUEL,
    FUEL_AT_START,
    FUEL_ENTHALPY,
    FUEL_SHARE,
    GAMMA,
    HEAD_AREA,
    HEAD_WALL,
    HEAT,
    HEAT_FACTOR,
    INTAKE_SHUTS,
    KNOCK,
    KNOCK_ANGLE,
    LEAK,
    LEAK_AREA,
    LEAK_ENERGY,
    LINER_WALL,
    MASS,
    MOTORED_EXPONENT,
    OCTANE,
    OUT_ENTHALPY,
    OUT_MASS,
    PEAK,
    PEAK_ANGLE,
    PEAK_BURNED,
    PISTON_AREA,
    PISTON_SPEED,
    PISTON_WALL,
    PRESSURE,
    ROD,
    SPACE,
    STEP_BURNED,
    STEP_FUEL,
    STEP_MASS,
    STEP_OUT,
    STEP_OUT_ENTHALPY,
    SWEPT,
    TEMPERATURE,
    THROUGH_INTAKE,
    THROW,
    TRAPPED_AIR,
    TRAPPED_BURNED,
    TRAPPED_FUEL,
    TRAPPED_MASS,
    TRAPPED_PRESSURE,
    TRAPPED_SPACE,
    TRAPPED_TEMPERATURE,
    WIEBE_A,
    WIEBE_M,
    WORK,
)
from tappetry.simulation.compiled import kernel
from tappetry.simulation.volume_kernels import gas_state, nozzle_flux, settle, take_in

Buffer = NDArray[np.float64]

KNOCKS_UNTIL = 0.9
"""Share burned up to which there is enough end gas for a knock that is heard."""


ZONES_FROM, ZONES_TO = 0.002, 0.995
"""Shares burned between which there are two zones; before and after one of them is next to nothing."""

MOST_RESIDUAL = 0.8
"""Share of burned gas in the charge above which there is too little to burn for two zones."""

ROUNDS, CLOSE = 30, 1e-9
COOLEST = 200.0


@kernel
def cylinder_volume(e: Buffer, degrees: float) -> float:
    """Volume over the piston; its own dead centre is at 0. [m3]"""
    angle = math.radians(degrees)
    throw, rod = e[THROW], e[ROD]
    swing = throw * math.sin(angle)
    fall = throw + rod - throw * math.cos(angle) - math.sqrt(rod * rod - swing * swing)
    return e[CLEARANCE] + 0.25 * math.pi * e[BORE] ** 2 * fall


@kernel
def woschni(e: Buffer, pressure: float, temperature: float, velocity: float) -> float:
    """Heat transfer coefficient. [W/m2.K]"""
    factor = 3.26 * e[BORE] ** -0.2 * (pressure / 1e3) ** 0.8
    return factor * temperature**-0.55 * velocity**0.8


@kernel
def knock_rate(octane: float, pressure: float, temperature: float) -> float:
    """One over the delay after Douaud and Eyzat. [1/s]"""
    scaled = (octane / 100.0) ** -3.402 * (pressure / 101325.0) ** 1.7
    return scaled * math.exp(-3800.0 / temperature) / 17.68e-3


@kernel
def wiebe(e: Buffer, c: Buffer, degrees: float) -> float:
    """Share burned at an angle."""
    if c[BURN_LENGTH] <= 0.0 or degrees <= c[BURN_START]:
        return 0.0
    share = (degrees - c[BURN_START]) / c[BURN_LENGTH]
    if share >= 1.0:
        return 1.0
    return 1.0 - math.exp(-e[WIEBE_A] * share ** (e[WIEBE_M] + 1.0))


@kernel
def wall_loss(e: Buffer, c: Buffer, v: Buffer, degrees: float) -> float:
    """Heat that leaves the gas in a second, after Woschni. [W]"""
    p, t, space = v[PRESSURE], v[TEMPERATURE], v[SPACE]
    if e[INTAKE_SHUTS] < degrees < e[EXHAUST_OPENS]:
        velocity = 2.28 * e[PISTON_SPEED]
        if c[BURN_DONE] > 0.0:
            motored = c[TRAPPED_PRESSURE] * (c[TRAPPED_SPACE] / space) ** e[MOTORED_EXPONENT]
            state = c[TRAPPED_TEMPERATURE] / (c[TRAPPED_PRESSURE] * c[TRAPPED_SPACE])
            velocity += 3.24e-3 * e[SWEPT] * state * max(p - motored, 0.0)
    else:
        velocity = 6.18 * e[PISTON_SPEED]
    liner = 4.0 * space / e[BORE]
    flow = e[HEAD_AREA] * (t - e[HEAD_WALL]) + e[PISTON_AREA] * (t - e[PISTON_WALL])
    return e[HEAT_FACTOR] * woschni(e, p, t, velocity) * (flow + liner * (t - e[LINER_WALL]))


@kernel
def trap(c: Buffer, v: Buffer) -> None:
    """Note what the intake valve shuts in."""
    c[TRAPPED_MASS], c[TRAPPED_PRESSURE] = v[MASS], v[PRESSURE]
    c[TRAPPED_TEMPERATURE], c[TRAPPED_SPACE] = v[TEMPERATURE], v[SPACE]
    c[TRAPPED_BURNED], c[TRAPPED_FUEL] = v[BURNED], v[FUEL]
    c[TRAPPED_AIR] = v[MASS] - v[BURNED] - v[FUEL]
    c[KNOCK], c[KNOCK_ANGLE], c[BURN_DONE] = 0.0, math.inf, 0.0


@kernel
def add_fuel(e: Buffer, c: Buffer, v: Buffer) -> None:
    """Give air that came in without it its fuel, which evaporates in the gas."""
    air = (c[STEP_MASS] - c[STEP_BURNED] - c[STEP_FUEL]) * e[DRY_SHARE]
    fuel = air / e[AIR_FUEL] - c[STEP_FUEL] if e[AIR_FUEL] > 0.0 and c[STEP_MASS] > 0.0 else 0.0
    if fuel > 0.0:
        v[MASS] += fuel
        v[FUEL] += fuel
        v[ENERGY] += fuel * e[FUEL_ENTHALPY]
        c[ADDED_FUEL] += fuel
        c[ADDED_ENERGY] += fuel * e[FUEL_ENTHALPY]


@kernel
def burn(e: Buffer, c: Buffer, v: Buffer, degrees: float) -> None:
    """Burn what the law burns up to an angle; the end gas is told apart when the fire begins."""
    done = wiebe(e, c, degrees)
    if done <= c[BURN_DONE]:
        return
    if c[BURN_DONE] == 0.0:
        c[FRESH_AT_START], c[FUEL_AT_START] = v[MASS] - v[BURNED], v[FUEL]
        c[END_GAS], c[END_CONSTANT] = v[TEMPERATURE], v[CONSTANT]
        c[END_BURNED], c[END_FUEL] = v[BURNED_SHARE], v[FUEL_SHARE]
    share = done - c[BURN_DONE]
    fuel = min(share * c[FUEL_AT_START], v[FUEL])
    heat = fuel * e[FIRE_HEAT]
    v[BURNED] += min(share * c[FRESH_AT_START], v[MASS] - v[BURNED])
    v[FUEL] -= fuel
    v[ENERGY] += heat
    c[FIRE] += heat
    c[BURN_DONE] = done


@kernel
def leak(e: Buffer, c: Buffer, v: Buffer, step: float) -> None:
    """Let gas pass the rings into the crankcase."""
    flux = nozzle_flux(v[PRESSURE], v[TEMPERATURE], v[GAMMA], v[CONSTANT], e[CRANKCASE])
    mass = e[LEAK_AREA] * flux * step
    v[MASS] -= mass
    v[BURNED] -= mass * v[BURNED_SHARE]
    v[FUEL] -= mass * v[FUEL_SHARE]
    v[ENERGY] -= mass * v[ENTHALPY]
    c[LEAK] += mass
    c[LEAK_ENERGY] += mass * v[ENTHALPY]


@kernel
def settle_zones(c: Buffer, v: Buffer, g: Buffer, before: float) -> None:
    """Find the pressure at which burned gas and end gas share a volume and its energy, by Newton's method.

    The end gas is compressed without heat from the pressure `before`; heat to the walls comes from the burned
    gas. The temperature of the volume becomes that of all its gas mixed at the same pressure and volume.
    """
    mass, space, energy = v[MASS], v[SPACE], v[ENERGY]
    end_mass = (mass - v[BURNED]) / (1.0 - c[END_BURNED])
    burned_mass = mass - end_mass
    end_constant, _, end_capacity = gas_state(g, c[END_BURNED], c[END_FUEL], c[END_GAS])
    power = end_constant / (end_constant + end_capacity)
    burned_constant = gas_state(g, 1.0, 0.0, 2000.0)[0]
    p, hot = v[PRESSURE], 0.0
    for _ in range(ROUNDS):
        cool = c[END_GAS] * (p / before) ** power
        hot = max((p * space - end_mass * end_constant * cool) / (burned_mass * burned_constant), COOLEST)
        _, end_energy, end_capacity = gas_state(g, c[END_BURNED], c[END_FUEL], cool)
        _, hot_energy, hot_capacity = gas_state(g, 1.0, 0.0, hot)
        cool_rise = power * cool / p
        hot_rise = (space - end_mass * end_constant * cool_rise) / (burned_mass * burned_constant)
        value = end_mass * end_energy + burned_mass * hot_energy - energy
        change = -value / (end_mass * end_capacity * cool_rise + burned_mass * hot_capacity * hot_rise)
        p = max(p + change, 0.5 * p)
        if abs(change) < CLOSE * p:
            break
    burned, fuel = v[BURNED] / mass, v[FUEL] / mass
    constant = gas_state(g, burned, fuel, 1000.0)[0]
    t = p * space / (mass * constant)
    capacity = gas_state(g, burned, fuel, t)[2]
    v[PRESSURE], v[TEMPERATURE] = p, t
    v[CONSTANT], v[GAMMA] = constant, 1.0 + constant / capacity
    v[ENTHALPY] = (energy + p * space) / mass
    v[BURNED_SHARE], v[FUEL_SHARE] = burned, fuel
    c[PEAK_BURNED] = max(c[PEAK_BURNED], hot)


@kernel
def push_piston(e: Buffer, c: Buffer, v: Buffer, g: Buffer, degrees: float) -> float:
    """Move the piston to an angle and find the new state; return the work, by the mean pressure.

    While it burns, burned gas and end gas are told apart.
    """
    before, energy = v[PRESSURE], v[ENERGY]
    space = cylinder_volume(e, degrees)
    swept = space - v[SPACE]
    v[SPACE] = space
    zones = ZONES_FROM < c[BURN_DONE] < ZONES_TO and c[END_BURNED] < MOST_RESIDUAL
    work = before * swept
    for number in range(3):
        v[ENERGY] = energy - work
        if zones:
            settle_zones(c, v, g, before)
        else:
            settle(v, g)
        if number < 2:
            work = 0.5 * (before + v[PRESSURE]) * swept
    return work


@kernel
def age_end_gas(
    e: Buffer, c: Buffer, v: Buffer, g: Buffer, pressure: float, degrees: float, step: float
) -> None:
    """Compress the end gas from a pressure to that of the cylinder, without heat, and add up its delay."""
    if not e[INTAKE_SHUTS] < degrees < e[EXHAUST_OPENS]:
        return
    if c[BURN_DONE] > 0.0:
        constant, _, capacity = gas_state(g, c[END_BURNED], c[END_FUEL], c[END_GAS])
        c[END_GAS] *= (v[PRESSURE] / pressure) ** (constant / (constant + capacity))
    else:
        c[END_GAS] = v[TEMPERATURE]
    if c[BURN_DONE] >= KNOCKS_UNTIL or e[OCTANE] <= 0.0:
        return
    c[KNOCK] += step * knock_rate(e[OCTANE], v[PRESSURE], c[END_GAS])
    if c[KNOCK] >= 1.0 and c[KNOCK_ANGLE] == math.inf:
        c[KNOCK_ANGLE] = degrees


@kernel
def advance_cylinder(
    e: Buffer, c: Buffer, v: Buffer, g: Buffer, before: float, degrees: float, step: float
) -> None:
    """One step from one angle to the next, both in 0 to 720, of which the next may have begun anew."""
    end = degrees if degrees > before else degrees + 720.0
    loss = wall_loss(e, c, v, before) * step
    pressure = v[PRESSURE]
    leak(e, c, v, step)
    take_in(v)
    add_fuel(e, c, v)
    v[ENERGY] -= loss
    c[HEAT] += loss
    burn(e, c, v, end)
    work = push_piston(e, c, v, g, end)
    c[WORK] += work
    if 180.0 < 0.5 * (before + end) < 540.0:
        c[CLOSED_WORK] += work
    age_end_gas(e, c, v, g, pressure, before, step)
    if before < e[INTAKE_SHUTS] <= end:
        trap(c, v)
    if v[PRESSURE] > c[PEAK]:
        c[PEAK], c[PEAK_ANGLE] = v[PRESSURE], degrees
    c[THROUGH_INTAKE] += max(c[STEP_MASS], 0.0)
    c[BACK_INTAKE] -= min(c[STEP_MASS], 0.0)
    c[OUT_MASS] += c[STEP_OUT]
    c[OUT_ENTHALPY] += c[STEP_OUT_ENTHALPY]
    c[STEP_MASS] = c[STEP_BURNED] = c[STEP_FUEL] = c[STEP_OUT] = c[STEP_OUT_ENTHALPY] = 0.0
