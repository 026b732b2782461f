"""The page on security names tests that are there, and a state that is one of four for each section."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
#: A test as the page names it: its file and its function.
TEST = re.compile(r"`(tests/[\w./]+)::(\w+)`")
STATES = {"met", "in part", "not met", "does not apply"}


def test_each_section_has_a_state_what_is_missing_is_said_and_tests_are_there() -> None:
    text = (ROOT / "docs" / "reference" / "asvs.md").read_text(encoding="utf-8")
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines() if "| V" in line
    ]
    assert len(rows) > 30
    for section, state, done, missing in rows:
        assert state in STATES, section
        assert bool(missing) is (state in ("in part", "not met")), section
        assert done or state != "met", section
        assert state != "met" or TEST.findall(done), f"{section}: no test is named"
    named = re.findall(r"`((?:src|tests|docs)/[\w./]+)`", text)
    assert all((ROOT / name).exists() for name in named)
    for file, test in TEST.findall(text):
        assert f"\ndef {test}(" in (ROOT / file).read_text(encoding="utf-8"), f"{file} has no {test}"
