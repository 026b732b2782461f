"""Every calculation far from its example: it answers with numbers or refuses, and never breaks."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tappetry.calculations.model import Calculation, Input
from tappetry.calculations.registry import registry
from tappetry.engineering.ranges import OutOfRange

pytestmark = pytest.mark.slow

NOT_A_NUMBER = {
    ("safe-retard", "safe_retard"): "no retard is safe",
    ("needed-retard", "needed_retard"): "no retard gives the clearance",
}
"""Outputs that may be no number at all, and what that says."""

ENDLESS = {
    "factor": "there is no load to hold",
    "travel": "nothing bows out",
    "time": "the oil lasts, or nothing knocks",
    "angle": "nothing knocks",
}
"""How outputs end that may be infinite, and what that says."""


def corners(taken: Input) -> st.SearchStrategy[float]:
    """Values of an input from end to end of its range, the ends above all."""
    assert taken.range is not None
    low = taken.range.low if math.isfinite(taken.range.low) else -1e6
    high = taken.range.high if math.isfinite(taken.range.high) else 1e6
    first = low + (high - low) * 1e-9 if taken.range.low_excluded else low
    least = 1e-9 * max(abs(first), abs(high))  # nothing that is measured is smaller, but for nothing at all
    within = st.floats(first, high).map(lambda value: value if abs(value) >= least else max(first, 0.0))
    return st.sampled_from([first, high]) | within


@st.composite
def inputs_of(draw: st.DrawFn, calculation: Calculation) -> dict[str, Any]:
    """The example with a few of its numbers put elsewhere."""
    numbers = [each for each in calculation.inputs if each.range is not None and not each.several]
    if not numbers:
        return dict(calculation.example)
    moved = draw(st.lists(st.sampled_from(numbers), min_size=1, max_size=3, unique_by=lambda each: each.name))
    return {**calculation.example, **{each.name: draw(corners(each)) for each in moved}}


@pytest.mark.parametrize("calculation", registry().calculations, ids=lambda each: each.name)
@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_a_calculation_answers_or_refuses(calculation: Calculation, data: st.DataObject) -> None:
    inputs = data.draw(inputs_of(calculation))
    try:
        with np.errstate(all="ignore"):
            outputs = calculation.evaluate(inputs)
    except OutOfRange:
        return
    for name, value in outputs.items():
        if isinstance(value, str) or np.all(np.isfinite(value)):
            continue
        if np.any(np.isnan(value)):
            assert (calculation.name, name) in NOT_A_NUMBER, (name, inputs)
        else:
            assert name.rpartition("_")[2] in ENDLESS, (name, inputs)
