"""Waves that come back to a valve, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.simulation import columns
from tappetry.simulation.waves import Flow, returns
from tests.simulation.bench_engine import RPM

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
