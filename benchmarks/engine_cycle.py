"""One cycle of an engine of the invented shop, beside as many steps of as many cells in one shut pipe."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from benchmarks import pipe
from benchmarks.demo_shop import shop
from benchmarks.pairs import Pair, Size, pair
from tappetry.services.breathing import describe
from tappetry.simulation.cycle import Settling, begin, one_cycle, settle_cycles
from tappetry.simulation.engine import Mesh

ENGINE = "B51"
SPEEDS = (2000.0, 5000.0)


def measure(size: Size) -> Iterator[Pair]:
    engine = describe(shop(), ENGINE).engine
    mesh = Mesh() if size.rounds > 1 else Mesh(4, 6, 5, 12)
    for rpm in SPEEDS:
        run = begin(engine, rpm * math.pi / 30.0, mesh)
        settle_cycles(run, Settling())
        cells, gas = int(np.sum(run.network.layout.cells)), run.network.gas
        alone = pipe.filled(cells, gas)
        trial = 100 * pipe.COURANT * pipe.LENGTH / cells / 900.0
        duration = trial * run.steps / pipe.run(alone, gas, trial)
        yield pair(
            f"{rpm:.0f} rpm, {cells} cells, {run.steps} steps",
            lambda run=run: one_cycle(run),
            "the same cells in one pipe",
            lambda alone=alone, gas=gas, duration=duration: pipe.run(alone, gas, duration),
            size.rounds,
            note=f"settled in {run.cycles} cycles",
        )
        assert abs(run.mass_error) < 1e-9
        assert abs(run.energy_error) < 1e-9
