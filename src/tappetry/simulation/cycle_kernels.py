"""All pipes, volumes and cylinders together, from one crank angle to another, which the last step meets."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation import end_lanes
from tappetry.simulation.columns import (
    BURN_DONE,
    BURNED_SHARE,
    CONSTANT,
    ENTHALPY,
    EXHAUST,
    FIXED,
    FUEL_SHARE,
    GAMMA,
    IN_BURNED,
    IN_ENERGY,
    IN_FUEL,
    IN_MASS,
    INTAKE,
    LAG,
    LARGEST_STEP,
    MIDDLE_ENTHALPY,
    MIDDLE_PRESSURE,
    MIDDLE_TEMPERATURE,
    NO_VALVE,
    OPEN,
    OPEN_AREA,
    PRESSURE,
    PRESSURE_RATE,
    PRESSURE_TIME,
    SHUT,
    SPACE,
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
from tappetry.simulation.compiled import inlined, kernel
from tappetry.simulation.cylinder_kernels import advance_cylinder
from tappetry.simulation.end_kernels import NOTHING, pass_end
from tappetry.simulation.pipe_kernels import edges, extrapolate, fastest, fluxes, update
from tappetry.simulation.rows import (
    AREA,
    BURNED_FLOW,
    ENERGY_FLOW,
    FUEL_FLOW,
    HIGH_BURNED,
    HIGH_DENSITY,
    HIGH_FUEL,
    HIGH_PRESSURE,
    HIGH_VELOCITY,
    INVERSE,
    LANES,
    LOW_BURNED,
    LOW_DENSITY,
    LOW_FUEL,
    LOW_PRESSURE,
    LOW_VELOCITY,
    MASS_FLOW,
    OFFSET,
    THRUST,
)
from tappetry.simulation.rows import GAMMA as GAS_GAMMA
from tappetry.simulation.volume_kernels import advance_chamber

Buffer = NDArray[np.float64]
Numbers = NDArray[np.int64]


FILLED, SHORTEST = 0.4, 0.05
"""Share of a volume that may be filled in a step; and share of the pipes' step that it may leave. [1]"""

COLDEST, HOTTEST = 80.0, 6000.0
"""Temperatures beyond which gas in an engine has no meaning. [K]"""


@inlined
def own_angle(degrees: float, lag: float) -> float:
    """Angle of a cylinder, from 0 to 720, that lags behind another; both below 720. [deg]"""
    angle = degrees - lag
    return angle + 720.0 if angle < 0.0 else angle


@kernel
def valve_area(valves: Buffer, valve: int, degrees: float) -> float:
    """Effective area of a valve at an angle of its cylinder, from its table. [m2]"""
    place = degrees * VALVE_STEPS
    below = int(place)
    share = place - below
    return valves[valve, below] * (1.0 - share) + valves[valve, below + 1] * share


@kernel
def fill_time(v: Buffer, first: int) -> float:
    """Share of the time in which gas at the speed of sound fills the volume that fills quickest. [s]"""
    rate = 0.0
    for volume in range(first, v.shape[0]):
        area = v[volume, OPEN_AREA]
        if area > 0.0:
            sound = math.sqrt(v[volume, GAMMA] * v[volume, CONSTANT] * v[volume, TEMPERATURE])
            rate = max(rate, area * sound / v[volume, SPACE])
    return FILLED / rate if rate > 0.0 else math.inf


@kernel
def look_ahead(v: Buffer, volume: int, step: float) -> None:
    """Where the state of a volume will be in half a step, if it goes on as it did.

    The pipes' states are those of half a step ahead; so must be the volumes', or waves between them grow.
    """
    p, t = v[volume, PRESSURE], v[volume, TEMPERATURE]
    warmer = max(0.5 * step * v[volume, TEMPERATURE_RATE], -0.5 * t)
    gamma = v[volume, GAMMA]
    v[volume, MIDDLE_PRESSURE] = p + max(0.5 * step * v[volume, PRESSURE_RATE], -0.5 * p)
    v[volume, MIDDLE_TEMPERATURE] = t + warmer
    v[volume, MIDDLE_ENTHALPY] = v[volume, ENTHALPY] + gamma / (gamma - 1.0) * v[volume, CONSTANT] * warmer


@kernel
def know_end(
    s: Buffer, w: Buffer, end: int, start: int, cells: int, high: bool, area: float, v: Buffer, volume: int
) -> None:
    """Put down what `end_lanes` must know of an end: the gas at its face, and the volume behind it."""
    cell = start + (cells if high else 1)
    if high:
        w[end_lanes.DENSITY + end] = s[HIGH_DENSITY + cell]
        w[end_lanes.VELOCITY + end] = s[HIGH_VELOCITY + cell]
        w[end_lanes.PRESSURE + end] = s[HIGH_PRESSURE + cell]
    else:
        w[end_lanes.DENSITY + end] = s[LOW_DENSITY + cell]
        w[end_lanes.VELOCITY + end] = -s[LOW_VELOCITY + cell]
        w[end_lanes.PRESSURE + end] = s[LOW_PRESSURE + cell]
    face_area = s[AREA + start + (cells + 1 if high else 1)]
    w[end_lanes.GAMMA + end] = s[GAS_GAMMA + cell]
    w[end_lanes.INVERSE + end] = s[INVERSE + cell]
    w[end_lanes.OFFSET + end] = s[OFFSET + cell]
    w[end_lanes.AREA + end] = face_area
    w[end_lanes.OPENING + end] = min(area / face_area, 1.0)
    w[end_lanes.BEHIND_PRESSURE + end] = v[volume, MIDDLE_PRESSURE]
    w[end_lanes.BEHIND_GAMMA + end] = v[volume, GAMMA]
    w[end_lanes.BEHIND_WARMTH + end] = v[volume, CONSTANT] * v[volume, MIDDLE_TEMPERATURE]
    w[end_lanes.BEHIND_ENTHALPY + end] = v[volume, MIDDLE_ENTHALPY]


@kernel
def pass_solved(
    s: Buffer, w: Buffer, end: int, start: int, cells: int, high: bool, v: Buffer, volume: int
) -> float:
    """Let pass at the face of an end what `end_lanes` found, and return how fast it passes."""
    cell = start + (cells if high else 1)
    face = start + (cells + 1 if high else 1)
    sign = 1.0 if high else -1.0
    mass = w[end_lanes.MASS_FLOW + end]
    if mass < 0.0:
        burned, fuel = v[volume, BURNED_SHARE], v[volume, FUEL_SHARE]
    elif high:
        burned, fuel = s[HIGH_BURNED + cell], s[HIGH_FUEL + cell]
    else:
        burned, fuel = s[LOW_BURNED + cell], s[LOW_FUEL + cell]
    s[MASS_FLOW + face] = sign * mass
    s[THRUST + face] = w[end_lanes.THRUST + end]
    s[ENERGY_FLOW + face] = sign * w[end_lanes.ENERGY_FLOW + end]
    s[BURNED_FLOW + face] = sign * mass * burned
    s[FUEL_FLOW + face] = sign * mass * fuel
    return w[end_lanes.PASSING + end]


@kernel
def pass_carefully(
    s: Buffer, w: Buffer, end: int, start: int, cells: int, high: bool, v: Buffer, volume: int
) -> float:
    """Solve an end by itself, let pass what passes, and return how fast it passes."""
    return pass_end(
        s,
        start,
        cells,
        high,
        OPEN,
        w[end_lanes.OPENING + end] * w[end_lanes.AREA + end],
        v[volume, MIDDLE_PRESSURE],
        v[volume, GAMMA],
        v[volume, CONSTANT],
        v[volume, MIDDLE_TEMPERATURE],
        v[volume, MIDDLE_ENTHALPY],
        v[volume, BURNED_SHARE],
        v[volume, FUEL_SHARE],
        0.0,
    )


@kernel
def count(
    s: Buffer, face: int, out: float, volume: int, valve: int, totals: Buffer, end: int, v: Buffer, c: Buffer
) -> None:
    """Give a volume what leaves a pipe in a step, and count it; `out` is the step, below 0 at a low end."""
    mass = s[MASS_FLOW + face]
    if mass == 0.0:
        return
    mass, energy = out * mass, out * s[ENERGY_FLOW + face]
    burned, fuel = out * s[BURNED_FLOW + face], out * s[FUEL_FLOW + face]
    totals[end, 0] += mass
    totals[end, 1] += energy
    totals[end, 2] += burned
    totals[end, 3] += fuel
    v[volume, IN_MASS] += mass
    v[volume, IN_ENERGY] += energy
    v[volume, IN_BURNED] += burned
    v[volume, IN_FUEL] += fuel
    if valve == INTAKE:
        c[volume, STEP_MASS] += mass
        c[volume, STEP_BURNED] += burned
        c[volume, STEP_FUEL] += fuel
    elif valve == EXHAUST:
        c[volume, STEP_OUT] -= mass
        c[volume, STEP_OUT_ENTHALPY] -= energy


@kernel
def cool_places(starts: Numbers, end_valve: Numbers) -> int:
    """How many places, of whole lanes, lie before the first pipe behind an exhaust valve: they stay cool."""
    for end in range(len(end_valve)):
        if end_valve[end] == EXHAUST:
            return starts[end // 2] // LANES * LANES
    return 0


@kernel
def turn(
    s: Buffer,
    starts: Numbers,
    cells: Numbers,
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
    w: Buffer,
    start: float,
    stop: float,
    courant: float,
) -> tuple[int, int, float]:
    """Turn the crank from an angle to another, in degrees; return the number of steps, and what went wrong.

    The second number is 0, or one more than that of the first volume whose gas has no state any more; then
    the crank stops at once, at the angle that the third tells.

    Parameters
    ----------
    s, starts, cells
        As in `Layout`.
    g : ndarray, shape (3, 13)
        `Gas.table`.
    end_kind, end_volume, end_valve, end_area : ndarray, shape (2 * pipes,)
        Low and high end of each pipe: kind, volume behind it, valve in it, effective area without one [m2].
    end_totals : ndarray, shape (2 * pipes, 6)
        What left the pipe there so far: mass, energy, burned gas, fuel; and how fast gas passes now, and in
        the step before. [kg], [J]
    v, c, e : ndarray
        Volumes, of which the first are the cylinders; cylinders; engine: see `tappetry.simulation.columns`.
    valves : ndarray, shape (2, 720 * VALVE_STEPS + 2)
        Effective area of intake and exhaust valve by the angle of their cylinder. [m2]
    trace : ndarray, shape (cylinders, 720, 5)
        Written: see `tappetry.simulation.columns`.
    w : ndarray, shape (END_ROWS * END_ROW,)
        Room for `tappetry.simulation.end_lanes`.
    start, stop : float
        [deg]
    courant : float
        Share of the time that the fastest wave needs for a cell. [1]
    """
    pipes, ends, cylinders, volumes = len(starts), len(end_kind), c.shape[0], v.shape[0]
    places = starts[pipes - 1] + cells[pipes - 1] + 2
    rate = math.degrees(e[SPEED])
    border = cool_places(starts, end_valve)
    angle, steps, base = start, 0, 720.0 * math.floor(start / 720.0)
    speed = fastest(s, places)
    while angle < stop:
        step = courant / speed
        step = min(e[LARGEST_STEP] / rate, step, max(fill_time(v, cylinders), SHORTEST * step))
        left = (stop - angle) / rate
        step = left / max(math.ceil(left / step), 1.0)
        after = stop if step >= left else angle + step * rate
        turned, turned_after = angle - base, after - base
        if turned_after >= 720.0:
            base += 720.0
            turned_after -= 720.0
        for pipe in range(pipes):
            extrapolate(s, starts[pipe], cells[pipe])
        edges(s, places, step)
        fluxes(s, places)
        for volume in range(volumes):
            look_ahead(v, volume, step)
        for end in range(ends):
            pipe, high = end // 2, end % 2 == 1
            volume, valve, area = end_volume[end], end_valve[end], end_area[end]
            if valve != NO_VALVE:
                area = valve_area(valves, valve, own_angle(turned, c[volume, LAG]))
            if end_kind[end] == SHUT:
                area = 0.0
            know_end(s, w, end, starts[pipe], cells[pipe], high, area, v, volume)
            # How fast it will pass, if it goes on as it did.
            w[end_lanes.PASSING + end] = 2.0 * end_totals[end, 4] - end_totals[end, 5]
            end_totals[end, 5] = end_totals[end, 4]
        end_lanes.solve(w, ends)
        for end in range(ends):
            pipe, high = end // 2, end % 2 == 1
            first, many, volume = starts[pipe], cells[pipe], end_volume[end]
            if w[end_lanes.CHANGE + end] <= NOTHING:
                end_totals[end, 4] = pass_solved(s, w, end, first, many, high, v, volume)
            else:
                end_totals[end, 4] = pass_carefully(s, w, end, first, many, high, v, volume)
            face = first + (many + 1 if high else 1)
            count(s, face, step if high else -step, volume, end_valve[end], end_totals, end, v, c)
        speed = max(update(s, border, step, g), update(s[border:], places - border, step, g))
        for volume in range(volumes):
            p, t = v[volume, PRESSURE], v[volume, TEMPERATURE]
            if volume < cylinders:
                lag = c[volume, LAG]
                before, degrees = own_angle(turned, lag), own_angle(turned_after, lag)
                at = int(degrees)
                trace[volume, at, TRACE_INTAKE] = c[volume, STEP_MASS] / step
                trace[volume, at, TRACE_EXHAUST] = c[volume, STEP_OUT] / step
                advance_cylinder(e, c, v, volume, g, before, degrees, step)
                trace[volume, at, TRACE_PRESSURE] = v[volume, PRESSURE]
                trace[volume, at, TRACE_TEMPERATURE] = v[volume, TEMPERATURE]
                trace[volume, at, TRACE_BURNED] = c[volume, BURN_DONE]
            elif v[volume, FIXED] == 0.0:
                advance_chamber(v, volume, g, step)
            if not COLDEST < v[volume, TEMPERATURE] < HOTTEST:
                return steps, volume + 1, after
            v[volume, PRESSURE_TIME] += 0.5 * (p + v[volume, PRESSURE]) * step
            v[volume, PRESSURE_RATE] = (v[volume, PRESSURE] - p) / step
            v[volume, TEMPERATURE_RATE] = (v[volume, TEMPERATURE] - t) / step
        angle = after
        steps += 1
    return steps, 0, angle
