"""Mean pressures, friction, power and its correction against work, reference air and work by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.engineering import humid_air, mean_pressure, power_correction
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import LBF, RPM

FOOT = 0.3048
INHG = 3386.388640341  # NIST SP 811, conventional
HP = 745.6998715822702  # NIST SP 811


@given(
    torque=st.floats(10.0, 2000.0),
    displacement=st.floats(1e-3, 0.02),
    speed=st.floats(50.0, 900.0),
    strokes=st.sampled_from([2.0, 4.0]),
)
def test_mean_pressure_is_the_work_of_a_cycle_over_displacement(
    torque: float, displacement: float, speed: float, strokes: float
) -> None:
    turns = strokes / 2.0
    work = torque * 2.0 * math.pi * turns
    got = mean_pressure.brake_mean_pressure(torque, displacement, strokes)
    assert got == pytest.approx(work / displacement)
    power = mean_pressure.engine_power(torque, speed)
    assert power == pytest.approx(work * speed / (2.0 * math.pi * turns))
    if got <= 1e7:
        assert mean_pressure.torque_from_mean_pressure(got, displacement, strokes) == pytest.approx(torque)
    assert mean_pressure.engine_torque(power, speed) == pytest.approx(torque)
    same = mean_pressure.mean_pressure_from_power(power, displacement, speed, strokes)
    assert same == pytest.approx(got)


def test_mean_pressure_of_the_book() -> None:
    """Heywood, Internal Combustion Engine Fundamentals, eq. 2.20, from memory: 6.28 n T/V."""
    got = mean_pressure.brake_mean_pressure(500.0, 5.7e-3)
    assert got == pytest.approx(6.28 * 2 * 500.0 / 5.7e-3, rel=0.001)


def test_power_in_the_units_of_the_trade() -> None:
    """By definition: horsepower is torque in lbf ft times rpm over 5252.1."""
    power = mean_pressure.engine_power(400 * LBF * FOOT, 5500 * RPM)
    assert power / HP == pytest.approx(400 * 5500 / 5252.113, rel=1e-6)


def test_friction_by_hand() -> None:
    """Worked by hand: 0.137 + 0.35 + 1.944 bar; with 0.001 bar s2/m2, 0.144 more; 0.97 + 0.45 + 0.45."""
    form = (13.7e3, 0.005, 16.2e3, 70e5, 12.0)
    assert mean_pressure.friction_mean_pressure(*form) / 1e5 == pytest.approx(2.431)
    assert mean_pressure.friction_mean_pressure(*form, 100.0) / 1e5 == pytest.approx(2.575)
    assert mean_pressure.total_friction_mean_pressure(3000 * RPM) / 1e5 == pytest.approx(1.87)


def test_efficiency_by_hand() -> None:
    """Worked by hand: 1000/(1000 + 176.47) = 0.85."""
    got = mean_pressure.indicated_pressure(1e6, 176.47e3)
    assert got.mechanical_efficiency == pytest.approx(0.85, abs=1e-5)
    assert got.indicated_mean_pressure == pytest.approx(1.17647e6)
    with pytest.raises(OutOfRange, match="an efficiency needs work"):
        mean_pressure.indicated_pressure(0.0, 0.0)
    with pytest.raises(OutOfRange, match="an engine that stands has no power"):
        mean_pressure.engine_torque(1e5, 0.0)


# --- correction ----------------------------------------------------------------------------------------


def test_each_standard_leaves_its_own_air_alone() -> None:
    assert power_correction.sae_j1349_factor(99e3, 298.15) == pytest.approx(1.0)
    assert power_correction.sae_j607_factor(29.92 * INHG, 288.7055) == pytest.approx(1.0, abs=1e-5)
    assert power_correction.iso_1585(99e3, 298.0).correction_factor == pytest.approx(1.0)
    assert power_correction.din_70020_factor(101325.0, 293.0) == pytest.approx(1.0)


def test_corrections_by_hand() -> None:
    """Worked by hand from the formulas of SAE J1349, SAE J607, ISO 1585 and DIN 70020-6, from memory."""
    j1349 = 1.180 * (990 / 965 * math.sqrt((30 + 273) / 298)) - 0.18
    assert power_correction.sae_j1349_factor(96.5e3, 303.15) == pytest.approx(j1349)
    j607 = 29.92 / 28.85 * math.sqrt((85 + 460) / 520)
    assert power_correction.sae_j607_factor(28.85 * INHG, (85 + 459.67) / 1.8) == pytest.approx(j607)
    iso = (99 / 96.5) ** 1.2 * (303 / 298) ** 0.6
    assert power_correction.iso_1585(96.5e3, 303.0).correction_factor == pytest.approx(iso)
    din = 1013.25 / 980 * math.sqrt(303 / 293)
    assert power_correction.din_70020_factor(98e3, 303.0) == pytest.approx(din)


def test_the_old_standard_reads_four_per_cent_more() -> None:
    ratio = power_correction.sae_j607_factor(99e3, 298.15) / power_correction.sae_j1349_factor(99e3, 298.15)
    assert ratio == pytest.approx(1.040, abs=0.0005)


@pytest.mark.parametrize(("pressure", "excess"), [(99e3, 0.0), (83e3, 0.1655), (108e3, 0.0292)])
def test_a_factor_beyond_its_standard_says_so(pressure: float, excess: float) -> None:
    """Worked by hand: (99/83)^1.2 = 1.2355 and (99/108)^1.2 = 0.9008, against 0.93 to 1.07."""
    got = power_correction.iso_1585(pressure, 298.0)
    assert got.validity_excess == pytest.approx(excess, abs=0.0005)


@given(pressure=st.floats(8e4, 1.05e5), temperature=st.floats(275.0, 315.0), humidity=st.floats(0.0, 1.0))
def test_all_factors_of_a_day_are_each_by_itself(
    pressure: float, temperature: float, humidity: float
) -> None:
    got = power_correction.power_corrections(pressure, temperature, humidity)
    dry = humid_air.humid_air(pressure, temperature, humidity).dry_pressure
    assert got.dry_pressure == dry
    assert got.sae_j1349_factor == power_correction.sae_j1349_factor(dry, temperature)
    assert got.sae_j607_factor == power_correction.sae_j607_factor(dry, temperature)
    assert got.iso_1585_factor == power_correction.iso_1585(dry, temperature).correction_factor
    assert got.din_70020_factor == power_correction.din_70020_factor(pressure, temperature)


@given(pressure=st.floats(8e4, 1.05e5), temperature=st.floats(275.0, 315.0), efficiency=st.floats(0.6, 1.0))
def test_only_the_power_of_the_gas_is_corrected(
    pressure: float, temperature: float, efficiency: float
) -> None:
    got = power_correction.correction_for_efficiency(pressure, temperature, efficiency)
    brake, friction = efficiency, 1.0 - efficiency
    indicated = (brake + friction) * 99e3 / pressure * math.sqrt((temperature - 0.15) / 298.0)
    assert got * brake == pytest.approx(indicated - friction)
    usual = power_correction.correction_for_efficiency(pressure, temperature, 0.85)
    assert usual == pytest.approx(power_correction.sae_j1349_factor(pressure, temperature), abs=0.002)


def test_corrected_power_by_hand() -> None:
    """Worked by hand: 400 hp at 1.04 are 416 hp."""
    assert power_correction.corrected_power(400 * HP, 1.04) / HP == pytest.approx(416.0)
