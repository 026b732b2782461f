"""Idle: found where nothing is left, with more air and less vacuum for more overlap, or told as missing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tappetry.engineering.angles import DEGREE
from tappetry.simulation.idle import LEVEL, NoIdle, NoOpening, at_load, idle
from tappetry.simulation.results import simulate
from tests.simulation.bench_engine import COARSE, ENGINE, RPM, changed

pytestmark = pytest.mark.slow

PART = changed(fuel=replace(ENGINE.fuel, air_fuel_ratio=14.6))


def test_an_engine_idles_with_the_vacuum_that_such_engines_have() -> None:
    """45 to 75 kPa with little overlap (common practice, no source)."""
    point, opening = idle(PART, 800 * RPM)
    assert abs(point.brake_pressure) < LEVEL
    assert abs(point.brake_torque) < 0.5
    assert 0.0005 < opening < 0.05
    assert 45e3 < point.ambient_pressure - point.manifold_pressure < 75e3
    assert point.knock_integral == 0.0
    # Air of a throat that is choked or nearly so: the opening passes what the engine takes.
    wide, _ = simulate(PART, 800 * RPM, COARSE)
    assert point.air_flow < 0.3 * wide.air_flow


def test_overlap_costs_vacuum_at_idle() -> None:
    wide = replace(
        PART,
        intake=replace(PART.intake, nose=104 * DEGREE, lobe_half_width=170 * DEGREE),
        exhaust=replace(PART.exhaust, nose=612 * DEGREE, lobe_half_width=174 * DEGREE),
    )
    (mild, _), (wild, _) = idle(PART, 800 * RPM), idle(wide, 800 * RPM)
    assert wild.manifold_pressure > mild.manifold_pressure + 5e3
    assert max(wild.residual_share) > max(mild.residual_share) + 0.05


def test_an_engine_that_drives_too_much_does_not_idle() -> None:
    heavy = replace(PART, friction=replace(PART.friction, accessory_torque=200.0))
    with pytest.raises(NoIdle) as told:
        idle(heavy, 800 * RPM)
    assert told.value.brake_pressure < 0
    assert "too little to turn it" in str(told.value)
    assert str(told.value).startswith("at 800 rpm the engine does not idle: with ")


def test_an_engine_that_the_least_opening_drives_does_not_idle(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tappetry.simulation.idle.OPENINGS", (0.009, 0.3))
    with pytest.raises(NoIdle, match="still more than it needs") as told:
        idle(PART, 800 * RPM)
    assert told.value.brake_pressure > 0


def test_a_load_is_held_at_part_throttle() -> None:
    point, opening = at_load(PART, 2000 * RPM, 200e3)
    assert abs(point.brake_pressure - 200e3) < LEVEL
    more, wider = at_load(PART, 2000 * RPM, 400e3)
    assert wider > opening
    assert more.manifold_pressure > point.manifold_pressure + 10e3
    assert max(more.residual_share) < max(point.residual_share)
    assert more.fuel_consumption < point.fuel_consumption, "per work it takes less"


def test_a_load_that_no_opening_holds_is_told() -> None:
    with pytest.raises(NoOpening) as told:
        at_load(PART, 2000 * RPM, 3e6)
    assert str(told.value).startswith(
        "at 2000 rpm no opening of the throttle leaves 3000 kPa at the crankshaft: with 100.00% of it +"
    )
