"""All ends of an engine at once: the equations of `end_kernels`, for the processor to solve several of them
together from how fast gas passed before. Ends that do not come to rest so are left to the careful solver.

Openings stand in the first places of the room; ends that are shut, where there is nothing to solve, in the
last.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation.compiled import inlined, kernel
from tappetry.simulation.end_kernels import NOTHING, SLACK, wall_pressure
from tappetry.simulation.lane_math import exp_of, log_of, of_rank, rank_of
from tappetry.simulation.rows import END_LANES, END_ROW

Buffer = NDArray[np.float64]

# What is known of an end: the gas at the face with its outward velocity, the gas behind it, the opening over
# the area of the pipe; how fast gas passed before, as `end_kernels` counts it.
DENSITY = 0 * END_ROW
VELOCITY = 1 * END_ROW
PRESSURE = 2 * END_ROW
GAMMA = 3 * END_ROW
INVERSE = 4 * END_ROW
OFFSET = 5 * END_ROW
AREA = 6 * END_ROW
OPENING = 7 * END_ROW
BEHIND_PRESSURE = 8 * END_ROW
BEHIND_GAMMA = 9 * END_ROW
BEHIND_WARMTH = 10 * END_ROW  # gas constant times temperature
BEHIND_ENTHALPY = 11 * END_ROW
PASSING = 12 * END_ROW

# What is worked out on the way.
SOUND = 13 * END_ROW
SHUT_Y = 14 * END_ROW
LEVEL_Y = 15 * END_ROW
POWER = 16 * END_ROW
RISE = 17 * END_ROW
CRITICAL = 18 * END_ROW
LOG_CRITICAL = 19 * END_ROW
FASTEST = 20 * END_ROW
CHANGE = 21 * END_ROW
SHARE = 22 * END_ROW  # x of gas that comes in
INVERSE_LEVEL = 23 * END_ROW  # one over `LEVEL_Y`
STIFF = 24 * END_ROW  # k of the gas in the pipe
STIFF_BEHIND = 25 * END_ROW
SONIC = 26 * END_ROW  # 2 / (gamma + 1)

# What passes.
MASS_FLOW = 27 * END_ROW
THRUST = 28 * END_ROW
ENERGY_FLOW = 29 * END_ROW

# Which end it is, among those of all pipes.
END = 30 * END_ROW

FASTER_THAN_SOUND = 1e6
"""In any gas. [m/s]"""

CLOSE = 3e-4
"""Relative change of a velocity that is the last; what is left is of the order of its square. [1]"""

ROUNDS = 4
"""Steps of Newton's method, before an end is left to the careful solver."""


@inlined
def rounded(ends: int) -> int:
    """The next multiple of the ends that are worked on at once."""
    return (ends + END_LANES - 1) // END_LANES * END_LANES


@kernel
def prepare(w: Buffer, ends: int) -> None:
    """Find y of a shut end and of level pressures, and what the equations need besides."""
    for i in range(rounded(ends)):
        gamma, gamma_0 = w[GAMMA + i], w[BEHIND_GAMMA + i]
        less, less_0 = gamma - 1.0, gamma_0 - 1.0
        pressure, opening, velocity = w[PRESSURE + i], w[OPENING + i], w[VELOCITY + i]
        passing = w[PASSING + i]
        square = gamma * pressure / w[DENSITY + i]
        square_0 = gamma_0 * w[BEHIND_WARMTH + i]
        sound, sound_0 = np.sqrt(square), np.sqrt(square_0)
        # One division for two numbers each.
        both = 1.0 / (sound * sound_0)
        still, still_0 = sound_0 * both, sound * both
        both = 1.0 / (gamma * gamma_0)
        share, share_0 = gamma_0 * both, gamma * both
        both = 2.0 / ((gamma + 1.0) * (gamma_0 + 1.0))
        sonic, critical = (gamma_0 + 1.0) * both, (gamma + 1.0) * both
        y_s = 1.0 + 0.5 * less * velocity * still
        y_s = y_s if y_s > SLACK else SLACK
        log = 0.5 * less * share * log_of(w[BEHIND_PRESSURE + i] / pressure)
        fast = (opening >= 1.0) & (velocity >= sound)
        y_0 = 0.0 if fast else exp_of(log)
        root = np.sqrt(critical)
        rise = 0.5 * less * sound_0 * still
        k, k_0 = 2.0 * w[INVERSE + i], 2.0 / less_0
        inward = y_0 > y_s
        out = (y_s - y_0) * k
        out = out if out < y_s * sonic else y_s * sonic
        into = (y_0 - y_s) * (k * sound * still_0)
        into = into if into < root else root
        fastest = into if inward else out
        before = -passing if inward else passing
        before = before if before > 0.0 else 0.5 * fastest
        before = before if before < fastest else fastest
        open_out = (opening >= 1.0) & (not inward)
        w[PASSING + i] = fastest if open_out else before
        w[SOUND + i] = sound_0 if inward else sound
        w[SHUT_Y + i] = y_s
        w[LEVEL_Y + i] = y_0
        w[POWER + i] = gamma * share_0 * less_0 * 0.5 * k if inward else 0.5 * k
        w[RISE + i] = rise if inward else -0.5 * less
        w[CRITICAL + i] = root
        w[LOG_CRITICAL + i] = 0.5 * log_of(critical)
        w[FASTEST + i] = fastest
        w[CHANGE + i] = 0.0
        w[INVERSE_LEVEL + i] = exp_of(-log)
        w[STIFF + i], w[STIFF_BEHIND + i], w[SONIC + i] = k, k_0, sonic


@kernel
def improve(w: Buffer, ends: int) -> None:
    """One step of Newton's method at every opening."""
    for i in range(rounded(ends)):
        opening, v, k, k_0 = w[OPENING + i], w[PASSING + i], w[STIFF + i], w[STIFF_BEHIND + i]
        y_s, y_0, power, rise = w[SHUT_Y + i], w[LEVEL_Y + i], w[POWER + i], w[RISE + i]
        sonic, critical, log_critical = w[SONIC + i], w[CRITICAL + i], w[LOG_CRITICAL + i]
        less, less_0 = w[GAMMA + i] - 1.0, w[BEHIND_GAMMA + i] - 1.0
        inverse_level, fastest = w[INVERSE_LEVEL + i], w[FASTEST + i]
        inward = y_0 > y_s
        y = y_s + rise * v
        y = y if y > 1e-3 else 1e-3
        inverse_y = 1.0 / y
        # Outward, to the narrowest place, choked or not.
        choked = (y * y + 0.5 * less * v * v) * sonic
        is_choked = choked > y_0 * y_0
        throat = choked if is_choked else y_0 * y_0
        log = log_of(y * inverse_level if inward else throat * inverse_y * inverse_y)
        e = exp_of(power * log)
        share = opening * e
        flow = share * np.sqrt(throat)
        choked_value = v - flow
        choked_slope = 1.0 - flow * ((v - y) / choked + inverse_y)
        fall = (y * y - y_0 * y_0) * k + v * v
        free_value = v * v - share * share * fall
        free_slope = 2.0 * (v - share * share * (fall * inverse_y + v - y))
        out_value = choked_value if is_choked else free_value
        out_slope = choked_slope if is_choked else free_slope
        # Inward, with x = e.
        steep = power * rise * inverse_y  # of ln x with v
        slope_x = steep * e
        cooled = 1.0 - 0.5 * less_0 * v * v
        warmer = 1.0 / cooled
        part = v * warmer
        slope_part = (2.0 - cooled) * warmer * warmer
        q = e * e * part
        twice = opening * opening * k_0
        value = q * q - twice * (1.0 - e * e)
        slope = 2.0 * (q * (2.0 * e * slope_x * part + e * e * slope_part) + twice * e * slope_x)
        full = critical * exp_of((k_0 + 2.0) * (power * log - log_critical))
        sonic_slope = full * (slope_part + (k_0 + 2.0) * steep * part)
        value = value if e >= critical else full * part - opening
        slope = slope if e >= critical else sonic_slope
        value = value if inward else out_value
        slope = slope if inward else out_slope
        change = value / slope
        idle = (opening >= 1.0) & (not inward)
        change = 0.0 if idle else change
        w[PASSING + i] = v - change
        w[SHARE + i] = e - slope_x * change
        # What lies outside of its bracket is no solution.
        v = v - change
        lost = (not idle) & ((not (v >= 0.0)) | (not (v <= fastest)))
        w[CHANGE + i] = np.inf if lost else abs(change) - CLOSE * v


@kernel
def press(w: Buffer, walls: int) -> None:
    """How the gas presses at walls, which stand in the first places."""
    for i in range(rounded(walls)):
        density, velocity, pressure = w[DENSITY + i], w[VELOCITY + i], w[PRESSURE + i]
        w[THRUST + i] = wall_pressure(density, velocity, pressure, w[GAMMA + i], w[INVERSE + i]) * w[AREA + i]


@kernel
def unsolved(w: Buffer, ends: int) -> float:
    """By how much the worst end still changes too much; below `NOTHING` where all are solved."""
    worst = rank_of(0.0)
    for i in range(rounded(ends)):
        worst = max(worst, rank_of(w[CHANGE + i]))
    return of_rank(worst)


@kernel
def solve(w: Buffer, ends: int) -> None:
    """What passes every end, from what is known of it; `CHANGE` tells which are not solved.

    What fills the last places stands for ends from which gas runs away: there is nothing to solve.
    """
    for i in range(ends, rounded(ends)):
        w[OPENING + i], w[VELOCITY + i] = 1.0, FASTER_THAN_SOUND
    prepare(w, ends)
    for number in range(ROUNDS):
        improve(w, ends)
        if number > 0 and unsolved(w, ends) <= NOTHING:
            break
    finish(w, ends)


@kernel
def finish(w: Buffer, ends: int) -> None:
    """What passes in a second; and how fast, for the next time."""
    for i in range(rounded(ends)):
        less_0 = w[BEHIND_GAMMA + i] - 1.0
        y_s, y_0, v, area = w[SHUT_Y + i], w[LEVEL_Y + i], w[PASSING + i], w[AREA + i]
        rise, x, sound, velocity = w[RISE + i], w[SHARE + i], w[SOUND + i], w[VELOCITY + i]
        pressure, pressure_0, density = w[PRESSURE + i], w[BEHIND_PRESSURE + i], w[DENSITY + i]
        warmth, enthalpy = w[BEHIND_WARMTH + i], w[BEHIND_ENTHALPY + i]
        inverse, offset, change = w[INVERSE + i], w[OFFSET + i], w[CHANGE + i]
        k, k_0 = w[STIFF + i], w[STIFF_BEHIND + i]
        inward = y_0 > y_s
        y = y_s + rise * v
        fast = y_0 == 0.0
        y = 1.0 if fast else y
        base = x if inward else y
        thinner = exp_of((k_0 if inward else k) * log_of(base))
        p = thinner * base * base * (pressure_0 if inward else pressure)
        u = velocity if fast else sound * v
        u = -u if inward else u
        rho_in = p / (warmth * (1.0 - 0.5 * less_0 * v * v))
        rho_out = thinner * density
        rho = rho_in if inward else rho_out
        mass = rho * u * area
        out = u * (p * inverse + rho * (offset + 0.5 * u * u) + p) * area
        into = mass * enthalpy
        passing = -v if inward else u / sound
        w[MASS_FLOW + i] = mass
        w[THRUST + i] = p * area + mass * u
        w[ENERGY_FLOW + i] = into if inward else out
        w[PASSING + i] = passing
        w[CHANGE + i] = 0.0 if fast else change
