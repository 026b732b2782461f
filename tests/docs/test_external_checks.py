"""The page of outside checks: up to date, and every result of every check stands on it once."""

from __future__ import annotations

import re

from scripts.external_checks import PAGE, text
from tests.checks.reading import checks

WRITTEN = PAGE.read_text(encoding="utf-8")


def test_the_page_is_up_to_date() -> None:
    assert text() == WRITTEN, "the page is old: run 'python -m scripts.external_checks'"


def test_every_result_stands_there_once() -> None:
    rows = re.findall(r"^\| ([A-Z]{2}-\d\d) \| ", WRITTEN, re.MULTILINE)
    assert rows == [check.id for check in checks().values() for _ in check.expected]


def test_what_is_from_memory_is_marked() -> None:
    for check in checks().values():
        (row, *_) = re.findall(rf"^\| {check.id} \|.*\| (.+) \|$", WRITTEN, re.MULTILINE)
        assert (row == "no") is not (check.from_memory or check.constants_from_memory)
