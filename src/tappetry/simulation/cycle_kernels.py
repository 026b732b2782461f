"""All pipes, volumes and cylinders together, from one crank angle to another, which the last step meets."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation.columns import (
    BURN_DONE,
    CONSTANT,
    ENTHALPY,
    FIXED,
    GAMMA,
    LAG,
    LARGEST_STEP,
    MIDDLE_ENTHALPY,
    MIDDLE_PRESSURE,
    MIDDLE_TEMPERATURE,
    OPEN_AREA,
    PRESSURE,
    PRESSURE_RATE,
    PRESSURE_TIME,
    SPACE,
    SPEED,
    STEP_MASS,
    STEP_OUT,
    TEMPERATURE,
    TEMPERATURE_RATE,
    TRACE_BURNED,
    TRACE_EXHAUST,
    TRACE_INTAKE,
    TRACE_PRESSURE,
    TRACE_TEMPERATURE,
)
from tappetry.simulation.compiled import kernel
from tappetry.simulation.cylinder_kernels import advance_cylinder
from tappetry.simulation.pipe_kernels import fastest
from tappetry.simulation.pipe_steps import advance_pipes, cool_places, own_angle, places_of
from tappetry.simulation.volume_kernels import advance_chamber

Buffer = NDArray[np.float64]
Numbers = NDArray[np.int64]


FILLED, SHORTEST = 0.8, 0.05
"""Share of a volume that may be filled in a step; and share of the pipes' step that it may leave. [1]"""

ELSE = 3.4
"""What a step takes without the pipes that have steps of their own, over what such a step takes. [1]"""

SPARED = 0.97
"""Share of a step of their own that such pipes are counted on to take, for waves become faster in it. [1]"""

COLDEST, HOTTEST = 80.0, 6000.0
"""Temperatures beyond which gas in an engine has no meaning. [K]"""


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
def look_ahead(v: Buffer, volume: int, ahead: float) -> None:
    """Where the state of a volume will be after some time, if it goes on as it did.

    The pipes' states are those in the middle of a step; so must be the volumes', or waves between them grow.
    """
    p, t = v[volume, PRESSURE], v[volume, TEMPERATURE]
    warmer = max(ahead * v[volume, TEMPERATURE_RATE], -0.5 * t)
    gamma = v[volume, GAMMA]
    v[volume, MIDDLE_PRESSURE] = p + max(ahead * v[volume, PRESSURE_RATE], -0.5 * p)
    v[volume, MIDDLE_TEMPERATURE] = t + warmer
    v[volume, MIDDLE_ENTHALPY] = v[volume, ENTHALPY] + gamma / (gamma - 1.0) * v[volume, CONSTANT] * warmer


@kernel
def note(
    trace: Buffer,
    n: int,
    before: float,
    end: float,
    step: float,
    pressure: float,
    temperature: float,
    burned: float,
    v: Buffer,
    c: Buffer,
    intake: float,
    exhaust: float,
) -> None:
    """Write down a cylinder at each whole degree of a step, from what was before it to what is after it.

    What was before, what is after and how both changed in the step before lie on a parabola.
    """
    rise, warmer = v[n, PRESSURE] - pressure, v[n, TEMPERATURE] - temperature
    bent, bent_warmth = rise - step * v[n, PRESSURE_RATE], warmer - step * v[n, TEMPERATURE_RATE]
    for degree in range(int(before) + 1, int(end) + 1):
        share, row = (degree - before) / (end - before), trace[n, degree % 720]
        bend = 0.5 * share * (share - 1.0)
        row[TRACE_PRESSURE] = pressure + share * rise + bend * bent
        row[TRACE_TEMPERATURE] = temperature + share * warmer + bend * bent_warmth
        row[TRACE_BURNED] = burned + share * (c[n, BURN_DONE] - burned)
        row[TRACE_INTAKE], row[TRACE_EXHAUST] = intake / step, exhaust / step


@kernel
def turn(
    s: Buffer,
    starts: Numbers,
    cells: Numbers,
    own: int,
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
) -> tuple[int, int, int, float]:
    """Turn the crank from an angle to another, in degrees; return numbers of steps, and what went wrong.

    The first number is that of steps, the second that of steps that pipes took which have their own. The
    third is 0, or one more than that of the first volume whose gas has no state any more; then the crank
    stops at once, at the angle that the fourth tells.

    Parameters
    ----------
    s, starts, cells, own
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
    count, cylinders, volumes = len(starts), c.shape[0], v.shape[0]
    first = int(np.int64(0))  # as a literal it would have a type, and all kernels once more, of its own
    rate = math.degrees(e[SPEED])
    pipes = (starts, cells, cool_places(starts, end_valve), g)
    ends = (end_kind, end_volume, end_valve, end_area, end_totals)
    tables = (v, c, valves, w)
    steps, own_steps, angle, base = 0, 0, start, 720.0 * math.floor(start / 720.0)
    speed = fastest(s, places_of(starts, cells, first, own))
    own_speed = fastest(s[starts[own] :], places_of(starts, cells, own, count)) if own < count else 0.0
    while angle < stop:
        step = min(e[LARGEST_STEP] / rate, courant / speed)
        step = min(step, max(fill_time(v, cylinders), SHORTEST * step))
        own_step = SPARED * courant / own_speed if own_speed > 0.0 else math.inf
        whole = math.floor(step / own_step)
        if whole > 0.0 and step < own_step * whole * (1.0 + 1.0 / (ELSE + whole)):
            step = own_step * whole
        left = (stop - angle) / rate
        step = left / max(math.ceil(left / step), 1.0)
        after = stop if step >= left else angle + step * rate
        turned, turned_after = angle - base, after - base
        if turned_after >= 720.0:
            base += 720.0
            turned_after -= 720.0
        for volume in range(volumes):
            look_ahead(v, volume, 0.5 * step)
        speed = advance_pipes(s, pipes, ends, tables, first, own, turned + 0.5 * step * rate, step)
        done = 0.0
        while own < count and done < step:
            rest = step - done
            part = rest / max(math.ceil(rest * own_speed / courant), 1.0)
            ahead = done + 0.5 * part
            for volume in range(volumes):
                look_ahead(v, volume, ahead)
            own_speed = advance_pipes(s, pipes, ends, tables, own, count, turned + ahead * rate, part)
            done = step if part >= rest else done + part
            own_steps += 1
        for volume in range(volumes):
            p, t = v[volume, PRESSURE], v[volume, TEMPERATURE]
            if volume < cylinders:
                lag = c[volume, LAG]
                before, degrees = own_angle(turned, lag), own_angle(turned_after, lag)
                burned, intake, exhaust = c[volume, BURN_DONE], c[volume, STEP_MASS], c[volume, STEP_OUT]
                advance_cylinder(e, c, v, volume, g, before, degrees, step)
                end_angle = degrees if degrees > before else degrees + 720.0
                note(trace, volume, before, end_angle, step, p, t, burned, v, c, intake, exhaust)
            elif v[volume, FIXED] == 0.0:
                advance_chamber(v, volume, g, step)
            if not COLDEST < v[volume, TEMPERATURE] < HOTTEST:
                return steps, own_steps, volume + 1, after
            v[volume, PRESSURE_TIME] += 0.5 * (p + v[volume, PRESSURE]) * step
            v[volume, PRESSURE_RATE] = (v[volume, PRESSURE] - p) / step
            v[volume, TEMPERATURE_RATE] = (v[volume, TEMPERATURE] - t) / step
        angle = after
        steps += 1
    return steps, own_steps, 0, angle
