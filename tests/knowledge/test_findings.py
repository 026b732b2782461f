"""Findings read as no until they are made: that may say nothing of law, hours or what stays unseen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest

from tappetry.assembly.values import Values
from tappetry.jobs.reader import read_job
from tappetry.knowledge.language import Expression, compile_expression
from tappetry.records.problems import Refusal, Where
from tappetry.services.kits import kit_for_job, must_be_complete
from tests.kitting.support import demo, state_of

FINDINGS = {
    schema.name_in_conditions
    for schema in demo().knowledge.attributes.values()
    if schema.about == "finding" and schema.type == "truth"
}
#: A gate asks for metal in the oil while nobody has looked, so that what hangs on it is asked too.
ASKED_BY_A_GATE = {"oil_metal"}


def found_by(said: Iterable[Expression | None]) -> set[str]:
    """The findings that expressions read, through named values."""
    fixed: dict[str, Any] = {"engine": {}, "stated": {}, "plan": {}, "job": {}, "limits": {}}
    reads: set[str] = set()
    values = Values(demo().knowledge, fixed)
    for expression in said:
        if expression is not None:
            reads |= {member for root, member in values.reading(expression).fixed if root == "engine"}
    return reads & FINDINGS - ASKED_BY_A_GATE


def test_no_gate_and_no_hours_hang_on_a_finding() -> None:
    knowledge = demo().knowledge
    assert {gate.id: found for gate in knowledge.gates if (found := found_by([gate.when, gate.that]))} == {}
    operations = knowledge.operations.values()
    assert {each.code: found for each in operations if (found := found_by([each.when]))} == {}


def test_no_law_hangs_on_a_finding() -> None:
    conditions = [
        compile_expression(note.get("when", True), Where("legal")) for note in demo().knowledge.legal
    ]
    assert len(conditions) > 5
    assert found_by(conditions) == set()


def test_what_stays_until_a_finding_says_what_is_inspected() -> None:
    needs = demo().knowledge.needs.values()
    waiting = [need for need in needs if found_by([need.renew]) and need.otherwise == "reuse"]
    assert len(waiting) >= 6
    assert [need.id for need in waiting if not need.inspect] == []


@pytest.mark.parametrize(
    ("attribute", "hangs", "question"),
    [
        ("detonation-history", "head-studs", "Any history of detonation"),
        ("exhaust-flap", "exhaust-mode-valve", "Is there a flap in the exhaust?"),
        (
            "emission-papers-wanted",
            "emission-documents",
            "Does the place of registration check emission papers?",
        ),
    ],
)
def test_what_the_counter_can_know_is_asked_and_holds_the_papers(
    attribute: str, hangs: str, question: str
) -> None:
    job = read_job(demo().jobs / "J1.yaml", demo().knowledge)
    result = kit_for_job(demo(), replace(job, facts=tuple(f for f in job.facts if f.attribute != attribute)))
    assert state_of(result.kit, hangs) == "open"
    with pytest.raises(Refusal) as refused:
        must_be_complete(demo(), result)
    assert any(question in way for way in refused.value.ways_out)


@pytest.mark.slow
def test_a_phaser_that_nobody_has_heard_is_asked_for() -> None:
    """Below 120,000 km a quiet phaser stays; whether it is quiet a cold start tells."""
    job = read_job(demo().jobs / "J1.yaml", demo().knowledge)
    young = tuple(
        replace(fact, value=90_000.0, si=90_000_000.0) if fact.attribute == "mileage" else fact
        for fact in job.facts
    )
    heard = kit_for_job(demo(), replace(job, facts=young)).kit
    assert state_of(heard, "cam-phaser") == "reuse"
    unheard = tuple(fact for fact in young if fact.attribute != "phaser-rattle")
    kit = kit_for_job(demo(), replace(job, facts=unheard)).kit
    assert state_of(kit, "cam-phaser") == "open"
    assert [unknown.attribute for unknown in kit.unknowns] == ["phaser-rattle"]


def test_emission_papers_are_no_question_off_the_road() -> None:
    job = read_job(demo().jobs / "J3.yaml", demo().knowledge)
    told = tuple(fact for fact in job.facts if fact.attribute != "emission-papers-wanted")
    kit = kit_for_job(demo(), replace(job, facts=told, road_use=False)).kit
    assert state_of(kit, "emission-documents") == ""
