"""Everything that a database holds as lines of JSON, and back into an empty one, on either database.

The first line says what follows, each further line is one row, the last one counts the rows of each table
and holds the SHA-256 of all lines before it. The same content gives the same lines on either database.
"""

from __future__ import annotations

import base64
import binascii
import gzip
import hashlib
import json
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from sqlalchemy import Column, Date, LargeBinary, Table, func, insert, select, text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tappetry.store.columns import Moment, Money
from tappetry.store.database import Database
from tappetry.store.models import Base
from tappetry.store.problems import NotKept

FORMAT, VERSION = "tappetry store", 1
#: So many rows are written at once.
ROWS = 500


@dataclass(frozen=True, slots=True)
class Content:
    """How much a database holds: rows by table, and the checksum of all of it."""

    counts: Mapping[str, int]
    checksum: str


def lines(database: Database) -> Iterator[bytes]:
    """Everything as lines, all of one moment, while others go on with their work."""
    digest = hashlib.sha256()
    counts: dict[str, int] = {}
    with database.reading() as session:
        for line in _body(session, counts):
            digest.update(line)
            yield line
    yield _line({"counts": counts, "sha256": digest.hexdigest()})


def content(database: Database) -> Content:
    """What a database holds, counted and summed."""
    (last,) = deque(lines(database), maxlen=1)
    said = json.loads(last)
    return Content(said["counts"], said["sha256"])


def load(database: Database, source: Iterable[bytes]) -> Content:
    """Put everything into an empty database, in one transaction: all of it is kept, or nothing.

    Raises
    ------
    NotKept
        The database is not empty, the lines are not whole, or what came of them is not what they say.
    """
    try:
        return _load_whole(database, source)
    except IntegrityError as error:
        said = str(error.orig).strip().splitlines()[0]
        raise NotKept(f"The rows of the file do not belong together: {said}. Nothing was kept.") from None


def _load_whole(database: Database, source: Iterable[bytes]) -> Content:
    with database.writing() as session:
        if session.execute(select(func.count()).select_from(Base.metadata.tables["entries"])).scalar():
            raise NotKept("The database holds jobs already. Only an empty one takes in a whole store.")
        said = _load(session, source)
        counts: dict[str, int] = {}
        digest = hashlib.sha256()
        for line in _body(session, counts):
            digest.update(line)
        found = Content(counts, digest.hexdigest())
        if found != said:
            raise NotKept(
                f"What was read is not what the file says: rows {found.counts}, checksum "
                f"{found.checksum[:12]}; it says {said.counts}, {said.checksum[:12]}. Nothing was kept."
            )
        if not database.is_sqlite:
            _continue_numbers(session)
    return found


def read_lines(file: Path) -> Iterator[bytes]:
    """The lines of a file, packed or not.

    Raises
    ------
    NotKept
        There is no such file, or it is damaged.
    """
    try:
        with file.open("rb") as opened:
            packed = opened.read(2) == b"\x1f\x8b"
        with gzip.open(file) if packed else file.open("rb") as opened:
            yield from opened
    except (OSError, EOFError) as error:
        raise NotKept(f"{file.name} cannot be read: {error}") from None


def _body(session: Session, counts: dict[str, int]) -> Iterator[bytes]:
    """The first line and all rows, counted on the way."""
    yield _line({"format": FORMAT, "version": VERSION})
    for table in _tables():
        counts[table.name] = 0
        rows = session.execute(select(table).order_by(*table.primary_key.columns)).yield_per(ROWS)
        for row in rows:
            counts[table.name] += 1
            values = {column.name: _plain(value) for column, value in zip(table.columns, row, strict=True)}
            yield _line({"table": table.name, "row": values})


def _tables() -> list[Table]:
    """The tables that a copy holds: not those whose rows are over when it is brought back."""
    return [table for table in Base.metadata.sorted_tables if not table.info.get("passing")]


def _line(data: Mapping[str, Any]) -> bytes:
    return json.dumps(data, ensure_ascii=False, allow_nan=False).encode() + b"\n"


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, datetime | date):
        return value.isoformat()
    return base64.b64encode(value).decode() if isinstance(value, bytes) else value


def _load(session: Session, source: Iterable[bytes]) -> Content:
    """Write all rows and return what the last line says of them."""
    waiting: list[dict[str, Any]] = []
    table: Table | None = None
    number = 0
    for number, line in enumerate(source, 1):
        data = _read(line, number)
        if number == 1:
            if data.get("format") != FORMAT or data.get("version") != VERSION:
                raise NotKept(f"Line 1 is not that of a store of version {VERSION}: {line[:80]!r}")
        elif "counts" in data:
            _write(session, table, waiting)
            return Content(data["counts"], str(data.get("sha256")))
        else:
            named = Base.metadata.tables.get(str(data.get("table")))
            if named is None:
                raise NotKept(f"Line {number}: there is no such table: {data.get('table')}")
            if named is not table or len(waiting) == ROWS:
                _write(session, table, waiting)
                table, waiting = named, []
            waiting.append(_row(named, data.get("row"), number))
    raise NotKept(f"The file ends after line {number} without its last line: it is not whole.")


def _read(line: bytes, number: int) -> dict[str, Any]:
    try:
        data = json.loads(line)
    except ValueError:
        data = None
    if not isinstance(data, dict):
        raise NotKept(f"Line {number} is not a line of a store.")
    return data


def _row(table: Table, row: Any, number: int) -> dict[str, Any]:
    if not isinstance(row, dict) or set(row) != set(table.columns.keys()):
        raise NotKept(f"Line {number}: a row of {table.name} has {', '.join(table.columns.keys())}")
    try:
        return {column.name: _value(column, row[column.name]) for column in table.columns}
    except (ValueError, InvalidOperation, binascii.Error, TypeError) as error:
        raise NotKept(f"Line {number}: a value of {table.name} cannot be read: {error}") from None


def _value(column: Column[Any], value: Any) -> Any:
    if value is None:
        return None
    if isinstance(column.type, Money):
        return Decimal(value)
    if isinstance(column.type, Moment):
        return datetime.fromisoformat(value)
    if isinstance(column.type, Date):
        return date.fromisoformat(value)
    return base64.b64decode(value, validate=True) if isinstance(column.type, LargeBinary) else value


def _write(session: Session, table: Table | None, rows: list[dict[str, Any]]) -> None:
    if table is not None and rows:
        session.execute(insert(table), rows)


def _continue_numbers(session: Session) -> None:
    """Let new rows be numbered after those that were put in; SQLite does so by itself."""
    for table in _tables():
        if "id" in table.columns:
            session.execute(
                text(
                    f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), "
                    f"(SELECT coalesce(max(id), 0) + 1 FROM {table.name}), false)"
                )
            )
