"""A refusal names ways out: each is a change of the job file with which the job comes to the kit it says."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

import pytest

from tappetry.records.problems import Refusal, WayOut
from tests.kitting.support import Ask

pytestmark = pytest.mark.slow

PLAIN = Ask("A03", "B1")
PHASED = Ask("A06", "B2", "keep-limited", "remove")
BOOSTED = Ask(
    "A08", "B4", "remove", facts={"boost": {"value": "10 psi", "grade": "measured", "source": "gauge"}}
)
THIN = {"need": "head-gaskets", "description": "thin gaskets", "pieces": 2, "attributes": {"bore_mm": 95}}
OLD = {"need": "camshaft", "description": "old cam", "used": True}


@dataclass(frozen=True)
class Case:
    """A job that is broken in one way, grounds that are told, and the ways out, in their order."""

    ask: Ask
    grounds: tuple[str, ...]
    ways: tuple[str, ...]
    plan: dict[str, Any] = field(default_factory=dict)

    def refused(self) -> Refusal:
        with pytest.raises(Refusal) as refused:
            replace(self.ask, plan=self.plan).kit()
        return refused.value


CASES = {
    "pins that clash": Case(
        PLAIN,
        ("the plan pins PG-101-130", "the plan pins PG-98-130"),
        ("release the pinned part PG-98-130",),
        {"pins": ["PG-98-130", "PG-101-130"]},
    ),
    "a cam pinned that is not the plan's": Case(
        PLAIN,
        ("the plan pins HV-2052-1N", "the plan says cam B1", "the core carries the grind that was chosen"),
        ("release the pinned part HV-2052-1N",),
        {"pins": ["HV-2052-1N"]},
    ),
    "the only part refused": Case(
        PHASED,
        ("the plan refuses LX-3170", "the plan says phaser keep-limited", "the price lists carry LX-3170"),
        ("accept the refused part LX-3170", "remove the phaser"),
        {"refusals": ["LX-3170"]},
    ),
    "pinned and refused": Case(
        PLAIN,
        ("the plan pins PG-101-130", "the plan refuses PG-101-130"),
        ("accept the refused part PG-101-130", "release the pinned part PG-101-130"),
        {"pins": ["PG-101-130"], "refusals": ["PG-101-130"]},
    ),
    "an own part that does not fit": Case(
        PLAIN,
        (
            "the customer brings thin gaskets for head gaskets",
            "95 - (99 + 0) = -4 mm",
            "cylinder bore: 99 mm",
        ),
        ("buy head gaskets in place of the customer's thin gaskets", "leave the heads on"),
        {"own_parts": [THIN]},
    ),
    "a used part where only a new one goes": Case(
        PLAIN,
        ("the customer brings a used old cam",),
        ("buy camshaft in place of the customer's old cam",),
        {"own_parts": [OLD]},
    ),
    "a must declined": Case(
        PLAIN,
        ("the customer declines head gaskets: dear",),
        ("take head gaskets after all",),
        {"declined": {"head-gaskets": "dear"}},
    ),
    "a big cam with the whole range of the phaser": Case(
        replace(PHASED, phaser="keep-full"),
        ("the plan says phaser keep-full", "a valve that touches the piston ends the engine"),
        ("keep the phaser limited", "remove the phaser"),
    ),
    "too early": Case(
        PLAIN,
        ("the kit is needed by 2026-03-03", "the price lists carry SVC-CAL"),
        ("a later date: 2026-03-16",),
        {"need_by": "2026-03-03"},
    ),
    "too little money": Case(
        PLAIN,
        ("the customer's budget is 6600.00",),
        ("the package: least that is right", "a budget of 6718.33"),
        {"budget": "6600.00"},
    ),
    "a check that the owner may sign": Case(
        BOOSTED,
        ("the plan pins QS-362.16", "a valve that bounces breaks", "boost over ambient: 10 psi"),
        (
            "release the pinned part QS-362.16",
            "the owner signs, with a written reason: seat load holds the valve",
        ),
        {"pins": ["QS-362.16"]},
    ),
    "two conflicts at a time": Case(
        PLAIN,
        ("the plan pins HV-2052-1N", "the kit is needed by 2026-03-03"),
        ("release the pinned part HV-2052-1N and a later date: 2026-03-16",),
        {"pins": ["HV-2052-1N"], "need_by": "2026-03-03"},
    ),
}


@pytest.fixture(scope="module", params=CASES)
def told(request: pytest.FixtureRequest) -> tuple[Case, Refusal]:
    case = CASES[request.param]
    return case, case.refused()


def test_what_clashes_is_told(told: tuple[Case, Refusal]) -> None:
    case, refused = told
    assert refused.exit_code == 2
    text = "\n".join(ground.text for ground in refused.grounds)
    assert [words for words in case.grounds if words not in text] == []


def test_the_ways_out_come_with_the_smallest_change_first(told: tuple[Case, Refusal]) -> None:
    case, refused = told
    assert tuple(way.text for way in refused.tried) == case.ways
    assert [way.changes for way in refused.tried] == sorted(way.changes for way in refused.tried)
    assert refused.ways_out[: len(refused.tried)] == [str(way) for way in refused.tried]


def test_every_way_out_comes_to_the_kit_that_it_says(told: tuple[Case, Refusal]) -> None:
    """The changed job is written as text, read back, solved, proved, checked and priced."""
    case, refused = told
    first = refused.tried[0]
    for way in refused.tried:
        totals = changed(case, way).kit().kit.totals
        assert totals is not None
        assert totals.total == way.total
        assert way.more == way.total - (first.total or 0)


def test_a_way_out_costs_the_shop_what_it_says(told: tuple[Case, Refusal]) -> None:
    case, refused = told
    way = refused.tried[-1]
    assert changed(case, way).kit().kit.landed_cost == way.landed_cost


def changed(case: Case, way: WayOut) -> Ask:
    """The job with what a way out changes, and nothing else."""
    ask = replace(case.ask, plan=dict(case.plan))
    for name, value in way.change.items():
        root, _, member = name.partition(".")
        if root == "signatures":
            ask = replace(ask, signatures=value)
        elif member in {"phaser", "deact", "heads", "cam", "package"}:
            ask = replace(ask, **{member: value})
        else:
            ask = replace(ask, plan={**ask.plan, member: value})
    return ask


def test_a_measure_in_the_conflict_is_a_question_and_no_way_out() -> None:
    refused = Case(replace(PLAIN, facts={"bore": "110 mm"}), (), ()).refused()
    assert [way.text for way in refused.tried] == ["leave the heads on"]
    assert "measure again, not tried: cylinder bore, 110 mm (measured)" in refused.ways_out


def test_the_days_are_reckoned_and_no_earlier_one_would_do() -> None:
    """Ten working days from Monday 2 March are Monday 16 March; the Friday before is too early."""
    refused = CASES["too early"].refused()
    assert refused.arithmetic == (
        "calibration, SVC-CAL: 1 working day from 2026-03-02 to 2026-03-03, 10 working days to deliver: "
        "here on 2026-03-16, 9 working days late"
    )
    friday = Case(PLAIN, (), (), {"need_by": "2026-03-13"}).refused()
    assert [way.text for way in friday.tried] == ["a later date: 2026-03-16"]


def test_a_budget_is_reckoned_against_the_parts_of_the_total() -> None:
    total = PLAIN.kit().kit.totals
    assert total is not None
    refused = CASES["too little money"].refused()
    over = total.total - Decimal("6600.00")
    assert refused.arithmetic.startswith(f"{total.total:.2f} - 6600.00 = {over:.2f} over the budget; parts ")
    assert refused.arithmetic.endswith(f" = {total.total:.2f}")
    assert refused.tried[-1].text == f"a budget of {total.total:.2f}"


def test_a_gate_keeps_its_own_grounds_and_advice() -> None:
    refused = Case(replace(PLAIN, facts={"oil-metal": True}), (), ()).refused()
    assert [ground.owner for ground in refused.grounds] == ["gate oil-metal"]
    assert refused.tried == ()


def test_a_way_out_as_data() -> None:
    data = CASES["too early"].refused().as_data()
    (way,) = data["tried"]
    assert way["text"] == "a later date: 2026-03-16"
    assert way["change"] == {"plan.need_by": "2026-03-16"}
    assert (way["changes"], way["more"]) == (1, "0.00")
    assert data["ways_out"][0].startswith(f"a later date: 2026-03-16, total {way['total']}, landed cost ")
    assert all(isinstance(text, str) for text in data["ways_out"])
