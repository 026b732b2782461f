"""What is expected of an engine before its first cycle, beside what it comes to."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tappetry.engineering.nozzles import orifice_flow
from tappetry.simulation import columns, rows
from tappetry.simulation.engine import Engine, build, gas_of
from tappetry.simulation.first_gas import first_gas
from tappetry.simulation.results import simulate
from tests.simulation.bench_engine import COARSE, ENGINE, RPM


@pytest.mark.parametrize("rpm", [1500.0, 3500.0, 5500.0])
def test_it_is_near_what_cycles_come_to(rpm: float) -> None:
    point, run = simulate(ENGINE, rpm * RPM, COARSE)
    first = first_gas(ENGINE, rpm * RPM, gas_of(ENGINE))
    assert first.plenum_pressure == pytest.approx(point.manifold_pressure, rel=0.02)
    assert first.collector_pressure == pytest.approx(point.collector_pressure, rel=0.10)
    assert first.air == pytest.approx(point.air_flow, rel=0.2)
    # Gas that comes back from the cylinders warms a runner more than its wall does.
    runner = float(np.mean(run.network.layout.row(1, rows.TEMPERATURE)))
    assert ENGINE.air.temperature < first.plenum_temperature < first.runner_temperature < runner


def throttled(share: float) -> Engine:
    return replace(ENGINE, throttle_area=share * ENGINE.throttle_area)


@pytest.mark.parametrize("share", [1.0, 0.3, 0.1, 0.05, 0.02])
def test_the_throttle_passes_what_cylinders_take(share: float) -> None:
    """By the handbook's nozzle; the ellipse of the flow below the sonic one is a hundredth or two off."""
    engine = throttled(share)
    first = first_gas(engine, 2000 * RPM, gas_of(engine))
    air, area = engine.air, engine.throttle_area
    passed = orifice_flow(
        air.pressure, air.temperature, first.plenum_pressure, area, 1.4, float(gas_of(engine).table[0, 0])
    ).mass_flow
    # The way to the throttle has a loss too, next to nothing where it is nearly shut.
    tolerance = 0.25 if share == 1.0 else 0.03
    assert first.air == pytest.approx(passed, rel=tolerance)
    assert first.plenum_pressure < air.pressure


def test_the_less_it_is_open_the_less_stands_behind_it() -> None:
    drawn = [
        first_gas(throttled(share), 2000 * RPM, gas_of(ENGINE)).plenum_pressure
        for share in np.geomspace(0.01, 1.0, 40)
    ]
    assert np.all(np.diff(drawn) > 0.0)


def test_pipes_begin_with_it_and_flow() -> None:
    network = build(ENGINE, 4000 * RPM, COARSE)
    first = first_gas(ENGINE, 4000 * RPM, network.gas)
    layout, tail = network.layout, ENGINE.cylinders + 1
    area = layout.volumes(0)[0] / layout.lengths[0]
    flow = layout.row(0, rows.DENSITY)[0] * layout.row(0, rows.VELOCITY)[0] * area
    assert flow == pytest.approx(first.air, rel=1e-9)
    pressures = layout.row(tail, rows.PRESSURE)
    assert np.all(np.diff(pressures) < 0.0)
    assert first.collector_pressure > pressures[0] > pressures[-1] > ENGINE.air.pressure
    collector = network.volumes[ENGINE.cylinders + 1]
    assert collector[columns.PRESSURE] == pytest.approx(first.collector_pressure)
