"""The valve train step by step, for several speeds at once.

Velocity Verlet with a predicted speed for what damps: second order, one evaluation of forces a step, and
without damping it keeps the energy. The plunger of a hydraulic lifter follows by the method of Adams and
Bashforth, of second order too. A joint pushes and never pulls; its damping grows with the compression of its
film, so that forces begin and end without a jump. Every lane is worked on alike and by itself: what comes out
for a speed does not depend on the speeds beside it.

Loops run over whole rows at constant offsets in one buffer, so that the compiler takes several lanes at once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation import train_rows as r
from tappetry.simulation.compiled import inlined, kernel
from tappetry.simulation.train_rows import ALL, FORCE, GUESS, HALF, HEAD, LANES, PACE, PLACE, PULL, STEP, TOLD

Buffer = NDArray[np.float64]

# Rows of the three bodies that touch others, of the coils, and of what is told.
LIFTER, ROCKER, VALVE = r.LIFTER * LANES, r.ROCKER * LANES, r.VALVE * LANES
FOOT, COILS = HEAD * LANES, r.COILS * LANES
MIDDLE = (r.COILS + r.MASSES // 2) * LANES
TOP = FORCE + r.MASSES * LANES
CAM_FORCE, ROD_FORCE = TOLD + r.CAM_FORCE * LANES, TOLD + r.ROD_FORCE * LANES
TIP_FORCE, SEAT_FORCE = TOLD + r.TIP_FORCE * LANES, TOLD + r.SEAT_FORCE * LANES
FOOT_FORCE, LIFT = TOLD + r.FOOT_FORCE * LANES, TOLD + r.LIFT * LANES
LIFT_SPEED, MIDDLE_PLACE = TOLD + r.LIFT_SPEED * LANES, TOLD + r.MIDDLE * LANES
MOVING, PIECES, INNER, HISTORY = ALL - COILS, r.SEGMENTS * LANES, r.MASSES * LANES, r.SIGNALS * LANES


@inlined
def touch(squeezed: float, closing: float, stiffness: float, damping: float, film: float) -> float:
    """Force of a joint that is squeezed together; none where it gapes. [N]"""
    wetted = squeezed * film
    wetted = wetted if wetted < 1.0 else 1.0
    force = stiffness * squeezed + damping * closing * wetted
    force = force if squeezed > 0.0 else 0.0
    return force if force > 0.0 else 0.0


@kernel
def turn(s: Buffer, p: Buffer, lift: Buffer, slope: Buffer, history: Buffer, kept: bool) -> None:
    """Turn the crank twice, from the middle of the base circle to the middle of it.

    Parameters
    ----------
    s : ndarray, shape (PLACES,)
        The train, for `LANES` speeds.
    p : ndarray, shape (PARAMETERS,)
    lift, slope : ndarray, shape (steps + 1,)
        Of the lobe by step, and its derivative by crank angle. [m], [m/rad]
    history : ndarray, shape (steps, SIGNALS * LANES)
        What is told of every step.
    kept : bool
        Whether that is wanted; `history` stays as it is where it is not.
    """
    per_ratio = 1.0 / p[r.RATIO]
    lifter_m, rocker_m, valve_m = 1.0 / p[r.LIFTER_MASS], 1.0 / p[r.ROCKER_MASS], 1.0 / p[r.VALVE_MASS]
    coil_m, k, c = 1.0 / p[r.COIL_MASS], p[r.COIL_STIFFNESS], p[r.COIL_DAMPING]
    load, clash, travel = p[r.SEAT_LOAD], p[r.CLASH_STIFFNESS], p[r.COIL_TRAVEL]
    film, lash, plunger, leak, refill = 1.0 / p[r.FILM], p[r.LASH], p[r.PLUNGER_LOAD], p[r.LEAK], p[r.REFILL]
    cam_k, rod_k, tip_k, seat_k = (
        p[r.CAM_STIFFNESS],
        p[r.ROD_STIFFNESS],
        p[r.TIP_STIFFNESS],
        p[r.SEAT_STIFFNESS],
    )
    cam_c, rod_c, tip_c, seat_c = p[r.CAM_DAMPING], p[r.ROD_DAMPING], p[r.TIP_DAMPING], p[r.SEAT_DAMPING]
    lifter_weight, rocker_weight = p[r.LIFTER_WEIGHT], p[r.ROCKER_WEIGHT]
    for n in range(history.shape[0]):
        y, dy = lift[n + 1], slope[n + 1]
        for row in range(MOVING):
            pull, step = s[PULL + COILS + row], s[STEP + COILS + row]
            pace = s[PACE + COILS + row] + step * pull
            s[PACE + COILS + row] = pace
            s[GUESS + COILS + row] = pace + s[HALF + COILS + row] * pull
            s[PLACE + COILS + row] += step * pace
        for row in range(PIECES):
            squeezed = s[PLACE + FOOT + LANES + row] - s[PLACE + FOOT + row]
            closing = s[GUESS + FOOT + LANES + row] - s[GUESS + FOOT + row]
            over = squeezed - travel
            over = over if over > 0.0 else 0.0
            s[FORCE + row] = load + k * squeezed + c * closing + clash * over
        for lane in range(LANES):
            # Both ends of the spring may come off.
            foot, top = s[FORCE + lane], s[TOP + lane]
            foot = foot if foot > 0.0 else 0.0
            top = top if top > 0.0 else 0.0
            s[FORCE + lane], s[TOP + lane] = foot, top
            creep = s[r.CREEP + lane]
            column = s[r.COLUMN + lane] + s[STEP + lane] * (1.5 * creep - 0.5 * s[r.CREEP_BEFORE + lane])
            x_t, x_r, x_v = s[PLACE + LIFTER + lane], s[PLACE + ROCKER + lane], s[PLACE + VALVE + lane]
            u_t, u_r, u_v = s[GUESS + LIFTER + lane], s[GUESS + ROCKER + lane], s[GUESS + VALVE + lane]
            cam = touch(y - x_t, dy * s[r.SPEED + lane] - u_t, cam_k, cam_c, film)
            rod = touch(x_t + column - x_r * per_ratio, u_t - u_r * per_ratio, rod_k, rod_c, film)
            tip = touch(x_r - lash - x_v, u_r - u_v, tip_k, tip_c, film)
            seat = touch(-x_v, -u_v, seat_k, seat_c, film)
            s[PULL + LIFTER + lane] = (cam - rod - lifter_weight) * lifter_m
            s[PULL + ROCKER + lane] = (rod * per_ratio - tip - rocker_weight) * rocker_m
            s[PULL + VALVE + lane] = (tip - top + seat) * valve_m
            loaded = rod - plunger
            rate = leak if loaded > 0.0 else refill
            s[r.CREEP_BEFORE + lane], s[r.CREEP + lane], s[r.COLUMN + lane] = creep, -loaded * rate, column
            s[CAM_FORCE + lane], s[ROD_FORCE + lane], s[TIP_FORCE + lane] = cam, rod, tip
            s[SEAT_FORCE + lane], s[FOOT_FORCE + lane] = seat, foot
            s[LIFT + lane], s[MIDDLE_PLACE + lane] = x_v, s[PLACE + MIDDLE + lane]
            s[LIFT_SPEED + lane] = s[PACE + VALVE + lane] + s[HALF + lane] * s[PULL + VALVE + lane]
        for row in range(INNER):
            s[PULL + COILS + row] = (s[FORCE + LANES + row] - s[FORCE + row]) * coil_m
        if kept:
            for row in range(HISTORY):
                history[n, row] = s[TOLD + row]


@kernel
def watch(history: Buffer, slope: Buffer, begins: int, ends: int, found: Buffer) -> None:
    """What a cycle shows, from its history.

    Parameters
    ----------
    history : ndarray, shape (steps, SIGNALS, LANES)
    slope : ndarray, shape (steps + 1,)
        Of the lobe, as in `turn`. [m/rad]
    begins, ends : int
        Steps between which the train is to follow the lobe.
    found : ndarray, shape (WATCHED, LANES)
        Is written.
    """
    steps = history.shape[0]
    found[:] = 0.0
    found[r.LEAST : r.LEAST + 3] = np.inf
    for n in range(steps):
        dy, step = slope[n + 1], float(n)
        for lane in range(LANES):
            cam = history[n, r.CAM_FORCE, lane]
            most = found[r.MOST, lane]
            found[r.MOST, lane] = cam if cam > most else most
            found[r.WORK, lane] += cam * dy
        if (n >= begins) & (n <= ends):
            for joint in range(3):
                for lane in range(LANES):
                    force, least = history[n, r.CAM_FORCE + joint, lane], found[r.LEAST + joint, lane]
                    at = found[r.AT + joint, lane]
                    found[r.LEAST + joint, lane] = force if force < least else least
                    found[r.AT + joint, lane] = step if force < least else at
            for lane in range(LANES):
                cam, rod = history[n, r.CAM_FORCE, lane], history[n, r.ROD_FORCE, lane]
                least = cam if cam < rod else rod
                tip = history[n, r.TIP_FORCE, lane]
                least = tip if tip < least else least
                found[r.APART, lane] += 1.0 if least <= 0.0 else 0.0
        if 2 * n >= steps:
            for lane in range(LANES):
                lift, pace = history[n, r.LIFT, lane], history[n, r.LIFT_SPEED, lane]
                landed, landing, bounce = found[r.LANDED, lane], found[r.LANDING, lane], found[r.BOUNCE, lane]
                now = (landed == 0.0) & (lift <= 0.0)
                landed = 1.0 if now else landed
                found[r.LANDED, lane], found[r.LANDING, lane] = landed, -pace if now else landing
                found[r.BOUNCE, lane] = lift if (landed > 0.0) & (lift > bounce) else bounce


@kernel
def by_degrees(history: Buffer, signal: int, speeds: NDArray[np.int64], found: Buffer) -> None:
    """One signal at the end of each degree.

    Parameters
    ----------
    history : ndarray, shape (steps, SIGNALS, LANES)
    signal : int
    speeds : ndarray
        To which row of what is found each lane belongs; lanes beyond are left out.
    found : ndarray, shape (speeds, 720)
        Is written.
    """
    per_degree = history.shape[0] // 720
    for lane in range(speeds.shape[0]):
        row = speeds[lane]
        for degree in range(720):
            found[row, degree] = history[(degree + 1) * per_degree - 1, signal, lane]
