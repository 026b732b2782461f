"""Oil against the tables and examples of standards, textbook examples, integrals and a general library."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from fluids.friction import Blasius, friction_laminar
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from tappetry.engineering import oil_grades, oil_leaks, oil_passages, oil_pump, oil_supply, oil_viscosity
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import INCH, LBF, MM, PSI

MM2 = 1e-6  # mm2/s
LITRE_PER_MINUTE = 1e-3 / 60.0
GALLON = 231 * INCH**3
ICE = 273.15
OIL = (ICE + 40, 100 * MM2, ICE + 100, 14 * MM2)

# --- viscosity ---


def walther_in_natural_logs(celsius: float, cold: float, hot: float) -> float:
    """ASTM D341 written down again, with natural logarithms and the line through 40 and 100 degC."""
    top, bottom = math.log(math.log(cold + 0.7)), math.log(math.log(hot + 0.7))
    share = math.log((celsius + ICE) / (40 + ICE)) / math.log((100 + ICE) / (40 + ICE))
    return math.exp(math.exp(top + share * (bottom - top))) - 0.7


@given(celsius=st.floats(-10, 140), cold=st.floats(30, 300), share=st.floats(0.08, 0.2))
def test_viscosity_line_does_not_mind_the_base_of_its_logarithms(
    celsius: float, cold: float, share: float
) -> None:
    hot = max(cold * share, 4.0)
    wanted = walther_in_natural_logs(celsius, cold, hot)
    if wanted < 2.0:
        return
    got = oil_viscosity.kinematic_viscosity(celsius + ICE, ICE + 40, cold * MM2, ICE + 100, hot * MM2)
    swapped = oil_viscosity.kinematic_viscosity(celsius + ICE, ICE + 100, hot * MM2, ICE + 40, cold * MM2)
    assert got / MM2 == pytest.approx(wanted, rel=1e-9)
    assert swapped == pytest.approx(got, rel=1e-9)
    back = oil_viscosity.temperature_at_viscosity(got, ICE + 40, cold * MM2, ICE + 100, hot * MM2)
    assert back - ICE == pytest.approx(celsius, abs=1e-6)


def test_oil_too_thin_for_the_line_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        oil_viscosity.kinematic_viscosity(ICE + 170, ICE + 40, 20 * MM2, ICE + 100, 4 * MM2)
    error = refusal.value
    assert (error.quantity, error.limit) == ("kinematic_viscosity", "at least 2e-06 m2/s")
    assert error.value == pytest.approx(walther_in_natural_logs(170, 20, 4) * MM2)
    assert str(error).endswith(
        "(ASTM D341, without the terms for thin liquids). Stay below this temperature, or measure"
    )


def test_exchanged_viscosities_are_seen() -> None:
    with pytest.raises(OutOfRange) as refusal:
        oil_viscosity.temperature_at_viscosity(20 * MM2, ICE + 40, 14 * MM2, ICE + 100, 100 * MM2)
    assert refusal.value.quantity == "walther_b"
    assert "Check which viscosity belongs to which temperature" in str(refusal.value)


D2270 = {  # ASTM D2270, table of L and H by viscosity at 100 degC, as a general-purpose library holds it
    2.0: (7.994, 6.394),
    3.0: (15.49, 12.15),
    4.0: (25.32, 19.56),
    5.0: (40.23, 28.49),
    6.0: (57.97, 38.19),
    7.5: (88.85, 53.98),
    8.9: (120.9, 69.94),
    10.0: (147.7, 82.87),
    14.0: (263.3, 135.4),
    20.0: (493.2, 229.5),
    25.0: (736.5, 320.9),
    35.0: (1356.0, 532.5),
    50.0: (2618.0, 919.6),
    70.0: (4905.0, 1558.0),
}


@pytest.mark.parametrize(("hot", "row"), D2270.items())
def test_references_of_the_viscosity_index(hot: float, row: tuple[float, float]) -> None:
    found = oil_viscosity.index_references(hot * MM2)
    assert found.low_index_viscosity / MM2 == pytest.approx(row[0], rel=1.2e-3)
    assert found.high_index_viscosity / MM2 == pytest.approx(row[1], rel=1.2e-3)


@pytest.mark.parametrize(("cold", "hot", "index"), [(73.30, 8.86, 92), (22.83, 5.05, 156)])
def test_the_two_examples_of_the_viscosity_index(cold: float, hot: float, index: int) -> None:
    """ASTM D2270, examples of procedures A and B, from memory."""
    assert round(oil_viscosity.viscosity_index(cold * MM2, hot * MM2)) == index


@given(st.floats(3.0, 60.0))
def test_an_oil_of_index_0_or_100_is_its_own_reference(hot: float) -> None:
    found = oil_viscosity.index_references(hot * MM2)
    assert oil_viscosity.viscosity_index(found.low_index_viscosity, hot * MM2) == pytest.approx(0.0, abs=1e-6)
    assert oil_viscosity.viscosity_index(found.high_index_viscosity, hot * MM2) == pytest.approx(100.0)


def test_density_falls_with_temperature() -> None:
    """Worked by hand: 870 / (1 + 0.0007 x 85) = 821.1; the stated density at its own temperature."""
    assert oil_viscosity.oil_density(ICE + 100, 870.0) == pytest.approx(821.1, abs=0.05)
    assert oil_viscosity.oil_density(ICE + 15, 870.0) == 870.0


# --- grades ---

J300 = {  # SAE J300 (2015), secondary transcription: mm2/s least and below, mPa.s least
    ("8", "none"): (4.0, 6.1, 1.7),
    ("12", "none"): (5.0, 7.1, 2.0),
    ("16", "none"): (6.1, 8.2, 2.3),
    ("20", "0W"): (6.9, 9.3, 2.6),
    ("30", "5W"): (9.3, 12.5, 2.9),
    ("40", "5W"): (12.5, 16.3, 3.5),
    ("40", "15W"): (12.5, 16.3, 3.7),
    ("40", "none"): (12.5, 16.3, 3.7),
    ("50", "20W"): (16.3, 21.9, 3.7),
    ("60", "none"): (21.9, 26.1, 3.7),
}


@pytest.mark.parametrize(("grades", "row"), J300.items())
def test_grades_hot(grades: tuple[str, str], row: tuple[float, float, float]) -> None:
    found = oil_grades.hot_limits(*grades)
    assert found.least_viscosity / MM2 == pytest.approx(row[0])
    assert found.viscosity_limit / MM2 == pytest.approx(row[1])
    assert found.least_high_shear_viscosity * 1e3 == pytest.approx(row[2])


@pytest.mark.parametrize(
    ("grade", "cranking", "at", "pumping_at", "least"),
    [
        ("0W", 6200, -35, -40, 3.8),
        ("5W", 6600, -30, -35, 3.8),
        ("10W", 7000, -25, -30, 4.1),
        ("15W", 7000, -20, -25, 5.6),
        ("20W", 9500, -15, -20, 5.6),
        ("25W", 13000, -10, -15, 9.3),
    ],
)
def test_grades_cold(grade: str, cranking: float, at: float, pumping_at: float, least: float) -> None:
    found = oil_grades.cold_limits(grade)
    assert found.greatest_cranking_viscosity * 1e3 == pytest.approx(cranking)
    assert found.cranking_temperature - ICE == pytest.approx(at)
    assert found.greatest_pumping_viscosity * 1e3 == pytest.approx(60_000)
    assert found.pumping_temperature - ICE == pytest.approx(pumping_at)
    assert found.least_viscosity / MM2 == pytest.approx(least)


def test_grades_follow_each_other_without_a_gap_from_20_on() -> None:
    limits = [oil_grades.hot_limits(grade) for grade in ("20", "30", "40", "50", "60")]
    for thinner, thicker in pairwise(limits):
        assert thinner.viscosity_limit == thicker.least_viscosity


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: oil_grades.hot_limits("5W-30"),
            "viscosity grade '5W-30' must be one of 8, 12, 16, 20, 30",
        ),
        (
            lambda: oil_grades.hot_limits("30", "7W"),
            "winter grade '7W' must be one of none, 0W, 5W, 10W",
        ),
        (lambda: oil_grades.cold_limits("none"), "winter grade 'none' must be one of 0W, 5W, 10W, 15W"),
    ],
)
def test_an_unknown_grade_is_refused(call, message: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert str(refusal.value).startswith(message)
    assert str(refusal.value).endswith("(SAE J300). Write 5W-30 as the two grades 30 and 5W")


# --- pump ---


def test_a_textbook_gear_pump() -> None:
    """Esposito, Fluid Power with Applications, example 5-1, from memory: 3.93 in3, 30.6 gal/min."""
    displacement = oil_pump.gear_pump_displacement(3 * INCH, 2 * INCH, 1 * INCH)
    speed = 1800 * math.pi / 30
    assert displacement / INCH**3 == pytest.approx(3.93, abs=0.005)
    found = oil_pump.pump_efficiency(displacement, speed, 28 * GALLON / 60)
    assert found.theoretical_flow * 60 / GALLON == pytest.approx(30.6, abs=0.05)
    again = oil_pump.pump_delivery(displacement, speed, found.pump_efficiency)
    assert again.pump_flow * 60 / GALLON == pytest.approx(28)
    assert again.theoretical_flow == found.theoretical_flow


def test_a_rotor_pump() -> None:
    """Worked by hand: 8 chambers that each shrink by 140 mm2, 12 mm wide: 13.44 cm3."""
    assert oil_pump.gerotor_displacement(150e-6, 10e-6, 8, 12 * MM) == pytest.approx(13.44e-6)


def test_relief_and_power() -> None:
    """Worked by hand: 63 N on 14.5 mm is 381.5 kPa; 1 L/s at 400 kPa and half the efficiency is 800 W."""
    assert oil_pump.relief_pressure(63.0, 14.5 * MM) / 1e3 == pytest.approx(381.5, abs=0.05)
    assert oil_pump.pump_power(1e-3, 400e3, 0.5) == pytest.approx(800.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: oil_pump.gear_pump_displacement(0.02, 0.03, 0.02),
            "gear inside diameter over gear outside diameter = 1.5 must be 0..1 (teeth stand outwards). "
            "Exchange the two",
        ),
        (
            lambda: oil_pump.pump_efficiency(13.4e-6, 0.0, 1e-4),
            "theoretical flow = 0 m3/s must be above 0 m3/s (a pump at rest has no efficiency)",
        ),
        (
            lambda: oil_pump.pump_efficiency(13.4e-6, 2 * math.pi, 26.8e-6),
            "pump flow over theoretical flow = 2 must be 0..1 (a pump delivers no more than it moves). "
            "Check the pump's own speed, and the dimensions of its gears",
        ),
        (
            lambda: oil_pump.gallery_pressure(1e-4, 4e5, 0.0, 0.0, 0.6, 830.0),
            "flow of gaps and holes together = 0 must be above 0 (an engine that lets nothing through has no "
            "oil pressure but the relief's). State the gaps, the holes, or both",
        ),
    ],
)
def test_what_a_pump_cannot_do(call, message: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert str(refusal.value) == message


@given(
    flow=st.floats(1e-5, 2e-3),
    gaps=st.floats(0, 3e-9),
    area=st.floats(1e-7, 3e-5),
    relief=st.floats(1e5, 8e5),
)
def test_gallery_pressure_is_where_the_flows_agree(
    flow: float, gaps: float, area: float, relief: float
) -> None:
    def taken(pressure: float) -> float:
        return gaps * pressure + 0.62 * area * math.sqrt(2 * pressure / 830.0)

    found = oil_pump.gallery_pressure(flow, relief, gaps, area, 0.62, 830.0)
    balance = brentq(lambda pressure: taken(pressure) - flow, 0.0, 1e13, rtol=1e-12)
    assert found.oil_pressure == pytest.approx(min(balance, relief), rel=1e-6)
    assert found.engine_flow + found.bypass_flow == pytest.approx(flow)
    assert found.engine_flow == pytest.approx(taken(found.oil_pressure), rel=1e-6)
    assert found.bypass_flow >= 0.0
    if balance < relief:
        assert found.bypass_flow == pytest.approx(0.0, abs=1e-9 * flow)


def test_an_engine_at_rest_has_no_pressure() -> None:
    found = oil_pump.gallery_pressure(0.0, 4e5, 1e-9, 4e-6, 0.62, 830.0)
    assert (found.oil_pressure, found.engine_flow, found.bypass_flow) == (0.0, 0.0, 0.0)


# --- leaks ---


def annulus_by_integration(radius: float, clearance: float, eccentricity: float) -> float:
    """The integral of the cubed gap round the shaft, with the gap of two circles that stand apart."""

    def gap(angle: float) -> float:
        offset = eccentricity * clearance
        outer = offset * math.cos(angle) + math.sqrt(
            (radius + clearance) ** 2 - (offset * math.sin(angle)) ** 2
        )
        return outer - radius

    return quad(lambda angle: gap(angle) ** 3 * radius, 0.0, 2 * math.pi, epsrel=1e-10)[0]


@given(clearance=st.floats(10e-6, 80e-6), eccentricity=st.floats(0, 1))
def test_gaps_pass_what_the_integral_round_them_says(clearance: float, eccentricity: float) -> None:
    """Laminar flow between plates, gap^3 dp / (12 mu l) for each width, summed round the shaft."""
    radius, length, viscosity, pressure = 25 * MM, 10 * MM, 0.01, 3e5
    one_end = annulus_by_integration(radius, clearance, eccentricity) * pressure / (12 * viscosity * length)
    both = oil_leaks.side_flow(pressure, radius, clearance, length, viscosity, eccentricity)
    lifter = oil_leaks.gap_flow(pressure, 2 * radius, clearance, length, viscosity, eccentricity)
    assert both == pytest.approx(2 * one_end, rel=0.01)
    assert lifter == pytest.approx(one_end, rel=0.01)
    assert oil_leaks.leak_conductance(lifter, pressure) == pytest.approx(lifter / pressure)


def test_a_textbook_bearing() -> None:
    """Shigley's Mechanical Engineering Design, example 12-1, from memory: 222 psi, S = 0.135."""
    reyn = PSI  # pascal-seconds in one
    found = oil_leaks.bearing_numbers(
        500 * LBF, 1.5 * INCH, 0.75 * INCH, 0.0015 * INCH, 4e-6 * reyn, 30 * 2 * math.pi
    )
    assert found.bearing_pressure / PSI == pytest.approx(222, abs=0.5)
    assert found.sommerfeld_number == pytest.approx(0.135, abs=0.0005)
    assert found.bearing_torque == pytest.approx(found.bearing_friction * 500 * LBF * 0.75 * INCH)
    assert found.bearing_power == pytest.approx(found.bearing_torque * 30 * 2 * math.pi)
    drag = 4e-6 * reyn * 30 * 2 * math.pi * 0.75 * INCH / (0.0015 * INCH)  # stress of a thin layer
    area = 2 * math.pi * 0.75 * INCH * 1.5 * INCH
    assert found.bearing_torque == pytest.approx(drag * area * 0.75 * INCH)


def test_a_hole_passes_the_root_and_a_gap_all_of_the_pressure() -> None:
    assert oil_leaks.hole_flow(2 * MM, 6e5, 850.0, 0.62) == pytest.approx(
        math.sqrt(2) * oil_leaks.hole_flow(2 * MM, 3e5, 850.0, 0.62)
    )
    assert oil_leaks.gap_flow(6e5, 21 * MM, 15e-6, 15 * MM, 0.01) == pytest.approx(
        2 * oil_leaks.gap_flow(3e5, 21 * MM, 15e-6, 15 * MM, 0.01)
    )


def test_a_diametral_clearance_in_the_wrong_unit_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        oil_leaks.side_flow(3e5, 10 * MM, 1.5e-3, 10 * MM, 0.01)
    assert str(refusal.value) == (
        "radial clearance over journal radius = 0.15 must be 0..0.1 (the gap is taken as thin). Check that "
        "the clearance is half the difference of the diameters, and its unit"
    )


# --- passages ---


@given(flow=st.floats(1e-7, 5e-4), viscosity=st.floats(4e-3, 2.0))
def test_a_passage_takes_what_a_general_library_says(flow: float, viscosity: float) -> None:
    found = oil_passages.passage_flow(flow, 8 * MM, 0.25, viscosity, 850.0)
    reynolds = found.reynolds_number
    friction = max(friction_laminar(reynolds), Blasius(reynolds))
    assert found.friction_factor == pytest.approx(friction, rel=1e-3)
    head = 850.0 * found.passage_velocity**2 / 2
    assert found.passage_drop == pytest.approx(friction * 0.25 / 0.008 * head, rel=1e-3)


def test_thick_oil_in_a_passage_follows_its_laminar_profile() -> None:
    """Hagen and Poiseuille from the profile: dp = 8 mu l Q / (pi r^4)."""
    found = oil_passages.passage_flow(2e-5, 6 * MM, 0.3, 0.05, 850.0)
    assert found.passage_drop == pytest.approx(8 * 0.05 * 0.3 * 2e-5 / (math.pi * (3 * MM) ** 4))


def test_a_flat_gap_passes_the_sum_of_its_profile() -> None:
    """Velocity between plates is dp/(2 mu l) y (h - y); SciPy adds it up over the height."""
    height, length, viscosity, drop = 50e-6, 5 * MM, 0.012, 4e5
    sheet = quad(lambda y: drop / (2 * viscosity * length) * y * (height - y), 0.0, height)[0]
    found = oil_passages.slot_flow(drop, 40 * MM, height, length, viscosity)
    assert found == pytest.approx(40 * MM * sheet)


# --- pan and pickup ---


def test_a_pan_lasts_until_what_is_lost_is_gone() -> None:
    """Worked by hand: 13.4 cm3 x 50 turns x 0.95 is 38.2 L/min, 36 by the relief; 18 back; 3.5 L: 11.7 s."""
    found = oil_supply.pan_drain_down(
        3.5e-3, 50 * 2 * math.pi, 13.4e-6, 0.95, 36 * LITRE_PER_MINUTE, 18 * LITRE_PER_MINUTE
    )
    assert found.engine_flow / LITRE_PER_MINUTE == pytest.approx(36)
    assert found.drain_time == pytest.approx(11.67, abs=0.005)


def test_a_pan_lasts_for_ever_at_low_speed() -> None:
    speeds = np.array([10.0, 30.0, 50.0]) * 2 * math.pi
    found = oil_supply.pan_drain_down(3.5e-3, speeds, 13.4e-6, 1.0, 6e-4, 20 * LITRE_PER_MINUTE)
    assert found.drain_time[0] == math.inf
    assert found.drain_time[1] > found.drain_time[2] > 0.0


@given(flow=st.floats(1e-6, 1.5e-3), viscosity=st.floats(4e-3, 2.0))
def test_pickup_loses_what_a_general_library_says(flow: float, viscosity: float) -> None:
    found = oil_supply.pickup_state(flow, 20 * MM, 0.3, viscosity, 830.0, 3.0, 0.05)
    reynolds = found.reynolds_number
    friction = max(friction_laminar(reynolds), Blasius(reynolds))
    head = 830.0 * found.tube_velocity**2 / 2
    lost = (1 + 3.0 + friction * 0.3 / 0.020) * head + 830.0 * 9.80665 * 0.05
    assert 101325.0 - found.inlet_pressure == pytest.approx(lost, rel=1e-3)


def test_oil_at_rest_stands_under_its_own_height() -> None:
    found = oil_supply.pickup_state(0.0, 20 * MM, 0.3, 0.01, 830.0, 3.0, -0.1)
    assert found.inlet_pressure == pytest.approx(101325.0 + 830.0 * 9.80665 * 0.1)
    assert (found.tube_velocity, found.reynolds_number) == (0.0, 0.0)


def test_a_pickup_that_stands_too_high_is_no_gap() -> None:
    """Worked by hand: 0.6 L/s under 60 mm x 8 mm: 0.398 m/s."""
    assert oil_supply.gap_velocity(6e-4, 60 * MM, 8 * MM) == pytest.approx(0.398, abs=0.0005)
    with pytest.raises(OutOfRange) as refusal:
        oil_supply.gap_velocity(6e-4, 60 * MM, 80 * MM)
    assert "above that the mouth is narrower than the gap" in str(refusal.value)
