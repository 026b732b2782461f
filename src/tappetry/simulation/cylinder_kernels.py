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
    CAPACITY,
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
    HEAT_SCALE,
    INTAKE_SHUTS,
    KNOCK,
    KNOCK_ANGLE,
    KNOCK_RATE,
    LEAK,
    LEAK_AREA,
    LEAK_ENERGY,
    LINER_WALL,
    MASS,
    MOTORED_EXPONENT,
    OCTANE,
    OCTANE_SCALE,
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

ROUNDS, CLOSE = 30, 1e-6
COOLEST = 200.0


@kernel
def cylinder_volume(e: Buffer, degrees: float) -> float:
    """Volume over the piston; its own dead centre is at 0. [m3]"""
    angle = math.radians(degrees)
    throw, rod = e[THROW], e[ROD]
    swing = throw * math.sin(angle)
    fall = throw + rod - throw * math.cos(angle) - math.sqrt(rod * rod - swing * swing)
    return e[CLEARANCE] + 0.25 * math.pi * e[BORE] * e[BORE] * fall


@kernel
def woschni(e: Buffer, pressure: float, temperature: float, velocity: float) -> float:
    """Heat transfer coefficient. [W/m2.K]"""
    return e[HEAT_SCALE] * math.exp(0.8 * math.log(pressure * velocity) - 0.55 * math.log(temperature))


@kernel
def knock_rate(scale: float, pressure: float, temperature: float) -> float:
    """One over the delay after Douaud and Eyzat, of a fuel with this `octane_scale`. [1/s]"""
    return scale * math.exp(1.7 * math.log(pressure) - 3800.0 / temperature)


@kernel
def wiebe(e: Buffer, c: Buffer, n: int, degrees: float) -> float:
    """Share burned at an angle."""
    if c[n, BURN_LENGTH] <= 0.0 or degrees <= c[n, BURN_START]:
        return 0.0
    share = (degrees - c[n, BURN_START]) / c[n, BURN_LENGTH]
    if share >= 1.0:
        return 1.0
    return 1.0 - math.exp(-e[WIEBE_A] * share ** (e[WIEBE_M] + 1.0))


@kernel
def wall_loss(e: Buffer, c: Buffer, v: Buffer, n: int, degrees: float) -> float:
    """Heat that leaves the gas in a second, after Woschni. [W]"""
    p, t, space = v[n, PRESSURE], v[n, TEMPERATURE], v[n, SPACE]
    if e[INTAKE_SHUTS] < degrees < e[EXHAUST_OPENS]:
        velocity = 2.28 * e[PISTON_SPEED]
        if c[n, BURN_DONE] > 0.0:
            motored = c[n, TRAPPED_PRESSURE] * (c[n, TRAPPED_SPACE] / space) ** e[MOTORED_EXPONENT]
            state = c[n, TRAPPED_TEMPERATURE] / (c[n, TRAPPED_PRESSURE] * c[n, TRAPPED_SPACE])
            velocity += 3.24e-3 * e[SWEPT] * state * max(p - motored, 0.0)
    else:
        velocity = 6.18 * e[PISTON_SPEED]
    liner = 4.0 * space / e[BORE]
    flow = e[HEAD_AREA] * (t - e[HEAD_WALL]) + e[PISTON_AREA] * (t - e[PISTON_WALL])
    return e[HEAT_FACTOR] * woschni(e, p, t, velocity) * (flow + liner * (t - e[LINER_WALL]))


@kernel
def trap(c: Buffer, v: Buffer, n: int) -> None:
    """Note what the intake valve shuts in."""
    c[n, TRAPPED_MASS], c[n, TRAPPED_PRESSURE] = v[n, MASS], v[n, PRESSURE]
    c[n, TRAPPED_TEMPERATURE], c[n, TRAPPED_SPACE] = v[n, TEMPERATURE], v[n, SPACE]
    c[n, TRAPPED_BURNED], c[n, TRAPPED_FUEL] = v[n, BURNED], v[n, FUEL]
    c[n, TRAPPED_AIR] = v[n, MASS] - v[n, BURNED] - v[n, FUEL]
    c[n, KNOCK], c[n, KNOCK_RATE], c[n, KNOCK_ANGLE], c[n, BURN_DONE] = 0.0, 0.0, math.inf, 0.0


@kernel
def add_fuel(e: Buffer, c: Buffer, v: Buffer, n: int) -> None:
    """Give air that came in without it its fuel, which evaporates in the gas."""
    air = (c[n, STEP_MASS] - c[n, STEP_BURNED] - c[n, STEP_FUEL]) * e[DRY_SHARE]
    fuel = air / e[AIR_FUEL] - c[n, STEP_FUEL] if e[AIR_FUEL] > 0.0 and c[n, STEP_MASS] > 0.0 else 0.0
    if fuel > 0.0:
        v[n, MASS] += fuel
        v[n, FUEL] += fuel
        v[n, ENERGY] += fuel * e[FUEL_ENTHALPY]
        c[n, ADDED_FUEL] += fuel
        c[n, ADDED_ENERGY] += fuel * e[FUEL_ENTHALPY]


@kernel
def burn(e: Buffer, c: Buffer, v: Buffer, n: int, degrees: float) -> None:
    """Burn what the law burns up to an angle; the end gas is told apart when the fire begins."""
    done = wiebe(e, c, n, degrees)
    if done <= c[n, BURN_DONE]:
        return
    if c[n, BURN_DONE] == 0.0:
        c[n, FRESH_AT_START], c[n, FUEL_AT_START] = v[n, MASS] - v[n, BURNED], v[n, FUEL]
        c[n, END_GAS], c[n, END_CONSTANT] = v[n, TEMPERATURE], v[n, CONSTANT]
        c[n, END_BURNED], c[n, END_FUEL] = v[n, BURNED_SHARE], v[n, FUEL_SHARE]
    share = done - c[n, BURN_DONE]
    fuel = min(share * c[n, FUEL_AT_START], v[n, FUEL])
    heat = fuel * e[FIRE_HEAT]
    v[n, BURNED] += min(share * c[n, FRESH_AT_START], v[n, MASS] - v[n, BURNED])
    v[n, FUEL] -= fuel
    v[n, ENERGY] += heat
    c[n, FIRE] += heat
    c[n, BURN_DONE] = done


@kernel
def leak(e: Buffer, c: Buffer, v: Buffer, n: int, step: float) -> None:
    """Let gas pass the rings into the crankcase."""
    flux = nozzle_flux(v[n, PRESSURE], v[n, TEMPERATURE], v[n, GAMMA], v[n, CONSTANT], e[CRANKCASE])
    if flux == 0.0:
        return
    mass = e[LEAK_AREA] * flux * step
    v[n, MASS] -= mass
    v[n, BURNED] -= mass * v[n, BURNED_SHARE]
    v[n, FUEL] -= mass * v[n, FUEL_SHARE]
    v[n, ENERGY] -= mass * v[n, ENTHALPY]
    c[n, LEAK] += mass
    c[n, LEAK_ENERGY] += mass * v[n, ENTHALPY]


@kernel
def settle_zones(c: Buffer, v: Buffer, n: int, g: Buffer, before: float, guess: float) -> None:
    """Find the pressure at which burned gas and end gas share a volume and its energy, by Newton's method.

    The end gas is compressed without heat from the pressure `before`; heat to the walls comes from the burned
    gas. The temperature of the volume becomes that of all its gas mixed at the same pressure and volume.
    """
    mass, space, energy = v[n, MASS], v[n, SPACE], v[n, ENERGY]
    end_mass = (mass - v[n, BURNED]) / (1.0 - c[n, END_BURNED])
    burned_mass = mass - end_mass
    end_constant, _, end_capacity = gas_state(g, c[n, END_BURNED], c[n, END_FUEL], c[n, END_GAS])
    power = end_constant / (end_constant + end_capacity)
    burned_constant = g[1, 0]
    p, hot = guess, 0.0
    for _ in range(ROUNDS):
        cool = c[n, END_GAS] * (p / before) ** power
        hot = max((p * space - end_mass * end_constant * cool) / (burned_mass * burned_constant), COOLEST)
        _, end_energy, end_capacity = gas_state(g, c[n, END_BURNED], c[n, END_FUEL], cool)
        _, hot_energy, hot_capacity = gas_state(g, 1.0, 0.0, hot)
        cool_rise = power * cool / p
        hot_rise = (space - end_mass * end_constant * cool_rise) / (burned_mass * burned_constant)
        value = end_mass * end_energy + burned_mass * hot_energy - energy
        change = -value / (end_mass * end_capacity * cool_rise + burned_mass * hot_capacity * hot_rise)
        p = max(p + change, 0.5 * p)
        if abs(change) < CLOSE * p:
            break
    burned, fuel = v[n, BURNED] / mass, v[n, FUEL] / mass
    constant = (1.0 - burned - fuel) * g[0, 0] + burned * g[1, 0] + fuel * g[2, 0]
    t = p * space / (mass * constant)
    capacity = gas_state(g, burned, fuel, t)[2]
    v[n, PRESSURE], v[n, TEMPERATURE], v[n, CAPACITY] = p, t, capacity
    v[n, CONSTANT], v[n, GAMMA] = constant, 1.0 + constant / capacity
    v[n, ENTHALPY] = (energy + p * space) / mass
    v[n, BURNED_SHARE], v[n, FUEL_SHARE] = burned, fuel
    c[n, PEAK_BURNED] = max(c[n, PEAK_BURNED], hot)


@kernel
def push_piston(e: Buffer, c: Buffer, v: Buffer, n: int, g: Buffer, degrees: float) -> float:
    """Move the piston to an angle and find the new state; return the work, by the mean pressure.

    The pressure after it is first guessed as if the heat capacity stayed; what that is off is made good in a
    straight line. While it burns, burned gas and end gas are told apart.
    """
    before, mass, stiff = v[n, PRESSURE], v[n, MASS], v[n, GAMMA] - 1.0
    space = cylinder_volume(e, degrees)
    swept = space - v[n, SPACE]
    offset = v[n, ENTHALPY] - (v[n, CONSTANT] + v[n, CAPACITY]) * v[n, TEMPERATURE]
    guess = stiff * (v[n, ENERGY] - mass * offset - 0.5 * before * swept) / (space + 0.5 * stiff * swept)
    guess = max(guess, 0.5 * before)
    work = 0.5 * (before + guess) * swept
    v[n, SPACE], v[n, ENERGY] = space, v[n, ENERGY] - work
    if ZONES_FROM < c[n, BURN_DONE] < ZONES_TO and c[n, END_BURNED] < MOST_RESIDUAL:
        settle_zones(c, v, n, g, before, guess)
    else:
        settle(v, n, g)
    stiff = v[n, GAMMA] - 1.0
    more = 0.5 * (v[n, PRESSURE] - guess) * swept / (1.0 + 0.5 * stiff * swept / space)
    v[n, ENERGY] -= more
    v[n, PRESSURE] -= stiff * more / space
    v[n, TEMPERATURE] -= more / (mass * v[n, CAPACITY])
    v[n, ENTHALPY] -= v[n, GAMMA] * more / mass
    return work + more


@kernel
def age_end_gas(
    e: Buffer,
    c: Buffer,
    v: Buffer,
    n: int,
    g: Buffer,
    pressure: float,
    burned: float,
    degrees: float,
    step: float,
) -> None:
    """Compress the end gas from a pressure to that of the cylinder, without heat, and add up its delay.

    `burned` is the share burned at the beginning of the step, of which only that part counts in which there
    is end gas enough.
    """
    if not e[INTAKE_SHUTS] < degrees < e[EXHAUST_OPENS] or c[n, BURN_DONE] >= ZONES_TO:
        return
    if c[n, BURN_DONE] > 0.0:
        constant, _, capacity = gas_state(g, c[n, END_BURNED], c[n, END_FUEL], c[n, END_GAS])
        c[n, END_GAS] *= (v[n, PRESSURE] / pressure) ** (constant / (constant + capacity))
    else:
        c[n, END_GAS] = v[n, TEMPERATURE]
    if burned >= KNOCKS_UNTIL or e[OCTANE] <= 0.0:
        return
    done = c[n, BURN_DONE]
    part = (KNOCKS_UNTIL - burned) / (done - burned) if done > KNOCKS_UNTIL else 1.0
    rate = knock_rate(e[OCTANE_SCALE], v[n, PRESSURE], c[n, END_GAS])
    c[n, KNOCK] += 0.5 * part * step * (c[n, KNOCK_RATE] + rate)
    c[n, KNOCK_RATE] = rate
    if c[n, KNOCK] >= 1.0 and c[n, KNOCK_ANGLE] == math.inf:
        c[n, KNOCK_ANGLE] = degrees


@kernel
def advance_cylinder(
    e: Buffer, c: Buffer, v: Buffer, n: int, g: Buffer, before: float, degrees: float, step: float
) -> None:
    """One step from one angle to the next, both in 0 to 720, of which the next may have begun anew."""
    end = degrees if degrees > before else degrees + 720.0
    loss = wall_loss(e, c, v, n, before) * step
    pressure, burned = v[n, PRESSURE], c[n, BURN_DONE]
    leak(e, c, v, n, step)
    take_in(v, n)
    add_fuel(e, c, v, n)
    v[n, ENERGY] -= loss
    c[n, HEAT] += loss
    burn(e, c, v, n, end)
    work = push_piston(e, c, v, n, g, end)
    c[n, WORK] += work
    if 180.0 < 0.5 * (before + end) < 540.0:
        c[n, CLOSED_WORK] += work
    age_end_gas(e, c, v, n, g, pressure, burned, before, step)
    if before < e[INTAKE_SHUTS] <= end:
        trap(c, v, n)
    if v[n, PRESSURE] > c[n, PEAK]:
        c[n, PEAK], c[n, PEAK_ANGLE] = v[n, PRESSURE], degrees
    c[n, THROUGH_INTAKE] += max(c[n, STEP_MASS], 0.0)
    c[n, BACK_INTAKE] -= min(c[n, STEP_MASS], 0.0)
    c[n, OUT_MASS] += c[n, STEP_OUT]
    c[n, OUT_ENTHALPY] += c[n, STEP_OUT_ENTHALPY]
    c[n, STEP_MASS] = c[n, STEP_BURNED] = c[n, STEP_FUEL] = c[n, STEP_OUT] = c[n, STEP_OUT_ENTHALPY] = 0.0
