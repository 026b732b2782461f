"""Bars: the limit always at the same place, what keeps it to the right, off the scale said so."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.presentation.bars import LIMIT_AT, bar, drawn
from tappetry.records.verdict import Proof, Verdict


def proof(value: float | None, limit: float | None, margin: float | None, band: float | None = None) -> Proof:
    return Proof("p", "a proof", Verdict.PASS, "in", value, limit, margin, band)


def test_a_margin_of_half_the_limit_lies_half_way_to_the_right_end() -> None:
    place = bar(proof(0.15, 0.10, 0.05, 0.02))
    assert place is not None
    assert place.value == pytest.approx(LIMIT_AT + 0.5 * (1 - LIMIT_AT))
    assert (place.low, place.high) == (pytest.approx(0.58), pytest.approx(0.82))


def test_the_two_kinds_of_limit_read_the_same_way() -> None:
    at_least, at_most = bar(proof(120.0, 100.0, 20.0)), bar(proof(80.0, 100.0, 20.0))
    assert at_least == at_most


def test_what_does_not_fit_is_marked_beyond() -> None:
    above, below = bar(proof(0.3, 0.1, 0.2)), bar(proof(0.0, 0.1, -0.1))
    assert above is not None
    assert below is not None
    assert (above.value, above.beyond) == (1.0, 1)
    assert (below.value, below.beyond) == (0.0, -1)


@pytest.mark.parametrize("margin", [None, float("nan"), float("inf")])
def test_no_number_no_bar(margin: float | None) -> None:
    assert bar(proof(None, 0.1, margin)) is None
    assert drawn(proof(None, 0.1, margin), 10) == " " * 10


@given(
    st.floats(-50, 50, allow_nan=False),
    st.floats(-50, 50, allow_nan=False),
    st.floats(0, 20, allow_nan=False),
)
def test_a_bar_says_what_the_sign_of_the_margin_says(limit: float, margin: float, band: float) -> None:
    place = bar(proof(limit + margin, limit, margin, band))
    assert place is not None
    assert 0 <= place.low <= place.value <= place.high <= 1
    if margin > 0:
        assert place.value >= LIMIT_AT
    if margin < 0:
        assert place.value <= LIMIT_AT


def test_a_bar_in_characters() -> None:
    # the limit stands at 0.4 x 10 = cell 4; a margin of half the limit reaches cell 7
    assert drawn(proof(0.15, 0.10, 0.05), 11) == "----|==o---"
    assert drawn(proof(0.05, 0.10, -0.05), 11) == "-o==|------"
    assert drawn(proof(0.90, 0.10, 0.80), 11) == "----|=====>"
    assert drawn(proof(0.10, 0.10, 0.00), 11) == "----!------"
