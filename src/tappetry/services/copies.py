"""Writes copies of a database into files, each proved by bringing it back."""

from __future__ import annotations

import gzip
import os
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from tappetry.records.problems import BadInput, Where
from tappetry.store.database import Database, sqlite_url
from tappetry.store.dump import Content, load, read_lines, step_of_lines
from tappetry.store.migrate import migrate, steps
from tappetry.store.problems import NotKept, StoreUnavailable

#: The folder of the backups that the program makes by itself.
BACKUPS = "backups"


def folder_of(database: Database, shop: Path) -> Path:
    """Where the program's own backups lie: beside the file of the database, else in the shop's folder."""
    beside = Path(database.url.database or "").parent if database.is_sqlite else shop
    return beside / BACKUPS


def keep_copy(source: Callable[[], Iterable[bytes]], file: Path, *, packed: bool) -> Content:
    """Write lines to a new file, after it was proved that they can be brought back whole.

    The proof: what was written is put into a scratch database with tables at the same step, and what that
    holds is counted and summed.

    Raises
    ------
    BadInput
        There is such a file already, or it cannot be written.
    NotKept
        What was written could not be brought back.
    """
    if file.exists():
        raise BadInput.at(Where(str(file)), "there is such a file already", file.name, "a new file name")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=f".{file.name}.", dir=file.parent) as folder:
            half = Path(folder) / file.name
            _write(source, half, packed)
            found = _proved(half)
            os.replace(half, file)
        _settle(file.parent)
    except OSError as error:
        raise _not_written(file, error.strerror or str(error)) from error
    return found


def _proved(file: Path) -> Content:
    """What a scratch database holds that was made from a file."""
    try:
        with brought_back(file, file.parent) as (_, found):
            return found
    except StoreUnavailable as error:  # it is not the shop's database that has no room
        raise OSError(error.reason) from error


def _not_written(file: Path, reason: str) -> BadInput:
    return BadInput.at(
        Where(str(file)),
        f"the file cannot be written: {reason}",
        file.parent,
        "a folder that may be written to, with room for the file and a copy of the database",
    )


def _write(source: Callable[[], Iterable[bytes]], file: Path, packed: bool) -> None:
    """Write everything, line by line, for the owner of the file alone, and wait until the disk has it."""
    with open(file, "wb", opener=lambda path, flags: os.open(path, flags, 0o600)) as plain:
        if packed:
            with gzip.GzipFile("", "wb", fileobj=plain, mtime=0) as opened:
                opened.writelines(source())
        else:
            plain.writelines(source())
        plain.flush()
        os.fsync(plain.fileno())


def _settle(folder: Path) -> None:
    """Wait until the disk knows the names in a folder, where the system can tell."""
    if os.name == "posix":
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def step_of_file(file: Path) -> str:
    """At which step the tables were of which a file tells.

    Raises
    ------
    NotKept
        It is no file that was taken out of a store.
    """
    try:
        return step_of_lines(read_lines(file))
    except NotKept as error:
        raise NotKept(
            f"{error} Name a file that `tappetry backup` or `tappetry export` wrote (read: {file.name})."
        ) from None


@contextmanager
def brought_back(file: Path, folder: Path | None = None) -> Iterator[tuple[Database, Content]]:
    """A scratch database with what a file holds, at the step of the file; in a folder, or anywhere.

    Raises
    ------
    NotKept
        The file is not whole, or of a later version of the program.
    """
    step = step_of_file(file)
    if step not in steps():
        raise NotKept(
            f"{file.name} is of a later version of the program (its tables are at step {step}). Install that "
            "version."
        )
    with tempfile.TemporaryDirectory(dir=folder) as place:
        scratch = Database(sqlite_url(Path(place)))
        try:
            migrate(scratch, step)
            yield scratch, load(scratch, read_lines(file))
        finally:
            scratch.close()
