"""Pipes in one buffer: their shape cut into cells, and the gas that they are filled with."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.ranges import Range, Real, require_between
from tappetry.simulation import rows
from tappetry.simulation.gas import SPLIT, Gas

FEWEST_CELLS = 3


@dataclass(frozen=True, slots=True)
class Pipe:
    """A pipe whose diameter changes in straight lines from station to station.

    Attributes
    ----------
    positions : tuple of float
        Of the stations, rising from 0, the low end; the last is the length. [m]
    diameters : tuple of float
        At the stations. [m]
    cells : int
        At least 3; 0 before the pipe is cut.
    friction : float
        Fanning's factor, tau / (rho u^2 / 2). [1]
    wall_temperature : float or tuple of float
        Of the whole wall, or at the stations and in straight lines between them. [K]
    added_loss : float
        Of pressure over rho u^2 / 2 at the mean area, in the part from `loss_from` to `loss_to`. [1]
    loss_from, loss_to : float
        [m]
    """

    positions: tuple[float, ...]
    diameters: tuple[float, ...]
    cells: int = 0
    friction: float = 0.0
    wall_temperature: float | tuple[float, ...] = 300.0
    added_loss: float = 0.0
    loss_from: float = 0.0
    loss_to: float = 0.0

    @property
    def length(self) -> float:
        """From end to end. [m]"""
        return self.positions[-1]


def straight(length: float, diameter: float, cells: int) -> Pipe:
    """A pipe of one diameter without friction."""
    return Pipe((0.0, float(length)), (float(diameter), float(diameter)), cells)


def cut(pipe: Pipe, cell_length: float) -> Pipe:
    """The pipe in cells of about one length, and at least the fewest. [m]"""
    return replace(pipe, cells=max(FEWEST_CELLS, round(pipe.length / cell_length)))


@dataclass(frozen=True, slots=True)
class Layout:
    """Pipes that share a buffer.

    Attributes
    ----------
    buffer : ndarray, shape (ROWS * ROW,)
        See `tappetry.simulation.rows`.
    starts : ndarray of int
        Where the places of each pipe begin.
    cells : ndarray of int
        Of each pipe.
    lengths : ndarray
        Of a cell of each pipe. [m]
    """

    buffer: NDArray[np.float64]
    starts: NDArray[np.int64]
    cells: NDArray[np.int64]
    lengths: NDArray[np.float64]

    def row(self, pipe: int, row: int) -> NDArray[np.float64]:
        """A row of the cells of a pipe, as a view."""
        start = int(self.starts[pipe]) + row + 1
        return self.buffer[start : start + int(self.cells[pipe])]

    def volumes(self, pipe: int) -> NDArray[np.float64]:
        """Of the cells of a pipe. [m3]"""
        volumes: NDArray[np.float64] = 1.0 / self.row(pipe, rows.INVERSE_VOLUME)
        return volumes


def lay(pipes: Sequence[Pipe]) -> Layout:
    """Cut pipes into cells of one length each.

    Raises
    ------
    OutOfRange
        A pipe has too few cells, or all have more than a row of the buffer holds.
    """
    for pipe in pipes:
        require_between(
            "cells of a pipe", pipe.cells, Range(FEWEST_CELLS, math.inf), source="slopes need three"
        )
    cells = np.array([pipe.cells for pipe in pipes], dtype=np.int64)
    places = (cells + 2 * rows.LANES) // rows.LANES * rows.LANES + 3
    starts = np.concatenate([[0], np.cumsum(places)[:-1]]).astype(np.int64)
    require_between(
        "cells of all pipes and their ends",
        float(starts[-1] + places[-1]),
        Range(0.0, rows.ROW),
        source="places of a row of the buffer",
        advice="Make the cells longer",
    )
    lengths = np.array([pipe.length / pipe.cells for pipe in pipes])
    layout = Layout(np.zeros(rows.ROWS * rows.ROW), starts, cells, lengths)
    for number, pipe in enumerate(pipes):
        _shape(layout, number, pipe)
    return layout


def _shape(layout: Layout, number: int, pipe: Pipe) -> None:
    faces = np.linspace(0.0, pipe.length, pipe.cells + 1)
    diameter = np.interp(faces, pipe.positions, pipe.diameters)
    area = 0.25 * math.pi * diameter**2
    low, high = area[:-1], area[1:]
    length = layout.lengths[number]
    volume = length * (low + high + np.sqrt(low * high)) / 3.0
    middle = 0.5 * (faces[1:] + faces[:-1])
    mean_diameter = np.sqrt(4.0 * volume / (math.pi * length))
    start = int(layout.starts[number]) + rows.AREA + 1
    layout.buffer[start : start + pipe.cells + 1] = area
    layout.row(number, rows.INVERSE_VOLUME)[:] = 1.0 / volume
    layout.row(number, rows.WIDENING)[:] = (high - low) / volume * length
    friction = 2.0 * pipe.friction / mean_diameter
    inside = (middle > pipe.loss_from) & (middle < pipe.loss_to)
    if pipe.added_loss > 0.0:
        # dp = K rho u^2 / 2 over some length slows the gas by K u |u| / 2 for each length of it.
        friction = friction + np.where(inside, 0.5 * pipe.added_loss / (length * np.sum(inside)), 0.0)
    layout.row(number, rows.FRICTION)[:] = friction
    layout.row(number, rows.WALL_HEAT)[:] = 2.0 * pipe.friction / mean_diameter
    walls = np.broadcast_to(pipe.wall_temperature, (len(pipe.positions),))
    layout.row(number, rows.WALL)[:] = np.interp(middle, pipe.positions, walls)


def fill(
    layout: Layout,
    pipe: int,
    gas: Gas,
    pressure: float,
    temperature: float,
    velocity: Real = 0.0,
    burned: float = 0.0,
    fuel: float = 0.0,
) -> None:
    """Fill a pipe with gas, uniform or cell by cell.

    Parameters
    ----------
    pressure, temperature, velocity, burned, fuel : float or array_like
        Of the gas in the cells: [Pa], [K], [m/s] and shares by mass [1].
    """
    cells = int(layout.cells[pipe])
    p, t, u, y1, y2 = (
        np.broadcast_to(np.asarray(value, dtype=float), (cells,))
        for value in (pressure, temperature, velocity, burned, fuel)
    )
    shares = np.stack([1.0 - y1 - y2, y1, y2], axis=1)
    constant = shares @ gas.table[:, 0]
    terms = np.where(t[:, np.newaxis] < SPLIT, shares @ gas.table[:, 1:7], shares @ gas.table[:, 7:])
    powers = t[:, np.newaxis] ** np.arange(6)
    energy = np.sum(terms * powers, axis=1)
    capacity = np.sum(terms[:, 1:] * powers[:, :-1] * np.arange(1, 6), axis=1)
    density, gamma = p / (constant * t), 1.0 + constant / capacity
    state = {
        rows.DENSITY: density,
        rows.MOMENTUM: density * u,
        rows.ENERGY: density * (energy + 0.5 * u * u),
        rows.BURNED: density * y1,
        rows.FUEL: density * y2,
        rows.VELOCITY: u,
        rows.PRESSURE: p,
        rows.TEMPERATURE: t,
        rows.BURNED_SHARE: y1,
        rows.FUEL_SHARE: y2,
        rows.INVERSE: capacity / constant,
        rows.GAMMA: gamma,
        rows.OFFSET: energy - capacity * t,
        rows.SPECIFIC_VOLUME: 1.0 / density,
        rows.SOUND: np.sqrt(gamma * constant * t),
        rows.HEAT: np.zeros(cells),
    }
    for row, values in state.items():
        layout.row(pipe, row)[:] = values
