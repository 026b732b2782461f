"""The degree wheel against geometry, SciPy's circular statistics and the full system of least squares."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.stats import circmean, circstd

from tappetry.engineering import crank, degree_fit, degree_wheel, lobe, lobe_wear, polynomial_lobe, rise_laws
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, INCH, MM, lobe_shape

angles = st.floats(-180, 180)


def apart(first: float, second: float) -> float:
    """Degrees between two angles on a circle."""
    return abs((first - second + 180) % 360 - 180)


# --- dead centre ---


@pytest.mark.parametrize(
    ("first", "second", "centre", "error"),
    [(322, 42, 2, 2), (-21, 19, 359, -1), (30, 330, 0, 0), (170, 210, 190, -170)],
)
def test_dead_centre_by_stop(first: float, second: float, centre: float, error: float) -> None:
    """Worked by hand; 322 is 38 before zero."""
    found = degree_wheel.dead_centre_by_stop(first * DEG, second * DEG)
    assert found.dead_centre_reading / DEG == pytest.approx(centre, abs=1e-9)
    assert found.wheel_error / DEG == pytest.approx(error, abs=1e-9)


@given(true=st.floats(0, 359.99), stop=st.floats(5, 80), offset=st.floats(-0.002, 0.002))
def test_a_piston_that_meets_a_stop_shows_its_dead_centre(true: float, stop: float, offset: float) -> None:
    """From its own dead centre, a piston without pin offset falls alike either way; the middle finds it."""
    first, second = (true - stop) % 360, (true + stop) % 360
    found = degree_wheel.dead_centre_by_stop(second * DEG, first * DEG)
    assert apart(found.dead_centre_reading / DEG, true) < 1e-9
    assert found.stop_angle / DEG == pytest.approx(stop)
    before = crank.piston_fall(-stop * DEG, 0.09, 0.15)
    assert before == pytest.approx(crank.piston_fall(stop * DEG, 0.09, 0.15))


def test_stops_opposite_each_other_are_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        degree_wheel.dead_centre_by_stop(90 * DEG, 270 * DEG)
    assert str(refusal.value) == (
        "arc between the stop readings = 3.14159 rad must be 0..3.14159 rad (half a turn apart, the middle "
        "may be either dead centre). Set the stop so that it meets the piston nearer to top dead centre"
    )


# --- readings ---


@pytest.mark.parametrize(
    ("shown", "side", "angle"), [(30, "ATDC", 30), (38, "BTDC", 322), (41, "ABDC", 221), (48, "BBDC", 132)]
)
def test_wheels_that_count_from_dead_centres(shown: float, side: str, angle: float) -> None:
    assert degree_wheel.angle_after_dead_centre(shown * DEG, side) / DEG == pytest.approx(angle)


def test_an_unknown_side_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        degree_wheel.angle_after_dead_centre(0.5, "TDC")
    assert "wheel side 'TDC'" in str(refusal.value)
    assert "one of ATDC, BTDC, ABDC, BBDC" in str(refusal.value)


@given(st.lists(st.floats(-30, 30), min_size=2, max_size=12), angles)
def test_mean_of_readings_is_that_of_circular_statistics(spread: list[float], centre: float) -> None:
    readings = np.array(spread) * DEG + centre * DEG
    found = degree_wheel.mean_reading(readings)
    assert apart(found.mean_reading / DEG, circmean(readings) / DEG) < 1e-6
    assert found.circular_deviation == pytest.approx(circstd(readings), abs=1e-6)


def test_readings_all_round_have_no_mean() -> None:
    with pytest.raises(OutOfRange) as refusal:
        degree_wheel.mean_reading((0.0, math.pi))
    assert "readings that cancel each other have no mean" in str(refusal.value)
    assert "Look for a reading of the wrong dead centre" in str(refusal.value)


# --- lobes ---


@pytest.mark.parametrize(("opening", "closing", "centre"), [(78, 140, 109), (68, 146, 107), (356, 218, 107)])
def test_centre_of_equal_lifts(opening: float, closing: float, centre: float) -> None:
    found = degree_wheel.centre_of_equal_lifts(opening * DEG, closing * DEG)
    assert found.lobe_centre / DEG == pytest.approx(centre)


@given(centre=st.floats(0, 359.99), height=st.floats(0.2, 8.0))
def test_a_symmetrical_lobe_has_its_centre_at_every_lift(centre: float, height: float) -> None:
    shape = lobe_shape("B1", 0)
    half = brentq(
        lambda angle: (
            lobe.lobe_motion(angle, 8.763e-3, shape.lobe_exponent, shape.lobe_half_width).lobe_lift_at_angle
            - height * MM
        ),
        0.0,
        shape.lobe_half_width,
    )
    opening, closing = (centre * DEG - half) % (2 * math.pi), (centre * DEG + half) % (2 * math.pi)
    found = degree_wheel.centre_of_equal_lifts(opening, closing)
    assert apart(found.lobe_centre / DEG, centre) < 1e-6
    assert found.equal_lift_duration == pytest.approx(2 * half)


def test_events_from_readings() -> None:
    """Worked by hand: opens 3 after and closes 41 after bottom; 48 before bottom to 4 before top."""
    intake = degree_wheel.intake_readings(3 * DEG, 221 * DEG)
    assert intake.intake_opens / DEG == pytest.approx(-3)
    assert intake.intake_closes / DEG == pytest.approx(41)
    assert intake.intake_duration / DEG == pytest.approx(218)
    exhaust = degree_wheel.exhaust_readings(-228 * DEG, -4 * DEG)
    assert exhaust.exhaust_opens / DEG == pytest.approx(48)
    assert exhaust.exhaust_closes / DEG == pytest.approx(-4)
    assert exhaust.exhaust_duration / DEG == pytest.approx(224)


@given(early=st.floats(20, 60), late=st.floats(20, 60), start=angles, top=st.floats(100, 200))
def test_asymmetry_is_half_of_what_the_flanks_differ_by(
    early: float, late: float, start: float, top: float
) -> None:
    lower_open, upper_open = start, start + early
    upper_close, lower_close = upper_open + top, upper_open + top + late
    found = degree_wheel.lobe_asymmetry(
        *(angle % 360 * DEG for angle in (lower_open, upper_open, upper_close, lower_close))
    )
    lower = (lower_open + lower_close) / 2
    upper = (upper_open + upper_close) / 2
    assert found.opening_flank / DEG == pytest.approx(early)
    assert found.closing_flank / DEG == pytest.approx(late)
    assert found.centre_shift / DEG == pytest.approx(lower - upper, abs=1e-6)


def test_worn_lobes() -> None:
    lifts = np.array([0.345, 0.3448, 0.338, 0.3446, 0.3395]) * INCH
    found = lobe_wear.lobe_wear(lifts, 0.345 * INCH, 0.004 * INCH)
    assert found.worst_lobe == 3.0
    assert found.worst_loss / INCH == pytest.approx(0.007)
    assert found.lift_spread / INCH == pytest.approx(0.007)
    assert found.worn_lobes == 2.0


# --- correction ---


@given(
    measured=st.floats(95, 125),
    wanted=st.floats(95, 125),
    stock=st.lists(st.integers(-8, 8), min_size=1, max_size=9),
)
def test_no_keyway_in_stock_comes_nearer(measured: float, wanted: float, stock: list[int]) -> None:
    found = degree_wheel.choose_keyway(measured * DEG, wanted * DEG, np.array(stock) * DEG)
    errors = [measured - move - wanted for move in stock]
    place = int(found.keyway_number) - 1
    assert found.keyway_advance / DEG == pytest.approx(stock[place])
    assert found.remaining_error / DEG == pytest.approx(errors[place])
    assert abs(errors[place]) <= min(map(abs, errors)) + 1e-6
    assert found.corrected_centreline == pytest.approx(wanted * DEG + found.remaining_error)


def test_of_two_equally_near_the_smaller_move_is_taken() -> None:
    found = degree_wheel.choose_keyway(110 * DEG, 109 * DEG, np.array([2, 0]) * DEG)
    assert (found.keyway_number, found.keyway_advance) == (2.0, 0.0)


# --- all readings at once ---

TRUE_DEAD_CENTRE, TRUE_CENTRE, TRUE_SLOPE = 1.5 * DEG, 109 * DEG, 150 * DEG  # a degree in 1/150 m
HEIGHTS = np.array([1.27, 3.0, 5.0, 7.0, 8.0]) * MM
STOPS, WIDTHS = np.array([40.0, 40.0, 38.0]) * DEG, np.array([111.0, 88.0, 66.0, 44.0, 30.0]) * DEG


def exact_readings() -> tuple[NDArray[np.float64], ...]:
    centres = TRUE_DEAD_CENTRE + TRUE_CENTRE + TRUE_SLOPE * (HEIGHTS - HEIGHTS.mean())
    return TRUE_DEAD_CENTRE - STOPS, TRUE_DEAD_CENTRE + STOPS, centres - WIDTHS, centres + WIDTHS


def fit_of(readings: tuple[NDArray[np.float64], ...], sigma: float = 0.25 * DEG) -> degree_fit.DegreeFit:
    first, second, opening, closing = (reading % (2 * math.pi) for reading in readings)
    return degree_fit.degree_fit(first, second, HEIGHTS, opening, closing, sigma)


def full_system() -> NDArray[np.float64]:
    """One row for each reading; unknowns: dead centre, centre, slope, each stop's angle, each half width."""
    stops, lifts = len(STOPS), len(HEIGHTS)
    rows = []
    for sign in (-1.0, 1.0):
        for place in range(stops):
            row = np.zeros(3 + stops + lifts)
            row[0], row[3 + place] = 1.0, sign
            rows.append(row)
    for sign in (-1.0, 1.0):
        for place in range(lifts):
            row = np.zeros(3 + stops + lifts)
            row[:3] = 1.0, 1.0, HEIGHTS[place] - HEIGHTS.mean()
            row[3 + stops + place] = sign
            rows.append(row)
    return np.array(rows)


def test_exact_readings_give_back_what_they_were_made_of() -> None:
    fit = fit_of(exact_readings())
    assert fit.dead_centre_reading == pytest.approx(TRUE_DEAD_CENTRE)
    assert fit.lobe_centre == pytest.approx(TRUE_CENTRE)
    assert fit.centre_slope == pytest.approx(TRUE_SLOPE)
    assert fit.reading_scatter == pytest.approx(0.0, abs=1e-9)


@given(st.integers(0, 10**6))
def test_the_fit_is_the_least_squares_solution_of_all_equations(seed: int) -> None:
    noise = np.random.default_rng(seed).normal(0.0, 0.25 * DEG, 2 * (len(STOPS) + len(HEIGHTS)))
    exact = exact_readings()
    parts = np.split(noise, np.cumsum([len(each) for each in exact])[:-1])
    noisy = tuple(each + part for each, part in zip(exact, parts, strict=True))
    matrix = full_system()
    solution, residual, _, _ = np.linalg.lstsq(matrix, np.concatenate(noisy))
    covariance = np.linalg.inv(matrix.T @ matrix) * (0.25 * DEG) ** 2
    fit = fit_of(noisy)
    assert fit.dead_centre_reading == pytest.approx(solution[0] % (2 * math.pi), abs=1e-9)
    assert fit.lobe_centre == pytest.approx(solution[1], abs=1e-9)
    assert fit.centre_slope == pytest.approx(solution[2], abs=1e-6)
    uncertainties = (fit.dead_centre_uncertainty, fit.lobe_centre_uncertainty, fit.centre_slope_uncertainty)
    np.testing.assert_allclose(uncertainties, np.sqrt(np.diag(covariance)[:3]), rtol=1e-9)
    freedom = matrix.shape[0] - matrix.shape[1]
    assert fit.reading_scatter == pytest.approx(math.sqrt(residual[0] / freedom), rel=1e-6)


def test_the_stated_uncertainty_is_the_spread_of_many_fits() -> None:
    draws = np.random.default_rng(7)
    exact = exact_readings()
    fits = [
        fit_of(tuple(each + draws.normal(0.0, 0.25 * DEG, len(each)) for each in exact)) for _ in range(2000)
    ]
    spread = np.std([fit.lobe_centre for fit in fits])
    assert spread == pytest.approx(fits[0].lobe_centre_uncertainty, rel=0.06)
    assert np.mean([fit.lobe_centre for fit in fits]) == pytest.approx(TRUE_CENTRE, abs=0.02 * DEG)


def test_no_more_readings_than_unknowns_leave_no_scatter() -> None:
    fit = degree_fit.degree_fit((5.8,), (0.5,), (1e-3, 5e-3), (0.0, 1.0), (3.8, 2.8), 0.004)
    assert math.isnan(fit.reading_scatter)


@pytest.mark.parametrize(
    ("heights", "closing", "message"),
    [
        ((1e-3, 1e-3), (3.8, 2.8), "spread of the heights = 0 m must be above 0 m"),
        ((1e-3, 5e-3), (3.8,), "number of closing readings = 1 must be 2, as many as of heights"),
    ],
)
def test_lists_that_do_not_fit_are_refused(heights, closing, message: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        degree_fit.degree_fit((5.8,), (0.5,), heights, (0.0, 1.0), closing, 0.004)
    assert str(refusal.value).startswith(message)


# --- polynomial lobes ---

POLYNOMIALS = {
    "3-4-5": lambda x: 10 * x**3 - 15 * x**4 + 6 * x**5,
    "4-5-6-7": lambda x: 35 * x**4 - 84 * x**5 + 70 * x**6 - 20 * x**7,
}


@given(st.sampled_from(sorted(POLYNOMIALS)), st.floats(0, 1))
def test_polynomial_laws(law: str, x: float) -> None:
    """Norton, Design of Machinery, chapter 8, from memory; both laws are symmetrical about their middle."""
    assert rise_laws.lift_fraction(x, law) == pytest.approx(POLYNOMIALS[law](x), abs=1e-12)
    assert rise_laws.lift_fraction(1 - x, law) == pytest.approx(1 - POLYNOMIALS[law](x), abs=1e-12)


@given(st.sampled_from(sorted(POLYNOMIALS)), st.floats(0.001, 0.999), st.floats(40, 90))
def test_durations_are_where_the_law_passes_the_height(law: str, share: float, flank: float) -> None:
    found = polynomial_lobe.polynomial_durations(share * 8e-3, 8e-3, flank * DEG, law)
    passed = brentq(lambda x: POLYNOMIALS[law](x) - share, 0.0, 1.0, xtol=1e-14)
    assert found.whole_duration / DEG == pytest.approx(4 * flank)
    assert found.duration / DEG == pytest.approx(4 * flank * (1 - passed), rel=1e-6)


def test_a_lobe_that_does_not_reach_the_height_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        polynomial_lobe.polynomial_durations(9e-3, 8e-3, 1.2, "3-4-5")
    assert str(refusal.value) == (
        "checking height over lobe lift = 1.125 must be 0..1 (the lobe does not reach the checking height). "
        "Check the units of both"
    )
    with pytest.raises(OutOfRange) as refusal:
        rise_laws.lift_fraction(0.5, "2-3")
    assert "rise law '2-3'" in str(refusal.value)
