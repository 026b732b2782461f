"""Takes everything out of a shop's database and brings it back: backup, restore, export, import."""

from __future__ import annotations

import gzip
import os
import tempfile
from pathlib import Path

from tappetry.records.problems import BadInput, Where
from tappetry.services.shop import Shop
from tappetry.store.database import Database, sqlite_url
from tappetry.store.dump import Content, lines, load, read_lines
from tappetry.store.migrate import migrate

__all__ = ["Content", "export_store", "import_store"]


def export_store(shop: Shop, url: str, file: Path, packed: bool = False) -> Content:
    """Write everything to a new file, after it was proved that it can be brought back whole.

    The proof: what was written is put into a scratch database, and what that holds is counted and summed.

    Raises
    ------
    BadInput
        There is such a file already, or it cannot be written.
    StoreUnavailable
        The database does not answer.
    """
    if file.exists():
        raise BadInput.at(Where(str(file)), "there is such a file already", file.name, "a new file name")
    half = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        _write(shop, url, half, packed)
        found = _brought_back(half)
        os.replace(half, file)
    except OSError as error:
        raise BadInput.at(
            Where(str(file)),
            f"the file cannot be written: {error.strerror or error}",
            file.parent,
            "a folder that may be written to, with room for the file and a copy of the database",
        ) from error
    finally:
        half.unlink(missing_ok=True)
    return found


def _write(shop: Shop, url: str, file: Path, packed: bool) -> None:
    """Write everything, line by line, and wait until the disk has it."""
    database = _opened(shop, url)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        with file.open("wb") as plain:
            if packed:
                with gzip.GzipFile("", "wb", fileobj=plain, mtime=0) as opened:
                    opened.writelines(lines(database))
            else:
                plain.writelines(lines(database))
            plain.flush()
            os.fsync(plain.fileno())
    finally:
        database.close()


def _brought_back(file: Path) -> Content:
    """What a scratch database holds that was made from a file."""
    with tempfile.TemporaryDirectory(dir=file.parent) as folder:
        scratch = Database(sqlite_url(Path(folder)))
        try:
            migrate(scratch)
            return load(scratch, read_lines(file))
        finally:
            scratch.close()


def import_store(shop: Shop, url: str, file: Path) -> Content:
    """Bring everything back into a database that holds nothing yet: all of it, or nothing.

    Raises
    ------
    NotKept
        The database is not empty, or the file is not whole.
    """
    database = _opened(shop, url)
    try:
        return load(database, read_lines(file))
    finally:
        database.close()


def _opened(shop: Shop, url: str) -> Database:
    database = Database(url or sqlite_url(shop.folder))
    migrate(database)
    return database
