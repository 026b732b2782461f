"""Bills: the lines of what was agreed, tax once by class, and the very sum that was agreed."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from tappetry.pricing.bill import Bill, bill, bill_data, bill_from_data
from tappetry.pricing.books import CREDITS, CUSTOMERS, DEPOSITS, TAX, Leg, invoice_legs
from tappetry.pricing.totals import price
from tappetry.records.kit import Kit, OperationLine
from tappetry.records.problems import BadInput, Refusal
from tests.pricing.jobs import MONEY, line

NOTHING = Decimal("0.00")


def priced() -> Kit:
    """A kit with parts, a service, and 2.5 hours of work at 118.00."""
    return price(
        Kit(
            "J-1",
            (
                line(description="a session", unit_price=Decimal("650.00"), tax_class="services"),
                line(description="a seal", unit_price=Decimal("9.99"), quantity=3),
                line(description="a cam", unit_price=Decimal("419.00")),
            ),
            operations=(OperationLine("A", "strip", Decimal("1.5")), OperationLine("B", "build", Decimal(1))),
        ),
        MONEY,
    )


def test_a_bill_holds_parts_outside_work_our_work_and_supplies() -> None:
    made = bill(priced(), MONEY)
    assert [(each.text, each.quantity, each.net) for each in made.lines] == [
        ("a seal", 3, Decimal("29.97")),
        ("a cam", 1, Decimal("419.00")),
        ("a session", 1, Decimal("650.00")),
        ("our work, 2.5 hours", 1, Decimal("295.00")),
        ("shop supplies", 1, Decimal("11.80")),
    ]
    assert [(each.name, each.net, each.tax) for each in made.classes] == [
        ("parts", Decimal("448.97"), Decimal("32.55")),  # 7.25 % of 448.97 is 32.550325
        ("services", Decimal("650.00"), NOTHING),
        ("labour", Decimal("295.00"), NOTHING),
        ("supplies", Decimal("11.80"), NOTHING),
    ]
    totals = priced().totals
    assert totals is not None
    assert (made.net, made.tax, made.total) == (Decimal("1405.77"), Decimal("32.55"), totals.total)


def test_a_bill_comes_back_from_its_data() -> None:
    made = bill(priced(), MONEY)
    assert bill_from_data(bill_data(made)) == made


def test_a_bill_that_is_not_what_was_agreed_is_refused() -> None:
    other = replace(MONEY, tax={**MONEY.tax, "parts": Decimal("8.00")})
    with pytest.raises(Refusal, match=r"would come to 1441\.69, and 1438\.32 was agreed") as refused:
        bill(priced(), other)
    assert "change order" in refused.value.ways_out[0]


def test_a_kit_without_a_price_makes_no_bill() -> None:
    with pytest.raises(BadInput, match="not priced"):
        bill(replace(priced(), totals=None), MONEY)


@pytest.mark.parametrize(
    ("deposit", "credit", "owed", "credit_used"),
    [
        ("0.00", "0.00", "1438.32", "0.00"),
        ("500.00", "0.00", "938.32", "0.00"),
        ("500.00", "41.27", "897.05", "41.27"),
        ("1400.00", "100.00", "0.00", "38.32"),
        ("1500.00", "0.00", "0.00", "-61.68"),
    ],
)
def test_deposits_and_credits_become_payment_and_what_is_over_stays(
    deposit: str, credit: str, owed: str, credit_used: str
) -> None:
    made = bill(priced(), MONEY)
    stands = {DEPOSITS: -Decimal(deposit), CREDITS: -Decimal(credit)}
    legs = {leg.account: leg.amount for leg in invoice_legs(made, stands)}
    assert legs.get(CUSTOMERS, NOTHING) == Decimal(owed)
    assert legs.get(DEPOSITS, NOTHING) == Decimal(deposit)
    assert legs.get(CREDITS, NOTHING) == Decimal(credit_used)
    assert legs["sales: parts"] == Decimal("-448.97")
    assert legs[TAX] == Decimal("-32.55")


def test_nothing_moves_by_an_empty_bill() -> None:
    assert invoice_legs(Bill((), ()), {CREDITS: Decimal("-5.00")}) == ()
    assert Leg(CUSTOMERS, NOTHING) not in invoice_legs(bill(priced(), MONEY), {})
