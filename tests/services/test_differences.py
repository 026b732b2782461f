"""Differences of two kits: the same read from either side, complete, and each change with its cause."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from itertools import combinations

import pytest

from tappetry.jobs.reader import read_job
from tappetry.services.causes import Cause
from tappetry.services.differences import Change, Difference, difference
from tappetry.services.sides import Side, packages, plans
from tappetry.services.what_if import what_if
from tests.kitting.support import demo
from tests.services.patching import added, entries

pytestmark = pytest.mark.slow

PLANS = {
    "J1": ("", "phaser=remove", "cam=B1", "cam=B1 deact=keep", "package=best rpm=6900", "cam=B4"),
    "J3": ("", "cam=B2", "heads=off", "use=track package=best", "refusals=QS-362.16"),
    "J5": ("", "package=least", "heads=off use=daily"),
}
PAIRS = [(job, *pair) for job, stated in PLANS.items() for pair in combinations(stated, 2)]


@cache
def side(job: str, changes: str) -> Side:
    shop = demo()
    stated = read_job(shop.jobs / f"{job}.yaml", shop.knowledge)
    words = changes.split(" ") if changes else []
    (found,) = plans(shop, [(changes or job, what_if(stated, words, shop.knowledge, "test"))])
    return found


def between(job: str, old: str, new: str) -> Difference:
    found = difference(demo().knowledge, side(job, old), side(job, new))
    assert found is not None, (side(job, old).refusal, side(job, new).refusal)
    return found


def change_for(found: Difference, need: str) -> Change:
    (change,) = (change for change in found.changes if need in change.needs)
    return change


# ---- both directions, and nothing left out ---------------------------------------------------------------


@pytest.mark.parametrize(("job", "old", "new"), PAIRS)
def test_the_way_back_is_the_same_difference_turned(job: str, old: str, new: str) -> None:
    there, back = between(job, old, new), between(job, new, old)
    assert back == there.turned()
    assert there.turned().turned() == there
    assert (back.total, back.hours, back.days) == (-there.total, -there.hours, -there.days)
    assert [change.money for change in back.changes] == [-change.money for change in there.changes]


@pytest.mark.parametrize(("job", "old", "new"), PAIRS)
def test_a_difference_added_to_the_old_kit_gives_the_new_one(job: str, old: str, new: str) -> None:
    found, before, after = between(job, old, new), side(job, old).kit, side(job, new).kit
    assert before is not None
    assert after is not None
    assert added(before, found) == entries(after)
    assert (found.totals.old, found.totals.new) == (before.totals, after.totals)


@pytest.mark.parametrize(("job", "old", "new"), PAIRS)
def test_the_changes_hold_every_line_once_and_explain_the_money(job: str, old: str, new: str) -> None:
    found = between(job, old, new)
    lines = [line for change in found.changes for line in change.lines]
    assert sorted(lines, key=lambda line: (line.supplier, line.part)) == sorted(
        found.bought, key=lambda line: (line.supplier, line.part)
    )
    before, after = found.totals.old, found.totals.new
    bought = after.parts + after.services - before.parts - before.services
    assert sum((change.money for change in found.changes), Decimal(0)) == bought
    rest = sum(getattr(after, name) - getattr(before, name) for name in ("labour", "supplies", "tax"))
    assert found.total == bought + rest


def test_a_kit_does_not_differ_from_itself() -> None:
    found = between("J3", "", "")
    assert (found.changes, found.lines, found.proofs, found.total, found.days) == ((), (), (), 0, 0)


def test_there_is_no_difference_to_a_plan_that_is_refused() -> None:
    refused = side("J3", "cam=B3")
    assert refused.refusal is not None
    assert difference(demo().knowledge, side("J3", ""), refused) is None


# ---- causes ----------------------------------------------------------------------------------------------


def test_what_the_plan_drops_hangs_on_the_plan() -> None:
    found = between("J1", "", "phaser=remove")
    removed = Cause("plan", "phaser", "", "keep-limited", "remove")
    for need in ("cam-gear", "cam-phaser", "phaser-limiter", "front-cover", "sensor-harness-adapter"):
        assert change_for(found, need).causes[0] == removed, need


def test_a_value_is_traced_to_what_moves_it() -> None:
    pump = change_for(between("J1", "", "phaser=remove"), "oil-pump")
    assert pump.causes == (Cause("value", "pump_volume_needed_percent", "", "112", "100"),)
    assert pump.origin == Cause("plan", "phaser", "", "keep-limited", "remove")
    pushrods = change_for(between("J3", "", "cam=B2"), "pushrods")
    assert {cause.kind for cause in pushrods.causes} == {"value"}
    assert (pushrods.origin.kind, pushrods.origin.name) == ("part", "camshaft")


def test_what_a_package_asks_for_hangs_on_the_package() -> None:
    shop = demo()
    job = read_job(shop.jobs / "J3.yaml", shop.knowledge)
    least, standard, best = packages(shop, job)
    up = difference(shop.knowledge, least, standard)
    assert up is not None
    assert change_for(up, "timing-chain").causes == (Cause("package", old="least"),)
    bolts = change_for(up, "cam-retainer-bolts")
    assert bolts.causes == (Cause("part", "cam_retainer_plate", "renewed", "no", "yes"),)
    further = difference(shop.knowledge, standard, best)
    assert further is not None
    assert change_for(further, "spark-plugs").causes[0] == Cause("package", new="best")


def test_what_the_plan_asks_of_a_part_is_the_cause() -> None:
    refused = between("J3", "", "refusals=QS-362.16")
    assert change_for(refused, "valve-springs").causes[0] == Cause("plan", "refusals", new="QS-362.16")
    pinned = between("J3", "", "pins=LX-3215")
    assert change_for(pinned, "timing-chain").causes == (Cause("plan", "pins", new="LX-3215"),)
    assert change_for(pinned.turned(), "timing-chain").causes == (Cause("plan", "pins", old="LX-3215"),)


def test_what_nothing_speaks_for_is_a_matter_of_price() -> None:
    best = between("J3", "", "package=best")
    assert change_for(best, "valve-springs").causes == (Cause("price"),)


def test_a_cause_is_there_only_while_what_it_names_differs() -> None:
    """Take the choice back that brought a change about, and neither change nor cause is left."""
    both, phaser_alone = between("J1", "", "phaser=remove cam=B1"), between("J1", "", "cam=B1")
    named = {cause for change in both.changes for cause in change.causes}
    assert Cause("plan", "phaser", "", "keep-limited", "remove") in named
    assert not {cause for change in phaser_alone.changes for cause in change.causes if cause.name == "phaser"}
    assert "front-cover" in {need for change in both.changes for need in change.needs}
    assert "front-cover" not in {need for change in phaser_alone.changes for need in change.needs}
