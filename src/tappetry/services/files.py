"""Writes files whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

from tappetry.records.problems import BadInput, Where


def save(path: Path, content: bytes) -> Path:
    """Write a file so that nobody ever reads half of it, and return its path; a file of old is replaced.

    Raises
    ------
    BadInput
        The folder cannot be made or written to.
    """
    half = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            half.write_bytes(content)
            os.replace(half, path)
        finally:
            half.unlink(missing_ok=True)
    except OSError as error:
        raise BadInput.at(
            Where(str(path)),
            f"the file cannot be written: {error.strerror or error}",
            path.parent,
            "a folder that may be written to",
        ) from error
    return path
