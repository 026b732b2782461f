"""The lobe law and its nose against other mathematics: Lagrange's rule, the beta function, plane curves."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import betaincc

from tappetry.engineering import lobe, lobe_fit, nose
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, INCH, MM

LIFT, EXPONENT, HALF_WIDTH = 8.763e-3, 5.5053, 167.731 * DEG
EXPONENTS = st.floats(3.2, 20.0)
SHARES = st.floats(0.0, 1.0)


def exponents_and_coefficients(p: float) -> list[tuple[float, float]]:
    """The five terms by Lagrange's rule: c_k is the product of n_j / (n_j - n_k)."""
    powers = (2.0, p, 2 * p - 2, 3 * p - 4, 4 * p - 6)
    return [(n, math.prod(m / (m - n) for m in powers if m != n)) for n in powers]


@given(p=EXPONENTS, share=SHARES)
def test_law_is_the_five_term_sum(p: float, share: float) -> None:
    expected = 1.0 - sum(c * share**n for n, c in exponents_and_coefficients(p))
    lift = lobe.lobe_lift_at_angle(share * HALF_WIDTH, LIFT, p, HALF_WIDTH)
    assert lift == pytest.approx(LIFT * expected, abs=LIFT * 1e-10)


@pytest.mark.parametrize("p", [3.2, 5.5, 20.0])
def test_conditions_at_the_end_of_the_lift(p: float) -> None:
    """At x = 1 the sum is 1 and its first four derivatives are 0: exact falling factorials."""
    terms = exponents_and_coefficients(p)
    assert sum(c for _, c in terms) == pytest.approx(1.0, abs=1e-9)
    for order in range(1, 5):
        size = sum(abs(c) * n**order for n, c in terms)
        total = sum(c * math.prod(n - step for step in range(order)) for n, c in terms)
        assert total == pytest.approx(0.0, abs=1e-12 * size)


@given(p=EXPONENTS, share=SHARES)
def test_law_is_an_incomplete_beta_function(p: float, share: float) -> None:
    """Oracle: scipy.special.betaincc, the complement of I(x^q; 2/q, 5)."""
    expected = betaincc(2.0 / (p - 2.0), 5.0, share ** (p - 2.0))
    lift = lobe.lobe_lift_at_angle(share * HALF_WIDTH, LIFT, p, HALF_WIDTH)
    assert lift == pytest.approx(LIFT * expected, abs=LIFT * 1e-11)


@given(p=EXPONENTS, share=st.floats(-1.0, 1.0))
def test_velocity_and_acceleration_are_the_sums_derivatives(p: float, share: float) -> None:
    x, sign = abs(share), math.copysign(1.0, share)
    terms = exponents_and_coefficients(p)
    slope = -sum(c * n * x ** (n - 1) for n, c in terms) * LIFT / HALF_WIDTH * sign
    bend = -sum(c * n * (n - 1) * x ** (n - 2) for n, c in terms) * LIFT / HALF_WIDTH**2
    motion = lobe.lobe_motion(share * HALF_WIDTH, LIFT, p, HALF_WIDTH)
    size = sum(abs(c) * n * n for n, c in terms) * LIFT
    assert motion.lobe_velocity_at_angle == pytest.approx(slope, abs=1e-13 * size)
    assert motion.lobe_acceleration_at_angle == pytest.approx(bend, abs=1e-13 * size)


def test_lift_is_the_integral_of_the_velocity() -> None:
    """Oracle: scipy.integrate.quad."""
    args = (LIFT, EXPONENT, HALF_WIDTH)
    fallen, _ = quad(
        lambda t: float(lobe.lobe_velocity_at_angle(t, *args)), -HALF_WIDTH, 40 * DEG, epsabs=1e-13
    )
    assert fallen == pytest.approx(lobe.lobe_lift_at_angle(40 * DEG, *args), rel=1e-9)


def test_velocity_is_the_integral_of_the_acceleration() -> None:
    args = (LIFT, EXPONENT, HALF_WIDTH)
    gained, _ = quad(
        lambda t: float(lobe.lobe_acceleration_at_angle(t, *args)), -HALF_WIDTH, -30 * DEG, epsabs=1e-13
    )
    assert gained == pytest.approx(lobe.lobe_velocity_at_angle(-30 * DEG, *args), rel=1e-9)


def test_lift_at_the_nose_at_the_end_and_beyond() -> None:
    angles = np.array([0.0, HALF_WIDTH, HALF_WIDTH * 1.2, -HALF_WIDTH * 1.2])
    motion = lobe.lobe_motion(angles, LIFT, EXPONENT, HALF_WIDTH)
    np.testing.assert_array_equal(motion.lobe_lift_at_angle, [LIFT, 0.0, 0.0, 0.0])
    np.testing.assert_array_equal(motion.lobe_velocity_at_angle, [0.0, 0.0, 0.0, 0.0])
    np.testing.assert_array_equal(motion.lobe_acceleration_at_angle[1:], [0.0, 0.0, 0.0])


@given(p=st.floats(3.21, 19.9), half_width=st.floats(120.0, 190.0), lift=st.floats(4.0, 12.0))
def test_a_fit_finds_the_lobe_whose_durations_it_got(p: float, half_width: float, lift: float) -> None:
    args = (lift * MM, p, half_width * DEG)
    checking, seat = 0.050 * INCH, 0.006 * INCH
    shape = lobe_fit.fit_lobe(
        lift * MM,
        lobe_fit.duration_at_height(checking, *args),
        checking,
        lobe_fit.duration_at_height(seat, *args),
        seat,
    )
    assert shape.lobe_exponent == pytest.approx(p, rel=1e-8)
    assert shape.lobe_half_width == pytest.approx(half_width * DEG, rel=1e-9)


@given(p=EXPONENTS, share=st.floats(0.01, 0.95))
def test_duration_is_where_the_lift_has_the_height(p: float, share: float) -> None:
    height = share * LIFT
    duration = lobe_fit.duration_at_height(height, LIFT, p, HALF_WIDTH)
    assert lobe.lobe_lift_at_angle(duration / 2, LIFT, p, HALF_WIDTH) == pytest.approx(height, rel=1e-9)


@pytest.mark.parametrize("lift", [4.0, 8.763, 12.0])
def test_ratio_of_durations_rises_with_the_exponent(lift: float) -> None:
    """So that a card has one lobe."""
    exponents = np.linspace(3.2, 20.0, 400)
    high = lobe_fit.duration_at_height(0.050 * INCH, lift * MM, exponents, HALF_WIDTH)
    low = lobe_fit.duration_at_height(0.006 * INCH, lift * MM, exponents, HALF_WIDTH)
    assert np.all(np.diff(high / low) > 0.0)


def test_durations_of_no_lobe_are_refused_with_what_would_do() -> None:
    with pytest.raises(OutOfRange) as refusal:
        lobe_fit.fit_lobe(LIFT, np.array([218, 258]) * DEG, 0.050 * INCH, 270 * DEG, 0.006 * INCH)
    error = refusal.value
    assert error.quantity == "duration over seat_duration"
    assert error.value == pytest.approx(258 / 270)
    assert error.position == (1,)
    assert str(error) == (
        "duration over seat duration at 1 = 0.955556 must be 0.7132..0.9008 (power lobe of 8.763 mm lift "
        "with p in 3.2..20). Check that both durations are read at the tappet, at the heights given"
    )


def test_heights_out_of_order_are_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        lobe_fit.fit_lobe(LIFT, 218 * DEG, 0.1e-3, 270 * DEG, 0.2e-3)
    assert str(refusal.value) == (
        "seat checking height over checking height = 2 must be below 1. "
        "The seat duration is read at the lower height"
    )
    with pytest.raises(OutOfRange) as refusal:
        lobe_fit.duration_at_height(0.010, LIFT, EXPONENT, HALF_WIDTH)
    assert refusal.value.quantity == "checking_height over lobe_lift"
    assert refusal.value.value == pytest.approx(0.010 / LIFT)


# --- nose ----------------------------------------------------------------------------------------------


def curvature_radius(x: np.ndarray, y: np.ndarray) -> float:
    """Radius of the circle through the three points in the middle of a curve."""
    middle = len(x) // 2
    a, b, c = (np.array([x[i], y[i]]) for i in (middle - 1, middle, middle + 1))
    area = abs((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0]) / 2.0
    return float(np.linalg.norm(a - b) * np.linalg.norm(b - c) * np.linalg.norm(a - c) / (4.0 * area))


def test_roller_nose_against_the_drawn_curve() -> None:
    """The path of the roller's centre is drawn in polar coordinates and its circle is measured."""
    base, roller = 38.6e-3, 18.0e-3
    cam = np.linspace(-0.5, 0.5, 3) * DEG
    lift = lobe.lobe_lift_at_angle(2.0 * cam, LIFT, EXPONENT, HALF_WIDTH)
    radius = base / 2 + lift + roller / 2
    drawn = curvature_radius(radius * np.cos(cam), radius * np.sin(cam)) - roller / 2
    acceleration = lobe.nose_acceleration(LIFT, EXPONENT, HALF_WIDTH)
    assert nose.nose_radius_roller(base, LIFT, roller, acceleration) == pytest.approx(drawn, rel=1e-3)


def test_flat_nose_against_the_drawn_envelope() -> None:
    """The lobe is the envelope of the face: x = (R + s) cos - s' sin, y = (R + s) sin + s' cos."""
    base, lift, p, half_width = 31.0e-3, 6.655e-3, 6.6286, 148.961 * DEG
    cam = np.linspace(-0.5, 0.5, 3) * DEG
    reach = base / 2 + lobe.lobe_lift_at_angle(2.0 * cam, lift, p, half_width)
    slope = 2.0 * lobe.lobe_velocity_at_angle(2.0 * cam, lift, p, half_width)
    x = reach * np.cos(cam) - slope * np.sin(cam)
    y = reach * np.sin(cam) + slope * np.cos(cam)
    acceleration = lobe.nose_acceleration(lift, p, half_width)
    assert nose.nose_radius_flat(base, lift, acceleration) == pytest.approx(curvature_radius(x, y), rel=2e-3)


def test_flat_nose_that_comes_to_an_edge_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        nose.nose_radius_flat(20e-3, 9e-3, -6e-3)
    assert str(refusal.value) == (
        "nose radius = -0.005 m must be above 0 m (a flat follower must not ride on an edge). "
        "Use a larger base circle, less lift or a longer duration"
    )


def test_raised_cosine_against_its_second_difference() -> None:
    lift, duration, step = 8.763e-3, 270 * DEG, 1e-3

    def cosine(angle: float) -> float:
        return lift / 2 * (1 + math.cos(2 * math.pi * angle / duration))

    bend = (cosine(step) - 2 * cosine(0.0) + cosine(-step)) / step**2
    assert lobe.nose_acceleration_estimate(lift, duration) == pytest.approx(bend, rel=1e-5)
