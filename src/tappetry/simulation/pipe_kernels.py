"""The gas of all pipes over one time step: slopes, fluxes between cells, update, temperature.

Second order by Hancock's predictor on limited slopes, fluxes after Harten, Lax, van Leer and Toro with mean
speeds of waves, all of it in conserved quantities times area. The heat capacity of a cell stays as it is
within a step: its energy is p INVERSE + rho OFFSET + rho u u / 2, which is exact at the beginning and as good
as the scheme to the end.

Each kernel goes over all pipes at once: it takes the buffer and the number of places from the first to the
last. Loops run on to a multiple of `LANES`: what is left over would be worked on one by one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation.compiled import inlined, kernel
from tappetry.simulation.gas import SPLIT
from tappetry.simulation.lane_math import of_rank, rank_of
from tappetry.simulation.rows import (
    AREA,
    BURNED,
    BURNED_FLOW,
    BURNED_SHARE,
    DENSITY,
    ENERGY,
    ENERGY_FLOW,
    FRICTION,
    FUEL,
    FUEL_FLOW,
    FUEL_SHARE,
    GAMMA,
    HEAT,
    HIGH_BURNED,
    HIGH_DENSITY,
    HIGH_FUEL,
    HIGH_PRESSURE,
    HIGH_VELOCITY,
    INVERSE,
    INVERSE_LENGTH,
    INVERSE_REACH,
    INVERSE_VOLUME,
    LANES,
    LOW_BURNED,
    LOW_DENSITY,
    LOW_FUEL,
    LOW_PRESSURE,
    LOW_VELOCITY,
    MASS_FLOW,
    MIDDLE_PRESSURE,
    MOMENTUM,
    OFFSET,
    PRESSURE,
    SOUND,
    SPECIFIC_VOLUME,
    TEMPERATURE,
    THRUST,
    VELOCITY,
    WALL,
    WALL_HEAT,
    WIDENING,
)

Buffer = NDArray[np.float64]

KEPT = 0.1
"""An edge keeps at least this share of its cell's density and pressure, or the cell goes without slopes."""

BENDING = 0.6
"""A quarter of gamma + 1, of cold air: how a wave's mean speed changes with that of the gas behind it. A wave
that presses its gas together counts twice: the strongest shock comes to that, and none exceeds it."""


@inlined
def rounded(count: int) -> int:
    """The next multiple of the cells that are worked on at once."""
    return (count + LANES - 1) // LANES * LANES


@inlined
def half_slope(below: float, above: float) -> float:
    """Half the change across a cell: of the monotonised central limiter, from the changes to both sides."""
    mean = 0.25 * (below + above)
    least = below if below < above else above
    most = above if below < above else below
    # Where both have one sign between 0 and the smaller of them, and 0 where they have not.
    least = least if least > 0.0 else 0.0
    most = most if most < 0.0 else 0.0
    mean = mean if mean < least else least
    return mean if mean > most else most


@kernel
def extrapolate(s: Buffer, start: int, cells: int) -> None:
    """Continue the gas of the pipe that begins at `start` in a straight line beyond both ends.

    Where that would leave too little it is continued as it is; shares go no further than nothing and all.
    """
    for side in range(2):
        beyond = start + side * (cells + 1)
        inward = 1 - 2 * side
        end, inner = beyond + inward, beyond + 2 * inward
        density = 2.0 * s[DENSITY + end] - s[DENSITY + inner]
        pressure = 2.0 * s[PRESSURE + end] - s[PRESSURE + inner]
        sound = density > KEPT * s[DENSITY + end] and pressure > KEPT * s[PRESSURE + end]
        for row in (DENSITY, VELOCITY, PRESSURE):
            at_end = s[row + end]
            s[row + beyond] = 2.0 * at_end - s[row + inner] if sound else at_end
        for row in (BURNED_SHARE, FUEL_SHARE):
            at_end = s[row + end]
            straight = 2.0 * at_end - s[row + inner] if sound else at_end
            s[row + beyond] = min(max(straight, 0.0), 1.0)


@kernel
def edges(s: Buffer, places: int, step: float) -> None:
    """States at both edges of every cell, half a step ahead."""
    for j in range(rounded(places)):
        i = j + 1
        h = step * s[INVERSE_LENGTH + i]
        rho, u, p = s[DENSITY + i], s[VELOCITY + i], s[PRESSURE + i]
        burned, fuel = s[BURNED_SHARE + i], s[FUEL_SHARE + i]
        d_rho = half_slope(rho - s[DENSITY + i - 1], s[DENSITY + i + 1] - rho)
        d_u = half_slope(u - s[VELOCITY + i - 1], s[VELOCITY + i + 1] - u)
        d_p = half_slope(p - s[PRESSURE + i - 1], s[PRESSURE + i + 1] - p)
        d_burned = half_slope(burned - s[BURNED_SHARE + i - 1], s[BURNED_SHARE + i + 1] - burned)
        d_fuel = half_slope(fuel - s[FUEL_SHARE + i - 1], s[FUEL_SHARE + i + 1] - fuel)
        drift, squeeze = h * u, h * (d_u + u * s[WIDENING + i])
        m_rho = rho - drift * d_rho - squeeze * rho
        m_u = u - drift * d_u - h * s[SPECIFIC_VOLUME + i] * d_p
        m_p = p - drift * d_p - squeeze * (s[GAMMA + i] * p)
        m_burned = burned - drift * d_burned
        m_fuel = fuel - drift * d_fuel
        low_rho, high_rho = m_rho - d_rho, m_rho + d_rho
        low_p, high_p = m_p - d_p, m_p + d_p
        low_u, high_u = m_u - d_u, m_u + d_u
        enough, hard = KEPT * rho, KEPT * p
        sound = (low_rho > enough) & (high_rho > enough) & (low_p > hard) & (high_p > hard)
        s[LOW_DENSITY + i] = low_rho if sound else rho
        s[LOW_VELOCITY + i] = low_u if sound else u
        s[LOW_PRESSURE + i] = low_p if sound else p
        s[HIGH_DENSITY + i] = high_rho if sound else rho
        s[HIGH_VELOCITY + i] = high_u if sound else u
        s[HIGH_PRESSURE + i] = high_p if sound else p
        s[LOW_BURNED + i] = m_burned - d_burned
        s[LOW_FUEL + i] = m_fuel - d_fuel
        s[HIGH_BURNED + i] = m_burned + d_burned
        s[HIGH_FUEL + i] = m_fuel + d_fuel
        s[MIDDLE_PRESSURE + i] = m_p if sound else p


@inlined
def wave_speed(sound: float, closing: float, least: float) -> float:
    """By how much a wave leaves its gas, on the average over the wave.

    What is stretched behind its head is slower, what is pressed together faster. At least half the speed of
    sound: so the gas behind it keeps pressure and density above 0.
    """
    speed = sound + BENDING * (closing + (closing if closing > 0.0 else 0.0))
    return speed if speed > least else least


@kernel
def meet(s: Buffer, places: int) -> None:
    """Contact, wave, and the gas that passes, at each face between two cells.

    They are kept in the rows of what passes the face: `pass_faces` takes them up. One loop over both would
    wait for its divisions.
    """
    for j in range(rounded(places)):
        i = j + 1
        rho_l, u_l, p_l = s[HIGH_DENSITY + i - 1], s[HIGH_VELOCITY + i - 1], s[HIGH_PRESSURE + i - 1]
        rho_r, u_r, p_r = s[LOW_DENSITY + i], s[LOW_VELOCITY + i], s[LOW_PRESSURE + i]
        one, other = s[SOUND + i - 1], s[SOUND + i]
        sound = one if one > other else other
        drop, least = p_l - p_r, 0.5 * sound
        # How fast the gas between both waves would run, were they weak, tells how fast they are.
        middle = (drop + sound * (rho_l * u_l + rho_r * u_r)) / (sound * (rho_l + rho_r))
        speed_l = wave_speed(sound, u_l - middle, least)
        speed_r = wave_speed(sound, middle - u_r, least)
        push_l, push_r = rho_l * speed_l, rho_r * speed_r
        contact = (drop + push_l * u_l + push_r * u_r) / (push_l + push_r)
        left = contact >= 0.0
        u = u_l if left else -u_r
        speed = speed_l if left else speed_r
        # Where the head of a wave runs back and its tail on, half of its head counts.
        half = 0.5 * u + least
        s[MASS_FLOW + i] = contact
        s[THRUST + i] = speed if speed > half else half
        s[ENERGY_FLOW + i] = rho_l if left else rho_r
        s[BURNED_FLOW + i] = u
        s[FUEL_FLOW + i] = p_l if left else p_r


@kernel
def pass_faces(s: Buffer, places: int) -> None:
    """What passes each face in a second, from what `meet` kept. The way of the contact counts as forward."""
    for j in range(rounded(places)):
        i = j + 1
        contact, speed = s[MASS_FLOW + i], s[THRUST + i]
        rho, u, p = s[ENERGY_FLOW + i], s[BURNED_FLOW + i], s[FUEL_FLOW + i]
        burned_l, burned_r = s[HIGH_BURNED + i - 1], s[LOW_BURNED + i]
        fuel_l, fuel_r = s[HIGH_FUEL + i - 1], s[LOW_FUEL + i]
        inverse_l, inverse_r = s[INVERSE + i - 1], s[INVERSE + i]
        offset_l, offset_r = s[OFFSET + i - 1], s[OFFSET + i]
        left = contact >= 0.0
        contact = abs(contact)
        # Where the wave itself is carried along the gas passes as it is, which is the same as if the contact
        # moved with it.
        contact = u if u >= speed else contact
        jump = contact - u
        push = rho * jump
        star_p = p - speed * push
        flow = s[AREA + i] * (contact * speed / (speed + jump))
        forward = flow if left else 0.0
        back = forward - flow
        volume_flow = forward + back
        rho_forward, rho_back = rho * forward, rho * back
        s[MASS_FLOW + i] = rho_forward + rho_back
        s[THRUST + i] = (rho_forward - rho_back) * contact + star_p * s[AREA + i]
        held = p * (forward * inverse_l + back * inverse_r) + (rho_forward * offset_l + rho_back * offset_r)
        s[ENERGY_FLOW + i] = held + volume_flow * (u * (0.5 * rho * u + push) + star_p)
        s[BURNED_FLOW + i] = rho_forward * burned_l + rho_back * burned_r
        s[FUEL_FLOW + i] = rho_forward * fuel_l + rho_back * fuel_r


@kernel
def fluxes(s: Buffer, places: int) -> None:
    """What passes each face between two cells in a second; what it writes at ends is to be written anew."""
    meet(s, places)
    pass_faces(s, places)


@inlined
def are_cold(s: Buffer, places: int) -> bool:
    """Whether no gas is above the split of the polynomials of its heat."""
    rank = rank_of(0.0)
    for j in range(rounded(places)):
        rank = max(rank, rank_of(s[TEMPERATURE + j + 1]))
    return of_rank(rank) < SPLIT


@inlined
def move_on(s: Buffer, places: int, step: float, g: Buffer, all_cold: bool) -> float:
    """Let pass what passes in a step, rub and warm the gas at the wall, find its new state; return `fastest`.

    Newton's method takes one step from the temperature before: the heat capacity changes so little from step
    to step that the rest is of the order of the rounding, and the next step takes it up.
    """
    # Air, and by how much burned gas and fuel differ from it; small letters below the split, large above.
    r0, r1, r2 = g[0, 0], g[1, 0] - g[0, 0], g[2, 0] - g[0, 0]
    a0, a1, a2, a3, a4, a5 = g[0, 1], g[0, 2], g[0, 3], g[0, 4], g[0, 5], g[0, 6]
    A0, A1, A2, A3, A4, A5 = g[0, 7], g[0, 8], g[0, 9], g[0, 10], g[0, 11], g[0, 12]
    b0, b1, b2 = g[1, 1] - a0, g[1, 2] - a1, g[1, 3] - a2
    b3, b4, b5 = g[1, 4] - a3, g[1, 5] - a4, g[1, 6] - a5
    B0, B1, B2 = g[1, 7] - A0, g[1, 8] - A1, g[1, 9] - A2
    B3, B4, B5 = g[1, 10] - A3, g[1, 11] - A4, g[1, 12] - A5
    f0, f1, f2 = g[2, 1] - a0, g[2, 2] - a1, g[2, 3] - a2
    f3, f4, f5 = g[2, 4] - a3, g[2, 5] - a4, g[2, 6] - a5
    F0, F1, F2 = g[2, 7] - A0, g[2, 8] - A1, g[2, 9] - A2
    F3, F4, F5 = g[2, 10] - A3, g[2, 11] - A4, g[2, 12] - A5
    rank = rank_of(0.0)
    for j in range(rounded(places)):
        i = j + 1
        w = step * s[INVERSE_VOLUME + i]
        rho = s[DENSITY + i] - w * (s[MASS_FLOW + i + 1] - s[MASS_FLOW + i])
        push = s[MIDDLE_PRESSURE + i] * (s[AREA + i + 1] - s[AREA + i])
        momentum = s[MOMENTUM + i] - step * s[INVERSE_REACH + i] * (s[THRUST + i + 1] - s[THRUST + i] - push)
        energy = s[ENERGY + i] - w * (s[ENERGY_FLOW + i + 1] - s[ENERGY_FLOW + i])
        burned = s[BURNED + i] - w * (s[BURNED_FLOW + i + 1] - s[BURNED_FLOW + i])
        fuel = s[FUEL + i] - w * (s[FUEL_FLOW + i + 1] - s[FUEL_FLOW + i])
        t = s[TEMPERATURE + i]
        # One division for 1 / rho and for the velocity after friction, m / (rho + step k |m|).
        swept = step * abs(momentum)
        slowed = rho + swept * s[FRICTION + i]
        both = 1.0 / (rho * slowed)
        volume = slowed * both
        u = momentum * rho * both
        y1, y2 = burned * volume, fuel * volume
        constant = r0 + y1 * r1 + y2 * r2
        heat = swept * s[WALL_HEAT + i] * (constant * s[INVERSE + i] + constant) * (s[WALL + i] - t)
        energy = energy + heat
        s[HEAT + i] += heat
        e = energy * volume - 0.5 * u * u
        cold = all_cold | (t < SPLIT)
        c0 = (a0 if cold else A0) + y1 * (b0 if cold else B0) + y2 * (f0 if cold else F0)
        c1 = (a1 if cold else A1) + y1 * (b1 if cold else B1) + y2 * (f1 if cold else F1)
        c2 = (a2 if cold else A2) + y1 * (b2 if cold else B2) + y2 * (f2 if cold else F2)
        c3 = (a3 if cold else A3) + y1 * (b3 if cold else B3) + y2 * (f3 if cold else F3)
        c4 = (a4 if cold else A4) + y1 * (b4 if cold else B4) + y2 * (f4 if cold else F4)
        c5 = (a5 if cold else A5) + y1 * (b5 if cold else B5) + y2 * (f5 if cold else F5)
        # Horner's scheme for the energy, and what it leaves on the way for its derivative.
        h4 = c4 + t * c5
        h3 = c3 + t * h4
        h2 = c2 + t * h3
        h1 = c1 + t * h2
        before = c0 + t * h1
        cv = h1 + t * (h2 + t * (h3 + t * (h4 + t * c5)))
        both = 1.0 / (cv * constant)
        inverse_cv = constant * both
        t = t + (e - before) * inverse_cv if w > 0.0 else t  # beyond ends it stays
        elastic = constant * t
        gamma = 1.0 + constant * inverse_cv
        s[DENSITY + i] = rho
        s[MOMENTUM + i] = rho * u
        s[ENERGY + i] = energy
        s[BURNED + i] = burned
        s[FUEL + i] = fuel
        s[VELOCITY + i] = u
        s[PRESSURE + i] = rho * elastic
        s[TEMPERATURE + i] = t
        s[BURNED_SHARE + i] = y1
        s[FUEL_SHARE + i] = y2
        s[INVERSE + i] = cv * cv * both
        s[GAMMA + i] = gamma
        s[OFFSET + i] = e - cv * t
        s[SPECIFIC_VOLUME + i] = volume
        sound = np.sqrt(gamma * elastic)
        s[SOUND + i] = sound
        rank = max(rank, rank_of((abs(u) + sound) * s[INVERSE_LENGTH + i]))
    return of_rank(rank)


@kernel
def update(s: Buffer, places: int, step: float, g: Buffer) -> float:
    """Let pass what passes in a step, find the new state of the gas, and return `fastest` of it.

    It is quicker where all gas is cold.
    """
    if are_cold(s, places):
        return move_on(s, places, step, g, True)
    return move_on(s, places, step, g, False)


@kernel
def fastest(s: Buffer, places: int) -> float:
    """Cells that the fastest wave passes in a second."""
    rank = rank_of(0.0)
    for j in range(rounded(places)):
        i = j + 1
        rank = max(rank, rank_of((abs(s[VELOCITY + i]) + s[SOUND + i]) * s[INVERSE_LENGTH + i]))
    return of_rank(rank)
