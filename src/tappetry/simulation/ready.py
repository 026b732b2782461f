"""Compiles the kernels of the engine cycle, so that the first simulation does not have to wait for it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from subprocess import DEVNULL, Popen
from time import perf_counter

import numpy as np

from tappetry.simulation.compiled import nothing_kept
from tappetry.simulation.cylinders import NO_FUEL, Bore, WiebeShape, equip
from tappetry.simulation.gas import perfect_gas
from tappetry.simulation.network import WALL, Chamber, Network, join
from tappetry.simulation.pipes import straight


def make_ready() -> None:
    """Compile what an engine's points and curves call, or read it where it has been compiled before."""
    from tappetry.simulation.volume_kernels import gas_state

    with beside():
        network = _something()
        network.turn(0.0, 0.0)
        network.go_on(network.copied(), 0.0)
        gas_state(network.gas.table, 0.0, 0.0, 300.0)


@contextmanager
def beside() -> Iterator[None]:
    """Meanwhile, where nothing is compiled yet, a second process compiles a part of it.

    Whoever comes to it finds it kept. Where that process fails it takes longer, and that is all.
    """
    if not nothing_kept():
        yield
        return
    told = "from tappetry.simulation.ready import compile_a_part; compile_a_part()"
    with Popen([sys.executable, "-c", told], stdout=DEVNULL, stderr=DEVNULL):
        yield


def compile_a_part() -> None:
    """Compile and keep about half of what `cycle_kernels.turn` calls, in the order in which it is wanted."""
    from tappetry.simulation import end_lanes
    from tappetry.simulation.compiling import compile_for_others
    from tappetry.simulation.cylinder_kernels import advance_cylinder
    from tappetry.simulation.pipe_kernels import update

    some = _something()
    compile_for_others(end_lanes.solve, some.room, 0)
    compile_for_others(update, some.layout.buffer, some.layout.places, 0.0, some.gas.table)
    tables = (some.engine, some.cylinders, some.volumes)
    compile_for_others(advance_cylinder, *tables, 0, some.gas.table, 0.0, 0.0, 0.0)


def _something() -> Network:
    """The least that turns."""
    ends, chambers = [(WALL, WALL)], [Chamber(1e-3, 1e5, 300.0)]
    network = join(perfect_gas(287.0, 1.4), [straight(1.0, 0.05, 4)], ends, chambers, cylinders=1)
    valves = np.zeros_like(network.valves)
    equip(network, Bore(0.1, 0.1, 0.15, 10.0), NO_FUEL, WiebeShape(5.0, 2.0), 100.0, [0.0], valves, 1e5)
    return network


def main() -> int:
    """Make ready and say how long it took."""
    begun = perf_counter()
    print("simulation: compiling what turns an engine (some ten seconds the first time) ...", file=sys.stderr)
    make_ready()
    print(f"simulation: ready after {perf_counter() - begun:.1f} s", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())
