"""Bills: the lines of what was agreed, tax once by class, and the very sum that was agreed."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.pricing.bill import Bill, bill, bill_data, bill_from_data, credit_of, left_of
from tappetry.pricing.books import CREDITS, CUSTOMERS, DEPOSITS, TAX, Leg, credit_legs, invoice_legs
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


@given(st.lists(st.dictionaries(st.integers(0, 4), st.integers(1, 40_000), min_size=1), max_size=6))
def test_credits_in_any_parts_come_to_the_bill_and_its_tax_to_the_cent(asked: list[dict[int, int]]) -> None:
    whole = bill(priced(), MONEY)
    credits: list[Bill] = []
    for amounts in asked:
        left = left_of(whole, credits)
        chosen = {
            place: min(Decimal(cents).scaleb(-2), left.lines[place].net) for place, cents in amounts.items()
        }
        chosen = {place: net for place, net in chosen.items() if net}
        if not chosen:
            continue
        credits.append(credit_of(whole, credits, chosen))
        assert all(part.tax >= 0 for part in credits[-1].classes)
        assert credits[-1].net == sum(chosen.values())
    left = left_of(whole, credits)
    rest = {place: line.net for place, line in enumerate(left.lines) if line.net}
    if rest:
        credits.append(credit_of(whole, credits, rest))
    assert sum((each.total for each in credits), NOTHING) == whole.total
    assert sum((each.tax for each in credits), NOTHING) == whole.tax
    assert left_of(whole, credits).total == 0


@pytest.mark.parametrize(
    ("amounts", "said"),
    [
        ({}, "credits something"),
        ({1: "419.01"}, r"line 2: more than is left of it, or nothing .*419\.01.*up to 419\.00"),
        ({0: "0.00"}, r"line 1: .*up to 29\.97"),
        ({9: "1.00"}, r"line 10: .*up to 0\.00"),
    ],
)
def test_no_more_is_credited_than_a_line_holds(amounts: dict[int, str], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        credit_of(bill(priced(), MONEY), (), {place: Decimal(net) for place, net in amounts.items()})


def test_a_credit_takes_off_what_is_open_and_the_rest_stays_to_the_customers_credit() -> None:
    made = credit_of(bill(priced(), MONEY), (), {1: Decimal("419.00")})
    assert made.total == Decimal("449.38")  # with 30.38 of tax: 7.25 % of 448.97, less that of 29.97
    legs = {leg.account: leg.amount for leg in credit_legs(made, {CUSTOMERS: Decimal("400.00")})}
    assert legs == {
        CUSTOMERS: Decimal("-400.00"),
        CREDITS: Decimal("-49.38"),
        "sales: parts": Decimal("419.00"),
        TAX: Decimal("30.38"),
    }


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
