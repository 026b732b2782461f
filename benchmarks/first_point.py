"""The first simulated point from the start of its process, and all kernels compiled anew by two processes.

The point stands beside a Python that brings up NumPy, for it cannot do with less; what compiles beside one
that has Numba compile the least.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from benchmarks.pairs import Pair, Size, pair
from tappetry.services.shop import make_demo_shop

POINT = "from tappetry.cli import main; raise SystemExit(main(['simulate', 'B51', '--speed', '3000']))"
READY = "from tappetry.simulation.ready import main; raise SystemExit(main())"
LEAST = "import numba; numba.njit(lambda x: x + 1.0)(1.0)"
#: Rounds of what takes many seconds.
FEW = 3


def measure(size: Size) -> Iterator[Pair]:
    with TemporaryDirectory() as folder:
        shop = make_demo_shop(Path(folder) / "shop")
        _run(POINT, {"TAPPETRY_HOME": str(shop.folder)})  # compiles what is not kept, and the bytecode
        yield _timed(
            "a point at 3000 rpm, printed",
            POINT,
            {"TAPPETRY_HOME": str(shop.folder)},
            "import numpy",
            size.rounds,
        )
        if size.rounds > 1:
            yield _timed("the kernels, compiled anew", READY, None, LEAST, FEW)


def _timed(
    name: str, program: str, environment: Mapping[str, str] | None, reference: str, rounds: int
) -> Pair:
    """Processor time of whole processes, and by the clock; without an environment nothing is kept before."""
    clock: list[float] = []

    def ours() -> None:
        with TemporaryDirectory() as empty:
            begun = perf_counter()
            _run(program, {"XDG_CACHE_HOME": empty} if environment is None else environment)
            clock.append(perf_counter() - begun)

    measured = pair(
        name, ours, f"python -c '{reference}'", lambda: _run(reference, {}), rounds, whole_processes=True
    )
    middle = sorted(clock)[len(clock) // 2]
    return replace(
        measured, note=f"by the clock: the least {min(clock):.2f} s, the middle one {middle:.2f} s"
    )


def _run(program: str, environment: Mapping[str, str]) -> None:
    said = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    subprocess.run([sys.executable, "-c", program], check=True, env={**os.environ, **environment}, **said)
