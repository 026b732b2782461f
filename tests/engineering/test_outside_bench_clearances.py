"""Bench clearances, stock, head clamp, piston forces and overlap by other ways: work, SciPy, searches."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import lagrange

from tappetry.engineering import (
    bench_clearance,
    clearances,
    crank,
    crank_forces,
    head_clamp,
    lobe,
    overlap_area,
    piston_to_valve,
    pushrod_stock,
    round_wire,
    spring_set,
)
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, MM, RPM

pytestmark = pytest.mark.slow

LOBE = (8.763 * MM, 5.5053, 167.731 * DEG)


@given(
    phase=st.floats(-4.0, 4.0),
    pressure=st.floats(-5e4, 8e6),
    offset=st.floats(-2e-3, 2e-3),
    speed=st.floats(50.0, 700.0),
)
def test_torque_on_the_throw_does_the_work_of_the_piston(
    phase: float, pressure: float, offset: float, speed: float
) -> None:
    found = crank_forces.piston_forces(phase, speed, 91 * MM, 156 * MM, 99 * MM, 0.725, pressure, offset)
    velocity = crank.piston_velocity(phase, speed, 91 * MM, 156 * MM, offset)
    along = found.inertia_force + found.gas_force
    assert found.throw_torque * speed == pytest.approx(along * velocity, rel=1e-9, abs=1e-6)
    assert found.rod_force**2 == pytest.approx(along**2 + found.side_force**2, rel=1e-9, abs=1e-6)


def test_inertia_at_the_dead_centres_closes() -> None:
    found = crank_forces.piston_forces(np.array([0.0, math.pi]), 300.0, 0.09, 0.15, 0.1, 0.7, 0.0)
    expected = 0.7 * 300.0**2 * 0.045 * np.array([-1 - 0.3, 1 - 0.3])
    np.testing.assert_allclose(found.inertia_force, expected, rtol=1e-12)


def test_overlap_area_by_quadrature() -> None:
    exhaust = (8.9 * MM, 5.7, 171 * DEG)
    found = overlap_area.overlap_area(109 * DEG, 117 * DEG, *LOBE, *exhaust, 1.65, 0.4 * MM)

    def lifts(angle: float) -> tuple[float, float]:
        pair = (
            lobe.lobe_lift_at_angle(angle - 109 * DEG, *LOBE),
            lobe.lobe_lift_at_angle(angle + 117 * DEG, *exhaust),
        )
        return max(1.65 * pair[0] - 0.4 * MM, 0.0), max(1.65 * pair[1] - 0.4 * MM, 0.0)

    ends = np.array([angle for angle in np.linspace(-2.0, 2.0, 40_001) if min(lifts(angle)) > 0.0])
    assert found.overlap == pytest.approx(np.ptp(ends), abs=3e-4)
    span = (ends[0], ends[-1])
    for got, curve in (
        (found.overlap_area, lambda angle: min(lifts(angle))),
        (found.intake_overlap_area, lambda angle: lifts(angle)[0]),
        (found.exhaust_overlap_area, lambda angle: lifts(angle)[1]),
    ):
        assert got == pytest.approx(quad(curve, *span, limit=400)[0], rel=1e-4)


def test_no_overlap_no_area() -> None:
    found = overlap_area.overlap_area(
        120 * DEG, 120 * DEG, 8 * MM, 5.5, 100 * DEG, 8 * MM, 5.5, 100 * DEG, 1.6
    )
    assert found.overlap == pytest.approx(-40 * DEG)
    assert (found.overlap_area, found.intake_overlap_area, found.exhaust_overlap_area) == (0.0, 0.0, 0.0)


def test_a_nose_in_the_overlap_is_told() -> None:
    with pytest.raises(OutOfRange, match=r"nose of the other lobe less exhaust closes = -0\.17"):
        overlap_area.overlap_area(20 * DEG, 137.731 * DEG, *LOBE, *LOBE, 1.6)


def test_valve_duration_is_that_at_which_the_valve_has_its_height() -> None:
    found = overlap_area.valve_duration(1.27 * MM, 1.65, *LOBE, 0.4 * MM)
    at_end = 1.65 * lobe.lobe_lift_at_angle(found.duration / 2, *LOBE) - 0.4 * MM
    assert at_end == pytest.approx(1.27 * MM, rel=1e-9)
    tight = 1.65 * lobe.lobe_lift_at_angle((found.duration + found.lash_loss) / 2, *LOBE)
    assert tight == pytest.approx(1.27 * MM, rel=1e-9)


def test_thirty_crank_degrees_of_phaser_move_every_event() -> None:
    card = (218 * DEG, 226 * DEG, 109 * DEG, 117 * DEG)
    home, late = (overlap_area.phaser_timing(travel, *card) for travel in (0.0, 15 * DEG))
    assert late.phaser_range == pytest.approx(30 * DEG)
    for name, sign in (
        ("intake_opens", -1),
        ("intake_closes", 1),
        ("exhaust_opens", -1),
        ("exhaust_closes", 1),
    ):
        assert getattr(late, name) - getattr(home, name) == pytest.approx(sign * 30 * DEG)


def test_a_dial_over_the_predicted_clearances_leads_back_to_the_least() -> None:
    engine = (109 * DEG, 5.207 * MM, 14 * DEG, 91 * MM, 156 * MM, *LOBE, 1.65)
    predicted = piston_to_valve.intake_piston_to_valve(*engine)
    angles = np.arange(-10, 31, 5) * DEG
    fall = crank.piston_fall(angles, 91 * MM, 156 * MM)
    lift = 1.65 * lobe.lobe_lift_at_angle(angles - 109 * DEG, *LOBE)
    readings = (5.207 * MM + fall * np.cos(14 * DEG) - lift) / np.cos(8 * DEG)
    found = bench_clearance.checking_spring_clearance(angles, readings, 8 * DEG, 1 * MM, 1 * MM, 14 * DEG)
    assert found.minimum_clearance == pytest.approx(predicted.minimum_clearance, abs=0.01 * MM)
    assert found.angle_of_minimum == pytest.approx(predicted.angle_of_minimum, abs=1 * DEG)


@given(
    readings=st.tuples(st.floats(2.5, 4.0), st.floats(1.0, 2.4), st.floats(2.5, 4.0)),
    steps=st.tuples(st.floats(3, 8), st.floats(3, 8)),
)
def test_the_parabola_is_that_of_lagrange(
    readings: tuple[float, float, float], steps: tuple[float, float]
) -> None:
    angles = np.cumsum([0.0, *steps])
    through = lagrange(angles, readings)
    vertex = float(through.deriv().roots[0])
    found = bench_clearance.checking_spring_clearance(
        angles * DEG, np.array(readings) * MM, 0.0, 1 * MM, 1 * MM, 0.0
    )
    assert found.angle_of_minimum == pytest.approx(vertex * DEG, abs=1e-6)
    assert found.minimum_clearance == pytest.approx(float(through(vertex)) * MM, abs=1e-9)


def test_a_lowest_reading_at_the_end_is_told() -> None:
    with pytest.raises(OutOfRange, match=r"place of the lowest of probe readings = 3 must be 2\.\.2"):
        bench_clearance.checking_spring_clearance(
            (0.0, 0.1, 0.2), (3 * MM, 2 * MM, 1 * MM), 0.0, 0.001, 0.001, 0.0
        )
    with pytest.raises(OutOfRange, match=r"number of probe angles that rise = 2 must be all 3"):
        bench_clearance.checking_spring_clearance(
            (0.0, 0.1, 0.1), (3 * MM, 2 * MM, 1 * MM), 0.0, 0.001, 0.001, 0.0
        )


def test_clay_on_a_thinner_gasket_and_with_lash() -> None:
    found = bench_clearance.clay_clearance(2 * MM, 1.5 * MM, 1.0 * MM, 60 * DEG / 2, 0.3 * MM, 0.5 * MM)
    assert found == pytest.approx((2 - 0.5 * math.sqrt(3) / 2 + 0.2) * MM)


def test_gaps_of_the_coils_add_up_to_the_margin() -> None:
    found = bench_clearance.coil_gap(45.5 * MM, 28.2 * MM, 14.4 * MM, 4.3)
    assert found.coil_gap * 4.3 == pytest.approx(found.coil_bind_margin)
    assert found.open_height == pytest.approx(31.1 * MM)


STOCK = tuple(float(each) * MM for each in np.arange(185.0, 190.0, 0.635))


@given(length=st.floats(183.0, 190.0), window=st.tuples(st.floats(0.0, 2.0), st.floats(0.0, 2.0)))
def test_the_choice_of_a_pushrod_by_brute_force(length: float, window: tuple[float, float]) -> None:
    least, greatest = sorted(window)
    wanted = (least + greatest) / 2

    def judged(each: float) -> tuple[float, float]:
        preload = each / MM - length
        return max(least - preload, preload - greatest, 0.0), abs(preload - wanted)

    best = min(STOCK, key=judged)
    found = pushrod_stock.choose_pushrod(length * MM, least * MM, greatest * MM, wanted * MM, STOCK)
    assert judged(found.chosen_length) == pytest.approx(judged(best), abs=2e-6)
    assert found.preload == pytest.approx(found.chosen_length - length * MM)
    assert found.window_miss / MM == pytest.approx(judged(best)[0], abs=2e-6)


def test_a_window_the_wrong_way_round_is_told() -> None:
    with pytest.raises(OutOfRange, match=r"preload less least preload = -0\.001 m must be at least 0 m"):
        pushrod_stock.choose_pushrod(0.187, 1.5e-3, 0.5e-3, 1e-3, STOCK)


@given(preload=st.floats(2e4, 9e4), shared=st.floats(0.1, 0.6), pressure=st.floats(4e6, 1.2e7))
def test_bolts_and_gasket_carry_the_gas(preload: float, shared: float, pressure: float) -> None:
    found = head_clamp.head_clamp(preload, 5.0, shared, pressure, 0.101, 0.008)
    assert 5 * found.bolt_load == pytest.approx(found.gas_load + found.firing_gasket_pressure * 0.008)
    at_lift = pressure * found.lift_factor
    if at_lift < 3e7:
        lifting = head_clamp.head_clamp(preload, 5.0, shared, at_lift, 0.101, 0.008)
        assert lifting.firing_gasket_pressure == pytest.approx(0.0, abs=1.0)
        assert lifting.bolt_load == pytest.approx(lifting.gas_load_per_bolt)


def test_mass_and_speed_of_an_engine() -> None:
    mass = crank_forces.reciprocating_mass(0.43, 0.12, 0.175)
    found = crank_forces.piston_forces(0.0, 6000 * RPM, 91 * MM, 156 * MM, 99 * MM, mass, 0.0)
    ratio = 45.5 / 156
    assert found.rod_force == pytest.approx(-0.725 * (6000 * RPM) ** 2 * 0.0455 * (1 + ratio), rel=1e-12)


@given(coils=st.tuples(st.floats(0.5, 6.0), st.floats(0.5, 6.0)), small=st.floats(15.0, 27.0))
def test_rate_of_a_beehive_by_the_twist_of_its_wire(coils: tuple[float, float], small: float) -> None:
    wire, large, modulus = 4.6 * MM, 27.5 * MM, 79.3e9

    def diameter(coil: float) -> float:
        return large + (small * MM - large) * max(coil - coils[0], 0.0) / coils[1]

    cubes = quad(lambda coil: diameter(coil) ** 3, 0.0, sum(coils), points=[coils[0]])[0]
    found = round_wire.beehive_spring_rate(wire, large, coils[0], small * MM, coils[1], modulus)
    assert found == pytest.approx(modulus * wire**4 / (8 * cubes), rel=1e-9)


def test_a_set_spring_and_one_with_an_allowance() -> None:
    found = spring_set.spring_set(54 * MM, 53.2 * MM, 65e3, 534.0)
    fresh, now = 534.0, 534.0 - 65.0 * 0.8
    assert found.load_lost == pytest.approx(fresh - now)
    assert found.load_kept == pytest.approx(now / fresh)
    assert spring_set.load_to_order(534.0, 0.05) * 0.95 == pytest.approx(534.0)
    with pytest.raises(OutOfRange, match=r"less free length = -0\.001 m must be at least 0 m"):
        spring_set.spring_set(53 * MM, 54 * MM, 65e3, 534.0)


def test_a_valve_in_a_pocket_that_stands_aside() -> None:
    assert clearances.pocket_radial_gap(56 * MM, 52 * MM, 2 * MM) == pytest.approx(0.0, abs=1e-12)
