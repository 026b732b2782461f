"""The files of a shop's text: read again where they look otherwise, and only there."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from tappetry.records.problems import BadInput
from tappetry.services import text_files
from tappetry.services.text_files import read_files, whole_mark, write_files


def test_a_text_is_read_again_only_where_a_file_looks_otherwise(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(text_files, "SETTLED", 0.0)
    file = tmp_path / "rules.yaml"
    file.write_bytes(b"one")
    time.sleep(0.05)  # a file system tells moments apart that are some milliseconds away from each other
    first = read_files(tmp_path)
    assert read_files(tmp_path) is first
    assert whole_mark(first) == whole_mark(dict(first))
    file.write_bytes(b"two")
    assert read_files(tmp_path) == {"rules.yaml": b"two"}
    (tmp_path / "spreads.yaml").write_bytes(b"three")
    time.sleep(0.05)
    now = read_files(tmp_path)
    assert now == {"rules.yaml": b"two", "spreads.yaml": b"three"}
    assert whole_mark(now) != whole_mark(first)
    other = tmp_path / "other"
    other.write_bytes(b"six")
    os.replace(other, file)
    assert read_files(tmp_path)["rules.yaml"] == b"six"


def test_a_text_that_was_just_written_is_read_each_time(tmp_path: Path) -> None:
    (tmp_path / "rules.yaml").write_bytes(b"one")
    assert read_files(tmp_path) is not read_files(tmp_path)


@pytest.mark.parametrize("path", ["../parts.csv", "needs/../../x.yaml", "/x.yaml", "C:x.yaml", "..\\x.yaml"])
def test_no_file_of_a_text_that_came_from_elsewhere_is_written_outside_of_its_folder(
    tmp_path: Path, path: str
) -> None:
    place = tmp_path / "a" / "shop"
    place.mkdir(parents=True)
    with pytest.raises(BadInput, match="outside of the shop's folder"):
        write_files({"shop.yaml": b"", path: b"x"}, place)
    assert [each for each in tmp_path.rglob("*") if each.is_file()] == []
