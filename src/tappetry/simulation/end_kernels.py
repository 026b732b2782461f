"""What passes the end of a pipe: shut, free, or through an opening to a volume, either way, choked or not.

The wave that runs out of the pipe ties velocity and pressure at the face: with k = 2 / (gamma - 1), and
y = (p / p_1)^((gamma - 1) / (2 gamma)), the outward velocity is k a_1 (y_s - y), where y_s belongs to a shut
end. Flow without loss from the face, or from the volume, to the narrowest place of the opening is the second
equation; where gas enters the pipe its jet keeps the pressure of the narrowest place and mixes without loss
of energy. Both are solved within a bracket, the one by Newton's method in y, the other by the secant method
in X = (p / p_0)^((gamma_0 - 1) / (2 gamma_0)).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation.compiled import kernel
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

SHUT, FREE, OPEN = 0, 1, 2
"""Kinds of ends: a wall; gas that runs on as if the pipe did; an opening to a volume."""

ROUNDS = 60
CLOSE = 1e-12
SLACK = 0.02
"""y of a wall from which the gas runs away so fast that next to nothing is left."""


@kernel
def outward(y_s: float, y_0: float, gamma: float, opening: float) -> float:
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

    Returns
    -------
    float
        At least that of sonic flow at the face. [1]
    """
    k = 2.0 / (gamma - 1.0)
    sonic = y_s * k / (k + 1.0)
    low, high = max(y_0, sonic), y_s
    if opening >= 1.0:
        return low
    y = high - 0.3 * opening * (high - low)
    for _ in range(ROUNDS):
        u = k * (y_s - y)
        choked = math.sqrt(2.0 / (gamma + 1.0) * (y * y + u * u / k))
        if choked > y_0:
            y_t, u_t = choked, choked
            share = (y_t / y) ** k
            slope_t = 2.0 / (gamma + 1.0) * (y - u) / y_t
            slope = share * (k + 1.0) * slope_t - k * share * y_t / y
        else:
            y_t = y_0
            u_t = math.sqrt(max(k * (y * y - y_t * y_t) + u * u, 0.0))
            share = (y_t / y) ** k
            slope = share * (k * (y - u) / u_t if u_t > 0.0 else 0.0) - k * share * u_t / y
        value = u - opening * share * u_t
        if value > 0.0:
            low = y
        else:
            high = y
        step: float = value / (-k - opening * slope)
        y_next = y - step
        if not low < y_next < high:
            y_next = 0.5 * (low + high)
        if abs(y_next - y) < CLOSE * y_s:
            return y_next
        y = y_next
    return y


@kernel
def inward_balance(
    x: float, y_s: float, y_00: float, exponent: float, speed: float, k: float, k_0: float, opening: float
) -> tuple[float, float]:
    """How far more mass enters the pipe than leaves the volume, and the velocity over the volume's a_0."""
    w: float = k * speed * (y_00 * x**exponent - y_s)
    cooled = 1.0 - w * w / k_0
    critical = math.sqrt(k_0 / (k_0 + 1.0))
    if cooled <= 0.0:
        return 1e9, w
    if x >= critical:
        return x * x * w / cooled - opening * math.sqrt(max(k_0 * (1.0 - x * x), 0.0)), w
    return critical * ((x / critical) ** (k_0 + 2.0) * critical * w / cooled - opening), w


@kernel
def inward(
    y_s: float, y_00: float, gamma: float, gamma_0: float, speed: float, opening: float
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

    Returns
    -------
    tuple of float
        The velocity is at most that of sound at the face. [1]
    """
    k, k_0 = 2.0 / (gamma - 1.0), 2.0 / (gamma_0 - 1.0)
    exponent = gamma_0 * (gamma - 1.0) / (gamma * (gamma_0 - 1.0))
    critical = math.sqrt(k_0 / (k_0 + 1.0))
    low, high = (y_s / y_00) ** (1.0 / exponent), 1.0
    sonic = ((y_s + critical / (k * speed)) / y_00) ** (1.0 / exponent)
    if sonic < high:
        high = sonic
        if inward_balance(high, y_s, y_00, exponent, speed, k, k_0, opening)[0] < 0.0:
            return high, critical
    x, x_before = 0.5 * (low + high), low
    before = inward_balance(low, y_s, y_00, exponent, speed, k, k_0, opening)[0]
    for _ in range(ROUNDS):
        value, w = inward_balance(x, y_s, y_00, exponent, speed, k, k_0, opening)
        if value > 0.0:
            high = x
        else:
            low = x
        rise = value - before
        x_next = x - value * (x - x_before) / rise if rise != 0.0 else 0.5 * (low + high)
        if not low < x_next < high:
            x_next = 0.5 * (low + high)
        if abs(x_next - x) < CLOSE:
            return x_next, k * speed * (y_00 * x_next**exponent - y_s)
        x_before, before, x = x, value, x_next
    return x, w


@kernel
def pass_end(
    s: Buffer,
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
) -> None:
    """Write what passes the face of an end in a second; `area` is the effective one of the opening. [m2]"""
    cell = cells if high else 1
    face = cells + 1 if high else 1
    sign = 1.0 if high else -1.0
    if high:
        rho, u, p = s[HIGH_DENSITY + cell], s[HIGH_VELOCITY + cell], s[HIGH_PRESSURE + cell]
        burned, fuel = s[HIGH_BURNED + cell], s[HIGH_FUEL + cell]
    else:
        rho, u, p = s[LOW_DENSITY + cell], -s[LOW_VELOCITY + cell], s[LOW_PRESSURE + cell]
        burned, fuel = s[LOW_BURNED + cell], s[LOW_FUEL + cell]
    gamma, face_area = s[GAMMA + cell], s[AREA + face]
    a, k = math.sqrt(gamma * p / rho), 2.0 / (gamma - 1.0)
    y_s = max(1.0 + u / (k * a), SLACK)
    opening = min(area / face_area, 1.0)
    if kind == SHUT or (kind == OPEN and opening <= 0.0):
        s[MASS_FLOW + face] = s[ENERGY_FLOW + face] = s[BURNED_FLOW + face] = s[FUEL_FLOW + face] = 0.0
        s[THRUST + face] = p * y_s ** (k + 2.0) * face_area
        return
    if kind == OPEN and not (opening >= 1.0 and u >= a):
        y_0 = (volume_pressure / p) ** (1.0 / (k + 2.0))
        if y_0 > y_s:
            a_0 = math.sqrt(volume_gamma * volume_constant * volume_temperature)
            x, w = inward(y_s, y_0, gamma, volume_gamma, a / a_0, opening)
            k_0 = 2.0 / (volume_gamma - 1.0)
            p = volume_pressure * x ** (k_0 + 2.0)
            u = -w * a_0
            mass = p / (volume_constant * volume_temperature * (1.0 - w * w / k_0)) * u * face_area
            s[MASS_FLOW + face] = sign * mass
            s[THRUST + face] = p * face_area + mass * u
            s[ENERGY_FLOW + face] = sign * mass * volume_enthalpy
            s[BURNED_FLOW + face] = sign * mass * volume_burned
            s[FUEL_FLOW + face] = sign * mass * volume_fuel
            return
        y = outward(y_s, y_0, gamma, opening)
        u = k * a * (y_s - y)
        rho *= y**k
        p *= y ** (k + 2.0)
    mass = rho * u * face_area
    energy = p * s[INVERSE + cell] + rho * (s[OFFSET + cell] + 0.5 * u * u)
    s[MASS_FLOW + face] = sign * mass
    s[THRUST + face] = p * face_area + mass * u
    s[ENERGY_FLOW + face] = sign * u * (energy + p) * face_area
    s[BURNED_FLOW + face] = sign * mass * burned
    s[FUEL_FLOW + face] = sign * mass * fuel
