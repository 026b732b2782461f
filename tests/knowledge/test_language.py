"""Conditions: three outcomes, no mixed types, and one clear complaint for what cannot be evaluated."""

from __future__ import annotations

from typing import Any

import pytest

from tappetry.knowledge.language import (
    MAX_LENGTH,
    MAX_LOOPS,
    BadExpression,
    Read,
    Unknown,
    compile_expression,
)
from tappetry.records.problems import Complaint, Where

WHERE = Where("needs/a.yaml", 7, "[0].when")
ROOTS: dict[str, Any] = {
    "engine": {"bore_mm": 99.0, "cam_drive": "chain", "banks": 2.0, "valley": True, "eras": ["1", "2"]},
    "plan": {"heads": "off"},
    "lift_in": 0.55,
}


def evaluated(text: object) -> Any:
    return compile_expression(text, WHERE).evaluate(ROOTS)


def complaint(text: object, roots: dict[str, Any] | None = None) -> Complaint:
    """The one complaint of an expression that cannot be compiled or evaluated."""
    with pytest.raises(BadExpression) as error:
        compile_expression(text, WHERE).evaluate(ROOTS if roots is None else roots)
    (only,) = error.value.complaints
    assert only.where == WHERE
    return only


@pytest.mark.parametrize(
    ("text", "value"),
    [
        (True, True),
        (False, False),
        (2, 2.0),
        (0.25, 0.25),
        ("engine.bore_mm > 98", True),
        ("engine.bore_mm == 99", True),
        ("engine.banks * 2", 4.0),
        ("5 / 2", 2.5),
        ("2e-3 + 1", 1.002),
        ("1.5E+2", 150.0),
        ("engine.cam_drive in ['chain', 'gears']", True),
        ("'2' in engine.eras", True),
        ("engine.eras.exists(era, era == '1')", True),
        ("plan.heads == 'off' && engine.valley", True),
        ("has(engine.stroke_mm) ? 1 : 2", 2.0),
        ("ceil(2.1)", 3.0),
        ("ceil(2.0000000001)", 2.0),
        ("floor(1.9999999999)", 2.0),
        ("round(2.5)", 3.0),
        ("abs(0 - lift_in)", 0.55),
        ("'10 mm' == '10 mm'", True),
    ],
)
def test_values(text: object, value: Any) -> None:
    assert evaluated(text) == value


@pytest.mark.parametrize(
    ("text", "root", "key"),
    [
        ("engine.stroke_mm > 90", "engine", "stroke_mm"),
        ("engine.stroke_mm > 90 && true", "engine", "stroke_mm"),
        ("open_load_lb > 320", "open_load_lb", ""),
    ],
)
def test_a_value_that_nobody_stated_makes_it_unknown(text: str, root: str, key: str) -> None:
    with pytest.raises(Unknown) as unknown:
        evaluated(text)
    assert (unknown.value.root, unknown.value.key) == (root, key)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("engine.valley || engine.stroke_mm > 90", True),
        ("engine.stroke_mm > 90 || engine.valley", True),
        ("!engine.valley && engine.stroke_mm > 90", False),
        ("engine.stroke_mm > 90 && !engine.valley", False),
    ],
)
def test_a_fact_that_does_not_matter_does_not_block(text: str, value: bool) -> None:
    assert evaluated(text) is value


@pytest.mark.parametrize(
    ("text", "reads"),
    [
        ("engine.bore_mm > 1", [Read("engine", "bore_mm")]),
        ("lift_in > 0.5 && lift_in < 1", [Read("lift_in", "")]),
        ("camshaft.follower.contains('roller')", [Read("camshaft", "follower")]),
        ("has(engine.age_years)", [Read("engine", "age_years")]),
        ("box.contents.exists(piece, piece.size > gap_mm)", [Read("box", "contents"), Read("gap_mm", "")]),
        ("plan.use in ['engine.x', 'b']", [Read("plan", "use")]),
        ("ceil(engine.banks / 2)", [Read("engine", "banks")]),
    ],
)
def test_what_a_condition_reads(text: str, reads: list[Read]) -> None:
    assert list(compile_expression(text, WHERE).reads) == reads


# ---- what is refused -------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["", "   ", None, ["a"], {"a": 1}])
def test_no_expression(text: object) -> None:
    found = complaint(text)
    assert found.message == "a condition is wanted"
    assert found.value == str(text)
    assert found.expected == "an expression such as plan.heads == 'off'"


@pytest.mark.parametrize("text", ["engine.bore_mm >", "1 +* 2", "(engine.valley", "'open"])
def test_text_that_is_no_expression(text: str) -> None:
    found = complaint(text)
    assert found.message.startswith("the condition cannot be read: ")
    assert found.value == text


def test_an_expression_that_is_too_long() -> None:
    text = "engine.valley || " * 120 + "engine.valley"
    found = complaint(text)
    assert found.message == f"the condition is {len(text)} characters long"
    assert found.value == text[:60]
    assert found.expected == f"at most {MAX_LENGTH}"


def test_too_many_loops() -> None:
    text = "[1].all(a, [1].all(b, [1].all(c, true)))"
    found = complaint(text)
    assert found.message == "the condition has 3 loops"
    assert (found.value, found.expected) == (text, f"at most {MAX_LOOPS}")


@pytest.mark.parametrize(
    "text",
    [
        "engine.bore_mm / (engine.banks - 2)",
        "engine.bore_mm / 0",
        "1 / engine.none",
        "engine.valley || 1 / engine.none > 1",
    ],
)
def test_division_by_zero(text: str) -> None:
    found = complaint(text, {"engine": {"bore_mm": 99.0, "banks": 2.0, "none": 0.0, "valley": True}})
    assert found.message == "the condition fails: division by zero"
    assert found.value == text


@pytest.mark.parametrize("text", ["engine.cam_drive > 2", "engine.cam_drive + 1", "!engine.bore_mm"])
def test_mixed_types(text: str) -> None:
    found = complaint(text)
    assert found.message.startswith("the condition fails: ")
    assert found.value == text


def test_a_result_that_is_not_finite() -> None:
    found = complaint("engine.huge * engine.huge", {"engine": {"huge": 1e300}})
    assert found.message == "the condition fails: the result is not finite"


@pytest.mark.parametrize(("text", "shown"), [("engine.banks", "2.0"), ("engine.cam_drive", "'chain'")])
def test_a_condition_must_be_true_or_false(text: str, shown: str) -> None:
    with pytest.raises(BadExpression) as error:
        compile_expression(text, WHERE).truth(ROOTS)
    (only,) = error.value.complaints
    assert only.message == f"the condition fails: a condition must be true or false, this gives {shown}"
    assert (only.where, only.value) == (WHERE, text)


@pytest.mark.parametrize(("text", "shown"), [("engine.valley", "True"), ("engine.cam_drive", "'chain'")])
def test_a_number_is_wanted(text: str, shown: str) -> None:
    with pytest.raises(BadExpression) as error:
        compile_expression(text, WHERE).number(ROOTS)
    (only,) = error.value.complaints
    assert only.message == f"the condition fails: a number is wanted, this gives {shown}"
    assert (only.where, only.value) == (WHERE, text)


def test_the_message_is_one_line_with_place_and_value() -> None:
    with pytest.raises(BadExpression) as error:
        evaluated("engine.bore_mm / 0")
    assert str(error.value) == (
        "needs/a.yaml:7, [0].when: the condition fails: division by zero (read: engine.bore_mm / 0)"
    )
