"""The money policy refuses figures that cannot be, by name."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from tappetry.pricing.policy import read_policy
from tappetry.records.problems import BadInput
from tests.pricing.jobs import MONEY

BOOK = {
    "currency": "USD",
    "labour_rate": "118.00",
    "diagnosis_rate": "128.00",
    "tax": {"parts": "7.25", "services": "0", "labour": "0", "supplies": "0"},
    "supplies_percent_of_labour": "4",
    "supplies_cap": "65.00",
    "quote_days": 14,
    "price_check_days": 7,
    "deposit_special_percent": "100",
    "deposit_stock_percent": "30",
    "deposit_labour_percent": "20",
    "card_fee_percent": "2.9",
}


def test_the_book_becomes_the_policy() -> None:
    assert read_policy(BOOK) == MONEY


def test_what_the_book_leaves_out_is_told_by_name() -> None:
    short = {name: value for name, value in BOOK.items() if name not in ("supplies_cap", "quote_days")}
    with pytest.raises(BadInput) as told:
        read_policy(short)
    assert [str(complaint.where) for complaint in told.value.complaints] == [
        "money.supplies_cap",
        "money.quote_days",
    ]


def test_a_figure_that_cannot_be_read_is_shown() -> None:
    with pytest.raises(BadInput) as told:
        read_policy(BOOK | {"labour_rate": "118,00"})
    assert str(told.value) == (
        "money.labour_rate: the figure cannot be read (read: 118,00); expected a number such as 7.25"
    )


def test_every_unsound_figure_is_told() -> None:
    with pytest.raises(BadInput) as told:
        replace(MONEY, currency="usd", labour_rate=Decimal(-1), tax={"parts": Decimal(725)}, quote_days=0)
    assert told.value.complaints[0].message == (
        "'usd' is no currency code; write three capital letters, as in USD"
    )
    assert [(str(c.where), c.value, c.expected) for c in told.value.complaints] == [
        ("money.currency", "", ""),
        ("money.labour_rate", "-1", "0 or more"),
        ("money.tax.parts", "725", "0 to 100"),
        ("money.quote_days", "0", "1 or more"),
    ]
