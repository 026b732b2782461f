"""Crank and compression against plane geometry, numerical differentiation and textbook values."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from tappetry.engineering import compression, crank
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import CC, DEG, INCH, MM, PSI, RPM

STROKE, ROD = 92 * MM, 155 * MM
OFFSETS = st.floats(-3.0, 3.0)


def pin_height(crankpin_angle: float, stroke: float, rod: float, offset: float) -> float:
    """Height of the piston pin: the point on the bore's line that is one rod away from the crankpin."""
    x, y = stroke / 2 * math.sin(crankpin_angle), stroke / 2 * math.cos(crankpin_angle)
    return float(brentq(lambda height: math.hypot(x - offset, height - y) - rod, y, y + 2 * rod, xtol=1e-15))


@given(angle=st.floats(-400.0, 400.0), offset=OFFSETS)
def test_piston_fall_against_two_circles(angle: float, offset: float) -> None:
    """Top dead centre is where crank and rod lie in one line through the offset pin."""
    top_angle = math.asin(offset * MM / (STROKE / 2 + ROD))
    expected = pin_height(top_angle, STROKE, ROD, offset * MM) - pin_height(
        top_angle + angle * DEG, STROKE, ROD, offset * MM
    )
    fall = crank.piston_fall(angle * DEG, STROKE, ROD, offset * MM)
    assert fall == pytest.approx(expected, abs=1e-12)


@given(offset=OFFSETS)
def test_piston_is_highest_at_its_own_top_dead_centre(offset: float) -> None:
    """Oracle: scipy.optimize.minimize_scalar over the crankpin's angle."""
    top = minimize_scalar(
        lambda angle: -pin_height(angle, STROKE, ROD, offset * MM), bounds=(-0.3, 0.3), method="bounded"
    )
    low = minimize_scalar(
        lambda angle: pin_height(angle, STROKE, ROD, offset * MM),
        bounds=(math.pi - 0.3, math.pi + 0.3),
        method="bounded",
    )
    travel = crank.piston_travel(STROKE, ROD, offset * MM)
    assert travel == pytest.approx(-top.fun - low.fun, abs=1e-9)
    falls = crank.piston_fall(np.linspace(-math.pi, math.pi, 7201), STROKE, ROD, offset * MM)
    assert falls.min() == pytest.approx(0.0, abs=1e-12)
    assert falls.argmin() == 3600
    assert falls.max() == pytest.approx(travel, abs=1e-7)


def test_piston_fall_of_a_textbook_crank() -> None:
    """Heywood, Internal Combustion Engine Fundamentals, eq. 2.5 (from memory): r + l - sqrt(l^2 - r^2)."""
    assert crank.piston_fall(90 * DEG, STROKE, ROD) / MM == pytest.approx(52.983109071971114, rel=1e-9)


def test_piston_fall_is_symmetrical_and_closed() -> None:
    """cos terms cancel: s(a) + s(180 - a) = 2 (r + l) - 2 sqrt(l^2 - r^2 sin^2 a)."""
    both = crank.piston_fall(np.array([37.0, 143.0]) * DEG, STROKE, ROD).sum()
    assert both / MM == pytest.approx(96.98443106979352, abs=1e-9)
    assert crank.piston_fall(math.pi, STROKE, ROD) == pytest.approx(STROKE, abs=1e-15)
    assert crank.piston_fall(2 * math.pi, STROKE, ROD) == pytest.approx(0.0, abs=1e-15)


@given(angle=st.floats(-360.0, 360.0), offset=OFFSETS)
def test_velocity_and_acceleration_against_differences(angle: float, offset: float) -> None:
    """Central differences of fourth order in time."""
    speed, step = 600.0, 2e-3
    at = angle * DEG + np.arange(-2, 3) * step
    fall = crank.piston_fall(at, STROKE, ROD, offset * MM)
    slope = (fall[0] - 8 * fall[1] + 8 * fall[3] - fall[4]) / (12 * step) * speed
    bend = (-fall[0] + 16 * fall[1] - 30 * fall[2] + 16 * fall[3] - fall[4]) / (12 * step**2) * speed**2
    inputs = (angle * DEG, speed, STROKE, ROD, offset * MM)
    # A fall that is clipped at 0 within rounding cannot spoil a difference by more than this.
    assert crank.piston_velocity(*inputs) == pytest.approx(slope, abs=1e-6)
    assert crank.piston_acceleration(*inputs) == pytest.approx(bend, abs=0.05)


@pytest.mark.parametrize(
    ("rod_ratio", "ratio", "angle"),
    [(3.5, 1.6340115863194316, 75.13558583735899), (4.0, 1.6193067561782315, 76.72097791410037)],
)
def test_largest_piston_speed(rod_ratio: float, ratio: float, angle: float) -> None:
    """Heywood, eq. 2.11 and figure 2-2 (from memory; the figure reads about 1.65 near 75 degrees at 3.5)."""
    angles = np.linspace(60.0, 90.0, 300_001) * DEG
    speed = 600.0
    ratios = crank.piston_velocity(angles, speed, STROKE, rod_ratio * STROKE / 2) / crank.mean_piston_speed(
        STROKE, speed
    )
    assert ratios.max() == pytest.approx(ratio, rel=1e-9)
    assert angles[ratios.argmax()] / DEG == pytest.approx(angle, abs=2e-4)


def test_acceleration_at_the_dead_centres() -> None:
    """Norton, Design of Machinery: omega^2 r (1 + r/l) and omega^2 r (1 - r/l)."""
    at = crank.piston_acceleration(np.array([0.0, math.pi]), 6500 * RPM, STROKE, ROD)
    np.testing.assert_allclose(at, [27637.969941626892, -14987.75484396682], rtol=1e-9)


def test_mean_piston_speed() -> None:
    """Heywood, eq. 2.9: two strokes a turn; 18.4 m/s is 3622 ft/min."""
    speed = crank.mean_piston_speed(92 * MM, 6000 * RPM)
    assert speed == pytest.approx(18.4)
    assert speed * 60 / (12 * INCH) == pytest.approx(3622.0472440944877)


def test_displacement() -> None:
    """Geometry; a cubic inch is 16.387064 cm3 exactly (NIST SP 811)."""
    volume = crank.displacement(102 * MM, 92 * MM, 8)
    assert volume / CC == pytest.approx(6014.063914102469, rel=1e-9)
    assert volume / (16.387064 * CC) == pytest.approx(367.00069726355315, rel=1e-9)


def test_a_rod_that_jams_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        crank.piston_fall(0.3, 0.092, 0.040)
    error = refusal.value
    assert error.quantity == "rod_length over throw and pin_offset"
    assert error.value == pytest.approx(0.040 / 0.046)
    assert str(error) == (
        "rod length over throw and pin offset = 0.869565 must be above 1 (a shorter rod lets the crank jam). "
        "Check that the stroke is not taken for the throw, and the units of all three"
    )


# --- compression ---------------------------------------------------------------------------------------

GASKET = compression.gasket_volume(104 * MM, 1.02 * MM)
CLEARANCE = compression.clearance_volume(64 * CC, GASKET, 102 * MM, 0.13 * MM, 9.5 * CC)
SWEPT = crank.swept_volume(102 * MM, 92 * MM)


def test_static_ratio() -> None:
    """Sum of volumes; a dish adds."""
    assert pytest.approx(83.22703058997125, rel=1e-9) == CLEARANCE / CC
    assert compression.static_compression_ratio(SWEPT, CLEARANCE) == pytest.approx(10.032618176256243)


def test_crevices_and_domes_change_the_volume_their_way() -> None:
    inputs = {
        "chamber_volume": 64 * CC,
        "gasket_volume": GASKET,
        "bore": 102 * MM,
        "deck_clearance": 0.13 * MM,
    }
    with_crevice = compression.clearance_volume(**inputs, piston_volume=9.5 * CC, crevice_volume=0.8 * CC)
    domed = compression.clearance_volume(**inputs, piston_volume=-4.0 * CC)
    assert with_crevice - CLEARANCE == pytest.approx(0.8 * CC)
    assert domed - CLEARANCE == pytest.approx(-13.5 * CC)


@pytest.mark.parametrize(
    ("closes", "ratio"), [(62.0, 8.168333798916231), (0.0, 10.032618176256243), (180.0, 1.0)]
)
def test_effective_ratio_and_its_limits(closes: float, ratio: float) -> None:
    """Trapped over clearance volume; at BDC it is the static ratio, at TDC it is 1."""
    stroke = compression.effective_stroke(closes * DEG, STROKE, ROD)
    got = compression.effective_compression_ratio(stroke, 102 * MM, CLEARANCE)
    assert got == pytest.approx(ratio, rel=1e-9)


def test_chamber_for_a_ratio() -> None:
    bore, stroke = 4.0 * INCH, 3.48 * INCH
    gasket = compression.gasket_volume(4.1 * INCH, 0.041 * INCH)
    swept = crank.swept_volume(bore, stroke)
    chamber = compression.chamber_volume_for_ratio(10.5, swept, gasket, bore, 0.010 * INCH, 5 * CC)
    assert chamber / CC == pytest.approx(59.504268895210735, rel=1e-9)
    clearance = compression.clearance_volume(chamber, gasket, bore, 0.010 * INCH, 5 * CC)
    assert compression.static_compression_ratio(swept, clearance) == pytest.approx(10.5)


def test_a_ratio_that_no_chamber_gives_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        compression.chamber_volume_for_ratio(40.0, 700e-6, 10e-6, 0.099, 0.0005, 8e-6)
    assert refusal.value.quantity == "chamber_volume"
    assert refusal.value.value == pytest.approx(700e-6 / 39 - 10e-6 - 8e-6 - math.pi / 4 * 0.099**2 * 5e-4)
    assert "the rest of the clearance is larger than the ratio allows" in str(refusal.value)


def test_nothing_left_above_the_piston_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        compression.clearance_volume(10e-6, 5e-6, 0.1, -0.002, -5e-6)
    assert refusal.value.quantity == "clearance_volume"
    assert refusal.value.value == pytest.approx(10e-6 - math.pi / 4 * 0.01 * 0.002)
    assert "a dome is a negative volume" in str(refusal.value)


@pytest.mark.parametrize("ratio", [6.5, 8.25, 10.0])
def test_cranking_pressure_against_integration(ratio: float) -> None:
    """p V^n is constant: the pressure is stepped down in 20,000 volumes by dp = -n p dV / V."""
    steps = np.linspace(0.0, math.log(ratio), 20_001)
    pressure = 14.7 * PSI * np.prod(1.0 + 1.2 * np.diff(steps) + (1.2 * np.diff(steps)) ** 2 / 2)
    got = compression.cranking_pressure(ratio, 14.7 * PSI, 1.2)
    assert got == pytest.approx(pressure - 14.7 * PSI, rel=1e-6)


@pytest.mark.parametrize(
    ("deck", "gasket", "quench"), [(0.50, 1.30, 1.80), (0.20, 1.30, 1.50), (-0.10, 1.00, 0.90)]
)
def test_quench(deck: float, gasket: float, quench: float) -> None:
    assert compression.quench(deck * MM, gasket * MM) / MM == pytest.approx(quench)
