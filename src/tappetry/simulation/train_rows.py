"""How a valve train lies in one buffer: a row for each quantity, a lane in it for each engine speed."""

from __future__ import annotations

LANES = 8
"""Speeds that are worked on at once."""

MASSES = 7
"""Masses of the spring's coils between its two ends."""

SEGMENTS = MASSES + 1
"""Pieces of spring between them."""

# Bodies in their order: the head under the spring, which stands still, the coils from there up, the valve;
# then the rocker as the valve feels it, and the lifter. A piece of spring lies between a body and the next.
HEAD = 0
COILS = HEAD + 1
VALVE = COILS + MASSES
ROCKER, LIFTER = VALVE + 1, VALVE + 2
BODIES = LIFTER + 1
ALL = BODIES * LANES

# Of every body: place, speed half a step before, speed as predicted, acceleration, a step and half of one.
PLACE, PACE, GUESS, PULL, STEP, HALF = range(0, 6 * ALL, ALL)

# Of every piece of spring: its force.
FORCE = HALF + ALL

# The plunger of a hydraulic lifter: how far it stands out, how fast it moves, and how fast a step before.
COLUMN = FORCE + SEGMENTS * LANES
CREEP = COLUMN + LANES
CREEP_BEFORE = CREEP + LANES
# Angular speed of the crank.
SPEED = CREEP_BEFORE + LANES

# What is told of every step: forces of the joints and of the spring on the head, the valve, the middle coil.
TOLD = SPEED + LANES
CAM_FORCE, ROD_FORCE, TIP_FORCE, SEAT_FORCE, FOOT_FORCE, LIFT, LIFT_SPEED, MIDDLE = range(8)
SIGNALS = 8
PLACES = TOLD + SIGNALS * LANES

# What is watched over a cycle: the least of each joint's forces and at which step, steps with a joint apart,
# the greatest force and the work of the cam; whether and how fast the valve landed, and how far it came up.
LEAST, AT, APART, MOST, WORK, LANDED, LANDING, BOUNCE = 0, 3, 6, 7, 8, 9, 10, 11
WATCHED = 12

# Parameters of a train, the same for all speeds.
(
    LIFTER_MASS,
    ROCKER_MASS,
    VALVE_MASS,
    COIL_MASS,
    RATIO,
    CAM_STIFFNESS,
    ROD_STIFFNESS,
    TIP_STIFFNESS,
    SEAT_STIFFNESS,
    COIL_STIFFNESS,
    CAM_DAMPING,
    ROD_DAMPING,
    TIP_DAMPING,
    SEAT_DAMPING,
    COIL_DAMPING,
    CLASH_STIFFNESS,
    COIL_TRAVEL,
    FILM,
    SEAT_LOAD,
    LASH,
    LIFTER_WEIGHT,
    ROCKER_WEIGHT,
    PLUNGER_LOAD,
    LEAK,
    REFILL,
) = range(25)
PARAMETERS = 25
