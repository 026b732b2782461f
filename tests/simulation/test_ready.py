"""What is compiled at set-up is what the first simulation takes."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from functools import lru_cache
from pathlib import Path

import pytest

from tappetry.simulation import compiled, compiling, end_lanes
from tappetry.simulation.compiled import Kernel
from tappetry.simulation.cycle_kernels import turn
from tappetry.simulation.cylinder_kernels import advance_cylinder
from tappetry.simulation.engine import build
from tappetry.simulation.pipe_kernels import update
from tappetry.simulation.pipe_steps import advance_pipes
from tappetry.simulation.ready import compile_a_part, main
from tappetry.simulation.results import curve
from tests.simulation.bench_engine import COARSE, ENGINE

pytestmark = pytest.mark.slow


def test_an_engine_needs_nothing_that_was_not_made_ready(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    modules = [module for name, module in sys.modules.items() if name.startswith("tappetry.simulation.")]
    kernels = {each for module in modules for each in vars(module).values() if isinstance(each, Kernel)}
    for each in kernels:
        monkeypatch.setattr(each, "made", {})
    assert main() == 0
    made = {each.__qualname__: set(each.made) for each in kernels if each.made}
    assert {"charge", "cylinder_volume", "gas_state", "settle_all", "turn", "update"} <= made.keys()
    told = capsys.readouterr().err.splitlines()
    assert told[0] == "simulation: compiling what turns an engine (some ten seconds the first time) ..."
    assert re.fullmatch(r"simulation: ready after \d+\.\d s", told[1])
    assert len(curve(ENGINE, [300.0, 310.0, 320.0], COARSE)) == 3
    assert {each.__qualname__: set(each.made) for each in kernels if each.made} == made


def test_what_a_second_process_compiles_is_what_an_engine_takes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Numba counts what it found kept, and what it had to compile."""
    compile_a_part()
    monkeypatch.setattr(compiling, "_called", lru_cache(maxsize=None)(compiling._called.__wrapped__))
    monkeypatch.setattr(compiled, "kept_folder", lambda: None)
    for those_that_call in (turn, advance_pipes):
        monkeypatch.setattr(those_that_call, "made", {})
    n = build(ENGINE, 300.0, COARSE)
    n.turn(0.0, 1.0)
    pipes, ends = len(n.layout.starts), (n.kinds, n.behind, n.valve_in, n.areas, n.totals)
    laid = n.layout.starts, n.layout.cells, 0, n.gas.table
    tables = n.volumes, n.cylinders, n.valves, n.room
    advance_pipes(n.layout.buffer, laid, ends, tables, 0, pipes, 1.0, 1e-6)
    for part in (advance_cylinder, end_lanes.solve, update):
        counted = compiling._called(part).stats
        assert sum(counted.cache_hits.values()) > 0
        assert sum(counted.cache_misses.values()) == 0


TRIED = """
import sys
from tappetry.simulation.volume_kernels import nozzle_flux
print(nozzle_flux(2e5, 300.0, 1.4, 287.0, 1e5), "numba" in sys.modules)
"""


def test_what_was_kept_comes_without_what_compiles(tmp_path: Path) -> None:
    """The first time it is compiled, then it is read."""
    answers = []
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", TRIED],
            env={**os.environ, "XDG_CACHE_HOME": str(tmp_path)},
            capture_output=True,
            text=True,
            check=True,
        )
        answers.append(done.stdout.split())
    (flux, came), (again, comes) = answers
    assert flux == again
    assert (came, comes) == ("True", "False")
