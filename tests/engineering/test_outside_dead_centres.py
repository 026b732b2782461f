"""Dead centres of an offset pin and the orders of a piston's motion, against search and a Fourier sum."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from tappetry.engineering import crank, dead_centres
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, MM, RPM

STROKE, ROD = 92 * MM, 155 * MM


@given(offset=st.floats(-3.0, 3.0))
def test_the_piston_is_lowest_at_the_bottom_centre(offset: float) -> None:
    found = dead_centres.dead_centres(STROKE, ROD, offset * MM)
    lowest = minimize_scalar(
        lambda angle: -crank.piston_fall(angle, STROKE, ROD, offset * MM),
        bounds=(170 * DEG, 190 * DEG),
        method="bounded",
        options={"xatol": 1e-10},
    )
    assert found.bottom_centre_angle == pytest.approx(lowest.x, abs=1e-5)
    fall = crank.piston_fall(found.bottom_centre_angle, STROKE, ROD, offset * MM)
    assert fall == pytest.approx(found.piston_travel, abs=1e-12)
    assert found.pin_angle_at_top == pytest.approx(math.asin(offset * MM / (ROD + STROKE / 2)))


def test_without_an_offset_the_centres_lie_half_a_turn_apart() -> None:
    found = dead_centres.dead_centres(STROKE, ROD, 0.0)
    assert (found.pin_angle_at_top, found.bottom_centre_angle) == (0.0, math.pi)
    assert found.piston_travel == pytest.approx(STROKE)


def test_two_orders_are_those_of_the_exact_motion() -> None:
    """The exact acceleration, taken apart by its cosines; the second differs by (r/l)^3/4 and more."""
    angles = np.arange(720) * math.pi / 360
    exact = crank.piston_acceleration(angles, 6000 * RPM, STROKE, ROD)
    orders = dead_centres.acceleration_orders(angles, 6000 * RPM, STROKE, ROD)
    for order, part in ((1, orders.primary_acceleration), (2, orders.secondary_acceleration)):
        weight = 2 * np.mean(exact * np.cos(order * angles))
        assert part[0] == pytest.approx(weight, rel=0.035)
    lean = STROKE / 2 / ROD
    second = 2 * np.mean(exact * np.cos(2 * angles)) / ((6000 * RPM) ** 2 * STROKE / 2)
    assert second == pytest.approx(lean + lean**3 / 4 + 15 * lean**5 / 128, rel=1e-3)


@pytest.mark.parametrize("angle", [0.0, math.pi])
def test_at_the_dead_centres_the_orders_are_exact(angle: float) -> None:
    orders = dead_centres.acceleration_orders(angle, 6000 * RPM, STROKE, ROD)
    exact = crank.piston_acceleration(angle, 6000 * RPM, STROKE, ROD)
    assert orders.approximate_acceleration == pytest.approx(exact)


def test_a_rod_shorter_than_the_throw_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        dead_centres.acceleration_orders(0.0, 500.0, 0.4, 0.155)
    assert str(refusal.value) == (
        "throw over rod length = 1.29032 must be 0..1 (a shorter rod lets the crank jam). Check that the "
        "stroke is not taken for the throw, and the units of both"
    )
