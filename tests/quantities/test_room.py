"""The room as a whole: it is light to import, and its printed examples are true."""

from __future__ import annotations

import doctest
import subprocess
import sys
from importlib import import_module

import pytest

MODULES = [
    f"tappetry.quantities.{name}"
    for name in ("marks", "money", "notation", "numerals", "tolerance", "unit_table", "units")
]
WHAT_IS_LOADED = "import sys; before = set(sys.modules); import {}; print(*sorted(set(sys.modules) - before))"


def test_only_the_standard_library_is_loaded() -> None:
    script = WHAT_IS_LOADED.format(", ".join(MODULES))
    environment = {"PYTHONPATH": ":".join(sys.path)}
    printed = subprocess.run(
        [sys.executable, "-c", script], check=True, capture_output=True, text=True, env=environment
    ).stdout.split()
    roots = {name.split(".")[0] for name in printed}
    assert set(MODULES) <= set(printed)
    assert roots - set(sys.stdlib_module_names) == {"tappetry"}
    assert {name for name in printed if name.startswith("tappetry.")} == {"tappetry.quantities", *MODULES}


@pytest.mark.parametrize("name", ["marks", "money", "notation", "units"])
def test_printed_examples_are_true(name: str) -> None:
    results = doctest.testmod(import_module(f"tappetry.quantities.{name}"))
    assert results.attempted > 0
    assert results.failed == 0
