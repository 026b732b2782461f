"""Steps of an engine: how long they are changes little; pipes with their own steps add up with the rest."""

from __future__ import annotations

import numpy as np
import pytest

from tappetry.engineering.ranges import OutOfRange
from tappetry.simulation import columns, rows
from tappetry.simulation.cycle import Run, begin, one_cycle
from tappetry.simulation.engine import Mesh
from tappetry.simulation.gas import perfect_gas
from tappetry.simulation.network import Chamber, End, Network, join
from tappetry.simulation.pipes import fill, lay, straight
from tappetry.simulation.results import Point, read
from tests.simulation.bench_engine import ENGINE, RPM
from tests.simulation.tube import state_of

GAS = perfect_gas(287.0, 1.4)


def turned(speed: float, largest_step: float, cycles: int = 12) -> tuple[Point, Run]:
    """An engine after some cycles, in steps no larger than stated, its fire as it stands."""
    run = begin(ENGINE, speed, Mesh())
    run.network.engine[columns.LARGEST_STEP] = largest_step
    for _ in range(cycles):
        one_cycle(run)
    return read(run), run


@pytest.mark.parametrize("rpm", [2500.0, 6000.0])
def test_long_steps_come_to_what_short_ones_come_to(rpm: float) -> None:
    """Valves, volumes and knock are those of the middle of a step: what is left goes with its square."""
    (long, run), (short, shorter) = (turned(rpm * RPM, largest) for largest in (2.0, 0.2))
    assert run.steps < 0.35 * shorter.steps
    assert long.volumetric_efficiency == pytest.approx(short.volumetric_efficiency, rel=1e-3)
    assert long.indicated_pressure == pytest.approx(short.indicated_pressure, rel=1e-3)
    assert long.knock_integral == pytest.approx(short.knock_integral, rel=1e-2)
    assert long.peak_pressure == pytest.approx(short.peak_pressure, rel=3e-3)


def test_every_whole_degree_is_written_down_whatever_the_steps() -> None:
    (_, long), (_, short) = (turned(6000 * RPM, largest) for largest in (2.0, 0.2))
    pressures = [run.network.trace[0, :, columns.TRACE_PRESSURE] for run in (long, short)]
    np.testing.assert_allclose(pressures[0], pressures[1], rtol=6e-3)
    burned = [run.network.trace[0, 330:, columns.TRACE_BURNED] for run in (long, short)]
    np.testing.assert_allclose(burned[0], burned[1], atol=2e-3)
    assert np.all(np.diff(burned[0][:170]) >= 0.0)


def chain(own: int) -> Network:
    """A warm chamber, a long cold pipe, a chamber, two short hot pipes side by side, a chamber."""
    pipes = [straight(0.8, 0.04, 12), straight(0.2, 0.03, 12), straight(0.2, 0.03, 12)]
    ends = [(End(0, 8e-4), End(1)), (End(1), End(2)), (End(1), End(2))]
    volumes = [Chamber(2e-3, 1.6e5, 400.0), Chamber(2e-3, 1e5, 500.0), Chamber(2e-3, 1e5, 900.0)]
    network = join(GAS, pipes, ends, volumes, own=own)
    fill(network.layout, 0, GAS, 1e5, 300.0)
    for pipe in (1, 2):
        fill(network.layout, pipe, GAS, 1e5, 900.0, burned=1.0)
    return network


def held(network: Network) -> tuple[float, float]:
    """Mass and energy of all of it."""
    volumes = network.layout.all_volumes
    return (
        float(np.sum(network.volumes[:, columns.MASS])) + network.layout.total(rows.DENSITY, volumes),
        float(np.sum(network.volumes[:, columns.ENERGY])) + network.layout.total(rows.ENERGY, volumes),
    )


def test_pipes_with_steps_of_their_own_lose_nothing_and_come_to_the_same() -> None:
    """In a quarter of the steps; beside much shorter ones for all, the error goes with the square of them."""
    angle = 7.2  # a turn takes a second

    def after(own: int, courant: float) -> tuple[int, np.ndarray, np.ndarray]:
        network = chain(own)
        before = held(network)
        steps = network.turn(0.0, angle, courant)
        np.testing.assert_allclose(held(network), before, rtol=1e-13)
        return steps, network.volumes[:, columns.PRESSURE], network.layout.row(1, rows.VELOCITY)

    steps, _, _ = after(0, 0.9)
    _, pressures, velocities = after(0, 0.1)
    fastest = float(np.max(np.abs(velocities)))
    errors = []
    for courant in (0.9, 0.45):
        fewer, pressure, velocity = after(2, courant)
        assert fewer < 0.25 * steps * 0.9 / courant
        np.testing.assert_allclose(pressure, pressures, rtol=1.5e-3)
        errors.append(float(np.max(np.abs(velocity - velocities))) / fastest)
    assert errors[0] < 0.03
    assert errors[1] < 0.35 * errors[0]


def test_pipes_alike_side_by_side_stay_alike() -> None:
    network = chain(2)
    network.turn(0.0, 7.2, 0.9)
    np.testing.assert_array_equal(state_of(network.layout, 1), state_of(network.layout, 2))


def test_a_pipe_that_steps_with_the_rest_is_left() -> None:
    pipes = [straight(0.5, 0.04, 8)] * 2
    with pytest.raises(OutOfRange, match="pipes with steps of their own"):
        lay(pipes, own=2)
    assert lay(pipes, own=1).starts[1] % rows.LANES == 0
    assert lay(pipes).own == 2
