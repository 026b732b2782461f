"""Drag lists: what a choice drags along is what two kits, each worked out on its own, differ in."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
import yaml

from tappetry.jobs.reader import read_job
from tappetry.records.problems import BadInput, Ground, Refusal
from tappetry.services.differences import difference
from tappetry.services.drag import DragLists, drag_lists
from tappetry.services.kits import kit_for_file
from tappetry.services.sides import Side
from tests.effort import some
from tests.kitting.support import Ask, demo
from tests.services.patching import added, entries

JOBS = ("J1", "J3", "J5")


@cache
def lists(job: str) -> DragLists:
    shop = demo()
    return drag_lists(shop, read_job(shop.jobs / f"{job}.yaml", shop.knowledge))


def on_its_own(job: str, folder: Path, **plan: str) -> Side:
    """The kit of a job whose file says something else, worked out from that file alone."""
    shop = demo()
    stated = yaml.safe_load((shop.jobs / f"{job}.yaml").read_text(encoding="utf-8"))
    stated["plan"].update(plan)
    file = folder / "other.yaml"
    file.write_text(yaml.safe_dump(stated), encoding="utf-8")
    read = read_job(file, shop.knowledge)
    try:
        return Side("", "", read, kit_for_file(shop, file))
    except Refusal as refusal:
        return Side("", "", read, None, refusal)


def grounds(refused: Side) -> list[Ground]:
    """Why a plan is refused."""
    return [] if refused.refusal is None else refused.refusal.grounds


@pytest.mark.slow
@pytest.mark.parametrize("job", JOBS)
def test_every_drag_list_is_the_difference_of_two_kits_solved_apart(job: str, tmp_path: Path) -> None:
    present = on_its_own(job, tmp_path)
    assert lists(job).present.kit == present.kit
    assert lists(job).drags
    for drag in lists(job).drags:
        other = on_its_own(job, tmp_path, **{drag.field: drag.other})
        assert drag.dragged.side.kit == other.kit, (drag.field, drag.other)
        assert grounds(drag.dragged.side) == grounds(other)
        expected = difference(demo().knowledge, present, other)
        assert (drag.dragged.there is None) == (expected is None)
        if drag.dragged.there is not None and expected is not None:
            assert (drag.dragged.there.changes, drag.dragged.there.lines, drag.dragged.there.proofs) == (
                expected.changes,
                expected.lines,
                expected.proofs,
            )


@pytest.mark.slow
@pytest.mark.parametrize("job", JOBS)
def test_a_drag_list_added_to_the_old_kit_gives_the_new_kit_and_back(job: str) -> None:
    present = lists(job).present.kit
    assert present is not None
    tried = 0
    for drag in lists(job).drags:
        if drag.dragged.there is not None and drag.dragged.back is not None:
            other = drag.dragged.side.kit
            assert other is not None
            assert added(present, drag.dragged.there) == entries(other)
            assert added(other, drag.dragged.back) == entries(present)
            assert drag.dragged.there.totals.new == other.totals
            tried += 1
    assert tried >= len(lists(job).drags) // 2


@pytest.mark.slow
@pytest.mark.parametrize("job", JOBS)
def test_a_choice_that_is_refused_says_why(job: str) -> None:
    refused = [drag for drag in lists(job).drags if drag.dragged.side.kit is None]
    assert refused
    for drag in refused:
        assert drag.dragged.there is drag.dragged.back is None
        assert drag.dragged.side.refusal is not None
        assert drag.dragged.side.refusal.grounds


@pytest.mark.slow
@pytest.mark.parametrize("job", JOBS)
def test_a_further_choice_is_dragged_along_only_where_one_is_needed_and_enough(
    job: str, tmp_path: Path
) -> None:
    offered = {(drag.field, drag.other) for drag in lists(job).drags}
    refused = [drag for drag in lists(job).drags if drag.dragged.side.kit is None]
    assert all(drag.along is None for drag in lists(job).drags if drag not in refused)
    for drag in some(refused, 2):
        enough = {
            each: kit
            for each in offered
            if each[0] != drag.field
            and (kit := on_its_own(job, tmp_path, **dict([each, (drag.field, drag.other)])).kit) is not None
        }
        if drag.along is None:
            assert enough == {}
        else:
            assert drag.along.dragged.side.kit == enough[drag.along.field, drag.along.other]


def test_keeping_the_deactivation_drags_a_camshaft_along() -> None:
    shop = demo()
    (drag,) = drag_lists(shop, read_job(shop.jobs / "J1.yaml", shop.knowledge), "deact=keep").drags
    assert drag.dragged.side.kit is None
    assert drag.along is not None
    assert (drag.along.field, drag.along.now, drag.along.other) == ("cam", "B2", "B1")
    there, back = drag.along.dragged.there, drag.along.dragged.back
    assert there is not None
    assert back == there.turned()
    assert (there.totals.old.total, there.totals.new.total) == (Decimal("8439.31"), Decimal("8282.67"))


def needs(job: str, only: str) -> dict[str, tuple[set[str], set[str]]]:
    """The needs that a choice changes: by what is bought for each before, and then."""
    shop = demo()
    (drag,) = drag_lists(shop, read_job(shop.jobs / f"{job}.yaml", shop.knowledge), only).drags
    assert drag.dragged.there is not None
    return {
        need: (
            {line.part for line in change.lines if line.old},
            {line.part for line in change.lines if line.new},
        )
        for change in drag.dragged.there.changes
        for need in change.needs
    }


def test_removing_the_phaser_drags_along_what_the_trade_knows() -> None:
    """Common practice: gear, bolts, cover, sensor, bracket and lead come; phaser, bolt and seal go."""
    found = needs("J1", "phaser=remove")
    came = {need for need, (before, then) in found.items() if then and not before}
    gone = {need for need, (before, then) in found.items() if before and not then}
    assert came == {
        "cam-gear", "cam-gear-bolts", "front-cover",
        "cam-sensor", "cam-sensor-bracket", "sensor-harness-adapter",
    }  # fmt: skip
    assert gone == {"cam-phaser", "phaser-limiter", "phaser-bolt-valve", "phaser-solenoid-oring"}
    assert found["camshaft"] == ({"HV-2052-1N"}, {"HV-2052-3N"})
    assert found["cam-gear-bolts"] == (set(), {"IF-0825-3"})


@pytest.mark.slow
def test_removing_the_deactivation_drags_along_what_the_trade_knows() -> None:
    """Common practice: lifters, guides, cover, gasket, harness blank, bypass plug; camshaft and pump."""
    job = Ask("A06", "B1", "keep-limited", "keep", facts={"pan-bypass-thread": "M20x1.5"}).job()
    (drag,) = drag_lists(demo(), job, "deact").drags
    assert drag.dragged.there is not None
    changed = {need for change in drag.dragged.there.changes for need in change.needs}
    assert {
        "camshaft", "lifters-standard", "lifters-deact", "lifter-guides", "valley-cover-plain",
        "valley-cover-deact", "valley-cover-gasket", "pan-bypass-plug", "deact-harness-plug", "oil-pump",
    } <= changed  # fmt: skip


@pytest.mark.slow
def test_a_plan_that_is_refused_is_told_which_choices_give_a_kit() -> None:
    shop = demo()
    job = read_job(shop.jobs / "J1.yaml", shop.knowledge)
    from tappetry.services.what_if import what_if

    found = drag_lists(shop, what_if(job, ["phaser=keep-full"], shop.knowledge, "test"), "phaser")
    assert found.present.refusal is not None
    assert {drag.other: drag.dragged.side.kit is not None for drag in found.drags} == {
        "keep-limited": True,
        "remove": True,
    }
    assert all(drag.dragged.there is None for drag in found.drags)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("phasr", "there is no such other choice; did you mean phaser? (read: phasr)"),
        ("heads=up", "there is no such other choice; did you mean heads? (read: heads=up)"),
        ("colour", "there is no such other choice (read: colour); expected one of cam, cam=B1"),
    ],
)
def test_a_choice_that_is_not_there_is_told(asked: str, said: str) -> None:
    shop = demo()
    job = read_job(shop.jobs / "J1.yaml", shop.knowledge)
    with pytest.raises(BadInput) as told:
        drag_lists(shop, job, asked)
    assert said in str(told.value)
