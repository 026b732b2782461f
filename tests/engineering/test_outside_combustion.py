"""Burning, heat to the walls and knock against integrals, slopes and values worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from tappetry.engineering import burn, heat_transfer, knock
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, RPM

A, M = st.floats(2.5, 10.0), st.floats(0.1, 5.0)
STARTS, DURATIONS = st.floats(-60 * DEG, 10 * DEG), st.floats(20 * DEG, 120 * DEG)
ATM = 101325.0

# --- the Wiebe law -------------------------------------------------------------------------------------


@pytest.mark.slow
@given(a=A, m=M, start=STARTS, duration=DURATIONS, share=st.floats(0.0, 1.0))
def test_the_rate_adds_up_to_the_burned_share(
    a: float, m: float, start: float, duration: float, share: float
) -> None:
    angle = start + share * duration
    expected, _ = quad(burn.burn_rate, start, angle, args=(start, duration, a, m))
    got = burn.burned_fraction(angle, start, duration, a, m)
    assert got == pytest.approx(expected, rel=1e-6, abs=1e-8)
    assert got == pytest.approx(burn.wiebe_fraction(share, a, m), abs=1e-9)


def test_nothing_burns_before_the_start_or_after_the_end() -> None:
    angles = np.array([-30.0, -25.0, 35.0, 36.0, 90.0]) * DEG
    rate = burn.burn_rate(angles, -25 * DEG, 60 * DEG, 5.0, 2.0)
    share = burn.burned_fraction(angles, -25 * DEG, 60 * DEG, 5.0, 2.0)
    assert (rate[:2] == 0.0).all()
    assert (rate[3:] == 0.0).all()
    assert share[:2].tolist() == [0.0, 0.0]
    np.testing.assert_allclose(share[2:], 1.0 - math.exp(-5.0))


def test_shares_of_the_book() -> None:
    """Heywood, eq. 9.27 with a = 5 and m = 2, worked by hand: 1 - exp(-5/8) and 1 - exp(-5)."""
    assert burn.wiebe_fraction(0.5, 5.0, 2.0) == pytest.approx(0.464739, abs=1e-6)
    assert burn.wiebe_fraction(1.0, 5.0, 2.0) == pytest.approx(0.993262, abs=1e-6)
    assert burn.wiebe_a(0.993262) == pytest.approx(5.0, abs=1e-4)


@given(a=A, m=M, start=STARTS, duration=DURATIONS)
def test_angles_of_shares_and_back(a: float, m: float, start: float, duration: float) -> None:
    angles = burn.burn_angles(start, duration, a, m)
    for share, angle in (
        (0.1, angles.burn_10_angle),
        (0.5, angles.burn_50_angle),
        (0.9, angles.burn_90_angle),
    ):
        assert burn.burned_fraction(angle, start, duration, a, m) == pytest.approx(share)
        assert burn.burn_angle(share, start, duration, a, m) == angle
    assert angles.burn_10_to_90 == pytest.approx(angles.burn_90_angle - angles.burn_10_angle)
    law = burn.wiebe_law(angles.burn_10_angle, angles.burn_50_angle, angles.burn_90_angle, a)
    assert law.wiebe_m == pytest.approx(m, rel=1e-6)
    assert law.burn_start == pytest.approx(start, abs=1e-6)
    assert law.burn_duration == pytest.approx(duration, rel=1e-6)


@given(a=A, m=M)
def test_the_peak_is_the_largest_rate(a: float, m: float) -> None:
    best = minimize_scalar(
        lambda y: -burn.burn_rate(y, 0.0, 1.0, a, m), bounds=(1e-6, 1.0), options={"xatol": 1e-10}
    )
    peak = burn.wiebe_peak(a, m)
    assert peak.peak_position == pytest.approx(best.x, abs=1e-4)
    assert peak.peak_rate == pytest.approx(-best.fun, rel=1e-6)


def test_burns_that_cannot_be_are_refused() -> None:
    with pytest.raises(OutOfRange, match="the burn ends before the share is reached"):
        burn.burn_angle(0.95, 0.0, 1.0, 2.0, 2.0)
    with pytest.raises(OutOfRange, match=r"wiebe m of a rate = -0\.2 must be"):
        burn.burn_rate(0.1, 0.0, 1.0, 5.0, -0.2)
    with pytest.raises(OutOfRange, match=r"burn 90 angle less burn 50 angle = -0\.1 rad must be above 0 rad"):
        burn.wiebe_law(0.0, 0.2, 0.1, 5.0)
    with pytest.raises(OutOfRange, match="Another law than Wiebe's burns like this"):
        burn.wiebe_law(0.0, 0.5, 0.51, 5.0)


# --- heat to the walls ---------------------------------------------------------------------------------


def test_woschni_by_hand() -> None:
    """Worked by hand with the constants from memory: 3.26 x 1.5849 x 605.0 x 0.015286 x 10.986 = 525."""
    got = heat_transfer.woschni_coefficient(0.1, 3e6, 2000.0, 20.0)
    assert got == pytest.approx(525.0, rel=0.001)
    other = 3.26 * 0.1**-0.2 * 3000.0**0.8 * 2000.0**-0.53 * 20.0**0.8
    assert other / got == pytest.approx(2000.0**0.02)
    in_bar = heat_transfer.woschni_coefficient_in_bar(0.1, 3e6, 2000.0, 20.0)
    assert in_bar == pytest.approx(other, rel=0.002)


def test_woschni_velocities_by_hand() -> None:
    """Worked by hand: 6.18 x 12, 2.28 x 12, and 0.00324 x 600 x 360/(110 x 600) x 1600 = 16.97 more."""
    got = heat_transfer.woschni_velocities(12.0, 600e-6, 360.0, 110e3, 600e-6, 3000e3, 1400e3)
    assert got.exchange_velocity == pytest.approx(74.16)
    assert got.compression_velocity == pytest.approx(27.36)
    assert got.combustion_velocity == pytest.approx(27.36 + 16.9658, abs=1e-4)
    swirled = heat_transfer.woschni_velocities(12.0, 600e-6, 360.0, 110e3, 600e-6, 3000e3, 1400e3, 10.0)
    assert swirled.exchange_velocity == pytest.approx(74.16 + 4.17)
    assert swirled.compression_velocity == pytest.approx(27.36 + 3.08)


@given(
    bore=st.floats(0.5, 2.0),
    pressure=st.floats(0.5, 2.0),
    temperature=st.floats(0.5, 2.0),
    speed=st.floats(0.5, 2.0),
)
def test_the_ratio_is_that_of_two_coefficients(
    bore: float, pressure: float, temperature: float, speed: float
) -> None:
    before = heat_transfer.woschni_coefficient(0.1, 3e6, 1500.0, 20.0)
    after = heat_transfer.woschni_coefficient(0.1 * bore, 3e6 * pressure, 1500.0 * temperature, 20.0 * speed)
    got = heat_transfer.heat_transfer_ratio(bore, pressure, temperature, speed)
    assert got == pytest.approx(after / before)


def test_hohenberg_by_hand() -> None:
    """Worked by hand with the constants from memory: 130 x 1.7187 x 15.195 x 0.047818 x 7.9766 = 1295."""
    got = heat_transfer.hohenberg_coefficient(120e-6, 3e6, 2000.0, 12.0)
    assert got == pytest.approx(1295.0, rel=0.001)
    with pytest.raises(OutOfRange, match="mean piston speed of the correlation = -1 m/s"):
        heat_transfer.hohenberg_coefficient(120e-6, 3e6, 2000.0, -1.0)


def test_motored_pressure_and_heat_by_hand() -> None:
    """Worked by hand: 8^1.32 = 15.56; 500 W/m2.K over 1000 K are 0.5 MW/m2."""
    got = heat_transfer.motored_pressure(95e3, 600e-6, 75e-6, 1.32)
    assert got == pytest.approx(95e3 * 15.562, rel=1e-4)
    assert heat_transfer.wall_heat_flux(500.0, 1450.0, 450.0) == pytest.approx(0.5e6)


def test_a_fire_that_lowers_the_pressure_is_refused() -> None:
    with pytest.raises(OutOfRange, match="a fire raises the pressure"):
        heat_transfer.woschni_velocities(12.0, 600e-6, 360.0, 110e3, 600e-6, 1400e3, 3000e3)


# --- knock ---------------------------------------------------------------------------------------------


def test_knock_delay_by_hand() -> None:
    """Worked by hand with the constants from memory: at 100 octane, 1 atm and 3800 K, 17.68 x e ms."""
    assert knock.knock_delay(100.0, ATM, 3800.0) == pytest.approx(17.68e-3 * math.e)
    got = knock.knock_delay(95.0, 40 * ATM, 800.0)
    assert got == pytest.approx(17.68e-3 * 0.95**3.402 * 40**-1.7 * math.exp(4.75))


def test_knock_of_steady_steps_by_hand() -> None:
    """Each step adds its time over its delay; the rest up to 1 is used up at the last delay."""
    pressures, temperatures = np.array([25.0, 40.0, 60.0]) * ATM, np.array([700.0, 800.0, 900.0])
    delays = knock.knock_delay(95.0, pressures, temperatures)
    used = 1e-3 / delays[0] + 1e-3 / delays[1]
    two = knock.knock_integral(95.0, [1e-3, 1e-3], pressures[:2], temperatures[:2])
    assert two.knock_integral == pytest.approx(used)
    assert two.knock_time == math.inf
    open_end = knock.knock_integral(95.0, [1e-3, 1e-3], pressures, temperatures)
    assert open_end.knock_time == pytest.approx(2e-3 + (1.0 - used) * delays[2])
    assert open_end.knock_integral == math.inf
    closed = knock.knock_integral(95.0, [1e-3, 1e-3, 1e-3], pressures, temperatures)
    assert closed.knock_integral == pytest.approx(used + 1e-3 / delays[2])
    assert closed.knock_time == pytest.approx(open_end.knock_time)


@given(octane=st.floats(80.0, 100.0), pressure=st.floats(5e5, 1e7), temperature=st.floats(600.0, 1200.0))
def test_a_steady_state_knocks_after_its_delay(octane: float, pressure: float, temperature: float) -> None:
    delay = knock.knock_delay(octane, pressure, temperature)
    got = knock.knock_integral(octane, [delay], [pressure], [temperature])
    assert got.knock_integral == pytest.approx(1.0)
    later = knock.knock_integral(octane, [0.3 * delay, 0.9 * delay], [pressure] * 2, [temperature] * 2)
    assert later.knock_time == pytest.approx(delay)


def test_a_trace_is_the_integral() -> None:
    angles = np.linspace(-30.0, 40.0, 1401) * DEG

    def pressure(angle: float) -> float:
        return 10e5 + 50e5 * math.exp(-((angle / DEG - 15.0) ** 2) / 300.0)

    def temperature(angle: float) -> float:
        return 620.0 * (pressure(angle) / 10e5) ** 0.24

    traces = [[f(each) for each in angles] for f in (pressure, temperature)]
    speed = 2500 * RPM
    got = knock.knock_angle(91.0, speed, angles, *traces)

    def rate(angle: float) -> float:
        return 1.0 / (speed * knock.knock_delay(91.0, pressure(angle), temperature(angle)))

    whole, _ = quad(rate, angles[0], angles[-1])
    assert got.knock_integral == pytest.approx(whole, rel=1e-4)
    assert whole > 1.0
    up_to_knock, _ = quad(rate, angles[0], got.knock_angle)
    assert up_to_knock == pytest.approx(1.0, abs=1e-4)
    faster = knock.knock_angle(91.0, [speed, 4 * speed], angles, *traces)
    assert faster.knock_integral[1] == pytest.approx(whole / 4.0, rel=1e-4)
    assert faster.knock_angle[0] == got.knock_angle


def test_lists_that_do_not_belong_together_are_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        knock.knock_integral(95.0, [1e-3], [1e6, 1e6, 1e6], [700.0, 700.0, 700.0])
    assert str(refusal.value) == "number of step durations = 1 must be 2 or 3 (one for each state)"
    with pytest.raises(
        OutOfRange, match="number of step temperatures = 1 must be 2, as many as of step_pressures"
    ):
        knock.knock_integral(95.0, [1e-3], [1e6, 1e6], [700.0])
    with pytest.raises(OutOfRange, match="number of trace angles = 1 must be at least 2"):
        knock.knock_angle(95.0, 200.0, [0.0], [1e6], [700.0])
    with pytest.raises(OutOfRange, match="the angles of a trace rise"):
        knock.knock_angle(95.0, 200.0, [0.1, 0.0], [1e6, 1e6], [700.0, 700.0])
    with pytest.raises(OutOfRange, match="time passes with the crank"):
        knock.knock_angle(95.0, 0.0, [0.0, 0.1], [1e6, 1e6], [700.0, 700.0])


def test_end_gas_and_octane_by_hand() -> None:
    """Worked by hand: (50/12)^(0.31/1.31) = 1.4018; (95 + 85)/2; 95 + 0.5 x 10."""
    assert knock.end_gas_temperature(50e5, 12e5, 650.0, 1.31) == pytest.approx(650.0 * 1.4018, rel=1e-4)
    assert knock.antiknock_index(95.0, 85.0) == 90.0
    assert knock.octane_index(95.0, 85.0, -0.5) == 100.0
    assert knock.octane_index(95.0, 85.0, 0.5) == knock.antiknock_index(95.0, 85.0)
