"""Columns by the equation of a beam, contacts by their stresses, rockers and valve heads by points."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from tappetry.engineering import clearances, columns, contact, crowned_contact, piston_speed, pushrod, rockers
from tappetry.engineering.crank import piston_fall, piston_velocity
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, INCH, MM


def test_euler_is_the_lowest_eigenvalue_of_a_bending_rod() -> None:
    """Oracle: the hinged rod's curvature on 400 places; its lowest load by the eigenvalue."""
    length, modulus, pieces = 0.25, 207e9, 400
    found = columns.column_loads(8 * MM, 1.5 * MM, length, 620e6, modulus)
    inertia = found.section_area * found.gyration_radius**2
    bend = 2 * np.eye(pieces - 1) - np.eye(pieces - 1, k=1) - np.eye(pieces - 1, k=-1)
    lowest = np.linalg.eigvalsh(bend)[0] * modulus * inertia / (length / pieces) ** 2
    assert found.euler_load == pytest.approx(lowest, rel=1e-4)


@pytest.mark.parametrize("length", [0.05, 0.15, 0.19, 0.20, 0.30])
def test_columns_with_ball_ends_are_pushrods(length: float) -> None:
    found = columns.column_loads(8 * MM, 1.5 * MM, length, 620e6)
    assert found.critical_load == pytest.approx(pushrod.pushrod_column_load(8 * MM, 1.5 * MM, length, 620e6))
    assert found.critical_load in (found.euler_load, found.johnson_load)


@pytest.mark.parametrize(("length", "ends"), [(1.5, 1.0), (0.375, 1.0), (0.8, 1.2), (2.0, 0.25)])
def test_a_column_of_the_diameter_found_carries_the_load(length: float, ends: float) -> None:
    found = columns.column_diameter(88e3, length, 500e6, end_constant=ends)
    back = columns.column_loads(
        found.column_diameter, found.column_diameter / 2, length, 500e6, end_constant=ends
    )
    assert back.critical_load == pytest.approx(88e3, rel=1e-9)
    assert back.slenderness == pytest.approx(found.slenderness)
    assert back.transition_slenderness == pytest.approx(found.transition_slenderness)


def test_cylinders_are_the_lifter_on_its_lobe() -> None:
    modulus = contact.contact_modulus()
    lobe = contact.line_contact(2437.0, 11 * MM, 14.08 * MM, 9 * MM, modulus)
    pair = contact.cylinder_contact(2437.0, 11 * MM, 28.16 * MM, 18 * MM, modulus)
    assert pair.contact_pressure == pytest.approx(lobe.contact_pressure)
    assert pair.contact_half_width == pytest.approx(lobe.contact_half_width)
    assert contact.pair_modulus(207e9, 0.3, 207e9, 0.3) == pytest.approx(modulus)


def test_a_ball_in_a_cup_that_it_fills_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        contact.sphere_contact(500.0, 12 * MM, -12 * MM, 114e9)
    assert str(refusal.value) == (
        "curvature of the gap = 0 1/m must be above 0 1/m (the first body fits into the hollow). "
        "Give the hollow as second body, larger than the first, with a minus"
    )
    with pytest.raises(OutOfRange, match="size of second diameter = 0 m must be above 0 m"):
        contact.sphere_contact(500.0, 12 * MM, 0.0, 114e9)


def test_a_crown_as_round_as_the_lobe_is_a_ball() -> None:
    modulus = contact.contact_modulus()
    round_one = crowned_contact.crowned_contact(500.0, 12 * MM, math.inf, 12 * MM, modulus)
    ball = contact.sphere_contact(500.0, 24 * MM, math.inf, modulus)
    assert round_one.contact_pressure == pytest.approx(ball.contact_pressure, rel=1e-6)
    assert round_one.half_length_across == pytest.approx(ball.contact_radius, rel=1e-6)
    assert round_one.half_length_along == pytest.approx(ball.contact_radius, rel=1e-6)


@pytest.mark.parametrize("crown", [6 * MM, 50 * MM, 1.5])
def test_an_ellipse_carries_its_load_and_fits_the_gap(crown: float) -> None:
    """Johnson, Contact Mechanics, chapter 3 (from memory): displacement in the middle and at both ends.

    Oracle: the pressure's displacement by the integral over q of an ellipsoid, with SciPy; it closes the gap.
    """
    modulus, nose = 113.7e9, 14 * MM
    found = crowned_contact.crowned_contact(2000.0, nose, 9 * MM, crown, modulus)
    a, b, peak = found.half_length_across, found.half_length_along, found.contact_pressure
    assert 2 / 3 * math.pi * a * b * peak == pytest.approx(2000.0)

    def gap(axis: float, other: float) -> float:
        """Closed per square of the distance along an axis, for distances of 1 over the axis squared."""
        kernel = lambda q: 1 / ((1 + q) * math.sqrt((1 + q) * ((other / axis) ** 2 + q) * q))  # noqa: E731
        whole = quad(kernel, 0.0, 1.0, limit=200)[0] + quad(kernel, 1.0, math.inf, limit=200)[0]
        return peak * other / (2 * modulus * axis**2) * whole

    assert gap(a, b) == pytest.approx(1 / (2 * crown), rel=1e-5)
    assert gap(b, a) == pytest.approx((1 / nose + 1 / (9 * MM)) / 2, rel=1e-5)


@pytest.mark.parametrize("poisson", [0.0, 0.2, 0.3, 0.45])
def test_largest_shear_below_a_ball(poisson: float) -> None:
    """Johnson, Contact Mechanics, chapter 3 (from memory): the stresses on the axis, searched by SciPy."""

    def minus_shear(z: float) -> float:
        along = -1 / (1 + z * z)
        across = -(1 + poisson) * (1 - z * math.atan(1 / z)) + 1 / (2 * (1 + z * z))
        return -abs(along - across) / 2

    best = minimize_scalar(minus_shear, bounds=(0.05, 2.0), method="bounded", options={"xatol": 1e-10})
    found = contact.point_contact_shear(1.0, 1.0, poisson)
    assert found.greatest_shear_stress == pytest.approx(-best.fun, rel=1e-9)
    assert found.shear_depth == pytest.approx(best.x, rel=1e-4)


@pytest.mark.parametrize("ratio", [1.0001, 1.5, 3.5, 4.0, 12.0])
def test_largest_piston_speed_is_that_of_the_slider_crank(ratio: float) -> None:
    """Heywood, eq. 2.11 (from memory), searched by SciPy on the crank's own velocity."""
    stroke, speed = 0.092, 600.0
    rod = ratio * stroke / 2
    best = minimize_scalar(
        lambda angle: -piston_velocity(angle, speed, stroke, rod), bounds=(0.5, 1.6), method="bounded"
    )
    found = piston_speed.piston_speeds(stroke, rod, speed)
    assert found.greatest_piston_speed == pytest.approx(-best.fun, rel=1e-8)
    assert found.greatest_speed_angle == pytest.approx(best.x, abs=1e-3)


def test_volume_and_angle_of_a_cylinder_go_there_and_back() -> None:
    """Heywood, eq. 2.4 (from memory): from clearance to clearance and swept volume."""
    ends = piston_speed.cylinder_volume(np.array([0.0, math.pi]), 0.099, 0.091, 0.156, 75e-6)
    np.testing.assert_allclose(ends, [75e-6, 75e-6 + math.pi / 4 * 0.099**2 * 0.091])
    angles = np.array([0.1, 1.0, 1.5, 2.5, 3.1])
    falls = piston_fall(angles, 0.091, 0.156)
    np.testing.assert_allclose(piston_speed.angle_at_fall(falls, 0.091, 0.156), angles, rtol=1e-9)
    with pytest.raises(OutOfRange, match="piston fall over stroke = 1"):
        piston_speed.angle_at_fall(0.0911, 0.091, 0.156)
    with pytest.raises(OutOfRange, match=r"rod length over throw = 0\.9"):
        piston_speed.rod_angle(0.1, 0.2, 0.09)


def test_lean_of_the_rod_shortens_it() -> None:
    """The rod's height and the crank's add up to the pin's: the piston's fall in another way."""
    angle = np.linspace(0.0, 6.0, 13)
    lean = piston_speed.rod_angle(angle, 0.091, 0.156)
    height = 0.091 / 2 * np.cos(angle) + 0.156 * np.cos(lean)
    np.testing.assert_allclose(0.091 / 2 + 0.156 - height, piston_fall(angle, 0.091, 0.156), atol=1e-12)


def test_sweep_of_a_rocker() -> None:
    """Worked by hand: arm 1.550 in, lift .569: .026 in square at half lift, .108 when square at closed."""
    half = rockers.rocker_sweep(1.550 * INCH, 0.569 * INCH, 0.2845 * INCH)
    assert half.sweep_width / INCH == pytest.approx(1.550 * (1 - math.cos(math.asin(0.2845 / 1.550))))
    assert half.closed_contact == pytest.approx(half.open_contact)
    closed = rockers.rocker_sweep(1.550 * INCH, 0.569 * INCH, 0.0)
    assert closed.sweep_width / INCH == pytest.approx(0.1082, abs=5e-5)
    beyond = rockers.rocker_sweep(1.550 * INCH, 0.300 * INCH, 0.400 * INCH)
    assert beyond.sweep_width == pytest.approx(beyond.open_contact - beyond.closed_contact)
    with pytest.raises(OutOfRange, match=r"rocker arm over reach = 0\.5 must be above 1"):
        rockers.rocker_sweep(5 * MM, 10 * MM, 0.0)


def test_preload_of_a_warm_engine() -> None:
    """Worked by hand: an alloy engine of 10 in loses .0088 in over 80 K; 4.5 in of head on iron .004."""
    assert rockers.hot_preload_loss(23e-6, 12e-6, 10 * INCH, 80.0) / INCH == pytest.approx(0.0088)
    assert rockers.hot_preload_loss(23e-6, 12e-6, 4.5 * INCH, 80.0) / INCH == pytest.approx(0.004, abs=5e-5)


@pytest.mark.parametrize("angle", [0.0, 35.0, 80.0, 90.0])
def test_a_skim_moves_the_face_by_its_two_parts(angle: float) -> None:
    found = rockers.skim_shift(0.5 * MM, angle * DEG)
    assert math.hypot(found.face_gap_change, found.port_mismatch) == pytest.approx(0.5 * MM)
    assert math.atan2(found.port_mismatch, found.face_gap_change) == pytest.approx(angle * DEG)


@pytest.mark.parametrize("lifts", [(0.0, 0.0), (6 * MM, 2 * MM), (1 * MM, 9 * MM)])
@pytest.mark.parametrize("cants", [(0.0, 0.0), (12.0, 8.0), (-5.0, 10.0)])
def test_gap_of_canted_valves(lifts: tuple[float, float], cants: tuple[float, float]) -> None:
    """Oracle: 400 points on each head, every pair of them."""
    apart, intake, exhaust = 52 * MM, 52 * MM, 41 * MM
    share = np.linspace(-0.5, 0.5, 401)
    one, other = (angle * DEG for angle in cants)
    heads = []
    for middle, side, size, lift, cant in (
        (0, 1, intake, lifts[0], one),
        (apart, -1, exhaust, lifts[1], other),
    ):
        across = middle + side * (lift * math.sin(cant) + share * size * math.cos(cant))
        heads.append(np.stack((across, share * size * math.sin(cant) - lift * math.cos(cant)), axis=-1))
    every = np.linalg.norm(heads[0][:, None] - heads[1][None], axis=-1)
    gap = clearances.canted_valve_gap(apart, intake, exhaust, *lifts, one, other)
    assert gap == pytest.approx(every.min(), abs=0.2 * MM)
    assert gap <= every.min() + 1e-12


def test_heads_that_cross_have_no_gap() -> None:
    assert clearances.canted_valve_gap(36 * MM, 52 * MM, 41 * MM, 6 * MM, 2 * MM, 20 * DEG, 5 * DEG) == 0.0
    apart = clearances.canted_valve_gap(48.3 * MM, 52 * MM, 41 * MM, 3 * MM, 3 * MM, 0.0, 0.0)
    assert apart == pytest.approx(clearances.valve_to_valve(48.3 * MM, 52 * MM, 41 * MM))
