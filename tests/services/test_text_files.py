"""The files of a shop's text: read again where they look otherwise, and only there."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from tappetry.services import text_files
from tappetry.services.text_files import read_files, whole_mark


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
