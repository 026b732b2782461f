"""Measured lobes with known noise, contact along a lobe by its envelope, and a rocker by other geometry."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from tappetry.engineering import (
    contact,
    lobe,
    lobe_contact,
    lobe_fit,
    measured_lobe,
    nose,
    rocker_geometry,
)
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, MM

LOBE = (8.763 * MM, 5.5053, 167.731 * DEG)
ANGLES = np.arange(-360, 360, 2) * DEG
CENTRE = 3.3 * DEG
TRUE = lobe.lobe_motion(ANGLES - CENTRE, *LOBE)


def table(noise: float, seed: int = 1) -> np.ndarray:
    lifts = np.asarray(TRUE.lobe_lift_at_angle)
    return lifts + np.random.default_rng(seed).normal(0.0, noise, len(ANGLES))


@pytest.mark.parametrize("noise", [2e-6, 5e-6, 2e-5])
def test_the_noise_of_the_readings_is_found(noise: float) -> None:
    found = [measured_lobe.measured_lobe(ANGLES, table(noise, seed)) for seed in range(12)]
    assert np.mean([each.reading_noise for each in found]) == pytest.approx(noise, rel=0.05)
    assert all(abs(each.worst_residual) < 5 * noise for each in found)
    assert np.mean([each.nose_angle for each in found]) == pytest.approx(CENTRE, abs=0.2 * DEG)
    assert np.mean([each.lobe_lift for each in found]) == pytest.approx(LOBE[0], abs=noise)


def test_smoothing_brings_the_lobe_nearer_than_the_readings_and_its_acceleration_far_nearer() -> None:
    lifts = table(5e-6)
    found = measured_lobe.measured_lobe_motion(ANGLES, ANGLES, lifts)
    off = np.std(found.lobe_lift_at_angle - TRUE.lobe_lift_at_angle)
    assert off < 0.6 * np.std(lifts - TRUE.lobe_lift_at_angle)
    plain = np.gradient(np.gradient(lifts, ANGLES), ANGLES)
    errors = [
        np.std(each - TRUE.lobe_acceleration_at_angle) for each in (found.lobe_acceleration_at_angle, plain)
    ]
    assert errors[0] < errors[1] / 5
    assert errors[0] < 0.03 * abs(nose_acceleration())


def nose_acceleration() -> float:
    return float(lobe.nose_acceleration(*LOBE))


def test_each_derivative_is_that_of_the_one_before_and_closes_round_the_cam() -> None:
    step, lifts = 1e-5, table(5e-6)
    places = np.array([-6.2, -2.0, -0.5, 0.0, 1.0, 2.9, 6.0])
    low, at, high = (
        measured_lobe.measured_lobe_motion(places + shift, ANGLES, lifts) for shift in (-step, 0, step)
    )
    names = [f"lobe_{each}_at_angle" for each in ("lift", "velocity", "acceleration", "jerk")]
    for lower, upper in pairwise(names):
        slope = (getattr(high, lower) - getattr(low, lower)) / (2 * step)
        np.testing.assert_allclose(getattr(at, upper), slope, rtol=1e-4, atol=1e-8)
    ends = measured_lobe.measured_lobe_motion(np.array([-360, 360]) * DEG, ANGLES, lifts)
    for name in names:
        assert np.ptp(getattr(ends, name)) < 1e-9


def test_flanks_of_a_lobe_that_is_bent_to_one_side() -> None:
    bent = np.where(ANGLES > 0.0, ANGLES / 1.04, ANGLES)
    lifts = np.asarray(lobe.lobe_lift_at_angle(bent, *LOBE))
    half = float(lobe_fit.duration_at_height(1.27 * MM, *LOBE)) / 2
    found = measured_lobe.measured_flanks(1.27 * MM, ANGLES, lifts)
    assert found.opening_width == pytest.approx(half, abs=0.05 * DEG)
    assert found.closing_width == pytest.approx(1.04 * half, abs=0.05 * DEG)
    # twice what the smoothed nose shifts, where the bent lobe's acceleration has a step
    assert found.flank_difference == pytest.approx(0.04 * half, abs=0.1 * DEG)
    extremes = measured_lobe.measured_lobe(ANGLES, lifts)
    assert extremes.opening_velocity / -extremes.closing_velocity == pytest.approx(1.04, rel=5e-3)


def test_curvature_of_a_measured_nose_is_that_of_the_law() -> None:
    lifts = np.asarray(TRUE.lobe_lift_at_angle)
    found = measured_lobe.measured_lobe_curvature(CENTRE, 38.6 * MM, 18 * MM, ANGLES, lifts)
    bend = nose_acceleration()
    roller = nose.nose_radius_roller(38.6 * MM, LOBE[0], 18 * MM, bend)
    assert found.roller_curvature_radius == pytest.approx(roller, rel=5e-3)
    assert found.flat_curvature_radius == pytest.approx(38.6 * MM / 2 + LOBE[0] + 4 * bend, rel=0.02)


def test_a_table_that_is_not_even_is_told() -> None:
    with pytest.raises(OutOfRange, match=r"angles at 179 = 0\.0698132 rad must be 0\.0350038 rad"):
        measured_lobe.measured_lobe(np.delete(ANGLES, 180), np.delete(table(1e-6), 180))
    with pytest.raises(OutOfRange, match=r"number of table angles = 12 must be 24\.\.3600"):
        measured_lobe.measured_lobe(ANGLES[::30], table(1e-6)[::30])
    with pytest.raises(OutOfRange, match=r"checking height = 0\.01 m must be"):
        measured_lobe.measured_flanks(10 * MM, ANGLES, table(1e-6))


TRAIN = (534.0, 65e3, 1.65, 0.266)


def test_roller_surface_is_one_roller_from_the_path_of_its_centre() -> None:
    def surface(angle: float) -> np.ndarray:
        step = 1e-5
        centre = [roller_centre(angle + shift) for shift in (-step, 0.0, step)]
        along = centre[2] - centre[0]
        inward = np.array([-along[1], along[0]]) / np.hypot(*along)
        return centre[1] + 9 * MM * inward

    def roller_centre(angle: float) -> np.ndarray:
        reach = 38.6 * MM / 2 + 9 * MM + float(lobe.lobe_lift_at_angle(angle, *LOBE))
        return reach * np.array([math.cos(angle / 2), math.sin(angle / 2)])

    for angle in (0.0, 0.5, 1.0, 1.6, 2.2):
        found = lobe_contact.roller_contact_along(
            angle, *LOBE, 38.6 * MM, 18 * MM, 11 * MM, 113.7e9, *TRAIN, 0.0
        )
        a, b, c = (surface(angle + shift) for shift in (-0.02, 0.0, 0.02))
        (u, v), (x, y) = b - a, c - a
        area = u * y - v * x
        sides = math.dist(a, b) * math.dist(b, c) * math.dist(a, c)
        assert 2 * area / sides == pytest.approx(1 / found.lobe_radius, rel=0.02, abs=0.5)


@given(speed=st.floats(0.0, 500.0))
def test_pressure_at_the_nose_is_that_of_the_line_contact(speed: float) -> None:
    bend = nose_acceleration()
    found = lobe_contact.roller_contact_along(0.0, *LOBE, 38.6 * MM, 18 * MM, 11 * MM, 113.7e9, *TRAIN, speed)
    load = 1.65 * (534.0 + 65e3 * 1.65 * LOBE[0] + 0.266 * 1.65 * bend * speed**2)
    radius = nose.nose_radius_roller(38.6 * MM, LOBE[0], 18 * MM, bend)
    expected = contact.line_contact(load, 11 * MM, radius, 9 * MM, 113.7e9)
    assert found.contact_pressure == pytest.approx(expected.contact_pressure, rel=1e-9)
    assert found.lobe_radius == pytest.approx(radius, rel=1e-9)


def test_outside_the_lift_and_parted_nothing_is_pressed() -> None:
    angles = np.array([-170 * DEG, 0.0, 170 * DEG])
    fast = lobe_contact.roller_contact_along(
        angles, *LOBE, 38.6 * MM, 18 * MM, 11 * MM, 113.7e9, *TRAIN, 1500.0
    )
    np.testing.assert_array_equal(fast.pressed_load, 0.0)
    np.testing.assert_array_equal(fast.contact_pressure, 0.0)


def test_the_pad_is_touched_where_the_lobe_turns_about_its_momentary_centre() -> None:
    angles = np.linspace(-150, 150, 61) * DEG
    flat = (6.655 * MM, 5.4, 165 * DEG)
    found = lobe_contact.pad_contact_along(
        angles, *flat, 31 * MM, 21.4 * MM, 12 * MM, 113.7e9, 380.0, 45e3, 1.5, 0.3, 0.0
    )
    step = 1e-6
    lifts = [lobe.lobe_lift_at_angle(angles + shift, *flat) for shift in (-step, step)]
    np.testing.assert_allclose(found.contact_offset, (lifts[1] - lifts[0]) / step, rtol=1e-5, atol=1e-9)
    np.testing.assert_allclose(
        found.pad_margin, 10.7 * MM - np.sqrt(np.asarray(found.contact_offset) ** 2 + (6 * MM) ** 2)
    )
    assert np.all(found.lobe_radius > 0.0)


GEOMETRY = (39.4 * MM, 7 * MM, 23.9 * MM, 4 * MM, 0.188)


@settings(max_examples=50)
@given(lift=st.floats(0.1, 9.0), lean=st.floats(-0.2, 0.2))
def test_rocker_by_a_root_of_the_rods_length(lift: float, lean: float) -> None:
    arm, square, cup, cup_square, rod = GEOMETRY
    closed = math.asin(cup_square / cup)
    foot = complex(-cup * math.cos(closed), -cup * math.sin(closed) - rod)
    moved = foot + lift * MM * complex(math.sin(lean), math.cos(lean))
    turned = brentq(
        lambda turn: abs(-cup * complex(math.cos(turn - closed), -math.sin(turn - closed)) - moved) - rod,
        0.0,
        0.8,
        xtol=1e-14,
    )
    start = math.asin(square / arm)
    expected = arm * (math.sin(turned - start) + math.sin(start))
    found = rocker_geometry.rocker_motion(lift * MM, *GEOMETRY, lean)
    assert found.moved_valve_lift == pytest.approx(expected, rel=1e-8)
    low, high = (
        rocker_geometry.rocker_motion(lift * MM + shift, *GEOMETRY, lean).moved_valve_lift
        for shift in (-1e-6, 1e-6)
    )
    assert found.effective_ratio == pytest.approx((high - low) / 2e-6, rel=1e-6)
    assert found.mean_ratio == pytest.approx(expected / (lift * MM), rel=1e-8)


def test_both_arms_square_at_one_lift_have_the_ratio_of_the_arms() -> None:
    found = rocker_geometry.rocker_motion(0.0, 39.4 * MM, 0.0, 23.9 * MM, 0.0, 0.188)
    assert found.effective_ratio == pytest.approx(39.4 / 23.9, rel=1e-12)
    assert found.mean_ratio == found.effective_ratio


def test_an_arm_too_short_is_told() -> None:
    with pytest.raises(OutOfRange, match=r"square lift over arm = 1\.25 must be -0\.9\.\.0\.9"):
        rocker_geometry.rocker_motion(0.005, 0.02, 0.025, 0.02, 0.004, 0.188)


def test_readings_rounded_to_a_hundredth_have_the_noise_of_rounding() -> None:
    angles = np.arange(48) * 15 * DEG
    lifts = np.round(4.1 * (1 + np.cos(angles / 2)), 2) * MM
    found = measured_lobe.measured_lobe(angles, lifts)
    assert found.reading_noise == pytest.approx(0.01 * MM / math.sqrt(12), rel=0.35)
    assert found.fitted_freedom < 0.55 * len(angles)
