"""Compiles the kernels of the engine cycle, so that the first simulation does not have to wait for it."""

from __future__ import annotations

import sys
from time import perf_counter

from tappetry.simulation.gas import perfect_gas
from tappetry.simulation.network import WALL, Chamber, join
from tappetry.simulation.pipes import straight


def make_ready() -> None:
    """Compile what turns an engine, or read it where it has been compiled before."""
    shut = [straight(1.0, 0.05, 4)], [(WALL, WALL)], [Chamber(1e-3, 1e5, 300.0)]
    join(perfect_gas(287.0, 1.4), *shut).turn(0.0, 0.0)


def main() -> int:
    """Make ready and say how long it took."""
    begun = perf_counter()
    print("simulation: compiling what turns an engine (some ten seconds the first time) ...", file=sys.stderr)
    make_ready()
    print(f"simulation: ready after {perf_counter() - begun:.1f} s", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())
