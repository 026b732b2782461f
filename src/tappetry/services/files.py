"""Writes files whole or not at all."""

from __future__ import annotations

import errno
import json
import os
import re
import threading
from pathlib import Path
from tempfile import TemporaryFile

from tappetry.records.problems import BadInput, Where

NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def save(path: Path, content: bytes) -> Path:
    """Write a file so that nobody ever reads half of it, and return its path; a file of old is replaced.

    Raises
    ------
    BadInput
        The folder cannot be made or written to.
    """
    half = _half(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            half.write_bytes(content)
            os.replace(half, path)
        finally:
            half.unlink(missing_ok=True)
    except OSError as error:
        raise _unwritable(path, error) from error
    return path


def require_place(path: Path) -> Path:
    """A file can be written there, and its folder is made, before the work for it begins.

    Raises
    ------
    BadInput
        The folder cannot be made or written to, or a folder has that name.
    """
    half = _half(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.is_dir():
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
        half.touch()
        half.unlink()
    except OSError as error:
        raise _unwritable(path, error) from error
    return path


def require_folder(folder: Path) -> Path:
    """Files can be written to a folder, before the work for them begins; where there is none, it can be made.

    Raises
    ------
    BadInput
        It cannot be made or written to.
    """
    there = next(each for each in (folder.absolute(), *folder.absolute().parents) if each.exists())
    try:
        with TemporaryFile(dir=there):
            return folder
    except OSError as error:
        where, said = Where(str(folder)), f"the folder cannot be written to: {error.strerror or error}"
        raise BadInput.at(where, said, folder.name, "a folder that may be written to") from error


def _half(path: Path) -> Path:
    return path.with_name(f".{path.name}.{os.getpid()}-{threading.get_ident()}.part")


def _unwritable(path: Path, error: OSError) -> BadInput:
    return BadInput.at(
        Where(str(path)),
        f"the file cannot be written: {error.strerror or error}",
        path.parent,
        "a folder that may be written to",
    )


def named(folder: Path, name: str) -> Path:
    """The file of something that a person keeps under a name.

    Raises
    ------
    BadInput
        It is no name.
    """
    if not NAME.fullmatch(name):
        raise BadInput.at(Where(folder.name), "no such name", name, "small letters, digits and hyphens")
    return folder / f"{name}.json"


def names_in(folder: Path) -> str:
    """What is kept in a folder under names, as a complaint tells it that finds another one."""
    known = ", ".join(sorted(file.stem for file in folder.glob("*.json")))
    return f"one of {known}" if known else "a name that is kept; none is yet"


def unread(error: Exception) -> str:
    """Why a file is not what it was taken for, in words, from the error of whoever read it."""
    if isinstance(error, OSError):
        return error.strerror or str(error)
    if isinstance(error, UnicodeDecodeError):
        return "no UTF-8 text"
    if isinstance(error, json.JSONDecodeError):
        return f"no JSON, from line {error.lineno} on"
    if isinstance(error, KeyError):
        return f"nothing of {error.args[0]}"
    return "JSON of another kind"


def read_most(file: Path, largest: int, expected: str) -> bytes:
    """The content of a file, no more than a byte beyond what is taken.

    Raises
    ------
    BadInput
        It cannot be read.
    """
    try:
        with file.open("rb") as opened:
            return opened.read(largest + 1)
    except OSError as error:
        said = f"the file cannot be read: {error.strerror or error}"
        raise BadInput.at(Where(str(file)), said, file.name, expected) from None
