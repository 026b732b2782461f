"""YAML as people write it wrong: one complaint with file, line, field, value and what was expected."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.knowledge.text import MAX_DEPTH, field_name, parse_yaml, read_yaml
from tappetry.records.problems import BadInput, Complaint, Where


def complaint(text: str) -> Complaint:
    """The one complaint about a text."""
    with pytest.raises(BadInput) as error:
        parse_yaml(text, "a.yaml")
    (only,) = error.value.complaints
    return only


def test_values_and_lines() -> None:
    text = (
        "- id: a\n"
        "  truth: yes\n"
        "  whole: 1_000\n"
        "  number: 2.50\n"
        "  none: ~\n"
        "  day: 2026-01-12\n"
        "  quoted: '4'\n"
        "  list: [1, b]\n"
    )
    document = parse_yaml(text, "a.yaml")
    assert document.data == [
        {
            "id": "a",
            "truth": True,
            "whole": 1000,
            "number": 2.5,
            "none": None,
            "day": "2026-01-12",
            "quoted": "4",
            "list": [1, "b"],
        }
    ]
    assert document.where((0, "number")) == Where("a.yaml", 4, "[0].number")
    assert document.where((0, "list", 1)) == Where("a.yaml", 8, "[0].list[1]")
    assert document.where((0, "list", 7)) == Where("a.yaml", 8, "[0].list[7]"), "the nearest that holds it"


def test_field_names() -> None:
    assert field_name(("applications", 2, "vin")) == "applications[2].vin"
    assert field_name((0, "match", 1, "that")) == "[0].match[1].that"
    assert field_name(()) == ""


@pytest.mark.parametrize(
    ("text", "line", "reason"),
    [
        ("a: [1, 2\nb: 3\n", 2, "did not find expected ',' or ']'"),
        ("a: 1\n\tb: 2\n", 2, "found a tab character that violates indentation"),
        ("a: 'open\n", 2, "found unexpected end of stream"),
        ("a: 1\n--- \nb: 2\n", 2, "but found another document"),
        ("a: b: c\n", 1, "mapping values are not allowed in this context"),
        ("a: *nowhere\n", 1, "found undefined alias"),
    ],
)
def test_text_that_is_not_yaml(text: str, line: int, reason: str) -> None:
    found = complaint(text)
    assert (found.where.file, found.where.line) == ("a.yaml", line)
    assert found.message == f"the text is not YAML: {reason}"


@pytest.mark.parametrize("text", ["", "\n\n", "# only a remark\n"])
def test_an_empty_file(text: str) -> None:
    assert complaint(text) == Complaint(Where("a.yaml", 1), "the file is empty")


def test_a_key_that_stands_twice() -> None:
    found = complaint("- id: a\n  match:\n    - {id: x, that: y}\n  id: b\n")
    assert found == Complaint(Where("a.yaml", 4, "[0].id"), "the key stands twice", "id", "each key once")


def test_a_key_that_is_no_word() -> None:
    found = complaint("a:\n  ? [b, c]\n  : d\n")
    assert found == Complaint(Where("a.yaml", 2, "a"), "a key is a list or mapping", "", "a plain word")


def test_a_number_that_cannot_be_read() -> None:
    found = complaint("a: 1\nb: 1.5_\nc: .inf\n")
    assert found == Complaint(Where("a.yaml", 3, "c"), "the number cannot be read", ".inf")


def test_text_that_is_nested_too_deep() -> None:
    text = "".join(f"{'  ' * depth}a:\n" for depth in range(MAX_DEPTH + 2))
    found = complaint(text)
    assert found.message == "the text is nested too deep"
    assert (found.value, found.expected) == (str(MAX_DEPTH + 1), f"at most {MAX_DEPTH}")
    assert found.where == Where("a.yaml", MAX_DEPTH + 2)


def test_brackets_without_end() -> None:
    assert complaint("[" * 100_000).message == "the text is not YAML: exceeded maximum nesting depth"


def test_a_value_that_stands_for_another() -> None:
    """Eight lines of these would unfold to a hundred million values."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 8)]
    found = complaint("\n".join(lines))
    assert found.where == Where("a.yaml", 1, "a1[0]")
    assert found.message == "a value stands for another one (& and *)"
    assert found.expected == "each value written out where it belongs"


# ---- files -------------------------------------------------------------------------------------------------


def test_a_file_with_a_byte_order_mark(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_bytes(b"\xef\xbb\xbfa: caf\xc3\xa9\n")
    assert read_yaml(tmp_path / "a.yaml").data == {"a": "café"}


@pytest.mark.parametrize(
    ("content", "byte"), [("a: café\n".encode("latin-1"), 6), ("a: b\n".encode("utf-16"), 0)]
)
def test_another_encoding(tmp_path: Path, content: bytes, byte: int) -> None:
    (tmp_path / "a.yaml").write_bytes(content)
    with pytest.raises(BadInput) as error:
        read_yaml(tmp_path / "a.yaml", "needs/a.yaml")
    assert error.value.complaints == [
        Complaint(
            Where("needs/a.yaml"), "the file is not UTF-8 text", f"byte {byte}", "a text saved as UTF-8"
        )
    ]


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as error:
        read_yaml(tmp_path / "a.yaml", "needs/a.yaml")
    assert error.value.complaints == [Complaint(Where("needs/a.yaml"), "the file does not exist", "a.yaml")]


def test_a_folder_in_place_of_a_file(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as error:
        read_yaml(tmp_path)
    assert error.value.complaints == [
        Complaint(Where(tmp_path.name), "this is a folder, a file is wanted", tmp_path.name)
    ]
