"""What is compiled at set-up is what the first simulation takes."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tappetry.simulation.compiled import nothing_kept
from tappetry.simulation.cycle_kernels import turn
from tappetry.simulation.cylinder_kernels import advance_cylinder
from tappetry.simulation.engine import build
from tappetry.simulation.pipe_kernels import update
from tappetry.simulation.ready import compile_a_part, main
from tests.simulation.bench_engine import COARSE, ENGINE

pytestmark = pytest.mark.slow


def test_an_engine_needs_nothing_that_was_not_made_ready(capsys: pytest.CaptureFixture[str]) -> None:
    assert main() == 0
    told = capsys.readouterr().err.splitlines()
    assert told[0] == "simulation: compiling what turns an engine (some ten seconds the first time) ..."
    assert re.fullmatch(r"simulation: ready after \d+\.\d s", told[1])
    made = list(turn.signatures)
    build(ENGINE, 300.0, COARSE).turn(0.0, 10.0)
    assert list(turn.signatures) == made


def test_what_a_second_process_compiles_is_what_an_engine_takes() -> None:
    compile_a_part()
    assert not nothing_kept()
    made = [list(each.signatures) for each in (advance_cylinder, update)]
    build(ENGINE, 300.0, COARSE).turn(0.0, 10.0)
    assert [list(each.signatures) for each in (advance_cylinder, update)] == made


TRIED = """
import sys
from tappetry.simulation.compiled import kernel
from tappetry.simulation.volume_kernels import nozzle_flux
print(nozzle_flux(2e5, 300.0, 1.4, 287.0, 1e5), "numba.np.npyimpl" in sys.modules)

@kernel
def doubled(numbers):
    return 2.0 * numbers.sum()

import numpy
print(doubled(numpy.arange(4.0)))
"""


def test_what_was_kept_comes_without_what_compiles_and_what_was_not_is_compiled(tmp_path: Path) -> None:
    """The first time both are compiled; then one is read, and the other, which has no file, compiled."""
    answers = []
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", TRIED],
            env={**os.environ, "NUMBA_CACHE_DIR": str(tmp_path)},
            capture_output=True,
            text=True,
            check=True,
        )
        answers.append(done.stdout.split())
    (flux, came, twice), (again, comes, once_more) = answers
    assert flux == again
    assert twice == once_more == "12.0"
    assert (came, comes) == ("True", "False")
