"""A part that the plan pins: it stands in its place, and the house has nothing to prefer there any more."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tappetry.jobs.reader import read_job
from tappetry.kitting.resolve import attempt
from tappetry.records.kit import Kit
from tappetry.services.kits import identify_job, kit_for_job, request_of
from tests.kitting.support import Ask, bought, demo


def kit(name: str, *pins: str) -> Kit:
    job = read_job(demo().jobs / f"{name}.yaml", demo().knowledge)
    return kit_for_job(demo(), replace(job, plan=replace(job.plan, pins=pins))).kit


def test_a_pinned_part_changes_no_more_than_it_must() -> None:
    """Else other springs come in, only to raise the load to where the house wants that very chain."""
    before, after = bought(kit("J3")), bought(kit("J3", "LX-3215"))
    assert before.keys() - after.keys() == {"LX-3205"}
    assert after.keys() - before.keys() == {"LX-3215"}


def test_the_house_may_still_choose_where_a_box_is_pinned_that_has_two_places() -> None:
    after = bought(kit("J1", "IF-12SB-E"))
    assert after["IF-12SB-E"] == 1
    assert after["LX-3215"] == 1


def test_a_part_made_to_a_measure_that_nobody_can_reckon_says_so() -> None:
    """No hydraulic lifter, so no cup from which the length could be reckoned."""
    ask = Ask("OS-E", "O1", plan={"pins": ["BT-9CUST"]})
    line = next(line for line in ask.kit().kit.lines if line.part == "BT-9CUST")
    assert line.description.endswith(": made to measure, which is not known yet")
    assert line.holds


@pytest.mark.parametrize("pins", [("QS-110.16", "QS-362.16"), ("PG-98-130",), ("MO-8817340",)])
def test_a_part_without_a_place_is_told_at_once(pins: tuple[str, ...]) -> None:
    job = read_job(demo().jobs / "J1.yaml", demo().knowledge)
    asked = request_of(demo(), job, identify_job(demo(), job))
    problem, solution, _ = attempt(replace(asked, plan=replace(asked.plan, pins=pins)))
    assert solution is None
    places = {p.number for state in problem.slots.values() for option in state.options for p in option.parts}
    assert not set(pins) <= places
