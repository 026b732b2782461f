"""Pipes in one buffer: their shape cut into cells, and the gas that they are filled with."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.ranges import Range, Real, require_between
from tappetry.simulation import rows
from tappetry.simulation.gas import SPLIT, Gas

Array = NDArray[np.float64]

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
    pocket : float
        Volume beside the way of the gas, in the part from `pocket_from` to `pocket_to`: it fills and
        empties, and what it holds neither flows nor rubs. [m3]
    pocket_from, pocket_to : float
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
    pocket: float = 0.0
    pocket_from: float = 0.0
    pocket_to: float = 0.0

    @property
    def length(self) -> float:
        """From end to end. [m]"""
        return self.positions[-1]


def straight(length: float, diameter: float, cells: int) -> Pipe:
    """A pipe of one diameter without friction."""
    return Pipe((0.0, float(length)), (float(diameter), float(diameter)), cells)


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
    own : int
        Number of the first pipe of those that may take shorter steps of their own: it and all after it, which
        begin at a whole lane.
    """

    buffer: NDArray[np.float64]
    starts: NDArray[np.int64]
    cells: NDArray[np.int64]
    lengths: NDArray[np.float64]
    own: int

    def copied(self) -> Layout:
        """The same with a buffer of its own."""
        buffer = rows.aligned(len(self.buffer), 1)
        buffer[:] = self.buffer
        return replace(self, buffer=buffer)

    def row(self, pipe: int, row: int) -> NDArray[np.float64]:
        """A row of the cells of a pipe, as a view."""
        start = int(self.starts[pipe]) + row + 1
        return self.buffer[start : start + int(self.cells[pipe])]

    @property
    def places(self) -> int:
        """Of all pipes, those beyond their ends among them."""
        return int(self.starts[-1] + self.cells[-1] + 2)

    @property
    def table(self) -> Array:
        """The buffer by its rows, as a view; shape (ROWS, ROW)."""
        return self.buffer.reshape(rows.ROWS, rows.ROW)

    def all_cells(self) -> NDArray[np.int64]:
        """Places of all cells, pipe after pipe."""
        before = np.cumsum(self.cells) - self.cells
        return np.arange(int(np.sum(self.cells))) + np.repeat(self.starts + 1 - before, self.cells)

    @property
    def all_volumes(self) -> Array:
        """Of all places; 0 beyond ends. [m3]"""
        inverse = self.everywhere(rows.INVERSE_VOLUME)
        return np.divide(1.0, inverse, out=np.zeros(len(inverse)), where=inverse > 0.0)

    def everywhere(self, row: int) -> Array:
        """A row of all places, those beyond ends among them, as a view."""
        return self.buffer[row : row + self.places]

    def total(self, row: int, volumes: Array) -> float:
        """What all pipes hold of a row that counts for each volume."""
        return float(self.everywhere(row) @ volumes)

    def volumes(self, pipe: int) -> NDArray[np.float64]:
        """Of the cells of a pipe. [m3]"""
        volumes: NDArray[np.float64] = 1.0 / self.row(pipe, rows.INVERSE_VOLUME)
        return volumes


def lay(pipes: Sequence[Pipe], own: int = 0) -> Layout:
    """Cut pipes into cells of one length each; the last `own` may take steps of their own.

    Raises
    ------
    OutOfRange
        A pipe has too few cells, or all have more than a row of the buffer holds; or none is left that steps
        with the rest.
    """
    cells = np.array([pipe.cells for pipe in pipes], dtype=np.int64)
    require_between(
        "cells of a pipe", float(np.min(cells)), Range(FEWEST_CELLS, math.inf), source="slopes need three"
    )
    require_between(
        "pipes with steps of their own",
        own,
        Range(0.0, len(pipes) - 1.0),
        source="the others step with volumes and cylinders",
    )
    first_own = len(pipes) - own
    ends = np.cumsum(cells + 2).astype(np.int64)
    if own > 0:
        ends[first_own:] += -ends[first_own - 1] % rows.LANES
    require_between(
        "cells of all pipes and their ends",
        float(ends[-1] + 2 * rows.LANES),
        Range(0.0, rows.ROW),
        source="places of a row of the buffer",
        advice="Make the cells longer",
    )
    lengths = np.array([pipe.length / pipe.cells for pipe in pipes])
    layout = Layout(rows.aligned(rows.ROWS * rows.ROW, 1), ends - cells - 2, cells, lengths, first_own)
    table = layout.table
    # Beyond ends stands a gas that has a state, and no volume.
    for row in (rows.DENSITY, rows.PRESSURE, rows.INVERSE, rows.SPECIFIC_VOLUME, rows.SOUND, rows.AREA):
        table[row // rows.ROW] = 1.0
    table[rows.GAMMA // rows.ROW] = 2.0
    table[rows.TEMPERATURE // rows.ROW] = 300.0
    for pipe, start in zip(pipes, layout.starts + 1, strict=True):
        shape = _shape(pipe)
        table[SHAPE_ROWS, start : start + pipe.cells] = shape[:, :-1]
        layout.buffer[rows.AREA + start + pipe.cells] = shape[0, -1]
    return layout


SHAPE_ROWS = [
    row // rows.ROW
    for row in (
        rows.AREA,
        rows.INVERSE_VOLUME,
        rows.WIDENING,
        rows.FRICTION,
        rows.WALL_HEAT,
        rows.WALL,
        rows.INVERSE_LENGTH,
        rows.INVERSE_REACH,
    )
]


@lru_cache(maxsize=64)
def _shape(pipe: Pipe) -> Array:
    """What `SHAPE_ROWS` name, of the faces or of the cells; shape (8, cells + 1).

    The volume of a cell is that of the pipe there, and the area of a face lets gas be as slow to move as that
    of the pipe from the middle of one cell to that of the next: so a few cells do for a port with a pocket.
    """
    length = pipe.length / pipe.cells
    faces = np.linspace(0.0, pipe.length, pipe.cells + 1)
    middle = 0.5 * (faces[1:] + faces[:-1])
    stations, held, inertance = _integrals(pipe, np.concatenate([faces, middle]))
    volume = np.diff(np.interp(faces, stations, held))
    ends = 0.25 * math.pi * np.array([pipe.diameters[0], pipe.diameters[-1]]) ** 2
    between = length / np.diff(np.interp(middle, stations, inertance))
    area = np.concatenate([ends[:1], between, ends[1:]])
    mean_diameter = np.sqrt(4.0 * volume / (math.pi * length))
    shape = np.zeros((len(SHAPE_ROWS), pipe.cells + 1))
    shape[0] = area
    whole = volume + pipe.pocket * _shares(faces, pipe.pocket_from, pipe.pocket_to)
    shape[1, :-1] = 1.0 / whole
    shape[2, :-1] = 0.5 * np.diff(area) / volume * length
    shape[3, :-1] = 2.0 * pipe.friction / mean_diameter
    shape[4, :-1] = shape[3, :-1] * volume / whole
    if pipe.added_loss > 0.0:
        # dp = K rho u^2 / 2 over some length slows the gas by K u |u| / 2 for each length of it.
        shape[3, :-1] += 0.5 * pipe.added_loss * _shares(faces, pipe.loss_from, pipe.loss_to) / length
    walls = np.broadcast_to(pipe.wall_temperature, (len(pipe.positions),))
    shape[5, :-1] = np.interp(middle, pipe.positions, walls)
    shape[6, :-1] = 1.0 / length
    shape[7, :-1] = 1.0 / volume
    shape.setflags(write=False)
    return shape


def _shares(faces: Array, low: float, high: float) -> Array:
    """How much of what lies between two places lies in each cell; nothing where they are one."""
    inside: Array = np.maximum(np.minimum(faces[1:], high) - np.maximum(faces[:-1], low), 0.0)
    return inside / (high - low) if high > low else inside


def _integrals(pipe: Pipe, places: Array) -> tuple[Array, Array, Array]:
    """Stations and places in order; volume up to each, and length over area. [m], [m3], [1/m]"""
    stations = np.unique(np.concatenate([places, pipe.positions]))
    diameter = np.interp(stations, pipe.positions, pipe.diameters)
    low, high, length = diameter[:-1], diameter[1:], np.diff(stations)
    volume = math.pi / 12.0 * length * (low * low + low * high + high * high)
    inertance = 4.0 / math.pi * length / (low * high)
    return stations, _up_to(volume), _up_to(inertance)


def _up_to(parts: Array) -> Array:
    """Sums of the first parts, from none to all."""
    return np.concatenate([np.zeros(1), np.cumsum(parts)])


def fill(
    layout: Layout,
    pipe: int,
    gas: Gas,
    pressure: Real,
    temperature: Real,
    velocity: Real = 0.0,
    burned: Real = 0.0,
    fuel: Real = 0.0,
) -> None:
    """Fill a pipe with gas, uniform or cell by cell.

    Parameters
    ----------
    pressure, temperature, velocity, burned, fuel : float or array_like
        Of the gas in the cells: [Pa], [K], [m/s] and shares by mass [1].
    """
    first = int(layout.starts[pipe]) + 1
    cells = np.arange(first, first + int(layout.cells[pipe]))
    fill_cells(layout, cells, gas, pressure, temperature, velocity, burned, fuel)


def fill_cells(
    layout: Layout,
    cells: NDArray[np.int64],
    gas: Gas,
    pressure: Real,
    temperature: Real,
    velocity: Real,
    burned: Real,
    fuel: Real = 0.0,
) -> None:
    """Fill the cells at some places, as `fill` does those of a pipe."""
    p, t, u, y1, y2 = (
        np.broadcast_to(np.asarray(value, dtype=float), cells.shape)
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
        rows.HEAT: np.zeros(len(cells)),
    }
    for row, values in state.items():
        layout.buffer[row + cells] = values
