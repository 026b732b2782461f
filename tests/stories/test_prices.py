"""The price of nothing, the price of old, and a margin that is no markup."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from tappetry.pricing.margin import earned, margin_price, markup_price
from tappetry.pricing.policy import read_policy
from tappetry.pricing.validity import ListedPrice, compare, is_open, last_day, reprice
from tappetry.quantities.money import Money
from tests.kitting.support import Ask, bought, demo
from tests.stories.telling import finding_of, line_of, of, of_job, refusal

pytestmark = pytest.mark.slow

SEDAN = Ask("A06", "B2", "keep-limited", "remove")


# ---- the price of nothing ---------------------------------------------------------------------------------


@pytest.mark.parametrize("typed", ["9144207X", "MO-9144207X", "mo 9144207x"])
def test_a_discontinued_number_leads_to_what_replaces_it(typed: str) -> None:
    """The row is priced 0.00; its successor costs 39.00 and sells at 58.00."""
    old = demo().catalogue.numbered("MO-9144207X")[0]
    assert old.price == 0
    kit = of(replace(SEDAN, plan={"pins": [typed]}))
    line = line_of(kit, "MO-9144207")
    assert (line.unit_price, line.unit_cost) == (Decimal("58.00"), Decimal("39.00"))
    assert "MO-9144207X" not in bought(kit)
    finding = finding_of(kit, "part-number")
    assert finding.text == "MO-9144207X is discontinued: MO-9144207 at 58.00 takes its place"


def test_nothing_is_ever_sold_at_nothing() -> None:
    for name in ("J1", "J3", "J5"):
        assert all(line.unit_price > 0 and line.unit_cost > 0 for line in of_job(name).kit.lines)


def test_a_superseded_number_leads_to_its_successor_too() -> None:
    """The old bolt's stock stays usable on the shelf; an order names the number that is sold."""
    coupe = Ask("A12", "B2", "keep-limited", plan={"pins": ["MO-9160733"]})
    kit = of(coupe)
    assert line_of(kit, "MO-9160733A").unit_price == Decimal("69.00")
    assert finding_of(kit, "part-number").text == (
        "MO-9160733 is superseded: MO-9160733A at 69.00 takes its place"
    )


def test_a_lost_zero_is_not_put_back_by_guess() -> None:
    """A leading zero may tell two parts apart: 825-3 is not 0825-3."""
    assert "825-3 is in no price list" in refusal(replace(SEDAN, plan={"pins": ["825-3"]})).message
    kit = of(Ask("A01", "B1", heads="on", plan={"pins": ["0825-3"]}))
    assert finding_of(kit, "part-number").text == "0825-3 is read as IF-0825-3"
    assert bought(kit)["IF-0825-3"] == 1


def test_a_refusal_of_what_nobody_sells_is_told() -> None:
    kit = of(replace(SEDAN, plan={"refusals": ["PG-101-131"]}))
    finding = finding_of(kit, "part-number")
    assert finding.verdict.name == "WARN"
    assert finding.text == "the plan refuses PG-101-131, which is in no price list"
    assert "did you mean PG-101-130" in finding.advice


# ---- the price of old -------------------------------------------------------------------------------------


def test_a_quote_of_twenty_days_ago_is_priced_again() -> None:
    money = read_policy(demo().knowledge.book.money)
    quoted, today = date(2026, 3, 2), date(2026, 3, 22)
    assert last_day(quoted, money) == date(2026, 3, 16)
    assert not is_open(quoted, today, money)
    kit = of_job("J1").kit
    listed = {(ln.supplier, ln.part): ListedPrice(ln.unit_price, ln.unit_cost, today) for ln in kit.lines}
    cam = line_of(kit, "HV-2052-1N")
    assert cam.unit_cost == Decimal("325.00")
    listed[cam.supplier, cam.part] = ListedPrice(Decimal("489.00"), Decimal("348.00"), today)
    new = reprice(kit, listed, money)
    assert new.totals is not None
    assert kit.totals is not None
    assert new.totals.parts_cost - kit.totals.parts_cost == Decimal("23.00")
    changed = compare(kit, new)
    assert [line.part for line in changed.lines] == ["HV-2052-1N"]
    assert changed.lines[0].difference == Decimal("30.00")


# ---- margin and markup ------------------------------------------------------------------------------------


def test_a_margin_is_not_a_markup() -> None:
    cost = Money.parse("1,500.00", "USD")
    assert str(margin_price(cost, Decimal(35))) == "$2,307.69"
    assert str(markup_price(cost, Decimal(35))) == "$2,025.00"
    both = earned(cost, markup_price(cost, Decimal(35)))
    assert (both.margin_percent, both.markup_percent) == (Decimal("25.9"), Decimal("35.0"))


def test_both_stand_in_the_totals_of_a_kit() -> None:
    """3,240.20 at a cost of 2,095.20: 1,145.00 is 35.3 % of the price and 54.6 % of the cost."""
    totals = of_job("J1").kit.totals
    assert totals is not None
    assert totals.margin_percent == pytest.approx(Decimal("35.3"), abs=Decimal("0.1"))
    assert totals.markup_percent == pytest.approx(Decimal("54.6"), abs=Decimal("0.1"))
