"""Sentences with values: what stands in braces is read, and told with as many digits as are asked for."""

from __future__ import annotations

import pytest

from tappetry.assembly.sentences import show, tell
from tappetry.assembly.values import Values
from tappetry.knowledge.sentences import compile_sentence
from tappetry.records.problems import BadInput, Where
from tests.kitting.support import demo

HERE = Where("notes.yaml", 3, "[0].says")


def told(text: str, item: dict[str, object] | None = None) -> str:
    fixed = {"engine": {"stroke_mm": 91.25, "valley": True, "banks": 2.0, "names": ["a", "b"]}, "plan": {}}
    return tell(Values(demo().knowledge, fixed), compile_sentence(text, HERE), {}, item)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("no value at all", "no value at all"),
        ("stroke {engine.stroke_mm} mm", "stroke 91.25 mm"),
        ("{engine.stroke_mm:1} mm", "91.2 mm"),
        ("{engine.stroke_mm / 25.4:3}", "3.593"),
        ("half: {engine.stroke_mm / 2:0}", "half: 46"),
        ("{engine.banks} banks, valley {engine.valley}", "2 banks, valley yes"),
        ("{engine.names}", "a, b"),
        ("{engine.valley ? 'deep' : 'flat'} valley", "deep valley"),
        ("bore {engine.bore_mm:1} mm", "bore not known mm"),
    ],
)
def test_a_sentence_is_told_with_its_values(text: str, words: str) -> None:
    assert told(text) == words


def test_a_sentence_about_a_piece_of_a_box_tells_each_piece_anew() -> None:
    text = "{item.item}: {item.section_mm:2} mm"
    assert told(text, {"item": "amber", "section_mm": 2.5}) == "amber: 2.50 mm"
    assert told(text, {"item": "violet", "section_mm": 3.1}) == "violet: 3.10 mm"


@pytest.mark.parametrize("text", ["a { brace", "a brace }", "{engine.bore_mm", "{a{b}c}"])
def test_a_brace_that_stands_alone_is_told(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        compile_sentence(text, HERE)
    (complaint,) = refused.value.complaints
    assert complaint.where == HERE
    assert complaint.message == "a brace stands alone"
    assert complaint.value == text


def test_a_value_that_cannot_be_read_is_told_where_it_stands() -> None:
    with pytest.raises(BadInput) as refused:
        compile_sentence("lift {lift_in >} in", HERE)
    assert refused.value.complaints[0].where == HERE
    assert refused.value.complaints[0].message.startswith("the condition cannot be read")


def test_values_as_a_person_reads_them() -> None:
    assert [show(True), show(2.0), show(0.0525), show(["a", "b"]), show("x")] == [
        "yes", "2", "0.0525", "a, b", "x",
    ]  # fmt: skip
