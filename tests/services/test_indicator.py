"""The indicator diagram: the area that it encloses is the work that the simulation counts."""

from __future__ import annotations

import numpy as np
import pytest

from tappetry.services.breathing import describe
from tappetry.services.indicator import indicate
from tappetry.simulation.engine import Mesh
from tests.kitting.support import demo


@pytest.mark.slow
def test_the_area_is_the_work() -> None:
    found = indicate(describe(demo(), "B51"), 4000.0, Mesh(4, 6, 5, 12))
    volumes = np.append(found.volumes, found.volumes[0])
    pressures = np.append(found.pressures, found.pressures[0])
    area = float(np.sum(0.5 * (pressures[1:] + pressures[:-1]) * np.diff(volumes)))
    assert found.work > 500.0
    assert area == pytest.approx(found.work, rel=0.02)
    assert 360 < int(found.pressures.argmax()) < 390
