"""Every calculation takes arrays of any shapes that fit, and gives what it gives for each value alone."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tappetry.calculations.model import TEXT, Calculation
from tappetry.calculations.registry import registry
from tests.calculations.scaling import full_example

pytestmark = pytest.mark.slow

CALCULATIONS = [
    each for each in registry().calculations if not any(number.kind == TEXT for number in each.inputs)
]
SHAPES = ((), (3,), (1,), (2, 1), (2, 3))


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda each: each.name)
@settings(max_examples=settings.default.max_examples // 20)
@given(data=st.data())
def test_arrays_are_the_scalars_side_by_side(calculation: Calculation, data: st.DataObject) -> None:
    example = full_example(calculation)
    inputs: dict[str, Any] = {}
    for number in calculation.inputs:
        if number.name not in example:
            continue
        value = example[number.name]
        if not number.several:
            shape = data.draw(st.sampled_from(SHAPES), label=f"shape of {number.name}")
            size = int(np.prod(shape))
            wobble = data.draw(st.lists(st.floats(0.999, 1.001), min_size=size, max_size=size))
            value = value * np.reshape(wobble, shape) if shape else float(value) * wobble[0]
        inputs[number.name] = value
    single = {number.name for number in calculation.inputs if number.several}
    broadcast = np.broadcast_shapes(
        *(np.shape(value) for name, value in inputs.items() if name not in single)
    )
    result = calculation.evaluate(inputs)
    for index in np.ndindex(broadcast):
        alone = calculation.evaluate(
            {
                name: value if name in single else float(np.broadcast_to(value, broadcast)[index])
                for name, value in inputs.items()
            }
        )
        for output in calculation.outputs:
            got = np.broadcast_to(result[output.name], broadcast)[index]
            np.testing.assert_allclose(got, alone[output.name], rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda each: each.name)
def test_scalars_give_floats(calculation: Calculation) -> None:
    for name, value in calculation.evaluate(full_example(calculation)).items():
        assert isinstance(value, float), name


@pytest.mark.parametrize(
    "calculation",
    [each for each in CALCULATIONS if not all(number.several for number in each.inputs)],
    ids=lambda each: each.name,
)
def test_lists_are_taken_as_arrays(calculation: Calculation) -> None:
    example = full_example(calculation)
    single = {number.name for number in calculation.inputs if number.several}
    listed = {name: value if name in single else [value, value] for name, value in example.items()}
    for name, value in calculation.evaluate(listed).items():
        assert np.shape(value) == (2,), name
