"""An engine of the invented shop: one cycle, a settled point, a curve, and the curve in two threads.

A cycle and a point stand beside as many cells taken one step further in one shut pipe; a curve beside its
speeds from rest, one by one; two rows of speeds beside one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from time import perf_counter

import numpy as np

from benchmarks import pipe
from benchmarks.demo_shop import shop
from benchmarks.pairs import Pair, Size, pair
from tappetry.services.breathing import describe
from tappetry.simulation.cycle import one_cycle
from tappetry.simulation.engine import Engine, Mesh
from tappetry.simulation.gas import Gas
from tappetry.simulation.pipes import Layout
from tappetry.simulation.results import curve, simulate

ENGINE = "B51"
SPEEDS = (2000.0, 5500.0)
FIRST, LAST, COUNT = 1500.0, 6500.0, 21
FINE = Mesh(50, 50, 50, 50)
RPM = math.pi / 30.0


def measure(size: Size) -> Iterator[Pair]:
    engine = describe(shop(), ENGINE).engine
    full = size.rounds > 1
    mesh = Mesh() if full else Mesh(4, 6, 5, 12)
    for rpm in SPEEDS:
        yield from at_a_speed(engine, rpm, mesh, size)
    speeds = np.linspace(FIRST, LAST, COUNT if full else 4) * RPM
    yield pair(
        f"{len(speeds)} speeds, {FIRST:.0f} to {LAST:.0f} rpm",
        lambda: curve(engine, speeds, mesh),
        "each from rest",
        lambda: [simulate(engine, float(speed), mesh) for speed in speeds],
        size.rounds,
    )
    yield in_threads(engine, speeds, mesh, size.rounds)


def in_threads(engine: Engine, speeds: np.ndarray, mesh: Mesh, rounds: int) -> Pair:
    """Two rows of speeds in two threads beside one, by the clock on the wall."""
    seconds: list[list[float]] = [[], []]
    for _ in range(rounds):
        for chains, kept in ((2, seconds[0]), (1, seconds[1])):
            begun = perf_counter()
            curve(engine, speeds, mesh, chains=chains)
            kept.append(perf_counter() - begun)
    ours, reference = (tuple(each) for each in seconds)
    least = min(ours) / min(reference)
    note = f"by the clock, so others on the machine count; least to least {least:.2f}"
    return Pair("the same in two threads", "in one", ours, reference, note)


def at_a_speed(engine: Engine, rpm: float, mesh: Mesh, size: Size) -> Iterator[Pair]:
    """A cycle, and a point from rest, with its error beside a fine mesh."""
    point, run = simulate(engine, rpm * RPM, mesh)
    layout, gas = run.network.layout, run.network.gas
    cells = int(np.sum(layout.cells))
    own = int(np.sum(layout.cells[layout.own :]))
    updates = (cells - own) * run.steps + own * run.network.own_steps
    alone = pipe.filled(cells, gas)
    trial = 100 * pipe.COURANT * pipe.LENGTH / cells / 900.0
    of_a_cycle = trial * updates / cells / pipe.run(alone, gas, trial)
    measured = pair(
        f"a cycle at {rpm:.0f} rpm, {updates / 1e3:.0f} thousand updates of cells",
        lambda: one_cycle(run),
        "as many in one pipe",
        lambda: pipe.run(alone, gas, of_a_cycle),
        size.rounds,
    )
    speed = updates / min(measured.seconds) / 1e6
    yield replace(measured, note=f"{speed:.0f} million cell updates a second, with all else that a cycle has")
    assert abs(run.mass_error) < 1e-9
    assert abs(run.energy_error) < 1e-9
    error = ""
    if size.rounds > 1:
        fine = simulate(engine, rpm * RPM, FINE)[0].volumetric_efficiency
        error = f", {100 * (point.volumetric_efficiency / fine - 1):+.2f} % of air beside 50 cells a pipe"
    yield replace(
        point_pair(engine, rpm, mesh, point.cycles, alone, gas, of_a_cycle * point.cycles, size),
        note=f"settled in {point.cycles} cycles{error}",
    )


def point_pair(
    engine: Engine, rpm: float, mesh: Mesh, cycles: int, alone: Layout, gas: Gas, duration: float, size: Size
) -> Pair:
    return pair(
        f"a point from rest at {rpm:.0f} rpm",
        lambda: simulate(engine, rpm * RPM, mesh),
        f"as many as {cycles} cycles' in one pipe",
        lambda: pipe.run(alone, gas, duration),
        size.rounds,
    )
