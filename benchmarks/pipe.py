"""Gas in one shut pipe, compiled, beside the same scheme written with whole arrays of NumPy."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from time import process_time

import numpy as np
from numpy.typing import NDArray

from benchmarks.pairs import Pair, Size, pair
from tappetry.simulation import rows
from tappetry.simulation.columns import SHUT
from tappetry.simulation.gas import Gas, engine_gas
from tappetry.simulation.pipe_kernels import BENDING
from tappetry.simulation.pipe_run import run_pipe
from tappetry.simulation.pipes import Layout, Pipe, fill, lay

Array = NDArray[np.float64]

LENGTH, COURANT = 1.0, 0.8
FRICTION, WALL_TEMPERATURE = 0.006, 500.0
CONSERVED = (rows.DENSITY, rows.MOMENTUM, rows.ENERGY, rows.BURNED, rows.FUEL)


def measure(size: Size) -> Iterator[Pair]:
    gas = engine_gas("C8H18", 1.1, 99e3, 1e3)
    for cells in (100, 300, 1000):
        duration = size.calls * COURANT * LENGTH / cells / 900.0
        start, other = filled(cells, gas), filled(cells, gas)
        begun = process_time()
        run(start, gas, duration)
        compiling = process_time() - begun
        steps = plain(other, gas, duration)
        for row in CONSERVED:
            np.testing.assert_allclose(start.row(0, row), other.row(0, row), rtol=1e-9, atol=1e-9)
        taken: list[int] = []  # both sides run on from where they are
        measured = pair(
            f"{cells} cells, {steps} steps",
            lambda start=start, duration=duration, taken=taken: taken.append(run(start, gas, duration)),
            "plain numpy",
            lambda other=other, duration=duration: plain(other, gas, duration),
            size.rounds,
        )
        speed = cells * sum(taken) / sum(measured.seconds) / 1e6
        note = f"{speed:.0f} million cell updates a second; first call {compiling:.1f} s"
        yield replace(measured, note=note)


def filled(cells: int, gas: Gas) -> Layout:
    """A pipe that widens, with waves of everything in it."""
    pipe = Pipe((0.0, LENGTH), (0.04, 0.05), cells, FRICTION, WALL_TEMPERATURE)
    layout = lay([pipe])
    wave = np.sin(2 * math.pi * (np.arange(cells) + 0.5) / cells)
    fill(
        layout, 0, gas, 1e5 * (1 + 0.2 * wave), 800 + 400 * wave, 30 * wave, 0.5 + 0.4 * wave, 0.02 * wave**2
    )
    return layout


def run(layout: Layout, gas: Gas, duration: float) -> int:
    """Ours."""
    ends = np.array([SHUT, SHUT], dtype=np.int64)
    cells = int(layout.cells[0])
    return run_pipe(layout.buffer, cells, gas.table, duration, COURANT, ends, np.zeros((2, 8)))


def half_slopes(values: Array) -> Array:
    """Of the monotonised central limiter."""
    below, above = values[1:-1] - values[:-2], values[2:] - values[1:-1]
    least = np.minimum(np.minimum(np.abs(below), np.abs(above)), 0.25 * np.abs(below + above))
    return np.where(below * above > 0.0, np.sign(below) * least, 0.0)


def with_ends(values: Array, sound: Array) -> Array:
    """Continued beyond both ends: in a straight line where that leaves enough."""
    low = 2 * values[0] - values[1] if sound[0] else values[0]
    high = 2 * values[-1] - values[-2] if sound[1] else values[-1]
    return np.concatenate([[low], values, [high]])


def plain(layout: Layout, gas: Gas, duration: float) -> int:
    """The scheme without areas of memory that are used again, loops over cells, or a compiler."""
    names = (rows.VELOCITY, rows.PRESSURE, rows.TEMPERATURE, rows.BURNED_SHARE, rows.FUEL_SHARE)
    u, p, t, y1, y2 = (layout.row(0, row).copy() for row in names)
    kept = (rows.INVERSE, rows.GAMMA, rows.OFFSET, rows.SOUND)
    inverse, gamma, offset, sound_speed = (layout.row(0, row).copy() for row in kept)
    conserved = [layout.row(0, row) for row in CONSERVED]
    cells = len(u)
    start = rows.AREA + 1
    area = layout.buffer[start : start + cells + 1]
    widening, friction = layout.row(0, rows.WIDENING), layout.row(0, rows.FRICTION)
    over_volume = layout.row(0, rows.INVERSE_VOLUME)
    length, done, steps = LENGTH / cells, 0.0, 0
    while done < duration:
        fastest = np.max(np.abs(u) + sound_speed)
        left = duration - done
        step = left / max(math.ceil(left / (COURANT * length / fastest)), 1)
        rho = conserved[0].copy()
        ends = (rho[[0, -1]], rho[[1, -2]], p[[0, -1]], p[[1, -2]])
        sound = (2 * ends[0] - ends[1] > 0.1 * ends[0]) & (2 * ends[2] - ends[3] > 0.1 * ends[2])
        d_rho, d_u, d_p = (half_slopes(with_ends(v, sound)) for v in (rho, u, p))
        d_y1, d_y2 = (half_slopes(np.clip(with_ends(v, sound), 0.0, 1.0)) for v in (y1, y2))
        h = step / length
        spread = d_u + u * widening
        m_rho = rho - h * (u * d_rho + rho * spread)
        m_u = u - h * (u * d_u + d_p / rho)
        m_p = p - h * (u * d_p + gamma * p * spread)
        enough = (m_rho - np.abs(d_rho) > 0.1 * rho) & (m_p - np.abs(d_p) > 0.1 * p)
        m_rho, d_rho = np.where(enough, m_rho, rho), np.where(enough, d_rho, 0.0)
        m_u, d_u = np.where(enough, m_u, u), np.where(enough, d_u, 0.0)
        m_p, d_p = np.where(enough, m_p, p), np.where(enough, d_p, 0.0)
        m_y1, m_y2 = y1 - h * u * d_y1, y2 - h * u * d_y2
        highs = [
            (m + d)[:-1] for m, d in ((m_rho, d_rho), (m_u, d_u), (m_p, d_p), (m_y1, d_y1), (m_y2, d_y2))
        ]
        lows = [(m - d)[1:] for m, d in ((m_rho, d_rho), (m_u, d_u), (m_p, d_p), (m_y1, d_y1), (m_y2, d_y2))]
        inner = between(highs, lows, inverse, sound_speed, offset)
        flows = [np.zeros(cells + 1) for _ in range(5)]
        for flow, value in zip(flows, inner, strict=True):
            flow[1:-1] = value * area[1:-1]
        for end, cell, sign in ((0, 0, -1.0), (-1, -1, 1.0)):
            rho_e, u_e, p_e = (
                m_rho[cell] + sign * d_rho[cell],
                sign * (m_u[cell] + sign * d_u[cell]),
                (m_p[cell] + sign * d_p[cell]),
            )
            g = gamma[cell]
            wall = max(1 + 0.5 * (g - 1) * u_e / math.sqrt(g * p_e / rho_e), 0.02)
            flows[1][end] = p_e * wall ** (2 * g / (g - 1)) * area[end]
        for value, flow in zip(conserved, flows, strict=True):
            value -= step * over_volume * np.diff(flow)
        conserved[1] += step * over_volume * m_p * np.diff(area)
        u = conserved[1] / conserved[0]
        passed = step * np.abs(u)
        u /= 1 + passed * friction  # what passed is counted before it was slowed
        y1, y2 = conserved[3] / conserved[0], conserved[4] / conserved[0]
        constant = np.stack([1 - y1 - y2, y1, y2], axis=1) @ gas.table[:, 0]
        capacity = conserved[0] * constant * inverse * gamma
        conserved[2] += passed * layout.row(0, rows.WALL_HEAT) * capacity * (WALL_TEMPERATURE - t)
        conserved[1][:] = conserved[0] * u
        energy = conserved[2] / conserved[0] - 0.5 * u * u
        t, p, inverse, gamma, offset = state(gas, conserved[0], energy, t, y1, y2)
        sound_speed = np.sqrt(gamma * constant * t)
        done = duration if step >= left else done + step
        steps += 1
    return steps


def between(
    left: list[Array], right: list[Array], inverse: Array, sound_speed: Array, offset: Array
) -> tuple[Array, ...]:
    """Flux through faces between two cells, for each area, after Harten, Lax, van Leer and Toro.

    Waves leave their gas with their mean speed, as in `tappetry.simulation.pipe_kernels`.
    """
    (rho_l, u_l, p_l, *_), (rho_r, u_r, p_r, *_) = left, right
    e_l = p_l * inverse[:-1] + rho_l * (offset[:-1] + 0.5 * u_l**2)
    e_r = p_r * inverse[1:] + rho_r * (offset[1:] + 0.5 * u_r**2)
    greater = np.maximum(sound_speed[:-1], sound_speed[1:])
    middle = (p_l - p_r + greater * (rho_l * u_l + rho_r * u_r)) / (greater * (rho_l + rho_r))
    one, other = (
        np.maximum(greater + BENDING * (closing + np.maximum(closing, 0)), 0.5 * greater)
        for closing in (u_l - middle, middle - u_r)
    )
    s_l, s_r = u_l - one, u_r + other
    m_l, m_r = rho_l * (s_l - u_l), rho_r * (s_r - u_r)
    contact = (p_r - p_l + m_l * u_l - m_r * u_r) / (m_l - m_r)
    first = contact >= 0
    rho, u, p, e = (np.where(first, *both) for both in ((rho_l, rho_r), (u_l, u_r), (p_l, p_r), (e_l, e_r)))
    wave = np.where(first, np.minimum(s_l, 0.5 * (u_l - greater)), np.maximum(s_r, 0.5 * (u_r + greater)))
    swept = rho * (wave - u)
    y1, y2 = (np.where(first, left[n], right[n]) for n in (3, 4))
    outside = np.where(first, wave >= 0, wave <= 0)
    star_p = p + swept * (contact - u)
    star_e = ((wave - u) * e - p * u + star_p * contact) / (wave - contact)
    star_rho = swept / (wave - contact)
    rho, e = np.where(outside, rho, star_rho), np.where(outside, e, star_e)
    u, p = np.where(outside, u, contact), np.where(outside, p, star_p)
    return rho * u, rho * u * u + p, (e + p) * u, rho * u * y1, rho * u * y2


def state(gas: Gas, rho: Array, energy: Array, t: Array, y1: Array, y2: Array) -> tuple[Array, ...]:
    """Temperature, pressure and what stays within a step, from the energy of a mass."""
    shares = np.stack([1 - y1 - y2, y1, y2], axis=1)
    constant = shares @ gas.table[:, 0]
    terms = np.where(t[:, np.newaxis] < 1000.0, shares @ gas.table[:, 1:7], shares @ gas.table[:, 7:]).T
    polynomial = np.polynomial.polynomial
    cv = polynomial.polyval(t, polynomial.polyder(terms), tensor=False)
    t = t + (energy - polynomial.polyval(t, terms, tensor=False)) / cv
    return t, rho * constant * t, cv / constant, 1 + constant / cv, energy - cv * t
