"""What is said on which stream: answers on standard output, progress and problems on standard error."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from time import perf_counter
from typing import TYPE_CHECKING, Any, TextIO

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tappetry.records.problems import TappetryError


def answer(data: Mapping[str, Any]) -> None:
    """Print one JSON object, the whole answer of a command."""
    print(json.dumps(data, indent=1, ensure_ascii=not _speaks_unicode(sys.stdout), allow_nan=False))


def show(*shown: RenderableType) -> None:
    """Print texts and tables, the answer of a command for a person."""
    from tappetry.presentation.tables import console

    speaking = console()
    try:
        for each in shown:
            speaking.print(each, markup=False)
    except SystemExit:  # that is how the console says that nobody reads on
        raise BrokenPipeError from None


def show_problem(error: TappetryError) -> None:
    """Print why a request was not met; all but the grounds of a refusal as it is, for it names files."""
    from tappetry.records.problems import Refusal

    if not isinstance(error, Refusal):
        note(str(error))
        return
    from tappetry.presentation.tables import console, problem

    console(sys.stderr).print(problem(error), markup=False)


def note(text: str) -> None:
    """Say something that is no part of the answer."""
    print(text, file=sys.stderr, flush=True)


@dataclass
class Stage:
    """One stage of long work; ``result`` is what its line says when it is done."""

    result: str = ""


@contextmanager
def stage(what: str) -> Iterator[Stage]:
    """One progress line: what is done, then a tick, the result and the time taken."""
    begun, now = perf_counter(), Stage()
    if sys.stderr.isatty():
        print(f"  {what} ...", end="", file=sys.stderr, flush=True)
    try:
        yield now
    except BaseException:
        _end_line("✗", "x", what, begun)
        raise
    _end_line("✓", "ok", f"{what}: {now.result}" if now.result else what, begun)


def _end_line(mark: str, plain_mark: str, text: str, begun: float) -> None:
    clear = "\r\x1b[K" if sys.stderr.isatty() else ""
    mark = mark if _speaks_unicode(sys.stderr) else plain_mark
    note(f"{clear}{mark} {text} ({perf_counter() - begun:.1f} s)")


def _speaks_unicode(stream: TextIO) -> bool:
    return (stream.encoding or "").lower().replace("-", "") == "utf8"
