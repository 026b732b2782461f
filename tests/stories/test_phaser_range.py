"""The range of the phaser: clearance at home, at the limiter, at full retard, and who must know of it."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from tappetry.kitting.resolve import attempt
from tappetry.presentation.order_list import order_data
from tappetry.presentation.papers import orders_of
from tests.kitting.support import Ask, bought, demo
from tests.stories.telling import (
    checked,
    grounds,
    job_of,
    of,
    of_job,
    proof_of,
    refusal,
    requested,
    told,
)

pytestmark = pytest.mark.slow

PHASED = Ask("A06", "B2", "keep-limited", "remove")


def test_the_full_range_is_refused_and_the_limiter_proposed() -> None:
    refused = refusal(replace(PHASED, phaser="keep-full"))
    assert "a valve that touches the piston ends the engine" in grounds(refused)
    assert any(way.startswith("keep the phaser limited") for way in map(str, refused.ways_out))


def test_the_limiter_leaves_the_exhaust_its_clearance() -> None:
    kit = of(PHASED)
    assert bought(kit)["LX-3170"] == 1
    assert proof_of(kit, "pv-exhaust").value == pytest.approx(0.143, abs=0.0005)
    assert proof_of(kit, "phaser-range-pv").value == pytest.approx(20.5), (
        "20.99 deg, floored to half a degree"
    )
    assert proof_of(kit, "phaser-range-pv").limit == pytest.approx(14)


@pytest.mark.parametrize(("retard", "clearance"), [(0, 0.220), (14, 0.143), (30, 0.043)])
def test_the_exhaust_clearance_over_the_range(retard: int, clearance: float) -> None:
    """At home, at the limiter and at full retard, to half of the last printed digit."""
    problem, solution, _ = attempt(requested(PHASED))
    assert solution is not None
    views = problem.views(solution.chosen)
    limited = {**views, "phaser_limiter": {**views["phaser_limiter"], "degrees_left": float(retard)}}
    assert problem.values.named("pv_exhaust_in", limited) == pytest.approx(clearance, abs=0.0005)
    if retard == 0:
        assert problem.values.named("safe_retard_exact_deg", limited) == pytest.approx(20.99, abs=0.005)


def test_the_calibrator_is_told_the_number_of_the_limiter() -> None:
    worked = of_job("J1")
    note = next(note for note in worked.kit.notes if note.id == "phaser-limit")
    assert note.to == "calibrator"
    assert dict(note.values)["phaser_limiter.degrees_left"] == 14
    assert note.text.startswith("limit the phaser to 14 deg from home")
    orders = orders_of(demo(), worked, worked.job.date)
    outside = next(o for o in orders if o.supplier.code == "OUT")
    assert note.text in [each["text"] for each in order_data(outside)["notes"]]
    others = [o for o in orders if o.supplier.code != "OUT"]
    assert not any(json.dumps(order_data(o)["notes"]) != "[]" for o in others), "only the calibrator's order"


@pytest.mark.parametrize(
    ("ask", "note", "words"),
    [
        (Ask("A06", "B1", "keep-limited", "keep"), "phaser-limit", "limit the phaser to 14 deg"),
        (Ask("A09", "B3", "remove", "remove"), "phaser-off", "the phaser is gone"),
        (Ask("A09", "B3", "remove", "remove"), "deactivation-off", "take it out before the first start"),
    ],
    ids=["limited", "removed", "deactivation removed"],
)
def test_every_plan_has_its_own_note(ask: Ask, note: str, words: str) -> None:
    assert words in told(of(ask), "calibrator")[note]


def test_without_the_limiter_there_is_no_kit() -> None:
    assert "LX-3170" in grounds(refusal(replace(PHASED, plan={"refusals": ["LX-3170"]})))
    kit = of_job("J1").kit
    bare = replace(kit, lines=tuple(line for line in kit.lines if line.part != "LX-3170"))
    complaints = checked(bare, job_of("J1"))
    assert any(complaint.startswith("need-complete: phaser-limiter") for complaint in complaints)
