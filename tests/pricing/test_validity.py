"""How long quotes and prices hold, and what a quote of three weeks ago costs today."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from tappetry.pricing.totals import price
from tappetry.pricing.validity import ListedPrice, compare, is_open, last_day, reprice, stale_prices
from tappetry.records.kit import Kit
from tappetry.records.problems import BadInput, Refusal
from tests.pricing.jobs import MONEY, line, unpriced

QUOTED = date(2026, 3, 2)


def listed(kit: Kit, **changed: ListedPrice) -> dict[tuple[str, str], ListedPrice]:
    """The kit's own prices as today's lists, with the changes by part number."""
    plain = {
        (each.supplier, each.part): ListedPrice(each.unit_price, each.unit_cost, QUOTED) for each in kit.lines
    }
    return {key: changed.get(key[1], was) for key, was in plain.items()}


def test_a_quote_holds_fourteen_days_and_not_one_more() -> None:
    assert last_day(QUOTED, MONEY) == date(2026, 3, 16)
    assert is_open(QUOTED, QUOTED + timedelta(days=14), MONEY)
    assert not is_open(QUOTED, QUOTED + timedelta(days=15), MONEY)


def test_a_quote_of_the_future_is_refused() -> None:
    with pytest.raises(BadInput) as told:
        is_open(QUOTED, date(2026, 3, 1), MONEY)
    assert str(told.value) == (
        "date: the quote is of 2026-03-02, later than today (read: 2026-03-01); expected 2026-03-02 or later"
    )


def test_a_supplier_price_is_asked_again_after_seven_days() -> None:
    kit = Kit("J", (line(part="NEW"), line(part="EDGE"), line(part="OLD"), line(part="LOST")))
    today = date(2026, 3, 20)
    days = {
        ("AAA", "NEW"): today,
        ("AAA", "EDGE"): today - timedelta(days=7),
        ("AAA", "OLD"): today - timedelta(days=8),
    }
    assert [stale.show() for stale in stale_prices(kit, days, today, MONEY)] == [
        "AAA OLD: the price is 8 days old, the limit is 7; ask it again",
        "AAA LOST: the price is of unknown age, the limit is 7; ask it again",
    ]


def test_a_price_change_shows_as_one_line_and_in_the_total() -> None:
    kit = price(unpriced("J1"), MONEY)
    cam = kit.lines[0]
    today = ListedPrice(
        cam.unit_price + Decimal("33.00"), cam.unit_cost + Decimal("23.00"), date(2026, 3, 22)
    )
    change = compare(kit, reprice(kit, listed(kit, **{cam.part: today}), MONEY))
    assert [(c.part, c.old_total, c.new_total, c.difference) for c in change.lines] == [
        ("HV-2052-1N", Decimal("459.00"), Decimal("492.00"), Decimal("33.00"))
    ]
    # parts 3273.20, tax 7.25 % of it 237.307, half-up 237.31: 33.00 + 2.40 more
    assert (change.old_total, change.new_total) == (Decimal("8439.31"), Decimal("8474.71"))
    assert change.difference == Decimal("35.40")


def test_the_same_prices_change_nothing() -> None:
    kit = price(unpriced("J3"), MONEY)
    again = reprice(kit, listed(kit), MONEY)
    assert again == kit
    assert compare(kit, again).lines == ()


def test_lines_that_came_and_went_are_told_with_their_quantities() -> None:
    old = price(Kit("J", (line(part="GONE"), line(part="MORE"))), MONEY)
    new = price(Kit("J", (line(part="MORE", quantity=3), line(part="CAME"))), MONEY)
    assert [(c.part, c.old_quantity, c.new_quantity, c.difference) for c in compare(old, new).lines] == [
        ("GONE", 1, 0, Decimal("-100.00")),
        ("MORE", 1, 3, Decimal("200.00")),
        ("CAME", 0, 1, Decimal("100.00")),
    ]


def test_the_same_number_of_two_suppliers_is_two_parts() -> None:
    old = price(Kit("J", (line(supplier="AAA"),)), MONEY)
    new = price(Kit("J", (line(supplier="BBB"),)), MONEY)
    assert [(c.supplier, c.new_quantity) for c in compare(old, new).lines] == [("AAA", 0), ("BBB", 1)]


def test_a_part_that_is_on_no_list_any_more_stops_the_re_pricing() -> None:
    kit = price(Kit("J", (line(description="old bolt"),)), MONEY)
    with pytest.raises(Refusal) as told:
        reprice(kit, {}, MONEY)
    assert [ground.text for ground in told.value.grounds] == ["P-1 (old bolt) is on no list any more"]


def test_a_list_that_says_nothing_sells_nothing() -> None:
    kit = price(Kit("J", (line(),)), MONEY)
    with pytest.raises(Refusal) as told:
        reprice(kit, {("AAA", "P-1"): ListedPrice(Decimal("0.00"), Decimal("39.00"), QUOTED)}, MONEY)
    assert told.value.grounds[0].text == "P-1 (a part) stands at 0.00; a price is more than 0"


def test_unpriced_kits_are_not_compared() -> None:
    with pytest.raises(BadInput) as told:
        compare(price(Kit("J"), MONEY), Kit("J"))
    assert told.value.complaints[0].value == "the new kit"
