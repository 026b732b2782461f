"""Totals against three jobs added up by hand, and the rules of money one by one."""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.pricing.totals import card_fee, deposit, price
from tappetry.records.kit import Kit, OperationLine
from tappetry.records.problems import BadInput, Refusal
from tests.pricing.jobs import MONEY, line, rows, totals, unpriced

JOBS = ("J1", "J3", "J5")
FIGURES = ("parts", "parts_cost", "margin_percent", "services", "labour", "supplies", "tax", "total", "hours")

amounts = st.decimals(min_value=Decimal("0.01"), max_value=Decimal("9999.99"), places=2)


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("figure", FIGURES)
def test_the_totals_of_a_job_are_those_worked_out_by_hand(job: str, figure: str) -> None:
    priced = price(unpriced(job), MONEY)
    assert priced.totals is not None
    assert getattr(priced.totals, figure) == totals(job)[figure]


@pytest.mark.parametrize("job", JOBS)
def test_every_line_total_is_the_one_worked_out_by_hand(job: str) -> None:
    priced = price(unpriced(job), MONEY)
    assert [str(each.line_total) for each in priced.lines] == [
        row["line_total"] for row in rows("lines", job)
    ]


@pytest.mark.parametrize(
    ("exact", "rounded"),
    # Half-up of decimal arithmetic: IEEE 754-2008, roundTiesToAway.
    [("2.675", "2.68"), ("2.665", "2.67"), ("1.005", "1.01"), ("-2.675", "-2.68"), ("2.6649", "2.66")],
)
def test_cents_are_rounded_half_up(exact: str, rounded: str) -> None:
    assert str(MONEY.money(Decimal(exact)).amount) == rounded


def test_half_even_would_be_another_amount() -> None:
    assert MONEY.money(Decimal("2.665")).amount != Decimal("2.665").quantize(
        Decimal("0.01"), rounding=ROUND_HALF_EVEN
    )


def test_a_line_is_rounded_and_not_each_of_its_units() -> None:
    # A set of 16 at 78.00 is 4.875 a piece: twelve pieces are 58.50, not 12 x 4.88 = 58.56.
    priced = price(Kit("J", (line(quantity=12, unit_price=Decimal("4.875")),)), MONEY)
    assert priced.lines[0].line_total == Decimal("58.50")


def test_tax_is_rounded_once_on_the_subtotal_of_its_class() -> None:
    # Three lines at 0.07: 7.25 % of each is 0.005075, rounded one by one 0.03; on the subtotal 0.02.
    kit = Kit("J", tuple(line(part=f"P-{n}", unit_price=Decimal("0.07")) for n in range(3)))
    priced = price(kit, MONEY)
    assert priced.totals is not None
    assert priced.totals.tax == Decimal("0.02")


def test_each_tax_class_has_its_own_subtotal_and_labour_is_taxed_where_the_shop_says_so() -> None:
    money = replace(
        MONEY,
        tax={"parts": Decimal(10), "fluids": Decimal(5), "labour": Decimal(20), "supplies": Decimal(10)},
    )
    kit = Kit(
        "J",
        (line(), line(part="P-2", tax_class="fluids")),
        operations=(OperationLine("W1", "work", Decimal(1)),),
    )
    priced = price(kit, money)
    assert priced.totals is not None
    # 10.00 on parts + 5.00 on fluids + 23.60 on labour + 0.47 (4.72 x 10 %) on supplies
    assert priced.totals.tax == Decimal("39.07")


def test_a_tax_class_that_the_policy_does_not_name_is_refused() -> None:
    with pytest.raises(BadInput) as told:
        price(Kit("J", (line(tax_class="tyres"),)), MONEY)
    complaint = told.value.complaints[0]
    assert (str(complaint.where), complaint.value) == ("money.tax", "tyres")
    assert complaint.expected == "one of labour, parts, services, supplies"


def test_supplies_follow_labour_up_to_the_cap() -> None:
    # 4 % of 118.00 x 13.7 h = 1616.60 is 64.66; of 13.8 h = 1628.40 it would be 65.14, over the cap.
    for hours, supplies in (("13.7", "64.66"), ("13.8", "65.00")):
        kit = price(Kit("J", operations=(OperationLine("W1", "work", Decimal(hours)),)), MONEY)
        assert kit.totals is not None
        assert str(kit.totals.supplies) == supplies


def test_the_deposit_is_all_of_special_parts_a_share_of_stock_and_of_labour() -> None:
    kit = Kit(
        "J",
        (
            line(unit_price=Decimal("400.00"), returnable=False),
            line(part="P-2", unit_price=Decimal("100.05")),
            line(part="S-1", unit_price=Decimal("190.00"), tax_class="services", returnable=False),
        ),
        operations=(OperationLine("W1", "work", Decimal(10)),),
    )
    priced = price(kit, MONEY)
    paid = deposit(priced, MONEY)
    # 100 % of 400.00; 30 % of 100.05 = 30.015, half-up 30.02; 20 % of 1180.00; work outside is not a part
    assert (paid.special, paid.stock, paid.labour) == (Decimal("400.00"), Decimal("30.02"), Decimal("236.00"))
    assert priced.totals is not None
    assert priced.totals.deposit == paid.total == Decimal("666.02")


def test_core_charges_stand_outside_the_total() -> None:
    without = price(Kit("J", (line(quantity=2),)), MONEY).totals
    with_core = price(Kit("J", (line(quantity=2, core_charge=Decimal("60.00")),)), MONEY).totals
    assert without is not None
    assert with_core is not None
    assert with_core.core_charges == Decimal("120.00")
    assert with_core.total == without.total


def test_markup_is_shown_beside_margin() -> None:
    priced = price(Kit("J", (line(unit_price=Decimal("2025.00"), unit_cost=Decimal("1500.00")),)), MONEY)
    assert priced.totals is not None
    assert (priced.totals.margin_percent, priced.totals.markup_percent) == (Decimal("25.9"), Decimal("35.0"))


def test_an_empty_kit_costs_nothing() -> None:
    priced = price(Kit("J"), MONEY)
    assert priced.totals is not None
    assert priced.totals.total == 0
    assert priced.totals.margin_percent == 0


def test_a_price_of_zero_is_refused_with_its_owner() -> None:
    with pytest.raises(Refusal) as told:
        price(Kit("J", (line(unit_price=Decimal("0.00"), description="bolt"), line(part="P-2"))), MONEY)
    assert [(ground.text, ground.owner) for ground in told.value.grounds] == [
        ("P-1 (bolt) stands at 0.00; a price is more than 0", "price list of AAA")
    ]


def test_quantities_and_costs_that_cannot_be_are_told_together() -> None:
    kit = Kit("J", (line(quantity=0), line(part="P-2", unit_cost=Decimal("-1.00"))))
    with pytest.raises(BadInput) as told:
        price(kit, MONEY)
    assert [str(complaint) for complaint in told.value.complaints] == [
        "line P-1: the quantity is not sound (read: 0); expected 1 or more",
        "line P-2: a cost is negative (read: -1.00); expected 0 or more",
    ]


def test_a_deposit_is_not_reckoned_on_an_unpriced_kit() -> None:
    with pytest.raises(BadInput) as told:
        deposit(Kit("J7"), MONEY)
    assert told.value.complaints[0].value == "J7"


def test_the_card_fee_is_the_shops_own_cost() -> None:
    assert card_fee(Decimal("8439.31"), MONEY) == Decimal("244.74")  # 2.9 %: 244.73999


@given(st.lists(st.tuples(st.integers(1, 40), amounts), max_size=12), st.integers(0, 500))
def test_the_total_is_within_rounding_of_exact_fractions(
    bought: list[tuple[int, Decimal]], tenths: int
) -> None:
    """The same sum in exact fractions, as another arithmetic than the program's."""
    kit = Kit(
        "J",
        tuple(line(part=f"P-{n}", quantity=q, unit_price=p) for n, (q, p) in enumerate(bought)),
        operations=(OperationLine("W1", "work", Decimal(tenths) / 10),),
    )
    priced = price(kit, MONEY).totals
    assert priced is not None
    parts = sum((q * Fraction(p) for q, p in bought), Fraction(0))
    labour = Fraction(tenths, 10) * 118
    exact = parts * Fraction(10725, 10000) + labour + min(labour * Fraction(4, 100), Fraction(65))
    assert abs(Fraction(priced.total) - exact) <= Fraction(1, 100)
    assert priced.total == round(priced.total, 2)


def test_pricing_twice_changes_nothing() -> None:
    once = price(unpriced("J1"), MONEY)
    assert price(once, MONEY) == once
