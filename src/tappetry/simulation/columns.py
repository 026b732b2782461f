"""What stands in which column of the tables that kernels share, and which kinds of ends they tell apart."""

from __future__ import annotations

# A volume: what it holds, its state, what came in during a step, its wall.
MASS, ENERGY, BURNED, FUEL, SPACE = range(5)
TEMPERATURE, PRESSURE, GAMMA, CONSTANT, ENTHALPY, BURNED_SHARE, FUEL_SHARE = range(5, 12)
IN_MASS, IN_ENERGY, IN_BURNED, IN_FUEL = range(12, 16)
WALL_CONDUCTANCE, WALL_TEMPERATURE, WALL_HEAT, FIXED = range(16, 20)
PRESSURE_RATE, TEMPERATURE_RATE = range(20, 22)
PRESSURE_TIME = 22  # pressure times time, of the cycle so far
MIDDLE_PRESSURE, MIDDLE_TEMPERATURE, MIDDLE_ENTHALPY = range(23, 26)  # half a step ahead
CAPACITY = 26
OPEN_AREA = 27  # of all pipes that end there; 0 where a volume does not limit the step
VOLUME_COLUMNS = 28

# A cylinder, besides its volume: where it is in the order of firing, its fire, what was trapped, its end gas.
LAG = 0
BURN_START, BURN_LENGTH, BURN_DONE, FRESH_AT_START, FUEL_AT_START = range(1, 6)
TRAPPED_MASS, TRAPPED_PRESSURE, TRAPPED_TEMPERATURE, TRAPPED_SPACE, TRAPPED_BURNED = range(6, 11)
TRAPPED_AIR, TRAPPED_FUEL = 11, 12
END_GAS, END_CONSTANT, END_BURNED, END_FUEL, KNOCK, KNOCK_ANGLE = range(13, 19)
# Of the cycle so far: work of all, and of compression and expansion; heat; fuel and its fire; what leaked.
WORK, CLOSED_WORK, HEAT, ADDED_FUEL, ADDED_ENERGY, FIRE, LEAK, LEAK_ENERGY = range(19, 27)
PEAK, PEAK_ANGLE, THROUGH_INTAKE, BACK_INTAKE, OUT_MASS, OUT_ENTHALPY, PEAK_BURNED = range(27, 34)
# Through the valves in a step: what came in by the intake valve, what went out by the other.
STEP_MASS, STEP_BURNED, STEP_FUEL, STEP_OUT, STEP_OUT_ENTHALPY = range(34, 39)
KNOCK_RATE = 39  # at the end of the last step [1/s]
CYLINDER_COLUMNS = 40
FIRST_OF_CYCLE, LAST_OF_CYCLE = WORK, PEAK_BURNED

# The engine: what all cylinders share.
BORE, THROW, ROD, CLEARANCE, SPEED, PISTON_SPEED, SWEPT = range(7)
HEAD_WALL, PISTON_WALL, LINER_WALL, HEAD_AREA, PISTON_AREA = range(7, 12)
WIEBE_A, WIEBE_M, FIRE_HEAT, AIR_FUEL, DRY_SHARE, FUEL_ENTHALPY = range(12, 18)
OCTANE, LEAK_AREA, CRANKCASE, INTAKE_SHUTS, EXHAUST_OPENS, MOTORED_EXPONENT = range(18, 24)
HEAT_FACTOR, LARGEST_STEP = 24, 25
HEAT_SCALE, OCTANE_SCALE = 26, 27  # what of the laws of heat and knock depends on bore and octane alone
ENGINE_COLUMNS = 28

# A trace of a cylinder by degrees.
TRACE_PRESSURE, TRACE_TEMPERATURE, TRACE_INTAKE, TRACE_EXHAUST, TRACE_BURNED = range(5)
TRACE_COLUMNS = 5
DEGREES = 720

VALVE_STEPS = 2
"""Places of a valve's table in a degree."""

SHUT, FREE, OPEN = 0, 1, 2
"""Kinds of ends of a pipe: a wall; gas that runs on as if the pipe did; an opening to a volume."""

NO_VALVE, INTAKE, EXHAUST = -1, 0, 1
"""The valve that stands in an opening."""
