"""Levers of a sweep: each moves what it names and nothing else, and back again."""

from __future__ import annotations

import math

import pytest

from tappetry.services.breathing import describe
from tappetry.services.sweeping import LEVERS, Lever
from tests.kitting.support import demo

VALUES = {
    "advance": 6.0,
    "separation": 108.0,
    "intake-centreline": 104.0,
    "compression": 11.0,
    "runner-length": 250.0,
}


@pytest.mark.parametrize("lever", LEVERS.values(), ids=lambda each: each.name)
def test_a_lever_puts_what_it_reads(lever: Lever) -> None:
    engine = describe(demo(), "B51", "B2").engine
    moved = lever.put(engine, VALUES[lever.name])
    assert lever.read(moved) == pytest.approx(VALUES[lever.name])
    back = lever.put(moved, lever.read(engine))
    for other in LEVERS.values():
        assert other.read(back) == pytest.approx(other.read(engine))
    assert lever.low <= lever.read(engine) <= lever.high


def test_separation_and_advance_leave_each_other_alone() -> None:
    engine = describe(demo(), "B51", "B2").engine
    wider = LEVERS["separation"].put(engine, 118.0)
    assert LEVERS["advance"].read(wider) == pytest.approx(LEVERS["advance"].read(engine))
    earlier = LEVERS["advance"].put(engine, 8.0)
    assert LEVERS["separation"].read(earlier) == pytest.approx(LEVERS["separation"].read(engine))
    assert math.degrees(earlier.intake.nose - engine.intake.nose) < 0.0, "earlier"


def test_a_card_reads_as_it_is_written() -> None:
    card = demo().catalogue.tables["grind"]["B2"]
    engine = describe(demo(), "B51", "B2").engine
    assert LEVERS["separation"].read(engine) == pytest.approx(card["lsa_deg"])
    assert LEVERS["intake-centreline"].read(engine) == pytest.approx(card["icl_deg"])
    assert LEVERS["advance"].read(engine) == pytest.approx(card["lsa_deg"] - card["icl_deg"])


def test_a_longer_runner_leaves_the_port_as_it_is() -> None:
    runner = describe(demo(), "B51", "B2").engine.runner
    longer = LEVERS["runner-length"].put(describe(demo(), "B51", "B2").engine, 300.0).runner
    port = runner.positions[-1] - runner.positions[1]
    assert longer.positions[-1] - longer.positions[1] == pytest.approx(port)
    assert longer.pocket_to == pytest.approx(longer.positions[-1])
    assert longer.diameters == runner.diameters
