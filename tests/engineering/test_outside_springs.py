"""Springs against textbook examples and other derivations; shims against every stack tried by hand."""

from __future__ import annotations

import math
from itertools import combinations_with_replacement

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from tappetry.engineering import round_wire, shims, springs
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import INCH, LBF, MM, PSI, RPM

KSI = 1e3 * PSI

# --- round wire ----------------------------------------------------------------------------------------


def test_rate_of_a_textbook_spring() -> None:
    """Shigley's Mechanical Engineering Design, example 10-1 (from memory): 4.13 lbf/in, C = 10.8."""
    rate = round_wire.round_wire_rate(0.037 * INCH, 0.4 * INCH, 10.5, 11.85e6 * PSI)
    assert rate / (LBF / INCH) == pytest.approx(4.131102650669641, rel=1e-9)
    assert rate / (LBF / INCH) == pytest.approx(4.13, abs=0.005)
    assert round_wire.spring_index(0.4 * INCH, 0.037 * INCH) == pytest.approx(10.8, abs=0.05)


def test_rate_is_twist_of_the_wire() -> None:
    """Torsion of a bar of length pi D n: the force turns through D/2 at torsional stiffness G J / length."""
    d, mean, coils, shear = 4.6 * MM, 29 * MM, 5.5, 79.3e9
    torsion = shear * math.pi * d**4 / 32 / (math.pi * mean * coils)
    assert round_wire.round_wire_rate(d, mean, coils, shear) == pytest.approx(torsion / (mean / 2) ** 2)


@pytest.mark.parametrize(("index", "factor"), [(6.0, 1.2525), (10.0, 1.14483)])
def test_wahl_factor(index: float, factor: float) -> None:
    """Wahl, Mechanical Springs (from memory): (4C - 1)/(4C - 4) + 0.615/C; 1.2525 and 1.145 in tables."""
    assert round_wire.wahl_factor(index) == pytest.approx(factor, abs=5e-6)


def test_wahl_and_the_other_correction_agree() -> None:
    """EN 13906-1 takes k = (w + 0.5)/(w - 0.75) (from memory): within 2 % from w = 4 on."""
    index = np.linspace(4.0, 20.0, 50)
    np.testing.assert_allclose(round_wire.wahl_factor(index), (index + 0.5) / (index - 0.75), rtol=0.02)


def test_shear_stress() -> None:
    """Shigley, eq. 10-7 with the Wahl factor."""
    stress = round_wire.wire_shear_stress(900.0, 29 * MM, 4.6 * MM)
    assert stress / 1e6 == pytest.approx(845.9782789522416, rel=1e-8)


def test_surge_frequency() -> None:
    """Shigley, eq. 10-25, both ends fixed; EN 13906-1 rounds to 3560 d/(n D^2) sqrt(G/rho), from memory."""
    got = round_wire.round_wire_surge(4.6 * MM, 29 * MM, 5.5, 79.3e9, 7850.0)
    assert got == pytest.approx(355.7181667840726, rel=1e-9)
    assert got == pytest.approx(3560 * 4.6 / (5.5 * 29**2) * math.sqrt(79300 / 7.85), rel=1e-3)


@given(index=st.floats(4.0, 15.0), coils=st.floats(3.0, 12.0))
def test_surge_frequency_from_rate_and_mass_is_the_same(index: float, coils: float) -> None:
    d, shear, density = 4.5 * MM, 79.3e9, 7850.0
    mass = density * math.pi / 4 * d**2 * math.pi * index * d * coils
    rate = round_wire.round_wire_rate(d, index * d, coils, shear)
    direct = round_wire.round_wire_surge(d, index * d, coils, shear, density)
    assert springs.surge_frequency(rate, mass) == pytest.approx(direct, rel=1e-12)


def test_surge_frequency_is_a_standing_wave() -> None:
    """A chain of 200 masses and springs held at both ends: its lowest frequency by the eigenvalue."""
    rate, mass, pieces = 58e3, 0.052, 200
    each_rate, each_mass = rate * pieces, mass / pieces
    stiffness = each_rate * (2 * np.eye(pieces - 1) - np.eye(pieces - 1, k=1) - np.eye(pieces - 1, k=-1))
    lowest = math.sqrt(np.linalg.eigvalsh(stiffness / each_mass)[0]) / (2 * math.pi)
    assert springs.surge_frequency(rate, mass) == pytest.approx(lowest, rel=1e-4)


def test_conical_rate() -> None:
    """Wahl, Mechanical Springs (from memory): 35.72 N/mm; equal diameters give the cylinder's 36.71."""
    cone = round_wire.conical_spring_rate(4.0 * MM, 20 * MM, 28 * MM, 5.0, 79.3e9)
    assert cone / 1e3 == pytest.approx(35.72072072072072, rel=1e-8)
    same = round_wire.conical_spring_rate(4.0 * MM, 24 * MM, 24 * MM, 5.0, 79.3e9)
    assert same / 1e3 == pytest.approx(36.71296296296296, rel=1e-9)
    assert same == pytest.approx(round_wire.round_wire_rate(4.0 * MM, 24 * MM, 5.0, 79.3e9))


def test_conical_rate_is_the_coils_in_series() -> None:
    """Oracle: flexibility 8 D^3 / (G d^4) of each bit of coil, integrated with scipy."""
    d, small, large, coils, shear = 4.0 * MM, 20 * MM, 28 * MM, 5.0, 79.3e9
    flexibility, _ = quad(lambda n: 8 * (small + (large - small) * n / coils) ** 3 / (shear * d**4), 0, coils)
    assert round_wire.conical_spring_rate(d, small, large, coils, shear) == pytest.approx(1 / flexibility)


def test_round_wire_spring_of_the_bench() -> None:
    """Worked by hand beside the data: 331 lb/in, 1.178 in solid, C = 5.74, 133,000 psi, 31,900 cycles."""
    d, mean, shear = 0.187 * INCH, 1.073 * INCH, 11.5e6 * PSI
    assert round_wire.round_wire_rate(d, mean, 4.3, shear) / (LBF / INCH) == pytest.approx(331, abs=0.5)
    assert round_wire.solid_height(d, 6.3) / INCH == pytest.approx(1.178, abs=0.0005)
    assert round_wire.spring_index(mean, d) == pytest.approx(5.74, abs=0.005)
    assert round_wire.wahl_factor(5.74) == pytest.approx(1.265, abs=0.0005)
    assert round_wire.wire_shear_stress(252 * LBF, mean, d) / PSI == pytest.approx(133e3, abs=500)
    frequency = round_wire.round_wire_surge(d, mean, 4.3, shear)
    assert frequency == pytest.approx(532, abs=0.5)
    assert springs.surge_ratio(frequency, 5400 * RPM) == pytest.approx(11.8, abs=0.05)


def test_an_outside_diameter_in_place_of_the_mean_is_seen() -> None:
    with pytest.raises(OutOfRange) as refusal:
        round_wire.round_wire_rate(5 * MM, 14 * MM, 4.0, 79e9)
    assert refusal.value.value == pytest.approx(2.8)
    assert str(refusal.value) == (
        "spring index = 2.8 must be 3..20 (theory of helical springs). "
        "Check that the mean diameter is not the outside or the inside diameter"
    )


# --- loads ---------------------------------------------------------------------------------------------


def test_linear_spring() -> None:
    """Worked by hand: 380 lbf/in, 130 lbf at 1.800 in, 0.550 in lift, solid at 1.150 in."""
    rate = 380 * LBF / INCH
    fit = springs.spring_fit(1.8 * INCH, 1.8 * INCH, 130 * LBF, rate, 1.15 * INCH, 0.55 * INCH)
    assert fit.open_load / LBF == pytest.approx(339)
    assert fit.coil_bind_margin / INCH == pytest.approx(0.1)
    assert springs.free_length(1.8 * INCH, 130 * LBF, rate) / INCH == pytest.approx(2.142105263157895)


@pytest.mark.parametrize(
    ("height", "seat", "opened", "margin"),
    [
        (1.790, 123.7, 335, 0.111),
        (1.800, 120.0, 332, 0.121),
        (1.812, 115.5, 327, 0.133),
        (1.822, 111.8, 323, 0.143),
    ],
)
def test_one_spring_at_four_heights(height: float, seat: float, opened: float, margin: float) -> None:
    """A table of the trade, worked by hand: 120 lb at 1.800, 372 lb/in, solid 1.110, lift .569."""
    fit = springs.spring_fit(
        height * INCH, 1.8 * INCH, 120 * LBF, 372 * LBF / INCH, 1.110 * INCH, 0.569 * INCH
    )
    assert fit.seat_load / LBF == pytest.approx(seat, abs=0.051)
    assert fit.open_load / LBF == pytest.approx(opened, abs=0.51)
    assert fit.coil_bind_margin / INCH == pytest.approx(margin, abs=1e-9)


def test_work_of_a_spring() -> None:
    """Energy put in between two heights is the integral of the load: (F1 + F2)/2 times the travel."""
    rate, reference = 65e3, 534.0
    work, _ = quad(lambda height: float(springs.seat_load(height, 0.0457, reference, rate)), 0.0300, 0.0457)
    assert work == pytest.approx((reference + reference + rate * 0.0157) / 2 * 0.0157)


def test_boost_on_a_valve() -> None:
    """Worked by hand: 52 mm, 10 psi: 3.29 in2, 33 lb."""
    assert springs.boost_valve_load(10 * PSI, 52 * MM) / LBF == pytest.approx(33, abs=0.5)


def test_surge_ratio_of_the_bench() -> None:
    """29,400 cycles a minute at 6,500 rpm: 29,400 / 3,250 = 9.0."""
    assert springs.surge_ratio(29_400 / 60, 6500 * RPM) == pytest.approx(9.05, abs=0.005)


def test_an_engine_that_stands_still_has_no_surge_ratio() -> None:
    with pytest.raises(OutOfRange) as refusal:
        springs.surge_ratio(490.0, 0.0)
    assert str(refusal.value) == "engine speed = 0 rad/s must be above 0 rad/s"


@pytest.mark.parametrize(
    ("change", "taller"),
    [
        ({"seat_change": 0.015}, -0.015),  # a thicker seat
        ({"shim_thickness": 0.030}, -0.030),
        ({"lock_offset": 0.050}, 0.050),  # locks that hold the retainer higher
        ({"retainer_step": 0.020}, -0.020),  # a retainer whose spring face stands lower
    ],
)
def test_what_makes_a_spring_stand_taller(change: dict[str, float], taller: float) -> None:
    """Chain of lengths, from the head's seat to the retainer's face."""
    height = springs.installed_height(1.8 * INCH, **{name: size * INCH for name, size in change.items()})
    assert height / INCH == pytest.approx(1.8 + taller)


def test_no_height_left_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        springs.installed_height(0.010, seat_change=0.012)
    assert refusal.value.quantity == "installed_height"
    assert refusal.value.value == pytest.approx(-0.002)


# --- shims ---------------------------------------------------------------------------------------------

SHELF = np.array([0.015, 0.030, 0.060])
THOU = st.integers(1700, 1900)


def test_shims_of_the_bench() -> None:
    """1.822 into 1.785..1.805: 0.015 leaves 1.807, 0.030 leaves 1.792; seat 123.0 lb at 372 lb/in."""
    stack = shims.shim_stack(1.822 * INCH, 1.785 * INCH, 1.805 * INCH, SHELF * INCH)
    assert stack.shim_count == 1
    assert stack.first_shim / INCH == pytest.approx(0.030)
    assert stack.second_shim == 0
    assert stack.installed_height / INCH == pytest.approx(1.792)
    load = springs.seat_load(stack.installed_height, 1.8 * INCH, 120 * LBF, 372 * LBF / INCH)
    assert load / LBF == pytest.approx(123.0, abs=0.051)


def test_a_height_on_the_edge_of_its_band_needs_no_shim() -> None:
    """1.820 - 0.015 is 1.805 on paper, whatever binary fractions say."""
    stack = shims.shim_stack(np.array([1.785, 1.805, 1.820]) * INCH, 1.785 * INCH, 1.805 * INCH, SHELF * INCH)
    np.testing.assert_array_equal(stack.shim_count, [0, 0, 1])


@given(height=THOU, low=THOU, width=st.integers(0, 40))
def test_shims_against_every_stack(height: int, low: int, width: int) -> None:
    """Brute force in whole thousandths."""
    fitting = [
        (count, sum(stack))
        for count in range(3)
        for stack in combinations_with_replacement((15, 30, 60), count)
        if low <= height - sum(stack) <= low + width
    ]
    arguments = (height * INCH / 1000, low * INCH / 1000, (low + width) * INCH / 1000, SHELF * INCH)
    if not fitting:
        with pytest.raises(OutOfRange) as refusal:
            shims.shim_stack(*arguments)
        assert refusal.value.quantity == "reference_height"
        assert refusal.value.value == pytest.approx(height * INCH / 1000)
        return
    stack = shims.shim_stack(*arguments)
    count, total = min(fitting)
    assert stack.shim_count == count
    assert stack.shim_thickness / INCH * 1000 == pytest.approx(total, abs=1e-9)
    assert stack.first_shim >= stack.second_shim


def test_no_stack_is_refused_with_the_nearest_miss() -> None:
    heights = np.array([1.800, 1.822]) * INCH
    with pytest.raises(OutOfRange) as refusal:
        shims.shim_stack(heights, 1.799 * INCH, 1.8005 * INCH, SHELF * INCH)
    assert refusal.value.position == (1,)
    assert str(refusal.value) == (
        "reference height at 1 = 0.0462788 m must be brought into 0.0456946..0.0457327 m by at most 2 shims. "
        "The nearest that two shims of the shelf come to is 45.898 mm"
    )


def test_a_height_below_the_band_is_refused_with_what_helps() -> None:
    with pytest.raises(OutOfRange) as refusal:
        shims.shim_stack(1.770 * INCH, 1.785 * INCH, 1.805 * INCH, SHELF * INCH)
    assert str(refusal.value).endswith(
        "Shims only make it shorter: use a thinner seat, or locks or a retainer that stand higher"
    )


def test_a_band_upside_down_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        shims.shim_stack(0.046, 0.046, 0.023, SHELF * INCH)
    assert str(refusal.value) == "least height over greatest height = 2 must be at most 1. Exchange the two"
