"""All pipes, volumes and cylinders together, from one crank angle to another, which the last step meets."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation.columns import (
    BURN_DONE,
    BURNED_SHARE,
    CONSTANT,
    ENTHALPY,
    FIXED,
    FUEL_SHARE,
    GAMMA,
    IN_BURNED,
    IN_ENERGY,
    IN_FUEL,
    IN_MASS,
    LAG,
    LARGEST_STEP,
    PRESSURE,
    PRESSURE_RATE,
    PRESSURE_TIME,
    SPEED,
    STEP_BURNED,
    STEP_FUEL,
    STEP_MASS,
    STEP_OUT,
    STEP_OUT_ENTHALPY,
    TEMPERATURE,
    TEMPERATURE_RATE,
    TRACE_BURNED,
    TRACE_EXHAUST,
    TRACE_INTAKE,
    TRACE_PRESSURE,
    TRACE_TEMPERATURE,
    VALVE_STEPS,
)
from tappetry.simulation.compiled import kernel
from tappetry.simulation.cylinder_kernels import advance_cylinder
from tappetry.simulation.end_kernels import pass_end
from tappetry.simulation.pipe_kernels import edges, extrapolate, fastest, fluxes, update
from tappetry.simulation.rows import BURNED_FLOW, ENERGY_FLOW, FUEL_FLOW, MASS_FLOW
from tappetry.simulation.volume_kernels import advance_chamber

Buffer = NDArray[np.float64]
Numbers = NDArray[np.int64]

NO_VALVE, INTAKE, EXHAUST = -1, 0, 1
"""What may stand in an end."""


COLDEST, HOTTEST = 80.0, 6000.0
"""Temperatures beyond which gas in an engine has no meaning. [K]"""


@kernel
def valve_area(valves: Buffer, valve: int, degrees: float) -> float:
    """Effective area of a valve at an angle of its cylinder, from its table. [m2]"""
    place = degrees * VALVE_STEPS
    below = int(place)
    share = place - below
    return valves[valve, below] * (1.0 - share) + valves[valve, below + 1] * share


@kernel
def exchange(
    s: Buffer,
    cells: int,
    high: bool,
    kind: int,
    area: float,
    volume: int,
    valve: int,
    totals: Buffer,
    v: Buffer,
    c: Buffer,
    step: float,
) -> None:
    """Pass gas between an end of a pipe and what stands behind it, and count it."""
    b = v[volume]
    # The pipe's state is that of half a step ahead; so must be the volume's, or waves between them grow.
    p, t = b[PRESSURE], b[TEMPERATURE]
    p += max(0.5 * step * b[PRESSURE_RATE], -0.5 * p)
    warmer = max(0.5 * step * b[TEMPERATURE_RATE], -0.5 * t)
    gamma, constant = b[GAMMA], b[CONSTANT]
    enthalpy = b[ENTHALPY] + gamma / (gamma - 1.0) * constant * warmer
    pass_end(
        s,
        cells,
        high,
        kind,
        area,
        p,
        gamma,
        constant,
        t + warmer,
        enthalpy,
        b[BURNED_SHARE],
        b[FUEL_SHARE],
    )
    face = cells + 1 if high else 1
    out = step if high else -step
    mass, energy = out * s[MASS_FLOW + face], out * s[ENERGY_FLOW + face]
    burned, fuel = out * s[BURNED_FLOW + face], out * s[FUEL_FLOW + face]
    totals[0] += mass
    totals[1] += energy
    totals[2] += burned
    totals[3] += fuel
    b[IN_MASS] += mass
    b[IN_ENERGY] += energy
    b[IN_BURNED] += burned
    b[IN_FUEL] += fuel
    if valve == INTAKE:
        c[volume, STEP_MASS] += mass
        c[volume, STEP_BURNED] += burned
        c[volume, STEP_FUEL] += fuel
    elif valve == EXHAUST:
        c[volume, STEP_OUT] -= mass
        c[volume, STEP_OUT_ENTHALPY] -= energy


@kernel
def turn(
    s: Buffer,
    starts: Numbers,
    cells: Numbers,
    lengths: Buffer,
    g: Buffer,
    end_kind: Numbers,
    end_volume: Numbers,
    end_valve: Numbers,
    end_area: Buffer,
    end_totals: Buffer,
    v: Buffer,
    c: Buffer,
    e: Buffer,
    valves: Buffer,
    trace: Buffer,
    start: float,
    stop: float,
    courant: float,
) -> tuple[int, int, float]:
    """Turn the crank from an angle to another, in degrees; return the number of steps, and what went wrong.

    The second number is 0, or one more than that of the first volume whose gas has no state any more; then
    the crank stops at once, at the angle that the third tells.

    Parameters
    ----------
    s, starts, cells, lengths
        As in `Layout`.
    g : ndarray, shape (3, 13)
        `Gas.table`.
    end_kind, end_volume, end_valve, end_area : ndarray, shape (2 * pipes,)
        Low and high end of each pipe: kind, volume behind it, valve in it, effective area without one [m2].
    end_totals : ndarray, shape (2 * pipes, 4)
        What left the pipe there so far: mass, energy, burned gas, fuel. [kg], [J]
    v, c, e : ndarray
        Volumes, of which the first are the cylinders; cylinders; engine: see `tappetry.simulation.columns`.
    valves : ndarray, shape (2, 720 * VALVE_STEPS + 2)
        Effective area of intake and exhaust valve by the angle of their cylinder. [m2]
    trace : ndarray, shape (cylinders, 720, 5)
        Written: see `tappetry.simulation.columns`.
    start, stop : float
        [deg]
    courant : float
        Share of the time that the fastest wave needs for a cell. [1]
    """
    pipes, cylinders, volumes = len(starts), c.shape[0], v.shape[0]
    rate = math.degrees(e[SPEED])
    angle, steps = start, 0
    while angle < stop:
        step = e[LARGEST_STEP] / rate
        for pipe in range(pipes):
            step = min(step, courant * lengths[pipe] / fastest(s[starts[pipe] :], cells[pipe]))
        left = (stop - angle) / rate
        step = left / max(math.ceil(left / step), 1.0)
        after = stop if step >= left else angle + step * rate
        for pipe in range(pipes):
            part, count = s[starts[pipe] :], cells[pipe]
            extrapolate(part, count)
            edges(part, count, step / lengths[pipe])
            fluxes(part, count)
            for side in range(2):
                end = 2 * pipe + side
                volume, valve, area = end_volume[end], end_valve[end], end_area[end]
                if valve != NO_VALVE:
                    area = valve_area(valves, valve, (angle - c[volume, LAG]) % 720.0)
                exchange(
                    part, count, side == 1, end_kind[end], area, volume, valve, end_totals[end], v, c, step
                )
            update(part, count, step, g)
        for volume in range(volumes):
            p, t = v[volume, PRESSURE], v[volume, TEMPERATURE]
            if volume < cylinders:
                own, before = c[volume], (angle - c[volume, LAG]) % 720.0
                degrees = (after - own[LAG]) % 720.0
                here = trace[volume, int(degrees)]
                here[TRACE_INTAKE], here[TRACE_EXHAUST] = own[STEP_MASS] / step, own[STEP_OUT] / step
                advance_cylinder(e, own, v[volume], g, before, degrees, step)
                here[TRACE_PRESSURE], here[TRACE_TEMPERATURE] = v[volume, PRESSURE], v[volume, TEMPERATURE]
                here[TRACE_BURNED] = own[BURN_DONE]
            elif v[volume, FIXED] == 0.0:
                advance_chamber(v[volume], g, step)
            if not COLDEST < v[volume, TEMPERATURE] < HOTTEST:
                return steps, volume + 1, after
            v[volume, PRESSURE_TIME] += 0.5 * (p + v[volume, PRESSURE]) * step
            v[volume, PRESSURE_RATE] = (v[volume, PRESSURE] - p) / step
            v[volume, TEMPERATURE_RATE] = (v[volume, TEMPERATURE] - t) / step
        angle = after
        steps += 1
    return steps, 0, angle
