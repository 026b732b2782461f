"""Orders: one per supplier, pieces counted, freight at the supplier's terms, holds kept back."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pypdfium2
import pytest

from tappetry.presentation.order_list import Order, freight_note, order_data, order_pdf, orders
from tappetry.records.kit import Kit
from tappetry.records.problems import BadInput
from tests.presentation.sample import ON, SHOP, SUPPLIERS, kit, parts


def made(of: Kit | None = None) -> dict[str, Order]:
    return {o.supplier.code: o for o in orders(of or kit(), parts(), SUPPLIERS, SHOP, ON, "USD")}


def test_every_line_is_in_one_order() -> None:
    ordered = [line.line for order in made().values() for line in order.lines]
    assert sorted(line.part for line in ordered) == sorted(line.part for line in kit().lines)
    goods = sum(order.goods for order in made().values())
    assert goods == sum(line.quantity * line.unit_cost for line in kit().lines)


def test_pieces_are_units_times_what_is_in_a_unit() -> None:
    pieces = {line.line.part: line.pieces for order in made().values() for line in order.lines}
    assert (pieces["QS-K07.32"], pieces["PG-RC"], pieces["PG-101-130"], pieces["WDW-PLUG8-4"]) == (
        32,
        2,
        2,
        8,
    )


def test_freight_is_free_over_the_threshold_and_dearer_under_the_minimum() -> None:
    springs = made()["QSV"]  # 267.40 of goods: free over 200.00
    assert (springs.goods, springs.freight) == (Decimal("267.40"), Decimal(0))
    assert freight_note(springs) == "free of freight: 267.40 reaches 200.00"
    few = replace(springs, lines=springs.lines[2:3])  # locks at 22.00: 12.00 freight + 6.00 under 40.00
    assert few.freight == Decimal("18.00")
    assert freight_note(few) == (
        "freight 12.00; 178.00 short of free freight from 200.00; "
        "6.00 surcharge: 22.00 is under the minimum of 40.00"
    )
    assert freight_note(made()["HVC"]) == "freight 16.00 per order"


def test_what_is_on_hold_is_kept_out_of_the_sum_to_order_now() -> None:
    pushrods = order_data(made()["BTC"])
    held = [line for line in pushrods["lines"] if line["holds"]]
    assert [(line["part"], line["expected"], line["extended"]) for line in held] == [
        ("BT-8425-16", "", "62.00")
    ]
    assert pushrods["on_hold"] == "62.00"
    assert Decimal(pushrods["order_now"]) == Decimal(pushrods["goods"]) - Decimal("62.00")


def test_dates_follow_the_lead_days() -> None:
    # 2 March 2026, a Monday, and three days
    springs = made()["QSV"]
    assert {line["expected"] for line in order_data(springs)["lines"]} == {"5 Mar"}
    slow = replace(
        springs, lines=tuple(replace(ln, line=replace(ln.line, lead_days=8)) for ln in springs.lines)
    )
    assert {line["expected"] for line in order_data(slow)["lines"]} == {"12 Mar"}, "no work on a weekend"


def test_a_part_that_is_not_in_the_catalogue_cannot_be_counted() -> None:
    with pytest.raises(BadInput) as told:
        orders(kit(), parts()[1:], SUPPLIERS, SHOP, ON, "USD")
    assert str(told.value) == "line HV-2052-1N: the part is not in the catalogue (read: HVC HV-2052-1N)"


def test_the_order_as_a_paper() -> None:
    order = made()["PSG"]
    paper = order_pdf(order)
    assert order_pdf(order) == paper
    document = pypdfium2.PdfDocument(paper)
    text = "\n".join(page.get_textpage().get_text_bounded() for page in document)
    for line in order.lines:
        assert line.line.part in text
    inside = "inside: 1 x ring amber 2.50, 1 x ring violet 3.10 and 1 x ring grey lip 3.80"
    assert inside.replace(" ", "") in "".join(text.split())
    assert f"page 1 of {len(document)}" in text
    # The order lies on its side: A4 is 297 mm = 841.89 pt wide.
    assert document[0].get_size()[0] == pytest.approx(841.89, abs=0.02)


def test_the_customers_price_is_not_on_the_suppliers_paper() -> None:
    data = order_data(made()["HVC"])
    assert data["lines"][0]["cost"] == "325.00"
    assert "459.00" not in str(data)
