"""The page of commands names each kind of error, with the exit code that it ends by."""

from __future__ import annotations

import re
from pathlib import Path

from tappetry.records import problems
from tappetry.records.problems import TappetryError
from tappetry.store import problems as problems_of_the_store

PAGE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "commands.md"
ROW = re.compile(r"^\| `([a-z-]+)` \| (\d+) \| ", re.MULTILINE)


def test_every_kind_of_error_is_told_with_its_exit_code() -> None:
    raised = {
        (each.kind, str(each.exit_code))
        for room in (problems, problems_of_the_store)
        for each in vars(room).values()
        if isinstance(each, type) and issubclass(each, TappetryError) and each is not TappetryError
    }
    assert set(ROW.findall(PAGE.read_text(encoding="utf-8"))) == raised
