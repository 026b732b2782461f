"""Threads and bolts against the tables of ISO 898-1, ISO 724, ASME B1.1 and textbook examples."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.engineering import joints, threads
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import INCH, LBF, MM

COARSE = {
    6: 1.0,
    8: 1.25,
    10: 1.5,
    12: 1.75,
    14: 2.0,
    16: 2.0,
    20: 2.5,
}  # ISO 261 coarse pitches, from memory


@pytest.mark.parametrize(
    ("diameter", "area"), [(6, 20.1), (8, 36.6), (10, 58.0), (12, 84.3), (14, 115), (16, 157), (20, 245)]
)
def test_metric_stress_area(diameter: int, area: float) -> None:
    """ISO 898-1, table of nominal stress areas, three figures (M20 from memory)."""
    got = threads.metric_stress_area(diameter * MM, COARSE[diameter] * MM) / MM**2
    assert got == pytest.approx(area, abs=0.51 if area > 100 else 0.051)


@pytest.mark.parametrize(
    ("diameter", "pitch_diameter", "minor"),
    [(6, 5.350, 4.917), (8, 7.188, 6.647), (10, 9.026, 8.376), (12, 10.863, 10.106)],
)
def test_metric_diameters(diameter: int, pitch_diameter: float, minor: float) -> None:
    """ISO 724, from memory."""
    got = threads.thread_diameters(diameter * MM, COARSE[diameter] * MM)
    assert got.pitch_diameter / MM == pytest.approx(pitch_diameter, abs=0.00051)
    assert got.minor_diameter / MM == pytest.approx(minor, abs=0.00051)


def test_root_diameter() -> None:
    """ISO 68-1, M10 x 1.5: d3 = 8.160 mm, from memory."""
    assert threads.thread_diameters(10 * MM, 1.5 * MM).root_diameter / MM == pytest.approx(8.160, abs=0.0006)


UNIFIED = {  # size, threads to the inch: stress area, pitch and minor diameter; ASME B1.1, from memory
    (5 / 16, 18): (0.0524, 0.2764, 0.2524),
    (3 / 8, 16): (0.0775, 0.3344, 0.3073),
    (7 / 16, 14): (0.1063, 0.3911, 0.3602),
    (1 / 2, 13): (0.1419, 0.4500, 0.4167),
}


@pytest.mark.parametrize(("size", "row"), UNIFIED.items())
def test_unified_threads(size: tuple[float, int], row: tuple[float, float, float]) -> None:
    diameter, pitch = size[0] * INCH, INCH / size[1]
    area, pitch_diameter, minor = row
    got = threads.thread_diameters(diameter, pitch)
    assert threads.unified_stress_area(diameter, pitch) / INCH**2 == pytest.approx(area, abs=0.000051)
    assert got.pitch_diameter / INCH == pytest.approx(pitch_diameter, abs=0.000051)
    assert got.minor_diameter / INCH == pytest.approx(minor, abs=0.000051)


def test_quarter_inch_stress_area() -> None:
    """ASME B1.1, from memory: 1/4-20 has 0.0318 in2."""
    assert threads.unified_stress_area(0.25 * INCH, INCH / 20) / INCH**2 == pytest.approx(
        0.0318, abs=0.000051
    )


def test_the_metric_formula_is_not_the_inch_formula() -> None:
    """On 3/8-16 it gives 0.0786 in2, 1 to 2 % more."""
    inch = threads.unified_stress_area(0.375 * INCH, INCH / 16)
    metric = threads.metric_stress_area(0.375 * INCH, INCH / 16)
    assert 1.01 < metric / inch < 1.02


PROOF_LOADS = {  # ISO 898-1, table of proof loads [N]
    (8, "8.8"): 21_200,
    (8, "12.9"): 35_500,
    (10, "8.8"): 33_700,
    (10, "10.9"): 48_100,
    (12, "8.8"): 48_900,
    (12, "10.9"): 70_000,
    (20, "8.8"): 147_000,  # above 16 mm the class is stronger; from memory
}


@pytest.mark.parametrize(("bolt", "load"), PROOF_LOADS.items())
def test_proof_loads(bolt: tuple[int, str], load: float) -> None:
    diameter, mark = bolt
    area = threads.metric_stress_area(diameter * MM, COARSE[diameter] * MM)
    strength = threads.property_class_strength(mark, diameter * MM)
    assert joints.bolt_load(area, strength.proof_stress) == pytest.approx(load, rel=0.003)


@pytest.mark.parametrize(
    ("mark", "row"), [("8.8", (800, 640, 580)), ("10.9", (1040, 940, 830)), ("12.9", (1220, 1100, 970))]
)
def test_property_classes(mark: str, row: tuple[float, float, float]) -> None:
    """ISO 898-1, least values, from memory; they are not the nominal ones that the mark spells."""
    got = threads.property_class_strength(mark, 10 * MM)
    assert (got.tensile_strength, got.yield_strength, got.proof_stress) == tuple(value * 1e6 for value in row)


@pytest.mark.parametrize("mark", threads.PROPERTY_CLASSES)
def test_marks_spell_their_nominal_strengths(mark: str) -> None:
    """ISO 898-1: a hundredth of the nominal tensile strength, and the nominal yield strength's share of it.

    Least values lie at most 6.5 % off, proof stress below yield.
    """
    tensile, share = (int(part) for part in mark.split("."))
    got = threads.property_class_strength(mark, 10 * MM)
    assert got.tensile_strength == pytest.approx(tensile * 100e6, rel=0.065)
    assert got.yield_strength == pytest.approx(tensile * share * 10e6, rel=0.065)
    assert 0.85 < got.proof_stress / got.yield_strength < 0.97


def test_an_unknown_mark_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        threads.property_class_strength("11.9", 0.012)
    assert "property class '11.9'" in str(refusal.value)
    assert "one of 4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 9.8, 10.9, 12.9" in str(refusal.value)
    with pytest.raises(OutOfRange) as refusal:
        threads.property_class_strength("9.8", 0.020)
    assert str(refusal.value) == "nominal diameter = 0.02 m must be at most 0.016 m for class 9.8 (ISO 898-1)"


def test_threads_to_the_inch_in_place_of_a_pitch_are_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        threads.metric_stress_area(0.010, 0.010)
    assert str(refusal.value) == (
        "thread pitch over nominal diameter = 1 must be 0.02..0.35 (threads of ISO 261 and ASME B1.1). "
        "Check that the pitch is a length and not threads to the inch"
    )


def test_torque_of_a_textbook_bolt() -> None:
    """Shigley's Mechanical Engineering Design, example 8-3 (from memory): 3/4 in, K 0.2, 25 kip: 3,750."""
    torque = joints.torque_for_tension(25_000 * LBF, 0.2, 0.75 * INCH)
    assert torque / (LBF * INCH) == pytest.approx(3750)
    assert joints.tension_from_torque(torque, 0.2, 0.75 * INCH) / LBF == pytest.approx(25_000)


def test_one_torque_and_three_lubricants() -> None:
    """Worked by hand: M12, 120 N.m: 50.0, 76.9 and 100 kN; yield of a 10.9 is 79.2 kN, proof 69.9 kN."""
    tension = joints.tension_from_torque(120.0, np.array([0.20, 0.13, 0.10]), 12 * MM)
    np.testing.assert_allclose(tension / 1e3, [50.0, 76.9, 100.0], atol=0.051)
    area = threads.metric_stress_area(12 * MM, 1.75 * MM)
    strength = threads.property_class_strength("10.9", 12 * MM)
    assert joints.bolt_load(area, strength.proof_stress) / 1e3 == pytest.approx(69.9, abs=0.051)
    assert joints.bolt_load(area, strength.yield_strength) / 1e3 == pytest.approx(79.2, abs=0.051)


def test_half_a_turn() -> None:
    """Worked by hand: M12 x 1.75, 180 degrees: 0.875 mm."""
    assert joints.tightening_travel(math.pi, 1.75 * MM) / MM == pytest.approx(0.875)


def test_a_thread_below_its_hole_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        joints.bolt_depth(0.1, 0.05, 0.060, 0.058)
    assert refusal.value.quantity == "hole_bottom less thread_start"
    assert refusal.value.value == pytest.approx(-0.002)
    assert str(refusal.value).endswith("(the thread lies in the hole). Measure both from the deck")
