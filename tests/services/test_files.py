"""Files that a person keeps: why one is none of ours is told in words."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tappetry.services.files import names_in, unread


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "No such file or directory"),
        (b"\xff\xfe", "no UTF-8 text"),
        (b"{\n1", "no JSON, from line 2 on"),
        (b"{}", "nothing of curves"),
        (b"[]", "JSON of another kind"),
    ],
)
def test_it_is_told_in_words_why_a_file_is_none_of_ours(
    tmp_path: Path, content: bytes | None, said: str
) -> None:
    file = tmp_path / "mine.json"
    if content is not None:
        file.write_bytes(content)
    with pytest.raises((OSError, ValueError, KeyError, TypeError)) as caught:
        json.loads(file.read_text(encoding="utf-8"))["curves"]
    assert unread(caught.value) == said


def test_what_is_kept_is_named_where_something_else_is_asked_for(tmp_path: Path) -> None:
    assert names_in(tmp_path) == "a name that is kept; none is yet"
    for name in ("b", "a"):
        (tmp_path / f"{name}.json").touch()
    assert names_in(tmp_path) == "one of a, b"
