"""What handbooks say that a change does to an engine: directions, and where a pipe tunes."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tappetry.engineering.acoustics import quarter_wave_frequency
from tappetry.engineering.angles import DEGREE
from tappetry.simulation.engine import Engine, Mesh
from tappetry.simulation.pipes import Pipe
from tappetry.simulation.results import curve, simulate
from tests.simulation.bench_engine import COARSE, ENGINE, EXHAUST, INTAKE, RPM, changed

pytestmark = pytest.mark.slow

SPEEDS = np.arange(1500.0, 8001.0, 500.0)


def lobes(longer: float) -> Engine:
    """Both lobes longer by some degrees of the crank, about the same noses."""
    half = 0.5 * longer * DEGREE
    return changed(
        intake=replace(INTAKE, lobe_half_width=INTAKE.lobe_half_width + half),
        exhaust=replace(EXHAUST, lobe_half_width=EXHAUST.lobe_half_width + half),
    )


def test_longer_lobes_move_the_peak_up_and_cost_low_speed() -> None:
    """Heywood, section 6.3; common practice."""
    curves = [curve(lobes(longer), SPEEDS * RPM, COARSE) for longer in (0.0, 30.0, 60.0)]
    torques = np.array([[point.brake_torque for point in points] for points in curves])
    powers = torques * SPEEDS
    for shorter, longer in ((0, 1), (1, 2)):
        assert torques[longer, 0] < 0.97 * torques[shorter, 0]
        assert torques[longer, -1] > torques[shorter, -1]
        assert SPEEDS[np.argmax(powers[longer])] >= SPEEDS[np.argmax(powers[shorter])]
    assert SPEEDS[np.argmax(torques[2])] > SPEEDS[np.argmax(torques[0])]


def with_runner(length: float) -> Engine:
    """One cylinder that breathes through a straight runner from a large plenum, with next to no exhaust."""
    return replace(
        ENGINE,
        lags=(0.0,),
        collectors=(0,),
        plenum_volume=0.02,
        throttle_area=5e-3,
        air_path=Pipe((0.0, 0.1), (0.1, 0.1), 0, 0.006, 298.0),
        runner=Pipe((0.0, length), (0.040, 0.040), 0, 0.006, 300.0),
        primary=Pipe((0.0, 0.1), (0.037, 0.037), 0, 0.008, 800.0),
        tail=Pipe((0.0, 0.2), (0.06, 0.06), 0, 0.008, 680.0),
        collector_volume=5e-3,
        fuel=replace(ENGINE.fuel, octane=0.0),
    )


@pytest.mark.parametrize("length", [0.45, 0.52, 0.60])
def test_a_runner_tunes_where_its_quarter_wave_does(length: float) -> None:
    """Filling has a peak where the tone of the shut runner sounds five and a half times in a cycle.

    Then what is left of the wave of the last cycle comes to the opening valve as a pressure, and at five or
    six times as a depression (Broome; Heywood, section 7.6; from memory).
    """
    tone = float(quarter_wave_frequency(length, math.sqrt(1.4 * 287.0 * 300.0)))
    orders = np.arange(6.0, 4.85, -0.1)
    points = curve(with_runner(length), 2.0 * math.pi * 2.0 * tone / orders, Mesh(5, 16, 5, 5))
    filling = np.array([point.volumetric_efficiency for point in points])
    best = int(np.argmax(filling))
    assert 0 < best < len(orders) - 1
    assert orders[best] == pytest.approx(5.5, abs=0.25)
    assert filling[best] > 1.005 * max(filling[-1], filling[0])


def test_later_closing_lowers_effective_compression() -> None:
    found = []
    for later in (0.0, 10.0, 20.0):
        engine = changed(intake=replace(INTAKE, nose=INTAKE.nose + later * DEGREE))
        point, _ = simulate(engine, 2000 * RPM, COARSE)
        found.append((point.effective_compression_ratio, point.volumetric_efficiency))
    compression, filling = np.transpose(found)
    assert np.all(np.diff(compression) < -0.2)
    assert np.all(np.diff(filling) < 0.0)


def test_overlap_raises_residual_gas() -> None:
    """The more, the lower the pressure in the manifold (Heywood, section 6.4)."""
    rises = []
    for throttle in (ENGINE.throttle_area, 1.5e-4):
        residuals = []
        for closer in (0.0, 8.0, 16.0):
            engine = changed(
                throttle_area=throttle,
                intake=replace(INTAKE, nose=INTAKE.nose - closer * DEGREE),
                exhaust=replace(EXHAUST, nose=EXHAUST.nose + closer * DEGREE),
            )
            point, _ = simulate(engine, 1500 * RPM, COARSE)
            residuals.append(float(np.mean(point.residual_share)))
        assert np.all(np.diff(residuals) > 0.0)
        rises.append(residuals[-1] - residuals[0])
    assert rises[1] > 1.5 * rises[0]
