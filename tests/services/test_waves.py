"""Waves that come back to a valve: closed forms, and what the pressure there does when they are back."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.services.breathing import describe
from tappetry.services.waves import Flow, returns, waves
from tappetry.simulation import columns
from tappetry.simulation.engine import Mesh
from tests.kitting.support import demo

RPM = math.pi / 30.0
SPEED = 3000 * RPM


def flowing(velocity: float, sound: float, length: float) -> Flow:
    places = (np.arange(10) + 0.5) * length / 10
    whole = np.ones((columns.DEGREES, 10))
    return Flow(places, velocity * whole, sound * whole, length)


@pytest.mark.parametrize("velocity", [0.0, 80.0, -120.0])
def test_a_wave_is_back_after_its_way_with_the_flow_and_against_it(velocity: float) -> None:
    leaves, sound, length = math.radians(700.0), 340.0, 0.35
    way = length / (sound + velocity) + length / (sound - velocity)
    found = returns(flowing(velocity, sound, length), leaves, leaves + math.pi, SPEED)
    assert len(found) == 3
    expected = [leaves + SPEED * way * number for number in (1, 2, 3)]
    assert found == pytest.approx(expected, abs=math.radians(0.2))


def test_what_is_not_back_when_the_valve_closes_is_left_out() -> None:
    assert returns(flowing(0.0, 340.0, 0.35), 0.0, math.radians(30.0), SPEED) == ()
    assert len(returns(flowing(0.0, 340.0, 0.35), 0.0, math.radians(40.0), SPEED)) == 1


@pytest.mark.slow
def test_the_blow_down_falls_when_its_wave_is_back_from_the_collector() -> None:
    """The open end sends a pressure back as a depression (Heywood, section 6.6; from memory)."""
    found = waves(describe(demo(), "B51"), 3000.0, Mesh(4, 6, 5, 12))
    for side in (found.intake, found.exhaust):
        assert side.pressures.shape == (720,)
        assert side.returns == tuple(sorted(side.returns))
        first = side.returns[0]
        assert 0.0 < first - side.opens < math.pi
    exhaust = found.exhaust
    degree = round(math.degrees(exhaust.returns[0]))
    assert exhaust.pressures[degree] > exhaust.pressures[round(math.degrees(exhaust.opens))] + 10e3
    assert exhaust.pressures[degree + 45] < exhaust.pressures[degree] - 10e3
    assert math.degrees(exhaust.opens) < 540 < math.degrees(exhaust.returns[-1]) + 60
