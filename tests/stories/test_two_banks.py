"""Two banks, three ways to buy: gaskets sold each, as a pair, and in a set.

That an engine with two banks takes two head gaskets is arithmetic; prices are the invented shop's.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from tappetry.services.shop import make_demo_shop, open_shop
from tests.kitting.support import Ask, bought
from tests.stories.telling import checked, job_of, line_of, of, of_job

pytestmark = pytest.mark.slow

SEDAN = Ask("A06", "B2", "keep-limited", "remove")


def test_two_banks_take_two_gaskets_sold_each() -> None:
    """Two at cost 32.00 are cheaper than the wholesaler's pair at 66.00."""
    line = line_of(of_job("J1").kit, "PG-101-130")
    assert line.quantity == 2
    assert [(filled.required, filled.given) for filled in line.needs] == [(2, 2)]
    assert line.unit_cost * line.quantity == Decimal("64.00")
    assert line.line_total == Decimal("102.00")


def test_or_one_pair_of_the_same_gasket_from_the_wholesaler() -> None:
    kit = of(replace(SEDAN, plan={"refusals": ["PG-101-130"]}))
    line = line_of(kit, "WDW-PG101130")
    assert line.quantity == 1
    assert (line.unit_cost, line.unit_price) == (Decimal("66.00"), Decimal("99.00"))
    assert [(filled.required, filled.given) for filled in line.needs] == [(2, 2)]


def test_the_pair_is_taken_where_the_makers_gasket_comes_too_late(tmp_path: Path) -> None:
    """Wanted today: the maker's gasket takes two working days, the wholesaler has his on the shelf."""
    shop = make_demo_shop(tmp_path / "shop")
    with (shop.folder / "parts.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    for row in rows:
        row["lead_days"] = "2" if row["number"] == "PG-101-130" else "0"
    with (shop.folder / "parts.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    for need_by, part, units in (("2026-03-04", "PG-101-130", 2), ("2026-03-02", "WDW-PG101130", 1)):
        kit = replace(SEDAN, plan={"need_by": need_by}).kit(open_shop(shop.folder)).kit
        gaskets = [ln for ln in kit.lines if any(filled.need == "head-gaskets" for filled in ln.needs)]
        assert [(line.part, line.quantity) for line in gaskets] == [(part, units)]


def test_one_gasket_sold_each_is_short_by_a_piece() -> None:
    kit = of_job("J1").kit
    short = replace(
        kit, lines=tuple(replace(ln, quantity=1) if ln.part == "PG-101-130" else ln for ln in kit.lines)
    )
    assert "pack-maths: head-gaskets: 2 wanted, 1 given by 1 x PG-101-130 (1): short by 1 piece" in checked(
        short, job_of("J1")
    )


def test_a_set_that_holds_the_gaskets_leaves_no_pair_to_buy() -> None:
    lines = bought(of_job("J5").kit)
    assert lines["PG-MLK"] == 1
    assert "PG-1045-110" not in lines
    filled = [f for f in line_of(of_job("J5").kit, "PG-MLK").needs if f.need == "head-gaskets"]
    assert [(f.required, f.given) for f in filled] == [(2, 2)]
