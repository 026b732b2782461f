"""The range that the registry prints is the range that the function enforces, for every input."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from tappetry.calculations.model import Calculation, Input
from tappetry.calculations.registry import registry
from tappetry.engineering.ranges import OutOfRange
from tests.calculations.scaling import full_example

pytestmark = pytest.mark.slow

NUMBERS = [
    pytest.param(calculation, each, id=f"{calculation.name}-{each.name}")
    for calculation in registry().calculations
    for each in calculation.inputs
    if each.range is not None
]


def just_outside(number: Input) -> list[float]:
    """Values that no function may take for this input."""
    limits = number.range
    assert limits is not None
    outside = [math.nan] if limits.may_be_infinite else [math.nan, math.inf, -math.inf]
    if math.isfinite(limits.low):
        outside.append(limits.low if limits.low_excluded else math.nextafter(limits.low, -math.inf))
    if math.isfinite(limits.high):
        outside.append(math.nextafter(limits.high, math.inf))
    return outside


def with_value(number: Input, value: float) -> Any:
    return [value] if number.several else value


@pytest.mark.parametrize(("calculation", "number"), NUMBERS)
def test_just_outside_is_refused_by_name(calculation: Calculation, number: Input) -> None:
    for value in just_outside(number):
        inputs = {**full_example(calculation), number.name: with_value(number, value)}
        with pytest.raises(OutOfRange) as refusal:
            calculation.evaluate(inputs)
        error = refusal.value
        name = number.name.replace("_", " ")
        assert error.quantity == number.name
        assert error.value == value or (math.isnan(error.value) and math.isnan(value))
        assert error.limit == number.range.text(number.unit)  # type: ignore[union-attr]
        assert str(error).startswith(name)
        assert f" = {value:.6g}" in str(error)
        assert number.description in str(error)


@pytest.mark.parametrize(("calculation", "number"), NUMBERS)
def test_an_offender_in_an_array_is_found(calculation: Calculation, number: Input) -> None:
    example = full_example(calculation)
    good = np.max(example.get(number.name, 1.65))  # a rocker ratio may be left out
    values = np.array([good, math.nan, good])
    with pytest.raises(OutOfRange) as refusal:
        calculation.evaluate({**example, number.name: values})
    assert refusal.value.quantity == number.name
    assert refusal.value.position[0] == 1
    assert "at 1" in str(refusal.value)
