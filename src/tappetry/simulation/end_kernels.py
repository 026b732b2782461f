"""What passes the end of a pipe: shut, free, or through an opening to a volume, either way, choked or not.

The wave that runs out of the pipe ties velocity and pressure at the face: with k = 2 / (gamma - 1), and
y = (p / p_1)^((gamma - 1) / (2 gamma)), the outward velocity is k a_1 (y_s - y), where y_s belongs to a shut
end. Flow without loss from the face, or from the volume, to the narrowest place of the opening is the second
equation; where gas enters the pipe its jet keeps the pressure of the narrowest place and mixes without loss
of energy. Both are solved by Newton's method within a bracket, for the velocity u over the speed of sound in
the pipe, or w over that in the volume, with X = (p / p_0)^((gamma_0 - 1) / (2 gamma_0)) at the face.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation.columns import FREE, SHUT
from tappetry.simulation.compiled import inlined, kernel
from tappetry.simulation.lane_math import exp_of, log_of
from tappetry.simulation.rows import (
    AREA,
    BURNED_FLOW,
    ENERGY_FLOW,
    FUEL_FLOW,
    GAMMA,
    HIGH_BURNED,
    HIGH_DENSITY,
    HIGH_FUEL,
    HIGH_PRESSURE,
    HIGH_VELOCITY,
    INVERSE,
    LOW_BURNED,
    LOW_DENSITY,
    LOW_FUEL,
    LOW_PRESSURE,
    LOW_VELOCITY,
    MASS_FLOW,
    OFFSET,
    THRUST,
)

Buffer = NDArray[np.float64]

ROUNDS = 60
CLOSE, NOTHING = 3e-5, 1e-11
"""Relative change of a velocity that is the last, for Newton's method leaves the order of its square; and the
velocity over that of sound that is none. [1]"""

SLACK = 0.02
"""y of a wall from which the gas runs away so fast that next to nothing is left."""


@kernel
def outward(y_s: float, y_0: float, gamma: float, opening: float, guess: float) -> float:
    """Where the gas of a pipe flows out: y at the face.

    Parameters
    ----------
    y_s : float
        y at a shut end. [1]
    y_0 : float
        y at the pressure of the volume, below `y_s`. [1]
    gamma : float
        Of the gas in the pipe. [1]
    opening : float
        Area of the opening over that of the pipe, above 0, at most 1. [1]
    guess : float
        Outward velocity over the speed of sound, as it was before; 0 where nothing is known. [1]

    Returns
    -------
    float
        At least that of sonic flow at the face. [1]
    """
    k = 2.0 / (gamma - 1.0)
    fastest = min(k * (y_s - y_0), y_s * k / (k + 1.0))  # at the volume's pressure, or at that of sound
    if opening >= 1.0:
        return max(y_0, y_s * k / (k + 1.0))
    low, high = 0.0, fastest
    u = guess
    if not low < guess < high:
        u = min(high, opening * (y_0 / y_s) ** k * math.sqrt(k * max(y_s * y_s - y_0 * y_0, 0.0)))
    for _ in range(ROUNDS):
        y = y_s - u / k
        choked = 2.0 / (gamma + 1.0) * (y * y + u * u / k)
        if choked > y_0 * y_0:
            y_t = math.sqrt(choked)
            flow = opening * (y_t / y) ** k * y_t
            value = u - flow
            slope = 1.0 - flow * ((k + 1.0) / (gamma + 1.0) * 2.0 / k * (u - y) / choked + 1.0 / y)
        else:
            # The flow and that of the nozzle, squared: so both are smooth where pressures are level.
            share = (opening * (y_0 / y) ** k) ** 2
            fall = k * (y * y - y_0 * y_0) + u * u
            value = u * u - share * fall
            slope = 2.0 * u - 2.0 * share * (fall / y + u - y)
        if value > 0.0:
            high = u
        else:
            low = u
        u_next = u - value / slope
        if not low <= u_next <= high:
            u_next = 0.5 * (low + high)
        if abs(u_next - u) < CLOSE * u_next + NOTHING:
            return y_s - u_next / k
        u = u_next
    return y_s - u / k


@kernel
def inward(
    y_s: float, y_00: float, gamma: float, gamma_0: float, speed: float, opening: float, guess: float
) -> tuple[float, float]:
    """Where gas of the volume flows into the pipe: X at the face, and velocity over a_0.

    Parameters
    ----------
    y_s : float
        y at a shut end. [1]
    y_00 : float
        y at the pressure of the volume, above `y_s`. [1]
    gamma, gamma_0 : float
        Of the gas in the pipe and in the volume. [1]
    speed : float
        Speed of sound in the pipe over that in the volume. [1]
    opening : float
        Area of the opening over that of the pipe, above 0, at most 1. [1]
    guess : float
        The velocity over a_0 as it was before; 0 where nothing is known. [1]

    Returns
    -------
    tuple of float
        The velocity is at most that of sound at the face. [1]
    """
    k, k_0 = 2.0 / (gamma - 1.0), 2.0 / (gamma_0 - 1.0)
    power = gamma * (gamma_0 - 1.0) / (gamma_0 * (gamma - 1.0))
    critical = math.sqrt(k_0 / (k_0 + 1.0))
    rise = 1.0 / (k * speed)  # of y with w
    low, high = 0.0, min((y_00 - y_s) / rise, critical)  # at the volume's pressure, or at that of sound
    w = guess
    if not low < guess < high:
        w = high
        x = (y_s / y_00) ** power
        # The flow into the pressure of a shut end.
        if x >= critical:
            w = min(w, opening * math.sqrt(k_0 * max(1.0 - x * x, 0.0)) / (x * x))
        else:
            w = min(w, opening / critical * (critical / x) ** (k_0 + 2.0))
    x = 1.0
    for _ in range(ROUNDS):
        y = y_s + rise * w
        x = (y / y_00) ** power
        slope_x = power * x * rise / y
        cooled = 1.0 - w * w / k_0
        part = w / cooled
        slope_part = (1.0 + w * w / k_0) / (cooled * cooled)
        if x >= critical:
            # The flow and that of the nozzle, squared: so both are smooth where pressures are level.
            q = x * x * part
            value = q * q - opening * opening * k_0 * (1.0 - x * x)
            slope = 2.0 * q * (2.0 * x * slope_x * part + x * x * slope_part)
            slope += 2.0 * opening * opening * k_0 * x * slope_x
        else:
            full = critical * (x / critical) ** (k_0 + 2.0)
            value = full * part - opening
            slope = full * (slope_part + (k_0 + 2.0) * slope_x / x * part)
        if value > 0.0:
            high = w
        else:
            low = w
        w_next = w - value / slope
        if not low <= w_next <= high:
            w_next = 0.5 * (low + high)
        if abs(w_next - w) < CLOSE * w_next + NOTHING:
            return x + slope_x * (w_next - w), w_next
        w = w_next
    return x, w


@inlined
def wall_pressure(density: float, velocity: float, pressure: float, gamma: float, inverse: float) -> float:
    """Of gas that runs against a wall, or away from it; by `inverse` see `tappetry.simulation.rows`."""
    k = 2.0 * inverse
    y_s = 1.0 + velocity / (k * np.sqrt(gamma * pressure / density))
    y_s = y_s if y_s > SLACK else SLACK
    return pressure * exp_of((k + 2.0) * log_of(y_s))


@kernel
def pass_nothing(s: Buffer, face: int, thrust: float) -> None:
    """Write that nothing passes a face, and how the gas presses there."""
    s[MASS_FLOW + face] = s[ENERGY_FLOW + face] = s[BURNED_FLOW + face] = s[FUEL_FLOW + face] = 0.0
    s[THRUST + face] = thrust


@kernel
def pass_end(
    s: Buffer,
    start: int,
    cells: int,
    high: bool,
    kind: int,
    area: float,
    volume_pressure: float,
    volume_gamma: float,
    volume_constant: float,
    volume_temperature: float,
    volume_enthalpy: float,
    volume_burned: float,
    volume_fuel: float,
    guess: float,
) -> float:
    """Write what passes the face of an end in a second; return how fast, for the next guess.

    The places of the pipe begin at `start`; `area` is the effective one of the opening [m2]. The velocity is
    over the speed of sound, outward and in the pipe, or below 0 and in the volume.
    """
    cell = start + (cells if high else 1)
    face = start + (cells + 1 if high else 1)
    sign = 1.0 if high else -1.0
    if high:
        rho, u, p = s[HIGH_DENSITY + cell], s[HIGH_VELOCITY + cell], s[HIGH_PRESSURE + cell]
        burned, fuel = s[HIGH_BURNED + cell], s[HIGH_FUEL + cell]
    else:
        rho, u, p = s[LOW_DENSITY + cell], -s[LOW_VELOCITY + cell], s[LOW_PRESSURE + cell]
        burned, fuel = s[LOW_BURNED + cell], s[LOW_FUEL + cell]
    gamma, face_area = s[GAMMA + cell], s[AREA + face]
    if kind == SHUT or (kind != FREE and area <= 0.0):
        pass_nothing(s, face, wall_pressure(rho, u, p, gamma, s[INVERSE + cell]) * face_area)
        return 0.0
    a = math.sqrt(gamma * p / rho)
    opening = min(area / face_area, 1.0)
    if kind != FREE and not (opening >= 1.0 and u >= a):
        k = 2.0 / (gamma - 1.0)
        y_s = max(1.0 + u / (k * a), SLACK)
        ratio = volume_pressure / p
        y_0 = ratio ** (1.0 / (k + 2.0))
        if y_0 > y_s:
            a_0 = math.sqrt(volume_gamma * volume_constant * volume_temperature)
            x, w = inward(y_s, y_0, gamma, volume_gamma, a / a_0, opening, -guess)
            k_0 = 2.0 / (volume_gamma - 1.0)
            p = volume_pressure * x ** (k_0 + 2.0)
            u = -w * a_0
            mass = p / (volume_constant * volume_temperature * (1.0 - w * w / k_0)) * u * face_area
            s[MASS_FLOW + face] = sign * mass
            s[THRUST + face] = p * face_area + mass * u
            s[ENERGY_FLOW + face] = sign * mass * volume_enthalpy
            s[BURNED_FLOW + face] = sign * mass * volume_burned
            s[FUEL_FLOW + face] = sign * mass * volume_fuel
            return -w
        y = outward(y_s, y_0, gamma, opening, guess)
        u = k * a * (y_s - y)
        thinner = ratio / (y * y) if y == y_0 else y**k
        rho *= thinner
        p *= thinner * y * y
    mass = rho * u * face_area
    energy = p * s[INVERSE + cell] + rho * (s[OFFSET + cell] + 0.5 * u * u)
    s[MASS_FLOW + face] = sign * mass
    s[THRUST + face] = p * face_area + mass * u
    s[ENERGY_FLOW + face] = sign * u * (energy + p) * face_area
    s[BURNED_FLOW + face] = sign * mass * burned
    s[FUEL_FLOW + face] = sign * mass * fuel
    return u / a
