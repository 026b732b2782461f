"""What a search has turned, in a file that is written whole or not at all: it can be taken up again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from time import monotonic
from typing import Any

from tappetry.records.problems import BadInput, Where
from tappetry.search.turning import Asked, Turned
from tappetry.services.curves import model_mark, plain_point, point_of
from tappetry.services.files import save, unread
from tappetry.services.queue import key_of

KIND = "search"
SECONDS = 5.0
"""After which time what is new is written. [s]"""


class Memory:
    """Curves by a mark of all that they hang on: engine in numbers, speeds, mesh, settling and model.

    Parameters
    ----------
    file : Path or None
        Read where it is there; nothing is written where it is None.

    Raises
    ------
    BadInput
        The file is none of a search.
    """

    def __init__(self, file: Path | None) -> None:
        self.file = file
        self.known: dict[str, Turned] = {}
        self._plain: dict[str, dict[str, Any]] = {}
        self._written = monotonic()
        self._changed = False
        if file is not None and file.exists():
            self._read(file)

    def _read(self, file: Path) -> None:
        try:
            data = json.loads(file.read_text(encoding="utf-8"))
            self._plain = dict(data[KIND])
            self.known = {key: turned_of(each) for key, each in self._plain.items()}
        except (OSError, ValueError, KeyError, TypeError) as error:
            expected = "one that `tappetry search --keep` wrote"
            raise BadInput.at(
                Where(str(file)), "this is no file of a search", unread(error), expected
            ) from error

    def add(self, key: str, turned: Turned) -> None:
        """Keep a curve; the file follows from time to time."""
        self.known[key] = turned
        self._plain[key] = plain_turned(turned)
        self._changed = True
        if monotonic() - self._written > SECONDS:
            self.write()

    def write(self) -> None:
        """Write what is new."""
        if self.file is None or not self._changed:
            return
        save(self.file, json.dumps({KIND: self._plain}, allow_nan=False).encode())
        self._written, self._changed = monotonic(), False


def mark(asked: Asked) -> str:
    """All that a curve hangs on, as one word."""
    return key_of(KIND, {"model": model_mark(), **asdict(asked)})


def plain_turned(turned: Turned) -> dict[str, Any]:
    """What was turned, as plain data."""
    return {
        "points": [plain_point(point) for point in turned.points],
        "idle": None if turned.idle is None else plain_point(turned.idle),
        "stall": [plain_point(point) for point in turned.stall],
        "complaint": turned.complaint,
        "no_idle": turned.no_idle,
    }


def turned_of(data: Mapping[str, Any]) -> Turned:
    """What was turned, out of plain data."""
    return Turned(
        tuple(point_of(each) for each in data["points"]),
        None if data["idle"] is None else point_of(data["idle"]),
        tuple(point_of(each) for each in data["stall"]),
        data["complaint"],
        data["no_idle"],
    )
