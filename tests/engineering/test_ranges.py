"""Ranges: what they let pass, and what their errors say."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.engineering.angles import DEGREE, whole_degrees
from tappetry.engineering.glossary import QUANTITIES, ROWS, require
from tappetry.engineering.ranges import OutOfRange, Range, require_between


@pytest.mark.parametrize(
    ("limits", "unit", "text"),
    [
        (Range(3, 20), "1", "3..20"),
        (Range(0, 0.05), "m", "0..0.05 m"),
        (Range(0, 1, low_excluded=True), "m", "above 0 and at most 1 m"),
        (Range(0, math.inf, low_excluded=True), "m", "above 0 m"),
        (Range(0, math.inf), "Pa", "at least 0 Pa"),
        (Range(-math.inf, math.inf), "m", "a finite number"),
    ],
)
def test_range_in_words(limits: Range, unit: str, text: str) -> None:
    assert limits.text(unit) == text


@given(
    value=st.floats(allow_nan=True, allow_infinity=True),
    low=st.floats(-10, 10),
    width=st.floats(0, 10),
    open_end=st.booleans(),
    infinite=st.booleans(),
)
def test_one_value_and_an_array_of_it_agree(
    value: float, low: float, width: float, open_end: bool, infinite: bool
) -> None:
    limits = Range(low, math.inf if infinite else low + width, open_end, infinite)
    assert bool(limits.outside(np.array([value]))[0]) is not limits.contains(value)


def test_values_pass_unchanged() -> None:
    values = np.array([[0.090, 0.100], [0.110, 1.0]])
    assert require("bore", 0.099) == 0.099
    assert require("bore", values) is values
    assert require("cylinders", 8) == 8.0
    assert isinstance(require("cylinders", 8), float)
    np.testing.assert_array_equal(require("bore", [0.09, 0.1]), [0.09, 0.1])


def test_a_value_out_of_range_says_everything() -> None:
    with pytest.raises(OutOfRange) as refusal:
        require("wire_diameter", -0.005)
    error = refusal.value
    assert (error.quantity, error.value, error.unit) == ("wire_diameter", -0.005, "m")
    assert error.limit == "above 0 and at most 0.02 m"
    assert error.advice == "Check unit and sign; meant is: diameter of the round wire"
    assert str(error) == (
        "wire diameter = -0.005 m must be above 0 and at most 0.02 m. "
        "Check unit and sign; meant is: diameter of the round wire"
    )


def test_the_first_offender_of_an_array_is_named() -> None:
    with pytest.raises(OutOfRange) as refusal:
        require("bore", np.array([[0.1, 0.2], [99.0, math.nan]]))
    assert refusal.value.position == (1, 0)
    assert refusal.value.value == 99.0
    assert str(refusal.value).startswith("bore at 1, 0 = 99 m must be above 0 and at most 1 m")


def test_source_and_advice_stand_in_the_message() -> None:
    with pytest.raises(OutOfRange) as refusal:
        require_between(
            "spring index D/d",
            2.8,
            Range(3, 20),
            source="helical spring theory",
            advice="Take the mean diameter",
        )
    assert refusal.value.source == "helical spring theory"
    assert str(refusal.value) == (
        "spring index D/d = 2.8 must be 3..20 (helical spring theory). Take the mean diameter"
    )


def test_out_of_range_is_a_value_error() -> None:
    assert issubclass(OutOfRange, ValueError)


def test_a_quantity_stands_in_one_place() -> None:
    names = [row[0] for row in ROWS]
    assert [name for name in names if names.count(name) > 1] == []


def test_whole_degrees() -> None:
    grid = whole_degrees(-40, 40)
    assert len(grid) == 81
    assert grid[0] == -40 * DEGREE
    assert grid[40] == 0.0
    assert grid[-1] == 40 * DEGREE


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=lambda quantity: quantity.name)
def test_glossary_entries_make_sense(quantity: object) -> None:
    entry = QUANTITIES[quantity.name]  # type: ignore[attr-defined]
    assert entry.name.isidentifier()
    assert entry.name == entry.name.lower()
    assert entry.range.low < entry.range.high
    assert len(entry.meaning) > 5
    assert not entry.meaning.endswith(".")
