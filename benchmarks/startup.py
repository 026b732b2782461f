"""The first word of the command line as a whole process, beside a Python that does nothing."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator

from benchmarks.pairs import Pair, Size, pair


def measure(size: Size) -> Iterator[Pair]:
    for words in (["--help"], ["calc", "--list"]):
        yield pair(
            f"tappetry {' '.join(words)}",
            lambda words=words: _run("from tappetry.cli import main; main()", words),
            "python -c pass",
            lambda: _run("pass", []),
            size.rounds,
            whole_processes=True,
        )


def _run(program: str, words: list[str]) -> None:
    subprocess.run([sys.executable, "-c", program, *words], check=True, stdout=subprocess.DEVNULL)
