"""What is compiled at set-up is what the first simulation takes."""

from __future__ import annotations

import re

import pytest

from tappetry.simulation.compiled import nothing_kept
from tappetry.simulation.cycle_kernels import turn
from tappetry.simulation.cylinder_kernels import advance_cylinder
from tappetry.simulation.engine import build
from tappetry.simulation.ready import compile_cylinders, main
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
    compile_cylinders()
    assert not nothing_kept()
    made = list(advance_cylinder.signatures)
    build(ENGINE, 300.0, COARSE).turn(0.0, 10.0)
    assert list(advance_cylinder.signatures) == made
