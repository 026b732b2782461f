"""Pipes, chambers and cylinders joined: the tables that the kernels turn, built from plain descriptions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tappetry.engineering.ranges import Range, require_between
from tappetry.simulation import columns, rows
from tappetry.simulation.columns import NO_VALVE, OPEN, SHUT
from tappetry.simulation.gas import Gas
from tappetry.simulation.pipes import Layout, Pipe, lay

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Chamber:
    """Gas in one piece that does not move.

    Attributes
    ----------
    volume : float
        [m3]
    pressure, temperature : float
        At the beginning. [Pa], [K]
    burned : float
        Share of burned gas at the beginning. [1]
    fixed : bool
        The surroundings: nothing changes their state.
    wall_conductance : float
        Heat that the wall gives in a second for each kelvin. [W/K]
    wall_temperature : float
        [K]
    """

    volume: float
    pressure: float
    temperature: float
    burned: float = 0.0
    fixed: bool = False
    wall_conductance: float = 0.0
    wall_temperature: float = 300.0


def surroundings(pressure: float, temperature: float) -> Chamber:
    """Air around the engine, which nothing changes."""
    return Chamber(1.0, pressure, temperature, fixed=True)


@dataclass(frozen=True, slots=True)
class End:
    """What stands at an end of a pipe.

    Attributes
    ----------
    volume : int
        Number of the volume behind it.
    area : float
        Effective area of the opening; that of the pipe where it is larger. [m2]
    valve : int
        `INTAKE` or `EXHAUST` of that cylinder, or `NO_VALVE`.
    kind : int
        `OPEN`, or `SHUT` for a wall.
    """

    volume: int
    area: float = math.inf
    valve: int = NO_VALVE
    kind: int = OPEN


WALL = End(0, 0.0, kind=SHUT)


class GasLost(RuntimeError):
    """Gas has no state any more: in which volume, at which angle, and what to look at."""

    def __init__(self, volume: int, cylinders: int, angle: float, row: Array) -> None:
        self.volume, self.angle = volume, angle
        name = (
            f"cylinder {volume + 1}" if volume < cylinders else f"volume {volume - cylinders + 1} beside them"
        )
        super().__init__(
            f"at {angle:.0f} degrees of the crank the gas of {name} has no state any more: "
            f"{row[columns.MASS] * 1e3:.3g} g in {row[columns.SPACE] * 1e6:.3g} cc at "
            f"{row[columns.TEMPERATURE]:.4g} K. Look at its volume, its valves and its fuel: "
            "more goes in or out in a step than it holds"
        )


@dataclass
class Network:
    """What is joined, with its state.

    Attributes
    ----------
    layout : Layout
        The pipes.
    gas : Gas
    volumes, cylinders, engine, valves, trace : ndarray
        Tables of the kernels, see `tappetry.simulation.columns`.
    kinds, behind, valve_in, areas : ndarray
        Of the ends, low and high of each pipe in turn.
    totals : ndarray, shape (ends, 6)
        What left the pipes at the ends; how fast gas passes there now, and a step before. [kg], [J]
    room : ndarray
        For `tappetry.simulation.end_lanes`.
    own_steps : int
        Those that pipes took which have their own, in the last turn.
    """

    layout: Layout
    gas: Gas
    volumes: Array
    cylinders: Array
    engine: Array
    valves: Array
    trace: Array
    kinds: NDArray[np.int64]
    behind: NDArray[np.int64]
    valve_in: NDArray[np.int64]
    areas: Array
    totals: Array
    room: Array
    own_steps: int = 0

    def copied(self) -> Network:
        """The same with a state of its own."""
        tables = {
            name: getattr(self, name).copy() for name in ("volumes", "cylinders", "engine", "trace", "totals")
        }
        return replace(self, layout=self.layout.copied(), room=rows.room_for_ends(), **tables)

    def take_state(self, other: Network) -> None:
        """Take the gas of another one that is joined in the same way, and what its rings let pass."""
        self._take_pipes(other.layout)
        areas = self.volumes[:, columns.OPEN_AREA].copy()
        self.volumes[:] = other.volumes
        self.volumes[:, columns.OPEN_AREA] = areas
        self.cylinders[:] = other.cylinders
        self.totals[:] = other.totals
        self.engine[columns.LEAK_AREA] = other.engine[columns.LEAK_AREA]

    def cut_anew(self, pipes: Sequence[Pipe]) -> Network:
        """The same with its pipes cut into other cells, which take the gas that stands in their middle.

        All else is shared, so this one is not to be turned any more.
        """
        other = replace(self, layout=lay(pipes, len(pipes) - self.layout.own))
        other._take_pipes(self.layout)
        return other

    def _take_pipes(self, other: Layout) -> None:
        """Take the gas of the same pipes that are cut otherwise, at the middle of each cell."""
        mine, state = self.layout, rows.STATE_END // rows.ROW
        pairs = zip(mine.cells, other.cells, strict=True)
        inside = np.concatenate([(2 * np.arange(cells) + 1) * many // (2 * cells) for cells, many in pairs])
        theirs = inside + np.repeat(other.starts + 1, mine.cells)
        mine.table[:state, mine.all_cells()] = other.table[:state, theirs]

    def go_on(self, other: Network, share: float) -> None:
        """Continue the change of the gas since another state by a share of it, where the gas allows it.

        What holds nothing, or would lose or gain more than half, stays.
        """
        from tappetry.simulation.pipe_kernels import update
        from tappetry.simulation.volume_kernels import settle_all

        mine, theirs = self.layout.buffer, other.layout.buffer
        held = slice(rows.DENSITY, rows.FUEL + rows.ROW)
        change = (share * (mine[held] - theirs[held])).reshape(5, rows.ROW)
        now = mine[held].reshape(5, rows.ROW)
        change[:, ~_moderate(change, now, (0, 2))] = 0.0
        mine[held] += change.ravel()
        moved = share * (self.volumes - other.volumes)
        moved[~_moderate(moved.T, self.volumes.T, (columns.MASS, columns.ENERGY))] = 0.0
        for column in (columns.MASS, columns.ENERGY, columns.BURNED, columns.FUEL, columns.TEMPERATURE):
            self.volumes[:, column] += moved[:, column]
        settle_all(self.volumes, self.gas.table)
        update(mine, self.layout.places, SCARCELY, self.gas.table)

    def turn(self, start: float, stop: float, courant: float = 0.9) -> int:
        """Turn the crank from an angle to another [deg]; return the number of steps.

        Raises
        ------
        GasLost
            The gas of a volume has no state any more.
        """
        from tappetry.simulation.cycle_kernels import turn

        layout = self.layout
        steps, self.own_steps, lost, angle = turn(
            layout.buffer,
            layout.starts,
            layout.cells,
            layout.own,
            self.gas.table,
            self.kinds,
            self.behind,
            self.valve_in,
            self.areas,
            self.totals,
            self.volumes,
            self.cylinders,
            self.engine,
            self.valves,
            self.trace,
            self.room,
            start,
            stop,
            courant,
        )
        if lost:
            raise GasLost(lost - 1, len(self.cylinders), angle, self.volumes[lost - 1])
        return steps


def _moderate(change: Array, now: Array, rows_of: tuple[int, int]) -> NDArray[np.bool_]:
    """Where both of two rows change by less than half of what they are."""
    first, second = (np.abs(change[row]) < 0.5 * np.abs(now[row]) for row in rows_of)
    moderate: NDArray[np.bool_] = first & second
    return moderate


SCARCELY = 1e-15
"""A step in which nothing passes, to find the state of gas that was set. [s]"""


def join(
    gas: Gas,
    pipes: Sequence[Pipe],
    ends: Sequence[tuple[End, End]],
    volumes: Sequence[Chamber],
    cylinders: int = 0,
    own: int = 0,
) -> Network:
    """Join pipes to volumes, of which the first are cylinders. The pipes are still empty.

    Parameters
    ----------
    gas : Gas
    pipes : sequence of Pipe
    ends : sequence of pairs of End
        Low and high end of each pipe.
    volumes : sequence of Chamber
    cylinders : int
        How many of the volumes are cylinders; their tables are still empty.
    own : int
        How many of the last pipes may take steps of their own.
    """
    from tappetry.simulation.volume_kernels import charge

    flat = [end for pair in ends for end in pair]
    require_between(
        "ends of pipes",
        len(flat),
        Range(1.0, rows.END_ROW - rows.LANES),
        source="ends that a row of the room holds",
    )
    table = np.zeros((len(volumes), columns.VOLUME_COLUMNS))
    charge(
        table,
        gas.table,
        np.array([(each.pressure, each.temperature, each.volume, each.burned, 0.0) for each in volumes]),
    )
    for row, chamber in zip(table, volumes, strict=True):
        row[columns.FIXED] = chamber.fixed
        row[columns.WALL_CONDUCTANCE] = chamber.wall_conductance
        row[columns.WALL_TEMPERATURE] = chamber.wall_temperature
    for number, pair in enumerate(ends):
        for end, diameter in zip(
            pair, (pipes[number].diameters[0], pipes[number].diameters[-1]), strict=True
        ):
            if end.kind == OPEN and end.valve == NO_VALVE:
                table[end.volume, columns.OPEN_AREA] += min(end.area, 0.25 * math.pi * diameter**2)
    table[table[:, columns.FIXED] == 1.0, columns.OPEN_AREA] = 0.0
    engine = np.zeros(columns.ENGINE_COLUMNS)
    engine[columns.SPEED], engine[columns.LARGEST_STEP] = 2.0 * math.pi, math.inf
    return Network(
        layout=lay(pipes, own),
        gas=gas,
        volumes=table,
        cylinders=np.zeros((cylinders, columns.CYLINDER_COLUMNS)),
        engine=engine,
        valves=np.zeros((2, columns.DEGREES * columns.VALVE_STEPS + 2)),
        trace=np.zeros((cylinders, columns.DEGREES, columns.TRACE_COLUMNS)),
        kinds=np.array([end.kind for end in flat], dtype=np.int64),
        behind=np.array([end.volume for end in flat], dtype=np.int64),
        valve_in=np.array([end.valve for end in flat], dtype=np.int64),
        areas=np.array([end.area for end in flat], dtype=float),
        totals=np.zeros((len(flat), 6)),
        room=rows.room_for_ends(),
    )
