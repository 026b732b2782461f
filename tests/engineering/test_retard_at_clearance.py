"""The retard at which a valve has its clearance, against SciPy's bracketing root finder."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from tappetry.engineering.angles import DEGREE
from tappetry.engineering.phaser import needed_retard, safe_retard
from tappetry.engineering.piston_to_valve import exhaust_piston_to_valve, intake_piston_to_valve

GENERATOR = np.random.default_rng(20)
COUNT = 300
#: As drawn below; the phaser's range is the first 30 degrees of retard.
RANGE = 30 * DEGREE
SHAPES = {
    "valve_drop": (4e-3, 11e-3),
    "valve_angle": (5 * DEGREE, 20 * DEGREE),
    "stroke": (0.08, 0.10),
    "rod_length": (0.145, 0.165),
    "lobe_lift": (7e-3, 10e-3),
    "lobe_exponent": (4.5, 7.0),
    "lobe_half_width": (150 * DEGREE, 179 * DEGREE),
    "rocker_ratio": (1.5, 1.8),
    "hot_lash": (0.0, 0.3e-3),
    "pin_offset": (-1e-3, 1e-3),
}
ENGINES = {name: GENERATOR.uniform(*ends, COUNT) for name, ends in SHAPES.items()}
CENTRELINES = GENERATOR.uniform(100 * DEGREE, 120 * DEGREE, COUNT)
REQUIRED = 2.2e-3


def engine(number: int) -> dict[str, float]:
    return {name: float(values[number]) for name, values in ENGINES.items()}


def test_safe_retard_is_where_the_clearance_is_used_up() -> None:
    found = np.asarray(safe_retard(REQUIRED, RANGE, CENTRELINES, **ENGINES))
    kinds = set()
    for number in range(COUNT):

        def spare(retard: float, number: int = number) -> float:
            clearance = exhaust_piston_to_valve(CENTRELINES[number], retard=retard, **engine(number))
            return float(clearance.minimum_clearance) - REQUIRED

        if spare(0.0) < 0.0:
            kinds.add("none")
            assert math.isnan(found[number])
        elif spare(RANGE) >= 0.0:
            kinds.add("all")
            assert found[number] == RANGE
        else:
            kinds.add("some")
            assert found[number] == pytest.approx(brentq(spare, 0.0, RANGE, xtol=1e-13), abs=1e-9)
    assert kinds == {"none", "some", "all"}


def test_needed_retard_is_where_the_clearance_begins() -> None:
    found = np.asarray(needed_retard(REQUIRED, CENTRELINES, **ENGINES))
    kinds = set()
    for number in range(COUNT):

        def spare(retard: float, number: int = number) -> float:
            clearance = intake_piston_to_valve(CENTRELINES[number], retard=retard, **engine(number))
            return float(clearance.minimum_clearance) - REQUIRED

        if spare(0.0) >= 0.0:
            kinds.add("none")
            assert found[number] == 0.0
        elif spare(math.pi / 3.0) < 0.0:
            assert math.isnan(found[number])
        else:
            kinds.add("some")
            assert found[number] == pytest.approx(brentq(spare, 0.0, math.pi / 3.0, xtol=1e-13), abs=1e-9)
    assert kinds >= {"none", "some"}
