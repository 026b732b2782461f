"""Sod's shock tube, compiled, beside PyClaw with its kernels in Fortran, to the same time.

Ours steps as far as in an engine, 0.98 of what its scheme could; PyClaw 0.9, as its own solver wants it.

PyClaw stands in a virtual environment of its own, which `scripts/pyclaw` makes, and runs in a process of its
own; each side counts its own processor time.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import process_time

import numpy as np
from numpy.typing import NDArray

from benchmarks.pairs import NotHere, Pair, Size
from tappetry.engineering.riemann import riemann_state
from tappetry.simulation import rows
from tappetry.simulation.columns import FREE
from tappetry.simulation.engine import Mesh
from tappetry.simulation.gas import perfect_gas
from tappetry.simulation.pipe_run import run_pipe
from tappetry.simulation.pipes import fill, lay, straight

Array = NDArray[np.float64]

HERE = Path(__file__).parent
PYTHON = HERE.parent / ".venv-pyclaw" / "bin" / "python"
GAS = perfect_gas(1.0, 1.4)
TIME = 0.2
LEFT, RIGHT = (1.0, 0.0, 1.0), (0.125, 0.0, 0.1)


def measure(size: Size) -> Iterator[Pair]:
    """Both sides in turn, in 400 and in 800 cells."""
    if not PYTHON.exists():
        raise NotHere("PyClaw", "scripts/pyclaw makes .venv-pyclaw for it, and wants a Fortran compiler")
    with answering() as pyclaw:
        for cells in (400, 800):
            ask(pyclaw, cells)
            ours(cells)
            seconds: list[list[float]] = [[], []]
            for number in range(size.rounds):
                sides = ((ours, seconds[0]), (lambda n: ask(pyclaw, n), seconds[1]))
                for side, kept in sides if number % 2 == 0 else reversed(sides):
                    kept.append(side(cells)[0])
            errors = [error(density, cells) for _, density in (ours(cells), ask(pyclaw, cells))]
            assert max(errors) < 0.003, errors
            note = f"mean error of density {errors[0]:.2e} beside {errors[1]:.2e}"
            yield Pair(f"Sod's tube in {cells} cells", "PyClaw", tuple(seconds[0]), tuple(seconds[1]), note)


@contextmanager
def answering() -> Iterator[subprocess.Popen[str]]:
    """PyClaw in a process of its own."""
    command = [str(PYTHON), str(HERE / "pyclaw_tube.py")]
    pipe, room = subprocess.PIPE, PYTHON.parents[1]  # where it writes its log
    with subprocess.Popen(command, stdin=pipe, stdout=pipe, text=True, cwd=room) as process:
        yield process


def ask(process: subprocess.Popen[str], cells: int) -> tuple[float, Array]:
    """PyClaw's seconds and densities."""
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(f"{cells}\n")
    process.stdin.flush()
    seconds, density = json.loads(process.stdout.readline())
    return seconds, np.array(density)


def ours(cells: int) -> tuple[float, Array]:
    """Our seconds and densities."""
    layout = lay([straight(1.0, 1.0, cells)])
    density, velocity, pressure = (
        np.where(middles(cells) < 0.5, left, right) for left, right in zip(LEFT, RIGHT, strict=True)
    )
    fill(layout, 0, GAS, pressure, pressure / density, velocity)
    ends, outside = np.array([FREE, FREE], dtype=np.int64), np.zeros((2, 8))
    begun = process_time()
    run_pipe(layout.buffer, cells, GAS.table, TIME, Mesh().courant, ends, outside)
    return process_time() - begun, layout.row(0, rows.DENSITY)


def middles(cells: int) -> Array:
    """Of the cells."""
    places: Array = (np.arange(cells) + 0.5) / cells
    return places


def error(density: Array, cells: int) -> float:
    """Mean, beside the exact solution."""
    exact = riemann_state(*LEFT, *RIGHT, 1.4, TIME, 0.5, middles(cells)).gas_density
    return float(np.mean(np.abs(density - exact)))
