"""Margin is not markup: the worked example of a 35 % job, and the two as inverses."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.pricing.margin import earned, margin_price, markup_price
from tappetry.quantities.money import Money
from tappetry.records.problems import BadInput

# Worked example, arithmetic: cost 1,500 at 35 % margin is 2,307.69; at 35 % markup 2,025.00,
# which is a margin of 25.9 %.
COST = Money.parse("1500.00", "USD")


def test_a_margin_of_35_percent() -> None:
    assert str(margin_price(COST, Decimal(35))) == "$2,307.69"


def test_a_markup_of_35_percent_is_a_margin_of_25_9() -> None:
    price = markup_price(COST, Decimal(35))
    assert str(price) == "$2,025.00"
    left = earned(COST, price)
    assert (str(left.amount), str(left.margin_percent), str(left.markup_percent)) == (
        "$525.00",
        "25.9",
        "35.0",
    )


@given(st.integers(5_000, 999_900), st.integers(0, 90))
def test_the_price_for_a_margin_earns_that_margin(cost_cents: int, margin: int) -> None:
    cost = Money(cost_cents, "USD")
    assert abs(earned(cost, margin_price(cost, Decimal(margin))).margin_percent - margin) <= Decimal("0.1")


@pytest.mark.parametrize("margin", ["100", "135", "-1"])
def test_a_margin_beyond_the_price_is_refused(margin: str) -> None:
    with pytest.raises(BadInput) as told:
        margin_price(COST, Decimal(margin))
    complaint = told.value.complaints[0]
    assert (str(complaint.where), complaint.value) == ("margin_percent", margin)
    assert complaint.expected == "0 or more and less than 100"


def test_a_cost_of_nothing_is_refused() -> None:
    with pytest.raises(BadInput) as told:
        markup_price(Money(0, "USD"), Decimal(35))
    assert (
        str(told.value)
        == "cost: the cost must be known before it is priced (read: $0.00); expected more than 0"
    )
