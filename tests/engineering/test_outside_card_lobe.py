"""A lobe from a card with three durations: its derivatives by differences, and cards that lead back to it."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tappetry.engineering import card_lobe, lobe, lobe_fit
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, MM

HEIGHTS = (0.1524 * MM, 1.27 * MM, 5.08 * MM)


def durations(lift: float, exponent: float, order: float, width: float) -> list[float]:
    """Durations at the three heights, read off the lift itself on a fine grid."""
    angles = np.linspace(0.0, width, 40_001)
    lifts = card_lobe.card_lobe_motion(angles, lift, exponent, order, width).lobe_lift_at_angle
    return [2.0 * float(np.interp(-height, -lifts, angles)) for height in HEIGHTS]


@pytest.mark.slow
@settings(max_examples=settings.default.max_examples // 20)
@given(
    lift=st.floats(6.5 * MM, 11 * MM),
    exponent=st.floats(3.8, 9.0),
    order=st.floats(3.3, 12.0),
    width=st.floats(130 * DEG, 200 * DEG),
)
def test_a_card_leads_back_to_its_lobe(lift: float, exponent: float, order: float, width: float) -> None:
    seat, middle, upper = durations(lift, exponent, order, width)
    found = card_lobe.card_lobe(lift, middle, HEIGHTS[1], seat, HEIGHTS[0], upper, HEIGHTS[2])
    again = durations(lift, found.lobe_exponent, found.end_order, found.lobe_half_width)
    assert again == pytest.approx([seat, middle, upper], rel=1e-5)


def test_with_two_durations_of_a_power_lobe_the_third_makes_it_one() -> None:
    shape = lobe_fit.fit_lobe(8.763 * MM, 218 * DEG, HEIGHTS[1], 270 * DEG, HEIGHTS[0])
    upper = lobe_fit.duration_at_height(HEIGHTS[2], 8.763 * MM, shape.lobe_exponent, shape.lobe_half_width)
    card = (8.763 * MM, 218 * DEG, HEIGHTS[1], 270 * DEG, HEIGHTS[0])
    found = card_lobe.card_lobe(*card, upper, HEIGHTS[2])
    assert found.end_order == pytest.approx(5.0, rel=1e-6)
    assert found.lobe_exponent == pytest.approx(shape.lobe_exponent, rel=1e-6)
    angles = np.linspace(-180 * DEG, 180 * DEG, 73)
    motion = card_lobe.card_lobe_motion(angles, 8.763 * MM, shape.lobe_exponent, 5.0, shape.lobe_half_width)
    power = lobe.lobe_motion(angles, 8.763 * MM, shape.lobe_exponent, shape.lobe_half_width)
    np.testing.assert_allclose(motion.lobe_lift_at_angle, power.lobe_lift_at_angle, atol=1e-12)
    np.testing.assert_allclose(motion.lobe_velocity_at_angle, power.lobe_velocity_at_angle, atol=1e-12)
    np.testing.assert_allclose(
        motion.lobe_acceleration_at_angle, power.lobe_acceleration_at_angle, atol=1e-12
    )


@pytest.mark.parametrize("order", [3.2, 4.0, 7.5])
def test_each_derivative_is_that_of_the_one_before(order: float) -> None:
    width, step = 165 * DEG, 1e-5
    angles = np.array([-150, -60, -5, 5, 40, 90, 140, 160]) * DEG
    below, at, above = (
        card_lobe.card_lobe_motion(angles + shift, 8.8 * MM, 5.0, order, width) for shift in (-step, 0, step)
    )
    names = [f"lobe_{each}_at_angle" for each in ("lift", "velocity", "acceleration", "jerk")]
    for lower, upper in pairwise(names):
        slope = (getattr(above, lower) - getattr(below, lower)) / (2 * step)
        np.testing.assert_allclose(getattr(at, upper), slope, rtol=1e-4, atol=1e-7)


def test_jerk_is_continuous_at_the_nose_and_at_the_ends() -> None:
    width = 165 * DEG
    ends = card_lobe.card_lobe_motion(np.array([-width, 0.0, width]), 8.8 * MM, 5.0, 3.5, width)
    np.testing.assert_allclose(ends.lobe_jerk_at_angle, 0.0, atol=1e-15)
    near = card_lobe.card_lobe_motion(np.array([1e-4, -1e-4, width * (1 - 1e-6)]), 8.8 * MM, 5.0, 3.5, width)
    np.testing.assert_allclose(near.lobe_jerk_at_angle, 0.0, atol=2e-4)


def test_a_card_that_no_such_lobe_has_is_told_what_may_be() -> None:
    card = (8.763 * MM, 218 * DEG, HEIGHTS[1], 270 * DEG, HEIGHTS[0])
    with pytest.raises(OutOfRange) as refusal:
        card_lobe.card_lobe(*card, 145 * DEG, HEIGHTS[2])
    assert str(refusal.value) == (
        "upper duration = 2.53073 rad must be 131.0..138.8 degrees beside the other two "
        "(lobes of this law). Check that all three durations are read at the tappet, at the heights given"
    )
    with pytest.raises(OutOfRange, match="checking height over upper checking height = 1 must be below 1"):
        card_lobe.card_lobe(*card, 145 * DEG, HEIGHTS[1])
