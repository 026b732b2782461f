"""Clearance by crank angle against the handbook's least, and lift against the simulation's own table."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.engineering.piston_to_valve import exhaust_piston_to_valve, intake_piston_to_valve
from tappetry.engineering.ranges import OutOfRange
from tappetry.services.valves import OVERLAP, approach_by_angle, valve_by_angle
from tappetry.simulation.engine import Valve

DEGREE = math.pi / 180.0
GEOMETRY = {
    "valve_drop": 5.207e-3,
    "valve_angle": 14 * DEGREE,
    "stroke": 0.091,
    "rod_length": 0.156,
    "lobe_lift": 8.763e-3,
    "lobe_exponent": 5.5053,
    "lobe_half_width": 167.731 * DEGREE,
    "rocker_ratio": 1.65,
    "hot_lash": 0.1e-3,
}


def test_the_least_clearance_is_that_of_the_handbook() -> None:
    intake = approach_by_angle(109 * DEGREE, **GEOMETRY).clearances
    exhaust = approach_by_angle(-113 * DEGREE, **GEOMETRY).clearances
    least_in = intake_piston_to_valve(109 * DEGREE, **GEOMETRY)
    least_out = exhaust_piston_to_valve(113 * DEGREE, **GEOMETRY)
    assert intake.min() == pytest.approx(least_in.minimum_clearance, rel=1e-12)
    assert exhaust.min() == pytest.approx(least_out.minimum_clearance, rel=1e-12)
    assert OVERLAP[intake.argmin()] == pytest.approx(least_in.angle_of_minimum)
    assert OVERLAP[exhaust.argmin()] == pytest.approx(least_out.angle_of_minimum)


def test_a_geometry_that_is_none_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"rocker ratio = -1 must be 0.5..3"):
        approach_by_angle(109 * DEGREE, **{**GEOMETRY, "rocker_ratio": -1.0})


@pytest.mark.parametrize("nose", [109.0, 607.0])
def test_the_area_is_that_which_the_simulation_uses(nose: float) -> None:
    valve = Valve(
        lifts=(0.0, 5e-3, 10e-3), areas=(0.0, 4e-4, 6e-4), lobe_lift=8e-3, lobe_exponent=5.5,
        lobe_half_width=160 * DEGREE, nose=nose * DEGREE, rocker_ratio=1.5, give=0.2e-3,
    )  # fmt: skip
    found = valve_by_angle(valve)
    table = valve.area_table()
    places = np.round(np.degrees(found.angles) % 720.0 * 2).astype(int)
    assert found.areas == pytest.approx(table[places], abs=1e-12)
    assert found.lifts.max() == pytest.approx(valve.greatest_lift, rel=1e-3)
