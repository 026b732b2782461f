"""Why not another part, on the invented shop: what is said is what comes of trying it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tappetry.jobs.reader import read_job
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.plan import OwnPart
from tappetry.records.problems import Refusal
from tappetry.records.why_not import RunnerUp, WhyNot
from tappetry.services.kits import KitResult, kit_for_job
from tappetry.services.shop import Shop, make_demo_shop
from tappetry.services.why import MOST_SHOWN, why_not
from tests.kitting.support import Ask, demo

pytestmark = pytest.mark.slow

JOBS = ("J1", "J3", "J5")


def job(name: str, shop: Shop | None = None) -> Job:
    made = shop or demo()
    return read_job(made.jobs / f"{name}.yaml", made.knowledge)


@cache
def result(name: str) -> KitResult:
    return kit_for_job(demo(), job(name))


@cache
def whole(name: str) -> tuple[WhyNot, ...]:
    """Every place of a job's kit."""
    return why_not(demo(), result(name))


def planned(name: str, shop: Shop | None = None, **plan: Any) -> KitResult:
    """The kit of a job with another plan."""
    stated = job(name, shop)
    return kit_for_job(shop or demo(), replace(stated, plan=replace(stated.plan, **plan)))


def found(places: tuple[WhyNot, ...], part: str) -> RunnerUp | None:
    """A runner-up by its number, wherever it stands."""
    every = (each for place in places for each in place.runners_up)
    return next((each for each in every if part in {each.part, *each.alike}), None)


def of(kit: KitResult, need: str, part: str, shop: Shop | None = None) -> RunnerUp:
    each = found(why_not(shop or demo(), kit, [need]), part)
    assert each is not None, part
    return each


# ---- what is said is what comes of trying it -----------------------------------------------------------


@pytest.mark.parametrize("name", JOBS)
def test_every_difference_is_that_of_two_kits(name: str) -> None:
    """The other kit is asked for by a pin in the job, and passes the independent checker."""
    kit = result(name).kit
    tried = [each for place in whole(name) for each in place.runners_up if each.cost is not None]
    assert len(tried) > 3
    for each in tried:
        assert each.cost is not None
        other = planned(name, pins=(each.part,)).kit
        assert other.totals is not None
        assert kit.totals is not None
        assert each.cost.total == other.totals.total - kit.totals.total, each.part
        assert each.cost.landed == other.landed_cost - kit.landed_cost, each.part
        assert each.cost.hours == other.totals.hours - kit.totals.hours, each.part
        assert each.cost.days == latest(other) - latest(kit), each.part
        assert {m.part for m in each.cost.moved} <= units(kit).keys() ^ units(other).keys() | {
            part for part in units(kit).keys() & units(other).keys() if units(kit)[part] != units(other)[part]
        }, each.part
        assert units(other)[each.part] > 0


@pytest.mark.parametrize("name", JOBS)
def test_what_breaks_is_refused_when_it_is_asked_for(name: str) -> None:
    broken = [each for place in whole(name) for each in place.runners_up if each.cost is None]
    assert len(broken) > 2
    for each in broken:
        assert each.grounds, each.part
        assert each.because, each.part
        with pytest.raises(Refusal):
            planned(name, pins=(each.part,))


def units(kit: Kit) -> Mapping[str, int]:
    return {line.part: line.quantity for line in kit.lines}


def latest(kit: Kit) -> int:
    return max(line.lead_days for line in kit.lines)


@pytest.mark.parametrize("name", JOBS)
def test_every_line_and_all_that_stays_is_answered(name: str) -> None:
    kit = result(name).kit
    asked = {(place.need, place.slot) for place in whole(name)}
    assert {(f.need, f.slot) for line in kit.lines for f in line.needs} <= asked
    assert {(kept.need, kept.slot) for kept in kit.kept} <= asked
    for place in whole(name):
        assert place.chosen
        assert len(place.runners_up) <= MOST_SHOWN
        assert not {each.part for each in place.runners_up} & set(place.parts)


@pytest.mark.parametrize("name", JOBS)
def test_the_order_is_what_is_asked_for_then_cheaper_then_dearer(name: str) -> None:
    for place in whole(name):
        unasked = [each.alone for each in place.runners_up if not each.asked]
        cheaper = [alone for alone in unasked if alone < 0]
        assert unasked[: len(cheaper)] == sorted(cheaper, reverse=True)


# ---- a reason goes with its cause ----------------------------------------------------------------------


def test_the_three_bolt_cam_is_broken_only_while_the_phaser_stays() -> None:
    each = of(result("J1"), "camshaft", "HV-2052-3N")
    assert each.cost is None
    assert each.because == ("a kept phaser sits on the nose it was made for",)
    assert each.decided == (("phaser", "keep-limited"),)
    without = planned("J1", phaser="remove")
    bought = {line.part for line in without.kit.lines}
    places = why_not(demo(), without, ["camshaft"])
    other = found(places, "HV-2052-3N")
    assert "HV-2052-3N" in bought or (other is not None and other.cost is not None)


def test_another_limit_in_the_shop_book_takes_the_reason_away(tmp_path: Path) -> None:
    each = of(result("J1"), "head-gaskets", "PG-98-130")
    assert each.cost is None
    assert each.because == ("an overhanging fire ring glows and burns through",)
    limit = ("gasket_over_bore_min_mm: 1.0", "gasket_over_bore_min_mm: -1.0")
    shop = changed(tmp_path, "shop.yaml", limit)
    kit = kit_for_job(shop, job("J1", shop))
    other = found(why_not(shop, kit, ["head-gaskets"]), "PG-98-130")
    assert "PG-98-130" in {line.part for line in kit.kit.lines} or (
        other is not None and other.cost is not None
    )


def test_a_reason_that_is_gone_may_uncover_the_next(tmp_path: Path) -> None:
    each = of(result("J5"), "valve-locks", "QS-K85.32")
    assert each.because == ("a crushed seal burns oil and falls into the guide",)
    limits = [
        (f"retainer_to_seal_{name}_in: 0.0{old}0", f"retainer_to_seal_{name}_in: 0.010")
        for name, old in (("min", 6), ("floor", 5))
    ]
    shop = changed(tmp_path, "shop.yaml", *limits)
    other = of(kit_for_job(shop, job("J5", shop)), "valve-locks", "QS-K85.32", shop)
    assert other.because == ("a solid spring breaks rocker, pushrod or cam",)


def test_a_preference_that_is_dropped_is_named_no_more(tmp_path: Path) -> None:
    each = of(result("J1"), "timing-chain", "LX-3205")
    assert each.cost is not None
    assert each.cost.total < 0
    assert each.behind is not None
    assert (each.behind.kind, each.behind.id) == ("preference", "chain-heavy")
    when = 'when: "has(timing_chain.pin) && (open_load_lb > 320 || lift_in > 0.550)"'
    shop = changed(tmp_path, "needs/1-cam-and-drive.yaml", (when, "when: false"))
    assert "LX-3205" in {line.part for line in kit_for_job(shop, job("J1", shop)).kit.lines}


def changed(folder: Path, file: str, *changes: tuple[str, str]) -> Shop:
    """A copy of the invented shop with some text changed."""
    shop = make_demo_shop(folder / "shop")
    text = (shop.folder / file).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    (shop.folder / file).write_text(text, encoding="utf-8")
    return Shop(shop.folder)


def test_a_cheaper_kit_by_a_plan_is_told_with_the_plan() -> None:
    """The customer pinned the dual springs: without that the house would take the beehives."""
    pinned = planned("J1", pins=("QS-468.16",))
    each = of(pinned, "valve-springs", "QS-362.16")
    assert each.cost is not None
    assert each.behind is not None
    assert (each.behind.kind, each.behind.text) == ("plan", "the plan pins QS-468.16")
    plain, kit = result("J1").kit.totals, pinned.kit.totals
    assert plain is not None
    assert kit is not None
    assert each.cost.total == plain.total - kit.total < 0


def test_a_part_that_is_refused_is_told_with_the_refusal() -> None:
    each = of(planned("J1", refused_parts=("PG-101-130",)), "head-gaskets", "PG-101-130")
    assert each.behind is not None
    assert (each.behind.kind, each.behind.text) == ("plan", "the plan refuses PG-101-130")
    assert each.cost is not None
    assert each.cost.landed == Decimal("-11.50")


def test_what_is_declined_is_told_with_what_it_would_cost() -> None:
    declined = planned("J1", declined={"rocker-bearing-kit": "the rockers are new"})
    each = of(declined, "rocker-bearing-kit", "BT-6150-16")
    assert each.behind is not None
    assert each.behind.text == "the customer declines rocker bearing kit: the rockers are new"
    assert each.cost is not None
    assert each.cost.total > 149


def test_an_own_part_is_let_go_for_a_new_one() -> None:
    own = OwnPart("crank-bolt", "a new crank bolt", {"single_use": True}, source="customer")
    each = of(planned("J1", own_parts=(own,)), "crank-bolt", "IF-1620")
    assert each.behind is not None
    assert (each.behind.kind, each.behind.text) == ("plan", "the customer brings a new crank bolt")
    assert each.cost is not None
    assert each.cost.total == Decimal("20.37"), "19.00 and the tax on it, which is rounded once on all parts"


def test_a_budget_stops_what_costs_more_than_it() -> None:
    total = result("J1").kit.totals
    assert total is not None
    within = planned("J1", budget=total.total + 10)
    each = of(within, "crank-bolt", "IF-1620R")
    assert each.cost is None
    assert [ground.owner for ground in each.grounds] == ["customer"]
    assert each.arithmetic == "8476.85 - 8449.31 = 27.54 over the budget"


def test_a_gate_stops_what_the_rules_allow(tmp_path: Path) -> None:
    gate = (
        "- {id: chain-gate, that: \"timing_chain.pin != 'standard'\", severity: STOP, "
        "why: no such chain, source: shop}"
    )
    shop = changed(tmp_path, "rules.yaml", ("gates:\n", f"gates:\n  {gate}\n"))
    each = of(kit_for_job(shop, job("J1", shop)), "timing-chain", "LX-3205", shop)
    assert each.cost is None
    assert each.because == ("no such chain",)


# ---- what is not bought --------------------------------------------------------------------------------


def test_what_stays_says_why_and_what_new_would_cost() -> None:
    place = next(place for place in whole("J1") if place.need == "knock-sensors")
    assert place.state == "reuse"
    assert place.parts == ()
    (each,) = place.runners_up
    assert each.behind is not None
    assert (each.behind.kind, each.behind.text) == ("stays", "below 160,000 km")
    assert each.cost is not None
    assert each.cost.total == Decimal("94.38"), "two of 44.00 with 7.25 % tax"


def test_an_offer_that_the_kit_leaves_out_is_answered() -> None:
    place = next(place for place in whole("J1") if place.need == "head-studs")
    assert place.state == "none"
    (each,) = place.runners_up
    assert each.part == "IF-12SB-E"
    assert each.cost is not None
    assert [(moved.part, moved.new_quantity) for moved in each.cost.moved] == [("IF-12HB-E", 0)]


def test_a_need_that_is_not_there_has_no_runners_up() -> None:
    (place,) = why_not(demo(), result("J1"), ["cam-gear"])
    assert place.state == "none"
    assert place.runners_up == ()
    assert any("plan.phaser = keep-limited" in because.facts for because in place.why)


def test_an_open_need_waits_for_its_fact() -> None:
    ask = Ask(
        "A06",
        "B2",
        "keep-limited",
        "remove",
        facts={"four-wheel-drive": {"value": None}, "mileage": {"value": None}},
    )
    kit = ask.kit()
    waiting = next(kept.need for kept in kit.kit.kept if kept.state == "open")
    (place, *_) = why_not(demo(), kit, [waiting])
    assert place.state == "open"
    assert place.runners_up == ()


# ---- grouping ------------------------------------------------------------------------------------------


def test_parts_that_fall_to_one_rule_are_told_as_one() -> None:
    each = of(result("J1"), "camshaft", "HV-2041-1D")
    assert each.alike == ("HV-2041-1N", "HV-2041-3N")
    assert each.because == ("the core carries the grind that was chosen",)


def test_another_pack_of_the_same_part_says_so() -> None:
    each = of(result("J1"), "head-bolts-main", "IF-12HB")
    assert each.same
    assert each.behind is not None
    assert each.behind.kind == "cost"
    assert each.cost is not None
    assert each.cost.landed == Decimal("6.00"), "two sets at 36.00 against one at 66.00"


def test_a_box_is_told_once_in_the_whole_kit() -> None:
    told = [place.need for place in whole("J1") for each in place.runners_up if each.part == "IF-12SB-E"]
    assert told == ["head-studs"]


def test_what_a_part_drags_along_is_named() -> None:
    each = of(result("J1"), "valve-springs", "QS-468.16")
    assert each.cost is not None
    moved = {m.part: (m.old_quantity, m.new_quantity) for m in each.cost.moved}
    assert moved["QS-R41.16"] == (0, 1)
    assert moved["QS-R10.16"] == (1, 0)
    assert "spring does not surge" in each.cost.worse
