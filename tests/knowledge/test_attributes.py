"""The list of attributes: how to find out, and how often a value is met."""

from __future__ import annotations

import pytest

from tappetry.knowledge import families
from tappetry.knowledge.text import parse_yaml
from tappetry.records.family import AttributeSchema
from tappetry.records.problems import BadInput
from tests.kitting.support import demo


def read(text: str) -> AttributeSchema:
    (found,) = families.attributes(parse_yaml(f"- {{id: x, title: x, {text}}}\n", "attributes.yaml")).values()
    return found


def test_shares_photo_and_tool_are_read() -> None:
    found = read("type: choice, values: [a, b], shares: {a: 3, b: 1}, photo: the tag, tool: caliper")
    assert (found.shares, found.photo, found.tool) == ({"a": 3, "b": 1}, "the tag", "caliper")
    assert read("type: truth, shares: {yes: 1, no: 9}").shares == {"yes": 1, "no": 9}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("type: choice, values: [a, b], shares: {c: 1}", "a or b"),
        ("type: truth, shares: {c: 1}", "yes or no"),
        ("type: count, shares: {c: 1}", "none of a count"),
    ],
)
def test_shares_are_of_values_that_there_are(text: str, expected: str) -> None:
    with pytest.raises(BadInput) as told:
        read(text)
    assert str(told.value) == (
        f"attributes.yaml:1, [0].shares.c: no such value (read: c); expected {expected}"
    )


def test_what_must_be_seen_or_measured_says_how() -> None:
    """Every attribute of the invented shop that wants eyes or hands names a photo or a tool."""
    silent = [
        schema.id
        for schema in demo().knowledge.attributes.values()
        if schema.about != "finding" and schema.grade in {"seen", "measured"}
        if not schema.photo and not schema.tool
    ]
    assert silent == []
