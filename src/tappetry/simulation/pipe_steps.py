"""Pipes with their ends over one step: what passes a face at a volume, and to whom it is counted."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation import end_lanes
from tappetry.simulation.columns import (
    BURNED_SHARE,
    CONSTANT,
    EXHAUST,
    FUEL_SHARE,
    GAMMA,
    IN_BURNED,
    IN_ENERGY,
    IN_FUEL,
    IN_MASS,
    INTAKE,
    LAG,
    MIDDLE_ENTHALPY,
    MIDDLE_PRESSURE,
    MIDDLE_TEMPERATURE,
    NO_VALVE,
    OPEN,
    SHUT,
    STEP_BURNED,
    STEP_FUEL,
    STEP_MASS,
    STEP_OUT,
    STEP_OUT_ENTHALPY,
    VALVE_STEPS,
)
from tappetry.simulation.compiled import inlined, kernel
from tappetry.simulation.end_kernels import NOTHING, pass_end, pass_nothing
from tappetry.simulation.pipe_kernels import edges, extrapolate, fluxes, update
from tappetry.simulation.rows import (
    AREA,
    BURNED_FLOW,
    END_ROW,
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

Buffer = NDArray[np.float64]
Numbers = NDArray[np.int64]

Pipes = tuple[Numbers, Numbers, int, Buffer]
"""Where each begins, how many cells it has; how many places may all be cool; `Gas.table`."""

Ends = tuple[Numbers, Numbers, Numbers, Buffer, Buffer]
"""Kind, volume behind it, valve in it, effective area without one [m2]; totals: see `turn`."""

Tables = tuple[Buffer, Buffer, Buffer, Buffer]
"""Volumes, cylinders, areas of valves, room for `end_lanes`."""


@inlined
def own_angle(degrees: float, lag: float) -> float:
    """Angle of a cylinder, from 0 to 720, that lags behind another; both from 0 to less than 1440. [deg]"""
    angle = degrees - lag
    if angle < 0.0:
        return angle + 720.0
    return angle - 720.0 if angle >= 720.0 else angle


@kernel
def valve_area(valves: Buffer, valve: int, degrees: float) -> float:
    """Effective area of a valve at an angle of its cylinder, from its table. [m2]"""
    place = degrees * VALVE_STEPS
    below = int(place)
    share = place - below
    return valves[valve, below] * (1.0 - share) + valves[valve, below + 1] * share


@kernel
def know_face(s: Buffer, w: Buffer, lane: int, end: int, start: int, cells: int, high: bool) -> float:
    """Put down what `end_lanes` must know of the gas at the face of an end; return the area of the face."""
    cell = start + (cells if high else 1)
    if high:
        w[end_lanes.DENSITY + lane] = s[HIGH_DENSITY + cell]
        w[end_lanes.VELOCITY + lane] = s[HIGH_VELOCITY + cell]
        w[end_lanes.PRESSURE + lane] = s[HIGH_PRESSURE + cell]
    else:
        w[end_lanes.DENSITY + lane] = s[LOW_DENSITY + cell]
        w[end_lanes.VELOCITY + lane] = -s[LOW_VELOCITY + cell]
        w[end_lanes.PRESSURE + lane] = s[LOW_PRESSURE + cell]
    area = s[AREA + start + (cells + 1 if high else 1)]
    w[end_lanes.GAMMA + lane] = s[GAS_GAMMA + cell]
    w[end_lanes.INVERSE + lane] = s[INVERSE + cell]
    w[end_lanes.OFFSET + lane] = s[OFFSET + cell]
    w[end_lanes.AREA + lane] = area
    w[end_lanes.END + lane] = end
    return area


@kernel
def know_behind(w: Buffer, lane: int, opening: float, v: Buffer, volume: int) -> None:
    """Put down what `end_lanes` must know of an opening and of the volume behind it."""
    w[end_lanes.OPENING + lane] = min(opening, 1.0)
    w[end_lanes.BEHIND_PRESSURE + lane] = v[volume, MIDDLE_PRESSURE]
    w[end_lanes.BEHIND_GAMMA + lane] = v[volume, GAMMA]
    w[end_lanes.BEHIND_WARMTH + lane] = v[volume, CONSTANT] * v[volume, MIDDLE_TEMPERATURE]
    w[end_lanes.BEHIND_ENTHALPY + lane] = v[volume, MIDDLE_ENTHALPY]


@kernel
def pass_solved(
    s: Buffer, w: Buffer, lane: int, start: int, cells: int, high: bool, v: Buffer, volume: int
) -> float:
    """Let pass at the face of an end what `end_lanes` found, and return how fast it passes."""
    cell = start + (cells if high else 1)
    face = start + (cells + 1 if high else 1)
    sign = 1.0 if high else -1.0
    mass = w[end_lanes.MASS_FLOW + lane]
    if mass < 0.0:
        burned, fuel = v[volume, BURNED_SHARE], v[volume, FUEL_SHARE]
    elif high:
        burned, fuel = s[HIGH_BURNED + cell], s[HIGH_FUEL + cell]
    else:
        burned, fuel = s[LOW_BURNED + cell], s[LOW_FUEL + cell]
    s[MASS_FLOW + face] = sign * mass
    s[THRUST + face] = w[end_lanes.THRUST + lane]
    s[ENERGY_FLOW + face] = sign * w[end_lanes.ENERGY_FLOW + lane]
    s[BURNED_FLOW + face] = sign * mass * burned
    s[FUEL_FLOW + face] = sign * mass * fuel
    return w[end_lanes.PASSING + lane]


@kernel
def pass_carefully(
    s: Buffer, w: Buffer, lane: int, start: int, cells: int, high: bool, v: Buffer, volume: int
) -> float:
    """Solve an end by itself, let pass what passes, and return how fast it passes."""
    return pass_end(
        s,
        start,
        cells,
        high,
        OPEN,
        w[end_lanes.OPENING + lane] * w[end_lanes.AREA + lane],
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
    mass, energy = out * s[MASS_FLOW + face], out * s[ENERGY_FLOW + face]
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
    """How many places, of whole lanes, lie before the first pipe behind all intake valves: they stay cool."""
    for end in range(len(end_valve) - 1, -1, -1):
        if end_valve[end] == INTAKE:
            after = end // 2 + 1
            return starts[after] // LANES * LANES if after < len(starts) else 0
    return 0


@inlined
def places_of(starts: Numbers, cells: Numbers, first: int, last: int) -> int:
    """How many places the pipes from the first to before the last take."""
    return starts[last - 1] + cells[last - 1] + 2 - starts[first]


@inlined
def face_of(starts: Numbers, cells: Numbers, end: int) -> int:
    """Place of the face of an end, which is one among those of all pipes."""
    pipe = end // 2
    return starts[pipe] + (cells[pipe] + 1 if end % 2 == 1 else 1)


@kernel
def advance_pipes(
    s: Buffer, pipes: Pipes, ends: Ends, tables: Tables, first: int, last: int, middle: float, step: float
) -> float:
    """One step of the pipes from the first to before the last; return `fastest` of them.

    Parameters
    ----------
    s : ndarray
        As in `Layout`.
    pipes, ends, tables : tuple
        `Pipes`, `Ends`, `Tables`.
    first, last : int
        Numbers of pipes.
    middle : float
        Crank angle in the middle of the step, where the volumes' middle states are. [deg]
    step : float
        [s]
    """
    starts, cells, border, g = pipes
    end_kind, end_volume, end_valve, end_area, end_totals = ends
    v, c, valves, w = tables
    begin, places = starts[first], places_of(starts, cells, first, last)
    for pipe in range(first, last):
        extrapolate(s, starts[pipe], cells[pipe])
    edges(s[begin:], places, step)
    fluxes(s[begin:], places)
    lanes, walls = int(np.int64(0)), END_ROW  # as a literal it would have a type of its own, see `turn`
    for end in range(2 * first, 2 * last):
        pipe, high = end // 2, end % 2 == 1
        volume, valve, area = end_volume[end], end_valve[end], end_area[end]
        if valve != NO_VALVE:
            area = valve_area(valves, valve, own_angle(middle, c[volume, LAG]))
        before, end_totals[end, 5] = end_totals[end, 5], end_totals[end, 4]
        if end_kind[end] == SHUT or area <= 0.0:
            walls -= 1
            know_face(s, w, walls, end, starts[pipe], cells[pipe], high)
            end_totals[end, 4] = 0.0
            continue
        face_area = know_face(s, w, lanes, end, starts[pipe], cells[pipe], high)
        know_behind(w, lanes, area / face_area, v, volume)
        # How fast it will pass, if it goes on as it did.
        w[end_lanes.PASSING + lanes] = 2.0 * end_totals[end, 4] - before
        lanes += 1
    end_lanes.press(w[END_ROW - end_lanes.rounded(END_ROW - walls) :], END_ROW - walls)
    for lane in range(walls, END_ROW):
        face = face_of(starts, cells, int(w[end_lanes.END + lane]))
        pass_nothing(s, face, w[end_lanes.THRUST + lane])
    end_lanes.solve(w, lanes)
    for lane in range(lanes):
        end = int(w[end_lanes.END + lane])
        pipe, high, volume = end // 2, end % 2 == 1, end_volume[end]
        start, many = starts[pipe], cells[pipe]
        if w[end_lanes.CHANGE + lane] <= NOTHING:
            end_totals[end, 4] = pass_solved(s, w, lane, start, many, high, v, volume)
        else:
            end_totals[end, 4] = pass_carefully(s, w, lane, start, many, high, v, volume)
        face = face_of(starts, cells, end)
        count(s, face, step if high else -step, volume, end_valve[end], end_totals, end, v, c)
    cool = min(max(border - begin, 0), places)
    return max(update(s[begin:], cool, step, g), update(s[begin + cool :], places - cool, step, g))
