"""Rules that can never fire: without another outcome, or against a value that nothing ever has."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.knowledge.audit import AuditKind
from tests.knowledge.shops import plant, plant_probe

pytestmark = pytest.mark.slow

NEVER = AuditKind.NEVER_FIRES


@pytest.mark.parametrize(
    ("condition", "value", "expected", "message"),
    [
        (
            "engine.cam_drive == 'belt'",
            "'belt'",
            "one of 'chain', 'double-row chain', 'gears'",
            "engine.cam_drive never is 'belt'",
        ),
        (
            "'belt' != engine.cam_drive",
            "'belt'",
            "one of 'chain', 'double-row chain', 'gears'",
            "engine.cam_drive never is 'belt'",
        ),
        (
            "engine.cam_drive in ['chain', 'belt']",
            "'belt'",
            "one of 'chain', 'double-row chain', 'gears'",
            "engine.cam_drive never is 'belt'",
        ),
        (
            "engine.valley == 'yes'",
            "'yes'",
            "one of false, true",
            "engine.valley never is 'yes'",
        ),
        (
            "plan.deact == 'removed'",
            "'removed'",
            "one of 'keep', 'none', 'remove'; did you mean remove?",
            "plan.deact never is 'removed'",
        ),
        (
            "plan.phaser.startsWith('kept')",
            "'kept'",
            "one of 'keep-full', 'keep-limited', 'none', 'remove'",
            "plan.phaser never starts with 'kept'",
        ),
        (
            "timing_chain.pin == 'havy'",
            "'havy'",
            "one of 'heavy', 'standard'; did you mean heavy?",
            "timing_chain.pin never is 'havy'",
        ),
        (
            "timing_chain.rows == 7",
            "7",
            "one of 1, 2",
            "timing_chain.rows never is 7",
        ),
        (
            "timing_chain.state == 'fresh'",
            "'fresh'",
            "one of 'by hand', 'new', 'none', 'open', 'outside service', 'own', 'reuse', 'shop stock'; "
            "did you mean reuse?",
            "timing_chain.state never is 'fresh'",
        ),
        (
            "timing_chain.pin == (plan.heads == 'off' ? 'havy' : 'standard')",
            "'havy'",
            "one of 'heavy', 'standard'; did you mean heavy?",
            "timing_chain.pin never is 'havy'",
        ),
    ],
)
def test_a_value_that_nothing_ever_has(
    tmp_path: Path, condition: str, value: str, expected: str, message: str
) -> None:
    planted = plant_probe(tmp_path, f'  when: "{condition}"\n')
    found = planted.finds(NEVER, r"\[0\]\.when", value, expected, message)
    assert planted.value_at(found.field) == condition


def test_a_list_of_what_would_do_may_name_what_the_catalogue_does_not_carry(tmp_path: Path) -> None:
    assert plant_probe(tmp_path, "  when: \"timing_chain.pin in ['heavy', 'titanium']\"\n").mistakes() == []


@pytest.mark.parametrize(
    "condition", ["false", "1 > 2", "false && engine.valley", "!(true || engine.valley)"]
)
def test_a_condition_that_is_never_true(tmp_path: Path, condition: str) -> None:
    planted = plant_probe(tmp_path, f'  when: "{condition}"\n')
    planted.finds(NEVER, r"\[0\]\.when", condition, "a condition, or none", "the condition is never true")


@pytest.mark.parametrize(
    ("condition", "name"),
    [
        ("plan.heads == 'on' && engine.valley && plan.heads == 'off'", "plan.heads"),
        ("engine.valley && !engine.valley", "engine.valley"),
        ("engine.mileage_km > 100000 && engine.mileage_km < 90000", "engine.mileage_km"),
        ("engine.mileage_km > 100000 && engine.mileage_km <= 100000", "engine.mileage_km"),
        ("plan.phaser.startsWith('keep') && plan.phaser == 'remove'", "plan.phaser"),
        ("plan.heads != 'on' && plan.heads != 'off'", "plan.heads"),
    ],
)
def test_a_condition_at_odds_with_itself(tmp_path: Path, condition: str, name: str) -> None:
    planted = plant_probe(tmp_path, f'  when: "{condition}"\n')
    planted.finds(
        NEVER,
        r"\[0\]\.when",
        condition,
        "conditions that can hold together",
        f"the condition asks two different things of {name}, so it is never true",
    )


def test_a_rule_that_always_holds(tmp_path: Path) -> None:
    rule = '  rules:\n    - {id: probe-rule, that: "1 < 2 || engine.valley", why: a probe, source: shop}\n'
    plant_probe(tmp_path, rule).finds(
        NEVER,
        r"\[0\]\.rules\[0\]\.that",
        "1 < 2 || engine.valley",
        "a condition that can fail",
        "the rule always holds",
    )


def test_an_operation_that_is_never_charged(tmp_path: Path) -> None:
    planted = plant(tmp_path, "operations.yaml", "- {code: OP999, what: probe, hours: 1.0, when: false}")
    planted.finds(NEVER, r"\[\d+\]\.when", "false", "a condition, or none", "the condition is never true")


def test_a_condition_that_the_audit_cannot_look_into_is_a_note(tmp_path: Path) -> None:
    condition = "engine['bore'] > 100"
    planted = plant_probe(tmp_path, f'  when: "{condition}"\n')
    assert planted.mistakes() == []
    notes = [note for note in planted.notes() if note.value == condition]
    assert [(note.file, note.line, note.field) for note in notes] == [
        (planted.file, planted.line, "[0].when")
    ]
    assert notes[0].message == "the audit cannot look into this condition"
