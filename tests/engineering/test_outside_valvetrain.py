"""Valve train, pushrods and contact against textbook values, worked examples and other derivations."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from tappetry.engineering import contact, lobe, pushrod, valvetrain
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, INCH, LBF, MM, PSI, RPM

# --- lift, mass and speed ------------------------------------------------------------------------------


def test_lash_is_not_multiplied_by_the_ratio() -> None:
    """Worked by hand: 0.353 x 1.6 - 0.018 = 0.5468 in."""
    lift = valvetrain.lift_at_valve(0.353 * INCH, 1.6, 0.018 * INCH)
    assert lift / INCH == pytest.approx(0.5468)


def test_more_lash_than_lift_leaves_the_valve_shut() -> None:
    assert valvetrain.lift_at_valve(0.5e-3, 1.5, 0.9e-3) == 0.0


def test_rocker_ratio_gives_back_its_lift() -> None:
    ratio = valvetrain.rocker_ratio(14.2 * MM, 8.763 * MM)
    assert valvetrain.lift_at_valve(8.763 * MM, ratio) == pytest.approx(14.2 * MM)


def test_a_ratio_that_no_rocker_has_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        valvetrain.rocker_ratio(8.763 * MM * 0.4, 8.763 * MM)
    assert refusal.value.quantity == "rocker_ratio"
    assert refusal.value.value == pytest.approx(0.4)


def test_equivalent_mass_has_the_energy_of_the_parts() -> None:
    """Kinetic energy at 3 m/s of the valve: the spring's coils move in proportion to their place."""
    parts = {
        "valve_mass": 0.106,
        "retainer_mass": 0.022,
        "lock_mass": 0.005,
        "spring_mass": 0.092,
        "rocker_mass_at_valve": 0.042,
        "pushrod_mass": 0.052,
        "lifter_mass": 0.112,
    }
    speed, ratio, places = 3.0, 1.65, (np.arange(10_000) + 0.5) / 10_000
    whole = sum(parts[name] for name in ("valve_mass", "retainer_mass", "lock_mass", "rocker_mass_at_valve"))
    energy = 0.5 * whole * speed**2
    energy += 0.5 * parts["spring_mass"] * np.mean((speed * places) ** 2)
    energy += 0.5 * (parts["pushrod_mass"] + parts["lifter_mass"]) * (speed / ratio) ** 2
    mass = valvetrain.equivalent_mass(**parts, rocker_ratio=ratio)
    assert 0.5 * mass * speed**2 == pytest.approx(energy, rel=1e-8)


def test_separation_against_a_mass_on_a_spring() -> None:
    """A mass rides the lobe under its spring: it leaves the nose just above the speed, and not just below.

    The free flight from the nose is integrated with scipy and compared with the lobe.
    """
    lift, exponent, half_width, ratio = 8.763 * MM, 5.5053, 167.731 * DEG, 1.65
    rate, seat, mass = 372 * LBF / INCH, 120 * LBF, 0.266
    opened = seat + rate * lift * ratio
    acceleration = lobe.nose_acceleration(lift, exponent, half_width)
    limit = float(valvetrain.separation_speed(opened, mass, acceleration, ratio))

    def gap_after_the_nose(speed: float) -> float:
        end = 2e-4
        flight = solve_ivp(
            lambda _, state: (state[1], -(seat + rate * state[0]) / mass),
            (0.0, end),
            (lift * ratio, 0.0),
            rtol=1e-12,
            atol=1e-15,
        )
        return float(
            flight.y[0, -1] - ratio * lobe.lobe_lift_at_angle(speed * end, lift, exponent, half_width)
        )

    assert gap_after_the_nose(limit * 1.02) > 0.0
    assert gap_after_the_nose(limit * 0.98) < 0.0


def test_force_and_speeds_of_the_bench() -> None:
    """Worked by hand, by the lobe and by the raised cosine.

    266 g at 6,500 rpm need 257 and 356 lb; 332 lb part at 7,391 and 6,277 rpm.
    """
    lift, ratio, mass, opened = 0.345 * INCH, 1.65, 0.2659, (120 + 372 * 0.345 * 1.65) * LBF
    known = lobe.nose_acceleration(lift, 5.5053, 167.731 * DEG)
    guessed = lobe.nose_acceleration_estimate(lift, 270 * DEG)
    for acceleration, force, speed in ((known, 257, 7391), (guessed, 356, 6277)):
        needed = valvetrain.force_at_nose(6500 * RPM, mass, acceleration, ratio)
        assert needed / LBF == pytest.approx(force, abs=1)
        assert valvetrain.separation_speed(opened, mass, acceleration, ratio) / RPM == pytest.approx(
            speed, rel=0.002
        )


@given(speed=st.floats(100.0, 1000.0))
def test_force_at_the_separation_speed_is_the_open_load(speed: float) -> None:
    force = valvetrain.force_at_nose(speed, 0.266, -5.6e-3, 1.65)
    assert valvetrain.separation_speed(force, 0.266, -5.6e-3, 1.65) == pytest.approx(speed)


def test_a_nose_that_does_not_slow_the_valve_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        valvetrain.separation_speed(1476.0, 0.266, 0.0, 1.65)
    assert str(refusal.value) == (
        "nose acceleration = 0 m/rad2 must be -1..-1e-12 m/rad2 (at the nose the lobe slows the valve down). "
        "It is negative, by crank angle and at the lobe"
    )


# --- pushrod -------------------------------------------------------------------------------------------


def test_preload_from_turns() -> None:
    """Worked by hand: M8x1.25, one turn is 2.008 mm at 1.65, .0773 in at 1.75; .080 in is 1.01 turns."""
    assert pushrod.preload_from_turns(1.0, 1.25 * MM, 1.65) / MM == pytest.approx(2.008, abs=0.0005)
    assert pushrod.preload_from_turns(1.0, 1.25 * MM, 1.75) / INCH == pytest.approx(0.0773, abs=0.00005)
    assert pushrod.preload_from_turns(1.01, 1.25 * MM, 1.65) / INCH == pytest.approx(0.080, abs=0.0005)


@given(ratio=st.floats(1.2, 2.0), drop=st.floats(-1.0, 1.0))
def test_a_pedestal_against_the_drawn_lever(ratio: float, drop: float) -> None:
    """A straight lever turns about the still valve tip while its pivot goes up: similar triangles."""
    arm_to_tip = 39.37 * MM
    arm_to_cup = arm_to_tip / ratio
    slope = drop * MM / arm_to_tip
    cup_rise = slope * (arm_to_tip + arm_to_cup)
    length = pushrod.pushrod_length(0.188, 0.040, 0.040, pedestal_rise=drop * MM, rocker_ratio=ratio)
    assert length - 0.188 == pytest.approx(cup_rise, abs=1e-15)


@given(ratio=st.floats(1.2, 2.0), rise=st.floats(-1.0, 1.0))
def test_a_valve_tip_against_the_drawn_lever(ratio: float, rise: float) -> None:
    """The lever turns about its still pivot: the cup goes down as the tip goes up."""
    length = pushrod.pushrod_length(0.188, 0.040, 0.040, valve_tip_rise=rise * MM, rocker_ratio=ratio)
    assert length - 0.188 == pytest.approx(-rise * MM / ratio, abs=1e-15)


def test_a_skim_counts_along_the_lifter_bore() -> None:
    at_angle = pushrod.pushrod_length(0.188, 0.040, 0.040, skim=0.5 * MM, lifter_bore_angle=60 * DEG)
    assert at_angle == pytest.approx(0.188 - 0.25 * MM)


def test_a_tip_without_a_ratio_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        pushrod.pushrod_length(0.188, 0.040, 0.040, valve_tip_rise=0.1 * MM)
    assert refusal.value.quantity == "rocker_ratio"
    assert str(refusal.value) == (
        "rocker ratio must be given. Pedestal and tip move the rod through the rocker"
    )


def test_solid_column_of_a_textbook() -> None:
    """Shigley's Mechanical Engineering Design, example 4-16 (from memory): 88 kN on 1.5 m needs 37.48 mm."""
    diameter = brentq(
        lambda d: float(pushrod.pushrod_buckling_load(d, d / 2, 0.9999, 207e9 * (0.9999 / 1.5) ** 2)) - 88e3,
        0.01,
        0.09,
    )
    assert diameter / MM == pytest.approx(37.4848951300941, rel=1e-9)
    assert diameter / MM == pytest.approx(37.48, abs=0.01)


def test_short_column_of_a_textbook() -> None:
    """Form of Shigley's example 4-17 (re-derived, J. B. Johnson): 88 kN on 375 mm, 500 MPa: 19.02 mm."""
    diameter = brentq(
        lambda d: float(pushrod.pushrod_column_load(d, d / 2, 0.375, 500e6)) - 88e3, 0.015, 0.09
    )
    assert diameter / MM == pytest.approx(19.019853089899186, rel=1e-9)


def test_slender_tube() -> None:
    """Euler, a tube of 0.3125 x 0.080 x 8.0 in, E = 30 Mpsi, 90 ksi: 2,043 lbf."""
    inputs = (0.3125 * INCH, 0.080 * INCH, 8.0 * INCH)
    euler = pushrod.pushrod_buckling_load(*inputs, elastic_modulus=30e6 * PSI)
    column = pushrod.pushrod_column_load(*inputs, yield_strength=90e3 * PSI, elastic_modulus=30e6 * PSI)
    assert euler / LBF == pytest.approx(2042.9374096109057, rel=1e-7)
    assert column == euler


def test_slender_and_stocky_meet() -> None:
    """At the transition both give A Sy / 2, with one tangent."""
    length = 191.46491818455198 * MM
    inputs = (8 * MM, 1.5 * MM, length, 620e6)
    assert pushrod.pushrod_buckling_load(8 * MM, 1.5 * MM, length) == pytest.approx(
        9495.463795475149, rel=1e-9
    )
    area = math.pi / 4 * (8**2 - 5**2) * MM**2
    step = 1e-6
    longer = pushrod.pushrod_column_load(inputs[0], inputs[1], length + step, 620e6)
    shorter = pushrod.pushrod_column_load(inputs[0], inputs[1], length - step, 620e6)
    assert (longer + shorter) / 2 == pytest.approx(area * 620e6 / 2, rel=1e-9)
    assert longer < area * 620e6 / 2 < shorter


def test_buckling_is_the_eigenvalue_of_a_bending_rod() -> None:
    """200 pieces, ends free to turn: y'' = -P/(E I) y, the lowest P that bends it."""
    outside, wall, length, modulus, pieces = 8 * MM, 2 * MM, 0.1886, 207e9, 200
    second_moment = math.pi / 64 * (8**4 - 4**4) * MM**4
    bend = (2 * np.eye(pieces - 1) - np.eye(pieces - 1, k=1) - np.eye(pieces - 1, k=-1)) * (
        pieces / length
    ) ** 2
    lowest = modulus * second_moment * np.linalg.eigvalsh(bend)[0]
    assert pushrod.pushrod_buckling_load(outside, wall, length) == pytest.approx(lowest, rel=1e-4)


def test_pushrods_of_the_bench() -> None:
    """Worked by hand, 7.425 in long.

    8.0 x 2.0 mm holds 2,430 lb, 11/32 x .120 in holds 3,650 lb; 900 lb shorten them by 0.0038 and 0.0026 in.
    """
    for outside, wall, load, shorter in (
        (8 * MM, 2 * MM, 2430, 0.0038),
        (11 / 32 * INCH, 0.120 * INCH, 3650, 0.0026),
    ):
        inputs = (outside, wall, 7.425 * INCH)
        assert pushrod.pushrod_buckling_load(*inputs) / LBF == pytest.approx(load, rel=0.003)
        assert pushrod.pushrod_compression(900 * LBF, *inputs) / INCH == pytest.approx(shorter, abs=0.00006)


def test_load_of_an_exhaust_pushrod() -> None:
    """Worked by hand: (332 lb + 70 psi x 2.046 in2) x 1.65 = 784 lb for a 41 mm valve."""
    load = pushrod.pushrod_load(332 * LBF, 70 * PSI, 41 * MM, 1.65)
    assert load / LBF == pytest.approx(784, abs=0.5)


def test_a_wall_thicker_than_the_tube_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        pushrod.pushrod_buckling_load(8 * MM, 5 * MM, 0.188)
    assert str(refusal.value) == (
        "wall thickness over outside diameter = 0.625 must be above 0 and at most 0.5 "
        "(half the diameter is a solid rod). Check that the wall is not the bore, and the units of both"
    )


# --- contact -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("force", "width", "nose", "follower", "half_width", "pressure"),
    [
        (3500, 12, 18, 9.5, 0.1428590893907748, 1299.7476585660988),
        (2500, 14, 30, math.inf, 0.2455270715565301, 463.01249588407416),  # flat follower
    ],
)
def test_line_contact(
    force: float, width: float, nose: float, follower: float, half_width: float, pressure: float
) -> None:
    """Shigley's Mechanical Engineering Design, eqs. 3-73 and 3-74, E = 207 GPa, nu = 0.292."""
    modulus = contact.contact_modulus(207e9, 0.292)
    got = contact.line_contact(force, width * MM, nose * MM, follower * MM, modulus)
    assert got.contact_half_width / MM == pytest.approx(half_width, rel=1e-7)
    assert got.contact_pressure / 1e6 == pytest.approx(pressure, rel=1e-7)


@given(force=st.floats(100.0, 8000.0), nose=st.floats(3.0, 30.0))
def test_pressure_over_the_strip_carries_the_load(force: float, nose: float) -> None:
    """Johnson, Contact Mechanics: an ellipse of pressure, area pi/2 x p x b, times the width."""
    got = contact.line_contact(force, 11 * MM, nose * MM, 9 * MM, 113.7e9)
    carried = math.pi / 2 * got.contact_pressure * got.contact_half_width * 11 * MM
    assert carried == pytest.approx(force, rel=1e-12)


def test_twice_the_load_is_the_root_of_two_in_pressure() -> None:
    got = contact.line_contact(np.array([1000.0, 2000.0]), 11 * MM, 14 * MM, 9 * MM, 113.7e9)
    assert got.contact_pressure[1] / got.contact_pressure[0] == pytest.approx(math.sqrt(2))


@pytest.mark.parametrize(
    ("open_lb", "nose_mm", "pressure"), [(332, 14.08, 1210), (413, 14.58, 1340), (1155 / 1.65, 14.58, 1757)]
)
def test_contact_of_the_bench(open_lb: float, nose_mm: float, pressure: float) -> None:
    """Worked by hand: roller 9 mm x 11 mm, ratio 1.65."""
    got = contact.line_contact(open_lb * 1.65 * LBF, 11 * MM, nose_mm * MM, 9 * MM, contact.contact_modulus())
    assert got.contact_pressure / 1e6 == pytest.approx(pressure, rel=0.01)
