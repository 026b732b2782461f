"""The first cylinder: the area of its diagram is its work, and its pressure turns when waves are back."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tappetry.services.breathing import describe
from tappetry.services.first_cylinder import heard, indicated
from tappetry.simulation.engine import Mesh
from tests.kitting.support import demo

COARSE = Mesh(4, 6, 5, 12)


@pytest.mark.slow
def test_the_area_is_the_work() -> None:
    found = indicated(describe(demo(), "B51"), 4000.0, COARSE)
    assert (found.pressures[0], found.angles[-1]) == (found.pressures[-1], 4.0 * math.pi)
    area = float(np.trapezoid(found.pressures, found.volumes))
    assert found.work > 500.0
    assert area == pytest.approx(found.work, rel=1e-3)
    assert 360 < int(found.pressures.argmax()) < 390


@pytest.mark.slow
def test_the_blow_down_falls_when_its_wave_is_back_from_the_collector() -> None:
    """The open end sends a pressure back as a depression (Heywood, section 6.6; from memory)."""
    found = heard(describe(demo(), "B51"), 3000.0, COARSE)
    for side in (found.intake, found.exhaust):
        assert side.pressures.shape == (720,)
        assert side.returns == tuple(sorted(side.returns))
        first = side.returns[0]
        assert 0.0 < first - side.opens < math.pi
    exhaust = found.exhaust
    degree = round(math.degrees(exhaust.returns[0]))
    assert exhaust.pressures[degree] > exhaust.pressures[round(math.degrees(exhaust.opens))] + 10e3
    assert exhaust.pressures[degree + 45] < exhaust.pressures[degree] - 10e3
