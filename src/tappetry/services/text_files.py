"""The files that are a shop's own text: which they are, read, marked, laid down, and what differs in them."""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import unified_diff
from functools import cached_property
from pathlib import Path, PureWindowsPath

from tappetry.records.problems import BadInput, Where
from tappetry.services.files import save

#: The files of a shop's folder that are its text; jobs and the database are none.
PATTERNS = (
    "*.yaml",
    "parts.csv",
    "needs/*.yaml",
    "families/*/*.yaml",
    "tables/*.yaml",
    "breathing/*.yaml",
    "motion/*.yaml",
)
#: What a new file of the text may be called.
NAME = re.compile(
    r"parts\.csv|[a-z0-9-]+\.yaml|(needs|tables|breathing|motion)/[a-z0-9-]+\.yaml"
    r"|families/[a-z0-9-]+/[a-z0-9-]+\.yaml"
)
#: Where texts are laid down that were in effect, below the shop's folder.
KEPT = ".text"
#: Unchanged lines that stand around a change.
AROUND = 3
#: The longest difference that is shown. [lines]
MOST_LINES = 2_000


#: Files that were written so short a time ago may be written again without being told apart by it. [s]
SETTLED = 2.0
#: How many texts are remembered: the one in effect, and that of the folder.
MOST_READ = 2


class Text(dict[str, bytes]):
    """The content of every file of a text, by its path, with the mark of all of it."""

    @cached_property
    def mark(self) -> str:
        """A mark of all of a text: equal files, equal marks."""
        digest = hashlib.sha256()
        for path in sorted(self):
            digest.update(f"{path}\0{len(self[path])}\0".encode() + self[path])
        return digest.hexdigest()


#: Texts as they were read last, by their folders, each with what its files looked like.
_READ: dict[Path, tuple[list[tuple[str, int, int, int]], Text]] = {}


@dataclass(frozen=True, slots=True)
class DiffLine:
    """One line of a difference: ``kind`` is ``+``, ``-``, ``@`` for a place, or a blank."""

    kind: str
    text: str


def read_files(folder: Path) -> Text:
    """The content of every file of a text; read again only where a file looks otherwise than it did.

    Raises
    ------
    BadInput
        A file cannot be read.
    """
    found = sorted({file for pattern in PATTERNS for file in folder.glob(pattern) if file.is_file()})
    try:
        now = [(str(file), *_look(file)) for file in found]
        known = _READ.get(folder)
        if known is not None and known[0] == now:
            return known[1]
        text = Text({file.relative_to(folder).as_posix(): file.read_bytes() for file in found})
    except OSError as error:
        said = f"the shop's text cannot be read: {error.strerror or error}"
        raise BadInput.at(Where(str(error.filename or folder)), said) from None
    if max((changed for _, changed, *_ in now), default=0) < 1e9 * (time.time() - SETTLED):
        _READ[folder] = (now, text)
        if len(_READ) > MOST_READ:
            del _READ[next(iter(_READ))]
    return text


def _look(file: Path) -> tuple[int, int, int]:
    """When a file was changed, its size and its node: what tells it from one that stood there. [ns, byte]"""
    state = file.stat()
    return max(state.st_mtime_ns, state.st_ctime_ns), state.st_size, state.st_ino


def whole_mark(files: Mapping[str, bytes]) -> str:
    """A mark of all of a text: equal files, equal marks."""
    return files.mark if isinstance(files, Text) else Text(files).mark


def name_of(text: str) -> str:
    """The path of a file of the text as a person typed it.

    Raises
    ------
    BadInput
        No file of the text is called so.
    """
    name = text.strip()
    if not NAME.fullmatch(name):
        expected = "such as rules.yaml, needs/9-own.yaml or families/NAME/family.yaml, in small letters"
        raise BadInput.at(Where("file"), "no file of the shop's text is called so", name, expected)
    return name


def lay_down(files: Mapping[str, bytes], folder: Path, mark: str) -> Path:
    """Put a text where texts are kept below a shop's folder, whole or not at all; its folder.

    Raises
    ------
    BadInput
        The shop's folder cannot be written to.
    """
    place = folder / KEPT / mark
    if place.is_dir() and whole_mark(read_files(place)) == mark:
        return place
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        half = Path(tempfile.mkdtemp(dir=place.parent))
        try:
            write_files(files, half)
            shutil.rmtree(place, ignore_errors=True)
            os.replace(half, place)
        finally:
            shutil.rmtree(half, ignore_errors=True)
    except OSError as error:
        if place.is_dir() and whole_mark(read_files(place)) == mark:  # somebody else was quicker
            return place
        said = f"the text cannot be laid down: {error.strerror or error}"
        raise BadInput.at(Where(str(place.parent)), said, "", "a folder that may be written to") from None
    return place


def write_files(files: Mapping[str, bytes | None], folder: Path) -> None:
    """Write files below a folder, each whole or not at all; what is None is taken away.

    Raises
    ------
    BadInput
        A file cannot be written, or would lie elsewhere; then none is.
    """
    for path in files:
        read = PureWindowsPath(path)  # which knows the signs of other systems too
        if read.anchor or ".." in read.parts:
            where = Where("the shop's text")
            raise BadInput.at(where, "a file would lie outside of the shop's folder", path, "a path below it")
    for path, content in files.items():
        if content is None:
            (folder / path).unlink(missing_ok=True)
        else:
            save(folder / path, content)


def typed(content: bytes | None) -> str:
    """A file as a person reads it in a form; nothing where there is none.

    Raises
    ------
    BadInput
        It is not UTF-8 text.
    """
    try:
        return (content or b"").decode("utf-8").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise BadInput.at(
            Where(), "the file is not UTF-8 text", f"byte {error.start}", "a text saved as UTF-8"
        ) from None


def written(text: str, before: bytes | None) -> bytes:
    """A file out of what a form brought back, with the line ends that it had; its last line has one."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    if plain and not plain.endswith("\n"):
        plain += "\n"
    if before and b"\r\n" in before:
        plain = plain.replace("\n", "\r\n")
    return plain.encode("utf-8")


def differing(old: bytes | None, new: bytes | None) -> tuple[DiffLine, ...]:
    """What differs in a file, line by line; the rest of a very long difference is only counted."""
    before, after = ((each or b"").decode("utf-8", errors="replace").splitlines() for each in (old, new))
    lines = list(unified_diff(before, after, lineterm="", n=AROUND))[2:]
    told = [DiffLine(line[:1], line if line[:1] == "@" else line[1:]) for line in lines[:MOST_LINES]]
    if len(lines) > MOST_LINES:
        told.append(DiffLine("@", f"and {len(lines) - MOST_LINES} lines more"))
    return tuple(told)
