"""Saves a fault of ours to a file, with all that is needed to see it happen again."""

from __future__ import annotations

import hashlib
import json
import platform
import tempfile
import traceback
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tappetry import __version__
from tappetry.records.problems import BadInput, OurFault
from tappetry.services.files import save
from tappetry.services.shop import home

#: A longer file is not copied into the problem; its name stands there all the same.
LONGEST_COPY = 200_000


def save_problem(fault: BaseException, words: Sequence[str]) -> Path:
    """Save what went wrong and return the file.

    The file lies in ``problems`` of the shop's folder, or in the folder for temporary files where that
    cannot be written. It holds the command, the versions, the details and trace of the fault, and the
    text files that the command named. Nothing is sent anywhere.

    Parameters
    ----------
    fault : BaseException
        What was raised.
    words : sequence of str
        The words of the command, without the program's name.
    """
    content = json.dumps(_problem(fault, words), indent=1, ensure_ascii=False, default=str).encode()
    now = datetime.now(UTC)
    name = f"problem-{now:%Y%m%d-%H%M%S}-{hashlib.sha256(content).hexdigest()[:8]}.json"
    try:
        return save(home() / "problems" / name, content)
    except BadInput:
        return save(Path(tempfile.gettempdir()) / name, content)


def _problem(fault: BaseException, words: Sequence[str]) -> dict[str, Any]:
    return {
        "program": f"tappetry {__version__}",
        "python": platform.python_version(),
        "system": platform.platform(),
        "shop": str(home()),
        "command": list(words),
        "kind": type(fault).__name__,
        "message": str(fault),
        "details": fault.details if isinstance(fault, OurFault) else {},
        "trace": traceback.format_exception(fault),
        "files": {word: text for word in words if (text := _text_of(word)) is not None},
    }


def _text_of(word: str) -> str | None:
    """The text of a file that a word names; None when it names none that can be read."""
    try:
        path = Path(word)
        if not path.is_file() or path.stat().st_size > LONGEST_COPY:
            return None
        return path.read_text(encoding="utf-8", errors="replace")
    except (OSError, ValueError):
        return None
