"""How the gas of all pipes lies in one buffer: which row holds what, and how far rows lie apart.

The buffer is flat, and every row starts at a constant offset: so the compiler sees that rows do not overlap,
and works on several cells at once. Kernels count from 0 and add what is left out, for the same reason.

A pipe of N cells takes N + 2 places: one beyond each end, which only serves slopes. Face i parts the cells
i - 1 and i. Pipes follow each other without a gap, so that one loop goes over the gas of all of them; what it
finds beyond ends means nothing, and stays finite because such a place has no volume that anything could fill.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

ROW = 1608
"""Places of a row; not a power of two, or the rows would share the same lines of the processor's cache.

Nine lines more than whole pages of memory: at one line more the processor takes what is written to a row for
what it reads ahead in the row before, and waits for it.
"""

ROWS = 40

LANES = 8
"""Cells that the widest processors work on at once."""

# What is conserved, for each volume of gas.
DENSITY = 0 * ROW
MOMENTUM = 1 * ROW
ENERGY = 2 * ROW
BURNED = 3 * ROW
FUEL = 4 * ROW

# The state that belongs to it. Energy over volume is p INVERSE + rho OFFSET + rho u u / 2 within a step.
VELOCITY = 5 * ROW
PRESSURE = 6 * ROW
TEMPERATURE = 7 * ROW
BURNED_SHARE = 8 * ROW
FUEL_SHARE = 9 * ROW
INVERSE = 10 * ROW
GAMMA = 11 * ROW
OFFSET = 12 * ROW
SPECIFIC_VOLUME = 13 * ROW
SOUND = 14 * ROW
STATE_END = 15 * ROW

# The pipe: area of a face, one over the volume of a cell, and half of what ln A grows in it; 2 f / D for
# friction and for heat, temperature of the wall, and the heat that came from it so far for each volume of
# gas.
AREA = 15 * ROW
INVERSE_VOLUME = 16 * ROW
WIDENING = 17 * ROW
FRICTION = 18 * ROW
WALL_HEAT = 19 * ROW
WALL = 20 * ROW
HEAT = 21 * ROW

# States at the two edges of a cell, half a step ahead, and the pressure in its middle.
LOW_DENSITY = 22 * ROW
LOW_VELOCITY = 23 * ROW
LOW_PRESSURE = 24 * ROW
LOW_BURNED = 25 * ROW
LOW_FUEL = 26 * ROW
HIGH_DENSITY = 27 * ROW
HIGH_VELOCITY = 28 * ROW
HIGH_PRESSURE = 29 * ROW
HIGH_BURNED = 30 * ROW
HIGH_FUEL = 31 * ROW
MIDDLE_PRESSURE = 32 * ROW

# What passes a face in a second.
MASS_FLOW = 33 * ROW
THRUST = 34 * ROW
ENERGY_FLOW = 35 * ROW
BURNED_FLOW = 36 * ROW
FUEL_FLOW = 37 * ROW

# One over the length of a cell, and over the volume of the part of it through which gas flows; 0 beyond
# ends.
INVERSE_LENGTH = 38 * ROW
INVERSE_REACH = 39 * ROW

END_LANES = 4
"""Ends that most processors work on at once; no more, for there are few, and what fills up is idle."""

END_ROW = 136
"""Ends that a row of their room holds; not a power of two."""

END_ROWS = 31
"""Rows of that room, see `tappetry.simulation.end_lanes`."""


def aligned(length: int, first: int) -> NDArray[np.float64]:
    """Numbers for kernels, all 0; that with the number `first` lies where a line of the cache begins.

    So the processor reads and writes `LANES` of them without touching two lines.
    """
    whole = np.zeros(length + LANES)
    skipped = -(whole.ctypes.data // whole.itemsize + first) % LANES
    return whole[skipped : skipped + length]


def room_for_ends() -> NDArray[np.float64]:
    """Where all that stands that is known of ends; for those that there are not, what can be worked on."""
    room = aligned(END_ROWS * END_ROW, 0)
    room[:] = 1.0
    return room
