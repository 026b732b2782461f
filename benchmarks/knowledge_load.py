"""Reading all of a shop's knowledge, beside parsing the same files with the C reader of the YAML library."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

from benchmarks.demo_shop import shop
from benchmarks.pairs import Pair, Size, pair
from tappetry.knowledge.loader import load


def measure(size: Size) -> Iterator[Pair]:
    folder = shop().folder
    files = [file for file in sorted(folder.rglob("*.yaml")) if file.parent.name != "jobs"]
    stated = [parse(file) for file in files if file.parent.name == "needs"]
    assert [*load(folder).needs] == [need["id"] for needs in stated for need in needs]
    yield pair(
        f"{len(files)} files of knowledge",
        lambda: load(folder),
        "yaml.load, C reader",
        lambda: [parse(file) for file in files],
        size.rounds,
    )


def parse(file: Path) -> Any:
    """The reference: a file as plain data."""
    return yaml.load(file.read_text(encoding="utf-8"), yaml.CSafeLoader)
