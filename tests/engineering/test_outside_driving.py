"""Stall, launch and the load of the road against hand calculations, each other and what the trade knows."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.engineering import driving, vehicle
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import RPM

POUND_FOOT = 1.3558179483314004  # NIST SP 811, exact factors
SPEEDS = np.array([1000, 2000, 3000, 4000]) * RPM


@given(torque=st.floats(200, 900), reference=st.floats(200, 900), stall=st.floats(120, 320))
def test_with_the_same_torque_at_all_speeds_it_is_the_square_root(
    torque: float, reference: float, stall: float
) -> None:
    found = driving.stall_on_curve([20.0, 1000.0], [torque, torque], reference, stall)
    assert found.stall_speed == pytest.approx(vehicle.stall_speed(torque, reference, stall))
    assert found.stall_torque == pytest.approx(torque)


def test_the_capacity_factor_of_the_trade() -> None:
    """K = 160 behind 300 lbf.ft stalls at 160 sqrt(300) = 2,771 rpm (common practice, no source)."""
    flat = np.full(4, 300 * POUND_FOOT)
    found = driving.stall_on_curve(SPEEDS, flat, POUND_FOOT, 160 * RPM)
    assert found.stall_speed / RPM == pytest.approx(2771, abs=0.5)


def test_a_curve_that_rises_by_hand() -> None:
    """T = 300 + w/2 meets w^2/100: w = 25 + sqrt(625 + 30000) = 200.0."""
    found = driving.stall_on_curve([100.0, 300.0], [350.0, 450.0], 100.0, 100.0)
    assert found.stall_speed == pytest.approx(25 + math.sqrt(30625))
    assert found.stall_torque == pytest.approx(400.0)


@given(lost=st.floats(0.01, 0.3))
def test_less_torque_down_low_stalls_lower(lost: float) -> None:
    torques = np.array([380.0, 420.0, 450.0, 440.0])
    whole = driving.stall_on_curve(SPEEDS, torques, 410.0, 1850 * RPM)
    less = driving.stall_on_curve(SPEEDS, torques * (1 - lost), 410.0, 1850 * RPM)
    assert less.stall_speed < whole.stall_speed
    assert less.stall_torque < whole.stall_torque


def test_a_stall_at_a_point_of_the_curve_is_that_point() -> None:
    torques = [380.0, 420.0, 450.0, 440.0]
    for place in (1, 2):
        found = driving.stall_on_curve(SPEEDS, torques, torques[place], SPEEDS[place])
        assert found.stall_speed == pytest.approx(SPEEDS[place])
        assert found.stall_torque == pytest.approx(torques[place])


@pytest.mark.parametrize(
    ("stall", "said"),
    [
        (
            500 * RPM,
            "stall speed must be within the curve; below its first speed of 104.7 rad/s already it has less "
            "torque than the converter takes. Begin the curve at a lower speed",
        ),
        (
            5000 * RPM,
            "stall speed must be within the curve; at its last speed of 418.9 rad/s it still has more torque "
            "than the converter takes. Take the curve to a higher speed",
        ),
    ],
)
def test_a_curve_that_does_not_reach_the_stall_is_told(stall: float, said: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        driving.stall_on_curve(SPEEDS, [380.0, 420.0, 450.0, 440.0], 410.0, stall)
    assert str(refusal.value) == said


def test_lists_that_are_no_curve_are_refused() -> None:
    with pytest.raises(OutOfRange, match="step of curve speeds at 0 = -10 rad/s must be above 0 rad/s"):
        driving.stall_on_curve([110.0, 100.0], [380.0, 420.0], 410.0, 150.0)
    with pytest.raises(OutOfRange, match="number of curve speeds = 1 must be at least 2"):
        driving.stall_on_curve([110.0], [380.0], 410.0, 150.0)


def test_the_road_by_hand() -> None:
    """1,500 kg, 0.015, 0.66 m2, 1.225 kg/m3, 25 m/s: 220.6 N roll, 252.7 N drag."""
    found = driving.road_load(1500.0, 0.015, 0.66, 1.225, 25.0)
    assert found.rolling_force == pytest.approx(220.65, abs=0.005)
    assert found.drag_force == pytest.approx(252.66, abs=0.005)
    assert found.road_load == pytest.approx(found.rolling_force + found.drag_force)


@given(
    load=st.floats(100, 5000), tyre=st.floats(0.5, 1.0), axle=st.floats(2.5, 5.0), gear=st.floats(0.5, 4.0)
)
def test_the_torque_for_a_load_gives_that_push(load: float, tyre: float, axle: float, gear: float) -> None:
    torque = driving.torque_for_road_load(load, tyre, axle, gear, 0.9)
    assert vehicle.tractive_force(torque, tyre, axle, gear, 0.9) == pytest.approx(load)


def test_a_converter_of_two_doubles() -> None:
    assert driving.launch_torque(410.0, 2.0) == 820.0
    with pytest.raises(OutOfRange, match=r"stall torque ratio = 0\.9 must be 1\.\.5"):
        driving.launch_torque(410.0, 0.9)
