"""Piston to valve and phasing against other searches: a fine grid, a root on the grid, and limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from tappetry.engineering import clearances, crank, lobe, phaser
from tappetry.engineering.piston_to_valve import exhaust_piston_to_valve, intake_piston_to_valve
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import DEG, INCH, MM

ENGINE = {"valve_angle": 14 * DEG, "stroke": 91 * MM, "rod_length": 156 * MM}
INTAKE = {
    **ENGINE,
    "intake_centreline": 109 * DEG,
    "valve_drop": 0.205 * INCH,
    "lobe_lift": 0.345 * INCH,
    "lobe_exponent": 5.5053,
    "lobe_half_width": 167.731 * DEG,
    "rocker_ratio": 1.65,
}
EXHAUST = {
    **ENGINE,
    "exhaust_centreline": 117 * DEG,
    "valve_drop": 0.300 * INCH,
    "lobe_lift": 0.345 * INCH,
    "lobe_exponent": 5.7612,
    "lobe_half_width": 171.214 * DEG,
    "rocker_ratio": 1.65,
}


def clearance_at(angle: float, inputs: dict[str, float], centre: float, lash: float = 0.0) -> float:
    """Clearance at one crank angle, written out."""
    fall = crank.piston_fall(angle, inputs["stroke"], inputs["rod_length"])
    height = lobe.lobe_lift_at_angle(
        angle - centre, inputs["lobe_lift"], inputs["lobe_exponent"], inputs["lobe_half_width"]
    )
    lift = max(height * inputs["rocker_ratio"] - lash, 0.0)
    return float(inputs["valve_drop"] + fall * math.cos(inputs["valve_angle"]) - lift)


@given(retard=st.floats(-10.0, 30.0), lash=st.floats(0.0, 0.020))
def test_minimum_is_just_above_the_continuous_one(retard: float, lash: float) -> None:
    """Oracle: scipy.optimize.minimize_scalar. A whole degree misses it by less than a tenth of a thou."""
    centre = 109 * DEG + retard * DEG
    tight = intake_piston_to_valve(**INTAKE, retard=retard * DEG, hot_lash=lash * INCH)
    smooth = minimize_scalar(
        lambda angle: clearance_at(angle, INTAKE, centre, lash * INCH),
        bounds=(-40 * DEG, 40 * DEG),
        method="bounded",
        options={"xatol": 1e-10},
    )
    assert smooth.fun - 1e-9 <= tight.minimum_clearance <= smooth.fun + 0.0001 * INCH
    assert tight.angle_of_minimum == pytest.approx(smooth.x, abs=1.0 * DEG)


def test_table_of_the_trade() -> None:
    """Worked by hand for one engine: piston fall, lift and clearance from 10 before to 15 after TDC (in)."""
    rows = {-10: (0.195, 0.223), -5: (0.152, 0.222), 0: (0.123, 0.234), 5: (0.107, 0.261), 10: (0.106, 0.301)}
    for angle, (intake, exhaust) in rows.items():
        assert clearance_at(angle * DEG, INTAKE, 109 * DEG) / INCH == pytest.approx(intake, abs=0.00051)
        assert clearance_at(angle * DEG, EXHAUST, -117 * DEG) / INCH == pytest.approx(exhaust, abs=0.00051)


def test_a_retard_is_a_later_centreline() -> None:
    later = intake_piston_to_valve(**{**INTAKE, "intake_centreline": 113 * DEG})
    retarded = intake_piston_to_valve(**INTAKE, retard=4 * DEG)
    assert retarded.minimum_clearance == pytest.approx(later.minimum_clearance, rel=1e-12)
    later = exhaust_piston_to_valve(**{**EXHAUST, "exhaust_centreline": 103 * DEG})
    retarded = exhaust_piston_to_valve(**EXHAUST, retard=14 * DEG)
    assert retarded.minimum_clearance == pytest.approx(later.minimum_clearance, rel=1e-12)


def test_a_shut_valve_has_its_drop() -> None:
    tight = intake_piston_to_valve(**{**INTAKE, "lobe_half_width": 60 * DEG})
    assert tight.minimum_clearance == INTAKE["valve_drop"]
    assert tight.angle_of_minimum == pytest.approx(0.0, abs=1e-15)


def test_positions_of_a_phaser_and_engines_in_one_call() -> None:
    """Rows are engines, columns are positions; the angle comes with each."""
    drops = np.array([[0.25], [0.30], [0.35]]) * INCH
    positions = np.arange(0, 31, 5) * DEG
    tight = exhaust_piston_to_valve(**{**EXHAUST, "valve_drop": drops}, retard=positions)
    assert tight.minimum_clearance.shape == tight.angle_of_minimum.shape == (3, 7)
    assert np.all(np.diff(tight.minimum_clearance, axis=1) < 0.0)
    np.testing.assert_allclose(np.diff(tight.minimum_clearance, axis=0), 0.05 * INCH, rtol=1e-9)


@pytest.mark.parametrize("required", [0.080, 0.100, 0.150])
def test_safe_retard_against_another_root(required: float) -> None:
    """Oracle: scipy.optimize.brentq over the whole minimum."""
    expected = brentq(
        lambda retard: float(
            exhaust_piston_to_valve(**EXHAUST, retard=retard).minimum_clearance - required * INCH
        ),
        0.0,
        40 * DEG,
        xtol=1e-14,
    )
    got = phaser.safe_retard(required * INCH, 40 * DEG, **EXHAUST)
    assert got == pytest.approx(expected, abs=1e-10)


def test_safe_retard_of_many_at_once() -> None:
    """Too tight at home is not a number, room to spare is the whole range, and the rest lies between."""
    drops = np.array([0.150, 0.300, 0.500]) * INCH
    got = phaser.safe_retard(0.100 * INCH, 30 * DEG, **{**EXHAUST, "valve_drop": drops})
    assert math.isnan(got[0])
    assert got[1] / DEG == pytest.approx(20.99, abs=0.0051)
    assert got[2] == 30 * DEG


def test_needed_retard_of_many_at_once() -> None:
    drops = np.array([0.300, 0.170, 0.020]) * INCH
    got = phaser.needed_retard(0.080 * INCH, **{**INTAKE, "valve_drop": drops})
    assert got[0] == 0.0
    tight = intake_piston_to_valve(**{**INTAKE, "valve_drop": drops[1]}, retard=got[1])
    assert tight.minimum_clearance == pytest.approx(0.080 * INCH, abs=1e-12)
    assert math.isnan(got[2])


def test_a_phaser_that_puts_the_nose_in_the_overlap_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        phaser.safe_retard(0.100 * INCH, 60 * DEG, **{**EXHAUST, "exhaust_centreline": 90 * DEG})
    assert refusal.value.quantity == "exhaust_centreline less phaser_range"
    assert refusal.value.value == pytest.approx(30 * DEG)
    assert "(the nose of the lobe must stand outside the overlap)" in str(refusal.value)


@given(steps=st.integers(0, 100), part=st.floats(0.0, 0.999))
def test_floored_retard_is_never_above(steps: int, part: float) -> None:
    retard = (steps + part) * 0.5 * DEG
    floored = phaser.floored_retard(retard, 0.5 * DEG)
    assert floored / DEG == pytest.approx(steps * 0.5, abs=1e-9)
    assert floored <= retard + 1e-11


def test_a_retard_that_is_not_a_number_has_no_floor() -> None:
    with pytest.raises(OutOfRange) as refusal:
        phaser.floored_retard(math.nan, 0.5 * DEG)
    assert refusal.value.quantity == "safe_retard"
    assert str(refusal.value).startswith("safe retard = nan rad must be a finite number")


def test_gasket_that_hangs_into_the_bore() -> None:
    """Worked by hand: a 98.0 gasket on a 99.0 bore hangs 0.5 mm into the cylinder all round."""
    assert clearances.gasket_over_bore(98 * MM, 99 * MM) / 2 / MM == pytest.approx(-0.5)


def test_a_groove_larger_than_its_bore_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        clearances.ring_gap(16.8 * MM, 20.8 * MM)
    assert refusal.value.quantity == "ring_gap"
    assert refusal.value.value == pytest.approx(-2 * MM)
