"""Spring design against a textbook's examples, coils summed one by one, and fatigue lines drawn by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.engineering import fatigue, round_wire, spring_design, spring_sets, spring_wire, springs
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import INCH, LBF, MM, PSI

KSI = 1e3 * PSI
CONE = (4 * MM, 20 * MM, 28 * MM, 5.0, 79.3e9, 15 * MM)


def test_textbook_spring_at_yield() -> None:
    """Shigley's Mechanical Engineering Design, example 10-1 (from memory): 324 kpsi, 6.46 lbf, 2.06 in."""
    strength = spring_wire.spring_wire_strength("music wire", 0.037 * INCH)
    assert strength / KSI == pytest.approx(324, abs=0.5)
    found = spring_wire.spring_yield(
        0.037 * INCH, 0.4 * INCH, strength, 0.45, 4.1311 * LBF / INCH, 0.4995 * INCH
    )
    assert found.yield_load / LBF == pytest.approx(6.46, abs=0.01)
    assert found.solid_safe_length / INCH == pytest.approx(2.06, abs=0.005)
    stress = spring_wire.wire_stresses(found.yield_load, 0.4 * INCH, 0.037 * INCH)
    assert stress.bergstrasser_stress == pytest.approx(found.shear_yield_strength)


@pytest.mark.parametrize(
    ("wire", "metric", "exponent"),
    [
        ("music wire", 2211, 0.145),
        ("oil-tempered", 1855, 0.187),
        ("hard-drawn", 1783, 0.190),
        ("chrome-vanadium", 2005, 0.168),
        ("chrome-silicon", 1974, 0.108),
    ],
)
def test_wire_constants_in_both_systems(wire: str, metric: float, exponent: float) -> None:
    """Shigley, table 10-4 (from memory) prints A in MPa mm^m beside kpsi in^m: they agree to its rounding."""
    inches = spring_wire.spring_wire_strength(wire, 3 * MM)
    assert spring_wire.wire_strength(3 * MM, metric * 1e6, exponent, 1 * MM) == pytest.approx(
        inches, rel=0.005
    )


@pytest.mark.parametrize(
    ("ends", "coils", "height"),
    [("plain", 12, 13), ("plain and ground", 11, 12), ("squared", 10, 13), ("squared and ground", 10, 12)],
)
def test_forms_of_ends(ends: str, coils: float, height: float) -> None:
    """Shigley, table 10-1 (from memory)."""
    found = spring_design.spring_coils(2 * MM, 12.0, ends)
    assert found.active_coils == coils
    assert found.solid_height / (2 * MM) == pytest.approx(height)
    assert found.active_coils + found.inactive_coils == 12


def test_coils_for_a_rate_and_mass_for_a_surge_go_back() -> None:
    rate = round_wire.round_wire_rate(4.6 * MM, 29 * MM, 5.5, 79.3e9)
    assert spring_design.coils_for_rate(4.6 * MM, 29 * MM, rate, 79.3e9) == pytest.approx(5.5)
    mass = spring_design.round_wire_mass(4.6 * MM, 29 * MM, 5.5)
    assert springs.surge_frequency(rate, mass) == pytest.approx(
        round_wire.round_wire_surge(4.6 * MM, 29 * MM, 5.5, 79.3e9)
    )


@pytest.mark.parametrize("ends", spring_design.SPRING_ENDS)
def test_pitch_closes_to_the_solid_height(ends: str) -> None:
    """Shigley, table 10-1 (from memory): where the pitch is the wire, the free length is the solid height."""
    solid = spring_design.spring_coils(2 * MM, 12.0, ends).solid_height
    assert spring_design.coil_pitch(2 * MM, 12.0, solid, ends) == pytest.approx(2 * MM)
    with pytest.raises(OutOfRange, match=r"coil pitch over wire diameter = 0\.9"):
        spring_design.coil_pitch(2 * MM, 12.0, 0.95 * solid, ends)


def test_loads_by_height_agree() -> None:
    free = springs.free_length(45 * MM, 550.0, 65e3)
    assert spring_design.load_at_height(free, 40 * MM, 65e3) == pytest.approx(
        springs.seat_load(40 * MM, 45 * MM, 550.0, 65e3)
    )


def test_a_spring_with_one_end_free_swings_as_one_twice_as_long() -> None:
    both = springs.surge_frequency(58e3 / 2, 0.052 * 2)
    assert spring_design.one_end_free_surge(58e3, 0.052) == pytest.approx(both)


def test_steel_springs_between_flat_faces() -> None:
    """Shigley, section 10-3 (from memory): stable below 2.63 D/a with its rounded moduli."""
    found = spring_design.spring_stability(30 * MM, 100 * MM, 1.0, 11.5e6 * PSI, 30e6 * PSI)
    assert found.stable_length / (30 * MM) == pytest.approx(2.63, abs=0.02)
    assert 0.0 < found.buckling_travel < 100 * MM
    short = spring_design.spring_stability(
        30 * MM, found.stable_length * 0.999, 1.0, 11.5e6 * PSI, 30e6 * PSI
    )
    assert short.buckling_travel == math.inf
    with pytest.raises(OutOfRange) as refusal:
        spring_design.spring_stability(30 * MM, 100 * MM, 1.0, 199e9, 100e9)
    assert str(refusal.value).startswith("shear modulus over elastic modulus = 1.99 must be above 0")


@pytest.mark.parametrize("load", [100.0, 346.0, 420.0, 700.0, 951.0, 1200.0])
def test_cone_is_its_coils_one_by_one(load: float) -> None:
    """Oracle: 200,000 slices of coil, each bent by 8 F D^3/(G d^4) and stopped at its pitch."""
    wire, small, large, coils, shear, travel = CONE
    places = (np.arange(200_000) + 0.5) / 200_000
    bent = 8 * load * (small + (large - small) * places) ** 3 / (shear * wire**4)
    summed = np.minimum(bent, travel / coils).mean() * coils
    assert spring_sets.conical_travel(load, *CONE) == pytest.approx(summed, rel=1e-6)


def test_cone_leaves_its_line_where_it_begins_to_close() -> None:
    """Rodriguez, Paredes and Sartor (2006), from memory: the line ends at the first closing load."""
    closing = spring_sets.conical_closing(*CONE)
    assert spring_sets.conical_travel(closing.first_closing_load, *CONE) == pytest.approx(
        closing.first_closing_travel
    )
    assert spring_sets.conical_travel(closing.last_closing_load, *CONE) == pytest.approx(15 * MM)
    with pytest.raises(OutOfRange, match="large mean diameter over small mean diameter = 1 "):
        spring_sets.conical_travel(100.0, 4 * MM, 20 * MM, 20 * MM, 5.0, 79.3e9, 15 * MM)


def test_two_springs_are_the_sum_of_two() -> None:
    height, lift = 47.0 * MM, 15 * MM
    pair = spring_sets.dual_spring(
        height, lift, 48 * MM, 480.0, 52e3, 28 * MM, 170.0, 19e3, 26 * MM, inner_step=4 * MM
    )
    outer = springs.spring_fit(height, 48 * MM, 480.0, 52e3, 28 * MM, lift)
    inner = springs.spring_fit(height - 4 * MM, 44 * MM, 170.0, 19e3, 26 * MM, lift)
    assert pair.seat_load == pytest.approx(outer.seat_load + inner.seat_load)
    assert pair.open_load == pytest.approx(outer.open_load + inner.open_load)
    assert (pair.outer_margin, pair.inner_margin) == pytest.approx(
        (outer.coil_bind_margin, inner.coil_bind_margin)
    )
    assert pair.coil_bind_margin == min(pair.outer_margin, pair.inner_margin) == pytest.approx(2 * MM)


def test_fatigue_of_a_textbook_spring() -> None:
    """Shigley, example 10-4 (from memory): music wire 0.092 in, 9/16 in outside, 5 to 35 lbf, unpeened.

    29.7 and 39.6 kpsi; Gerber with Zimmerli's data 1.18 to 1.21, Sines 1.18.
    """
    wire, mean = 0.092 * INCH, (0.5625 - 0.092) * INCH
    strength = spring_wire.spring_wire_strength("music wire", wire)
    found = fatigue.spring_fatigue(5 * LBF, 35 * LBF, mean, wire, strength, 35 * KSI, 55 * KSI)
    assert found.stress_amplitude / KSI == pytest.approx(29.7, abs=0.05)
    assert found.mean_stress / KSI == pytest.approx(39.6, abs=0.05)
    assert found.sines_factor == pytest.approx(1.18, abs=0.005)
    ultimate = 0.67 * strength
    endurance = 35 * KSI / (1 - 55 * KSI / ultimate)
    on_the_line = found.goodman_factor * (found.stress_amplitude / endurance + found.mean_stress / ultimate)
    assert on_the_line == pytest.approx(1.0)
    bent = 35 * KSI / (1 - (55 * KSI / ultimate) ** 2)
    n = found.gerber_factor
    assert n * found.stress_amplitude / bent + (n * found.mean_stress / ultimate) ** 2 == pytest.approx(1.0)


def test_a_spring_at_the_endured_stresses_is_just_good_enough() -> None:
    wire, mean = 4.75 * MM, 27.25 * MM
    per_load = spring_wire.wire_stresses(1.0, mean, wire).bergstrasser_stress
    low, high = (534e6 - 398e6) / per_load, (534e6 + 398e6) / per_load
    found = fatigue.spring_fatigue(low, high, mean, wire, 1669e6, 398e6, 534e6)
    assert (found.goodman_factor, found.gerber_factor, found.sines_factor) == pytest.approx((1, 1, 1))
    with pytest.raises(OutOfRange, match="open load less seat load = -"):
        fatigue.spring_fatigue(high, low, mean, wire, 1669e6, 398e6, 534e6)


def test_a_spring_gives_back_the_sum_of_its_loads() -> None:
    """Load times travel, added up in small steps from the free length down."""
    heights = np.linspace(56 * MM, 30 * MM, 100_001)
    loads = spring_design.load_at_height(56 * MM, heights, 60e3)
    work = float(np.trapezoid(loads, 56 * MM - heights))
    assert spring_design.spring_energy(56 * MM, 30 * MM, 60e3) == pytest.approx(work)
    assert spring_design.spring_energy(56 * MM, 56 * MM, 60e3) == 0.0
