"""Constants fitted to a measured curve: found again where they are known, held for other camshafts, told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tappetry.engineering.angles import DEGREE
from tappetry.engineering.ranges import OutOfRange
from tappetry.simulation.calibration import CONSTANTS, calibrate
from tappetry.simulation.engine import Engine
from tappetry.simulation.results import curve
from tests.simulation.bench_engine import COARSE, ENGINE, EXHAUST, INTAKE, RPM

pytestmark = pytest.mark.slow

SPEEDS = np.array([2000.0, 3000.0, 4000.0, 5000.0, 6000.0]) * RPM


def with_loss(engine: Engine) -> Engine:
    return replace(engine, runner=replace(engine.runner, added_loss=0.5, loss_to=0.25))


def measured(engine: Engine) -> Engine:
    """As it really is: a runner with more bends, and a fire that leaves more unburned."""
    worse = replace(engine, burning=replace(engine.burning, completeness=0.94))
    return replace(worse, runner=replace(worse.runner, added_loss=1.2))


def torques(engine: Engine) -> np.ndarray:
    return np.array([point.brake_torque for point in curve(engine, SPEEDS, COARSE)])


def test_what_is_found_with_one_camshaft_holds_for_another() -> None:
    stated = with_loss(ENGINE)
    found = calibrate(stated, SPEEDS, torques(measured(stated)), COARSE)
    assert found.misfit_before > 0.02
    assert found.misfit_after < 0.005
    moved = {each.name: each for each in found.moved}
    assert set(moved) == {each.name for each in CONSTANTS}
    assert moved[CONSTANTS[0].name].after == pytest.approx(1.2, abs=0.3)
    assert moved[CONSTANTS[2].name].after == pytest.approx(0.94, abs=0.01)
    assert not any(each.at_limit for each in found.moved)
    other = replace(
        stated,
        intake=replace(INTAKE, lobe_half_width=124 * DEGREE, lobe_lift=8.2e-3),
        exhaust=replace(EXHAUST, lobe_half_width=124 * DEGREE),
    )
    truth = torques(measured(other))
    before = np.max(np.abs(torques(other) / truth - 1))
    after = np.max(np.abs(torques(found.of(other)) / truth - 1))
    assert before > 0.03
    assert after < 0.25 * before


def test_a_constant_that_would_go_beyond_its_limits_stays_there_and_says_so() -> None:
    weak = 0.7 * torques(with_loss(ENGINE))
    found = calibrate(with_loss(ENGINE), SPEEDS, weak, COARSE)
    assert found.misfit_after > 0.05
    assert any(each.at_limit for each in found.moved)
    for constant, each in zip(CONSTANTS, found.moved, strict=True):
        assert constant.low <= each.after <= constant.high


def test_too_few_points_and_no_torque_are_refused() -> None:
    with pytest.raises(OutOfRange, match="measured speeds = 2"):
        calibrate(ENGINE, SPEEDS[:2], [100.0, 110.0], COARSE)
    with pytest.raises(OutOfRange, match="measured torque"):
        calibrate(ENGINE, SPEEDS[:3], [100.0, -1.0, 110.0], COARSE)
