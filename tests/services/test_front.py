"""What each day costs: every point is the best for its day, none is beaten, and all of it is told."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tappetry.jobs.reader import read_job
from tappetry.kitting.resolve import Resolution, resolve
from tappetry.records.job import Job
from tappetry.records.part import Part
from tappetry.records.plan import OwnPart
from tappetry.records.problems import Refusal
from tappetry.services.differences import latest_arrival
from tappetry.services.front import Front, front, rank, undominated, walk_down
from tappetry.services.kits import kit_for_job
from tappetry.services.shop import Shop
from tests.kitting.brute_force import Best, TooLarge, best
from tests.kitting.small_shops import SmallShop, small_shop
from tests.kitting.support import demo

pytestmark = pytest.mark.slow

NUMBERS = st.integers(0, 2**32)
#: Latest arrival, landed cost, and what is bought.
Told = tuple[int, Decimal, dict[tuple[str, str], int]]


# ---- small shops, against brute force --------------------------------------------------------------------


def solved(shop: SmallShop, days: int | None) -> Resolution | None:
    """The best that the program finds within so many working days."""
    try:
        return resolve(replace(shop, days=days).request(), {})
    except Refusal:
        return None


def found(shop: SmallShop) -> list[Told]:
    """The front that the program finds."""
    points = walk_down(lambda days: solved(shop, days), lambda each: latest_arrival(each.kit))
    return [
        (
            latest_arrival(each.kit),
            each.kit.landed_cost,
            {(line.supplier, line.part): line.quantity for line in each.kit.lines},
        )
        for each in undominated(points, rank)
    ]


def bests(shop: SmallShop) -> dict[int, Best]:
    """The best for every day on which some part arrives, by the day on which all of it is here."""
    leads = {(part.supplier, part.number): part.lead_days for part in shop.parts}
    found = {}
    for days in sorted({0, *leads.values()}):
        at = best(replace(shop, days=days))
        if at is not None:
            found.setdefault(max((leads[identity] for identity in at.units), default=0), at)
    return found


def expected(shop: SmallShop) -> list[Told]:
    """Of the bests those that no earlier one does as well, by preferences and landed cost."""
    preferences = sum(len(need.prefer) for need in shop.needs)
    kept: list[tuple[tuple[object, ...], Told]] = []
    for latest, at in sorted(bests(shop).items()):
        order = (at.rank[:preferences], at.landed_cents)
        if not kept or order < kept[-1][0]:
            kept.append((order, (latest, Decimal(at.landed_cents) / 100, dict(at.units))))
    return [told for _, told in reversed(kept)]


@settings(max_examples=150)
@given(number=NUMBERS)
def test_every_point_is_the_best_for_its_day_and_none_is_beaten(number: int) -> None:
    shop = small_shop(number)
    try:
        wanted = expected(shop)
    except TooLarge:
        assume(False)
    assert found(shop) == wanted, repr(shop)


def test_the_small_shops_have_fronts_worth_the_name() -> None:
    lengths = [len(found(small_shop(number))) for number in range(80)]
    assert lengths.count(0) < 40
    assert lengths.count(2) >= 5
    assert max(lengths) >= 3


@settings(max_examples=100)
@given(number=NUMBERS)
def test_a_shorter_time_never_makes_a_kit_better(number: int) -> None:
    """Neither by the house's preferences nor by landed cost; and what cannot come is not done without."""
    shop = small_shop(number)
    ranks = [rank(each) for days in (None, 10, 3, 0) if (each := solved(shop, days)) is not None]
    assert ranks == sorted(ranks)
    solvable = [solved(shop, days) is not None for days in (None, 10, 3, 0)]
    assert solvable == sorted(solvable, reverse=True)


# ---- a job of the invented shop ----------------------------------------------------------------------------

#: What a same-day house charges more for what another one has in a week: net, and to the customer.
MORE_COST, MORE = Decimal("6.00"), Decimal("8.00")
SLOW, HASTY = "LOX", "WDW"


def job() -> Job:
    return read_job(demo().jobs / "J3.yaml", demo().knowledge)


@cache
def hasty() -> Shop:
    """The invented shop with a calibration that comes next day, and a second house for a slow one's parts."""
    shop = demo()
    parts: list[Part] = []
    for part in shop.catalogue.parts:
        parts.append(replace(part, lead_days=1) if part.pieces_for("calibration") else part)
        if part.supplier == SLOW:
            same = replace(part, supplier=HASTY, number=f"{HASTY}-{part.number}", lead_days=0)
            parts.append(replace(same, cost=part.cost + MORE_COST, price=part.price + MORE))
    made = Shop(shop.folder)
    vars(made).update(knowledge=shop.knowledge, catalogue=replace(shop.catalogue, parts=tuple(parts)))
    return made


@cache
def days() -> Front:
    return front(hasty(), job())


def test_a_shorter_time_is_bought_part_by_part() -> None:
    first, second = days().points
    assert (first.days, first.day, first.step) == (5, date(2026, 3, 9), None)
    assert (second.days, second.day) == (3, date(2026, 3, 5))
    assert second.step is not None
    moved = {line.part for line in first.kit.lines if line.supplier == SLOW}
    assert moved
    assert {line.part for line in second.step.bought} == moved | {f"{HASTY}-{part}" for part in moved}
    assert [change.money for change in second.step.changes] == [MORE] * len(moved)
    assert {change.causes[0].kind for change in second.step.changes} == {"day"}
    assert second.step.total == len(moved) * MORE * Decimal("1.0725")
    assert second.step.days == -2


def test_the_first_point_is_the_kit_without_a_day_and_every_point_is_proved() -> None:
    assert days().points[0].kit == kit_for_job(hasty(), job()).kit
    assert all(point.kit.proved_optimal for point in days().points)


def test_the_day_that_the_plan_asks_for_does_not_move_the_front() -> None:
    asked = replace(job(), plan=replace(job().plan, need_by=date(2026, 3, 6)))
    assert [point.kit for point in front(hasty(), asked).points] == [point.kit for point in days().points]


def test_the_front_ends_with_what_cannot_come_earlier() -> None:
    refusal = days().no_earlier
    assert refusal is not None
    assert any("3 working days" in text for text in (refusal.arithmetic, *(g.text for g in refusal.grounds)))


def test_what_comes_too_late_is_not_done_without() -> None:
    """No earlier kit leaves the chain in the engine because no new one comes in time."""
    found = front(demo(), job())
    assert [(point.days, point.kit.totals) for point in found.points] == [
        (10, kit_for_job(demo(), job()).kit.totals)
    ]
    brought = replace(job(), plan=replace(job().plan, own_parts=(OwnPart("calibration", "own file"),)))
    (point,) = front(demo(), brought).points
    assert point.days == 5
    assert "timing-chain" in {filled.need for line in point.kit.lines for filled in line.needs}


def test_a_preference_that_is_given_up_for_a_day_is_named() -> None:
    shop = hasty()
    heavy = replace(job(), plan=replace(job().plan, cam="B2"))
    gone = [part for part in shop.catalogue.parts if part.number != f"{HASTY}-LX-3215"]
    made = Shop(shop.folder)
    vars(made).update(knowledge=shop.knowledge, catalogue=replace(shop.catalogue, parts=tuple(gone)))
    found = front(made, heavy)
    assert found.points[0].gives_up == ()
    assert found.points[1].gives_up == ("open load over 320 lb or lift over 0.550 in",)
    assert found.points[1].kit.landed_cost < found.points[0].kit.landed_cost + 4 * MORE_COST
