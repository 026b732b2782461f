"""Packs and price lists: each, pair, box and set; chains of numbers; freight and small orders.

Ways to buy are reckoned by hand from the demo's price list, or from a list that is changed in a copy.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from tappetry.presentation.order_list import freight_note
from tappetry.presentation.papers import orders_of
from tappetry.records.kit import Kit
from tappetry.services.shop import Shop, make_demo_shop, open_shop
from tests.kitting.support import Ask, bought, demo
from tests.stories.telling import finding_of, line_of, of, of_job

pytestmark = pytest.mark.slow

SEDAN = Ask("A06", "B2", "keep-limited", "remove")
Row = dict[str, str]


def with_list(place: Path, change: Callable[[list[Row]], None]) -> Shop:
    """A copy of the invented shop with another price list."""
    shop = make_demo_shop(place / "shop")
    file = shop.folder / "parts.csv"
    with file.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    columns = list(rows[0])
    change(rows)
    with file.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    return open_shop(shop.folder)


def row_of(rows: list[Row], number: str) -> Row:
    return next(row for row in rows if row["number"] == number)


def fills(kit: Kit, need: str) -> list[tuple[str, int]]:
    return [(ln.part, ln.quantity) for ln in kit.lines if any(filled.need == need for filled in ln.needs)]


# ---- each, pair, box, set ---------------------------------------------------------------------------------


def test_eight_plugs_are_two_boxes_or_eight_singles() -> None:
    """Two boxes at 16.40 cost 32.80, eight singles at 4.40 cost 35.20."""
    assert fills(of(SEDAN), "spark-plugs") == [("WDW-PLUG8-4", 2)]
    without = replace(SEDAN, plan={"refusals": ["WDW-PLUG8-4"]})
    assert fills(of(without), "spark-plugs") == [("WDW-PLUG8", 8)]


def test_three_cam_bolts_are_one_set_or_three_singles() -> None:
    """The set costs 5.40; three singles of the wholesaler 6.30."""
    pickup = Ask("A01", "B1", heads="on")
    assert fills(of(pickup), "cam-gear-bolts") == [("IF-0825-3", 1)]
    without = replace(pickup, plan={"refusals": ["IF-0825-3"]})
    assert fills(of(without), "cam-gear-bolts") == [("WDW-0825", 3)]


def test_the_cheapest_piece_is_not_the_cheapest_order(tmp_path: Path) -> None:
    """Twelve springs: 12 x 5.20 = 62.40, a set of 12 at 60.00, a set of 16 at 78.00 or 4.875 a piece."""

    def springs(rows: list[Row]) -> None:
        single = row_of(rows, "QS-226.01")
        for number, pieces, cost, price in (
            ("QS-226.12", 12, "60.00", "96.00"),
            ("QS-226.16", 16, "78.00", "124.00"),
        ):
            one = {
                **single,
                "number": number,
                "fills": f"valve-springs:{pieces}",
                "unit": f"set/{pieces}",
                "pieces": str(pieces),
                "cost": cost,
                "price": price,
            }
            rows.append(one)

    shop = with_list(tmp_path, springs)
    six = Ask("OS-E", "O1")
    assert fills(six.kit(shop).kit, "valve-springs") == [("QS-226.12", 1)]
    no_twelve = replace(six, plan={"refusals": ["QS-226.12"]}).kit(shop).kit
    assert fills(no_twelve, "valve-springs") == [("QS-226.01", 12)]
    pinned = replace(six, plan={"pins": ["QS-226.16"]}).kit(shop).kit
    assert fills(pinned, "valve-springs") == [("QS-226.16", 1)]
    spare = next(left for left in pinned.left_over if left.part == "QS-226.16")
    assert (spare.pieces, spare.reason) == (4, "the pack holds more than is wanted")


def test_both_covers_take_one_pair_and_both_heads_one_set() -> None:
    kit = of(SEDAN)
    assert fills(kit, "rocker-cover-gaskets") == [("PG-RC", 1)]
    assert [(f.required, f.given) for f in line_of(kit, "PG-RC").needs] == [(2, 2)]
    assert fills(kit, "rocker-cover-grommets") == [("PG-RG", 1)]
    assert fills(kit, "exhaust-flange-gasket") == [("PG-XF", 2)]


def test_two_fills_of_oil_are_reckoned_jug_by_jug() -> None:
    """7.6 L with the filter is two jugs of 5 L for a fill, and four for the run-in fill and the service."""
    kit = of(SEDAN)
    assert fills(kit, "engine-oil-service") == [("WDW-OIL530-5", 4)]
    assert fills(kit, "oil-filter") == [("WDW-FLT7", 2)]


def test_a_set_that_holds_a_gasket_buys_no_second_one() -> None:
    """The head set of the six holds its one head gasket: no loose one beside it."""
    kit = of(Ask("OS-E", "O1"))
    assert fills(kit, "head-gaskets") == [("PG-OSK", 1)]
    assert "PG-94-120" not in bought(kit)


def test_kept_deactivation_divides_lifters_rods_and_guides() -> None:
    """Eight plain lifters, eight that collapse, rods for each, four guides of each pattern."""
    kit = of(Ask("A06", "B1", "keep-limited", "keep"))
    assert fills(kit, "lifters-deact") == [("BT-7380-08", 1)]
    standard = [f for ln in kit.lines for f in ln.needs if f.need == "lifters-standard"]
    assert sum(f.given for f in standard) == 8
    rods = [f for ln in kit.lines for f in ln.needs if f.need == "pushrods"]
    assert {f.required for f in rods} == {8}
    assert len({ln.part for ln in kit.lines if any(f.need == "pushrods" for f in ln.needs)}) == 2
    guides = dict(fills(kit, "lifter-guides"))
    assert guides == {"BT-7401-08": 1, "BT-7402-04": 1}


# ---- chains of numbers ------------------------------------------------------------------------------------


def test_a_chain_of_numbers_is_followed_to_its_end(tmp_path: Path) -> None:
    def renumber(rows: list[Row]) -> None:
        bolt = row_of(rows, "MO-9144207")
        rows.append({**bolt, "number": "MO-9144300", "price": "61.00", "cost": "41.00"})
        bolt["status"], bolt["superseded_by"] = "superseded", "MO-9144300"

    shop = with_list(tmp_path, renumber)
    kit = replace(SEDAN, plan={"pins": ["9144207X"]}).kit(shop).kit
    assert line_of(kit, "MO-9144300").unit_price == Decimal("61.00")
    assert finding_of(kit, "part-number").text == (
        "MO-9144207X is discontinued: MO-9144207 -> MO-9144300 at 61.00 takes its place"
    )
    assert fills(SEDAN.kit(shop).kit, "phaser-bolt-valve") == [("MO-9144300", 1)]


# ---- deposits on old parts --------------------------------------------------------------------------------


def test_a_deposit_on_the_old_part_stands_outside_the_total() -> None:
    totals = of_job("J1").kit.totals
    assert totals is not None
    assert totals.core_charges == Decimal("45.00")
    assert totals.total == totals.parts + totals.services + totals.labour + totals.supplies + totals.tax
    assert line_of(of_job("J1").kit, "LX-3150").core_charge == Decimal("45.00")


def test_only_parts_are_taxed() -> None:
    """7.25 % of 3,240.20 is 234.91; nothing on services and work."""
    totals = of_job("J1").kit.totals
    assert totals is not None
    assert totals.tax == Decimal("234.91")
    assert {ln.tax_class for ln in of_job("J1").kit.lines} == {"parts", "services"}


# ---- freight and small orders -----------------------------------------------------------------------------


def test_a_few_cents_more_for_a_part_may_save_the_freight(tmp_path: Path) -> None:
    """Without the gaskets the maker's order is too small to be free of freight: 67.00 is less than 75.50."""
    kit = of(SEDAN)
    goods = sum(ln.quantity * ln.unit_cost for ln in kit.lines if ln.supplier == "PSG")
    assert goods >= 250, "with the gaskets the maker's order is free of freight"
    assert fills(kit, "head-gaskets") == [("PG-101-130", 2)]

    def dear(rows: list[Row]) -> None:
        row_of(rows, "PG-101-130")["cost"] = "33.50"

    shop = with_list(tmp_path, dear)
    still = SEDAN.kit(shop).kit
    assert fills(still, "head-gaskets") == [("PG-101-130", 2)], "67.00 against 66.00 and 9.50 of freight"


def test_a_small_order_pays_its_surcharge(tmp_path: Path) -> None:
    """25.00 more for an order under 400.00: the shop pays it, and the customer never sees it."""
    shop = make_demo_shop(tmp_path / "shop")
    file = shop.folder / "suppliers.yaml"
    text = file.read_text(encoding="utf-8")
    old = 'freight: "16.00"\n  minimum: "0"\n  under_minimum: "0"'
    assert text.count(old) == 1
    new = 'freight: "16.00"\n  minimum: "400.00"\n  under_minimum: "25.00"'
    file.write_text(text.replace(old, new), encoding="utf-8")
    shop = open_shop(shop.folder)
    worked = SEDAN.kit(shop)
    order = next(o for o in orders_of(shop, worked, worked.job.date) if o.supplier.code == "HVC")
    assert (order.goods, order.freight) == (Decimal("325.00"), Decimal("41.00"))
    assert "25.00 surcharge: 325.00 is under the minimum of 400.00" in freight_note(order)
    assert worked.kit.landed_cost - of(SEDAN).landed_cost == Decimal("25.00")
    assert worked.kit.totals == of(SEDAN).totals


def test_who_charges_no_freight_is_said_to_charge_none() -> None:
    orders = {o.supplier.code: o for o in orders_of(demo(), of_job("J1"), of_job("J1").job.date)}
    assert freight_note(orders["WDW"]) == "no freight"
    assert freight_note(orders["HVC"]) == "freight 16.00 per order"
