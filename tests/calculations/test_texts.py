"""Calculations that take words: money against plain decimal arithmetic, and what they refuse."""

from __future__ import annotations

import doctest
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.calculations import texts
from tappetry.calculations.model import InputError
from tappetry.calculations.registry import registry, run
from tappetry.quantities.money import MoneyError

CENT = Decimal("0.01")
AMOUNTS = st.decimals(-(10**6), 10**6, places=4)


def test_printed_examples_are_true() -> None:
    results = doctest.testmod(texts)
    assert results.attempted > 4
    assert results.failed == 0


@given(AMOUNTS)
def test_rounding_is_that_of_decimal_arithmetic(amount: Decimal) -> None:
    for rounding, mode in (("half up", ROUND_HALF_UP), ("half even", ROUND_HALF_EVEN)):
        got = run("round-money", {"amount": str(amount), "rounding": rounding})
        assert Decimal(got["rounded"]) == amount.quantize(CENT, mode)


@given(st.decimals(0, 10**5, places=2), st.decimals(0, 1, places=4))
def test_a_share_is_rounded_once(amount: Decimal, rate: Decimal) -> None:
    got = run("share-of-money", {"amount": str(amount), "rate": str(rate)})
    assert Decimal(got["share"]) == (amount * rate).quantize(CENT, ROUND_HALF_UP)


@given(st.decimals(0, 10**5, places=2), st.lists(st.integers(1, 99), min_size=1, max_size=9))
def test_parts_add_up(amount: Decimal, weights: list[int]) -> None:
    parts = run("split-money", {"amount": str(amount), "weights": ", ".join(map(str, weights))})["parts"]
    split = [Decimal(part) for part in parts.split()]
    assert sum(split) == amount
    for part, weight in zip(split, weights, strict=True):
        assert abs(part - amount * weight / sum(weights)) < CENT


def test_binary_numbers_are_refused_by_kind() -> None:
    with pytest.raises(InputError) as refusal:
        run("round-money", {"amount": 2.675})
    assert "'amount' is a text" in str(refusal.value)


def test_what_is_no_number_is_told() -> None:
    with pytest.raises(MoneyError) as refusal:
        run("split-money", {"amount": "100.00", "weights": "1 x"})
    assert str(refusal.value) == "'x' is no plain decimal number such as 12.50"


def test_free_texts_have_no_choices() -> None:
    vin = registry().get("vin-check-digit").inputs[0]
    assert (vin.kind, vin.choices, vin.range) == ("text", (), None)
