"""A pipe by itself for tests: filled cell by cell, run between two ends, and read."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tappetry.simulation import rows
from tappetry.simulation.columns import FREE
from tappetry.simulation.gas import Gas, perfect_gas
from tappetry.simulation.pipe_run import run_pipe
from tappetry.simulation.pipes import Layout, Pipe, fill, lay

UNIT_GAS = perfect_gas(1.0, 1.4)
"""R = 1: temperature is pressure over density, as published shock tubes are stated."""

Array = NDArray[np.float64]


@dataclass
class Tube:
    """A pipe and its gas."""

    pipe: Pipe
    gas: Gas = UNIT_GAS

    def __post_init__(self) -> None:
        self.layout: Layout = lay([self.pipe])
        self.steps = 0

    @property
    def places(self) -> Array:
        """Middles of the cells."""
        return (np.arange(self.pipe.cells) + 0.5) * self.pipe.length / self.pipe.cells

    def fill(self, pressure: object, temperature: object, velocity: object = 0.0, **shares: object) -> None:
        fill(self.layout, 0, self.gas, pressure, temperature, velocity, **shares)  # type: ignore[arg-type]

    def run(
        self,
        duration: float,
        ends: tuple[int, int] = (FREE, FREE),
        outside: object = None,
        courant: float = 0.5,
    ) -> None:
        beyond = np.zeros((2, 8)) if outside is None else np.asarray(outside, dtype=float)
        self.steps += run_pipe(
            self.layout.buffer,
            self.pipe.cells,
            self.gas.table,
            duration,
            courant,
            np.array(ends, dtype=np.int64),
            beyond,
        )

    def row(self, row: int) -> Array:
        return self.layout.row(0, row)

    def total(self, row: int) -> float:
        """What the pipe holds of a row that counts for each volume."""
        return float(np.sum(self.row(row) * self.layout.volumes(0)))

    @property
    def density(self) -> Array:
        return self.row(rows.DENSITY)

    @property
    def velocity(self) -> Array:
        return self.row(rows.VELOCITY)

    @property
    def pressure(self) -> Array:
        return self.row(rows.PRESSURE)

    @property
    def temperature(self) -> Array:
        return self.row(rows.TEMPERATURE)


def volume_of(gas: Gas, area: float, pressure: float, temperature: float, gamma: float) -> list[float]:
    """What stands behind an end: a volume of a perfect gas."""
    constant = float(gas.table[0, 0])
    enthalpy = gamma / (gamma - 1.0) * constant * temperature
    return [area, pressure, gamma, constant, temperature, enthalpy, 0.0, 0.0]


def state_of(layout: Layout, pipe: int) -> Array:
    """All rows that tell the state of the gas in a pipe; shape (rows, cells)."""
    first = int(layout.starts[pipe]) + 1
    return layout.table[: rows.STATE_END // rows.ROW, first : first + int(layout.cells[pipe])]
