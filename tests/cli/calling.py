"""Calls a command in this process and keeps what it said."""

from __future__ import annotations

import json
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from typing import Any

from tappetry.cli import main


@dataclass(frozen=True)
class Said:
    """Exit code, and what stood on the two streams."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """Standard output as the one JSON object that it has to be."""
        data = json.loads(self.out)
        assert isinstance(data, dict)
        return data

    @property
    def words(self) -> str:
        """Everything said, without regard to where lines are broken."""
        return " ".join(f"{self.out} {self.err}".split())


def call(*words: object) -> Said:
    """Run one command."""
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = main([str(word) for word in words])
    return Said(code, out.getvalue(), err.getvalue())


def refused(*words: object) -> tuple[int, dict[str, Any]]:
    """Run a command with --json that has to fail; its exit code and its error."""
    said = call(*words, "--json")
    assert set(said.data) == {"error"}, said
    error = said.data["error"]
    assert {"kind", "message", "facts", "ways_out", "where"} <= set(error)
    return said.code, error
