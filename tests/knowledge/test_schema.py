"""The published schemas: each complaint says file, line, field, value read and what was expected."""

from __future__ import annotations

import jsonschema
import pytest

from tappetry.knowledge import schema
from tappetry.knowledge.schema_words import LIMITS, PATTERNS, TYPES
from tappetry.knowledge.text import parse_yaml
from tappetry.records.problems import BadInput, Complaint, Where

NEED = "- id: a-need\n  title: a need\n  group: a group\n"


def complaints(text: str, name: str) -> list[Complaint]:
    """What a schema says of a text."""
    with pytest.raises(BadInput) as error:
        schema.check(parse_yaml(text, "a.yaml"), name)
    return error.value.complaints


@pytest.mark.parametrize("name", schema.names())
def test_a_schema_is_one_by_the_published_standard(name: str) -> None:
    """JSON Schema, draft 2020-12, metaschema."""
    jsonschema.Draft202012Validator.check_schema(schema.schema(name))
    assert schema.schema(name)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_a_schema_that_does_not_exist() -> None:
    with pytest.raises(BadInput) as error:
        schema.schema("neds")
    assert error.value.complaints == [
        Complaint(Where(), "there is no such schema", "neds", "one of " + ", ".join(schema.names()))
    ]


def test_a_text_that_keeps_its_schema() -> None:
    schema.check(parse_yaml(NEED + "  source: shop\n", "a.yaml"), "needs")


@pytest.mark.parametrize(
    ("more", "line", "field", "value", "expected"),
    [
        ("  source: shop\n  written: X\n", 5, "[0].written", "X", "one of R, I, U, T, -"),
        ("  source: hearsay\n", 4, "[0].source", "hearsay", "one of standard, arithmetic, common practice, "),
        ("  source: shop\n  house: 3\n", 5, "[0].house", "3", "true or false"),
        ("  source: shop\n  proofs: one\n", 5, "[0].proofs", "one", "a list"),
        ("  source: shop\n  slots: []\n", 5, "[0].slots", "[]", "a list of 1 or more"),
        ("  source: shop\n  why: ''\n", 5, "[0].why", "", "a text of 1 or more"),
        ("  source: shop\n  rules: [{id: A B}]\n", 5, "[0].rules[0].id", "A B", "small letters"),
    ],
)
def test_a_value_that_is_not_allowed(more: str, line: int, field: str, value: str, expected: str) -> None:
    found = [c for c in complaints(NEED + more, "needs") if c.where.field == field]
    assert [c.where for c in found] == [Where("a.yaml", line, field)]
    assert found[0].value == value
    assert found[0].expected.startswith(expected)


def test_a_key_that_is_not_known() -> None:
    (found,) = complaints(NEED + "  source: shop\n  renwe: true\n", "needs")
    assert found.where == Where("a.yaml", 1, "[0]")
    assert found.message == "Additional properties are not allowed ('renwe' was unexpected)"
    assert "renew" in found.expected.split(", ")


def test_a_key_that_is_missing() -> None:
    (found,) = complaints(NEED, "needs")
    assert found.where == Where("a.yaml", 1, "[0]")
    assert found.message == '"source" is a required property'
    assert found.expected == "all of id, title, group, source"


def test_every_complaint_is_told_at_once() -> None:
    text = NEED + "  source: hearsay\n  written: X\n" + NEED.replace("a-need", "b-need")
    assert [c.where.line for c in complaints(text, "needs")] == [4, 5, 6]


def test_a_long_value_is_cut() -> None:
    (found,) = complaints(NEED + f"  source: {'x' * 200}\n", "needs")
    assert found.value == "x" * 77 + "..."
    assert found.message.endswith(" ...") or len(found.message) <= 204


def test_every_pattern_and_limit_of_every_schema_has_words() -> None:
    """None is told as it stands in the schema; and no words are left of one that went."""
    stated: dict[str, set[str]] = {"pattern": set(), "type": set()}
    limits = set()

    def look(inside: object) -> None:
        if isinstance(inside, dict):
            for key, value in inside.items():
                if key in stated and isinstance(value, str | list) and not key == value == "type":
                    stated[key].update([value] if isinstance(value, str) else value)
                if key in LIMITS and not isinstance(value, dict):
                    limits.add(key)
                look(value)
        elif isinstance(inside, list):
            for each in inside:
                look(each)

    for name in schema.names():
        look(schema.schema(name))
    assert stated["pattern"] == set(PATTERNS)
    assert stated["type"] <= set(TYPES)
    assert limits == set(LIMITS)
    assert all(not set("^$\\[]") & set(words) for words in PATTERNS.values())
