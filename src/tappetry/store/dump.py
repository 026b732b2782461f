"""Everything that a database holds as lines of JSON, and back into an empty one, on either database.

The first line says what follows and at which step the tables are, each further line is one row, the last one
counts the rows of each table and holds the SHA-256 of all lines before it. The same content gives the same
lines on either database.
"""

from __future__ import annotations

import gzip
import hashlib
import json
from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Table, insert, select, text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tappetry.store.database import Database
from tappetry.store.migrate import step_of
from tappetry.store.problems import NotKept
from tappetry.store.rows import as_plain, copied_tables, from_plain, hold_something

FORMAT, VERSION = "tappetry store", 1
#: The step of the tables of a file that does not name it: the one at which files began to name it.
UNNAMED_STEP = "books"
#: So many rows are written at once.
ROWS = 500


@dataclass(frozen=True, slots=True)
class Content:
    """How much a database holds: rows by table, and the checksum of all of it."""

    counts: Mapping[str, int]
    checksum: str


def lines(database: Database) -> Iterator[bytes]:
    """Everything as lines, all of one moment, while others go on with their work."""
    with database.reading() as session:
        yield from lines_of(session)


def lines_of(session: Session) -> Iterator[bytes]:
    """Everything as lines, as one transaction sees it."""
    digest = hashlib.sha256()
    tables = copied_tables(session)
    counts = {table.name: 0 for table in tables}
    first = _line({"format": FORMAT, "version": VERSION, "schema": step_of(session)})
    digest.update(first)
    yield first
    for table in tables:
        for line in _rows(session, table):
            counts[table.name] += 1
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

    The tables of the database have to be at the step of the lines.

    Raises
    ------
    NotKept
        The database is not empty, the lines are not whole, or what came of them is not what they say.
    """
    try:
        with database.writing() as session:
            return _load_whole(session, source)
    except IntegrityError as error:
        said = str(error.orig).strip().splitlines()[0]
        raise NotKept(f"The rows of the file do not belong together: {said}. Nothing was kept.") from None


def _load_whole(session: Session, source: Iterable[bytes]) -> Content:
    tables = copied_tables(session)
    if held := [table.name for table in tables if hold_something(session, [table])]:
        raise NotKept(
            f"The database holds something already ({', '.join(held)}). Only an empty one takes in a whole "
            "store: name a new one, or move the old file away and keep it."
        )
    put = _Put(session, tables)
    said = put.all(source)
    if (put.counts, put.digest.hexdigest()) != (said.counts, said.checksum):
        raise NotKept(
            f"What was read is not what the file says: rows {put.counts}, checksum "
            f"{put.digest.hexdigest()[:12]}; it says {said.counts}, {said.checksum[:12]}. Nothing was kept."
        )
    for table in tables:
        found = hashlib.sha256()
        for line in _rows(session, table):
            found.update(line)
        if found.digest() != put.read[table.name].digest():
            raise NotKept(f"What {table.name} holds now is not what the file says. Nothing was kept.")
    if session.connection().dialect.name == "postgresql":
        _continue_numbers(session, tables)
    return said


def step_of_lines(source: Iterable[bytes]) -> str:
    """At which step the tables were of which the lines tell.

    Raises
    ------
    NotKept
        The first line is not that of a store.
    """
    return _step(next(iter(source), b""))


def _step(line: bytes) -> str:
    data = _read(line, 1)
    if data.get("format") != FORMAT or data.get("version") != VERSION:
        raise NotKept(f"Line 1 is not that of a store of version {VERSION}: {line[:80]!r}.")
    return str(data.get("schema", UNNAMED_STEP))


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
        reason = getattr(error, "strerror", None) or error
        raise NotKept(f"{file.name} cannot be read: {reason}.") from None


def _rows(session: Session, table: Table) -> Iterator[bytes]:
    """The rows of a table as lines, in the order of their numbers."""
    rows = session.execute(select(table).order_by(*table.primary_key.columns)).yield_per(ROWS)
    for row in rows.mappings():
        yield _row_line(table, row)


def _row_line(table: Table, row: Mapping[Any, Any]) -> bytes:
    return _line({"table": table.name, "row": as_plain(table, row)})


def _line(data: Mapping[str, Any]) -> bytes:
    return json.dumps(data, ensure_ascii=False, allow_nan=False).encode() + b"\n"


class _Put:
    """Puts lines into tables; counts and sums what it reads on the way."""

    def __init__(self, session: Session, tables: Sequence[Table]) -> None:
        self.session = session
        self.tables = {table.name: table for table in tables}
        self.counts = dict.fromkeys(self.tables, 0)
        self.digest = hashlib.sha256()
        self.read = {name: hashlib.sha256() for name in self.tables}
        self.waiting: list[dict[str, Any]] = []

    def all(self, source: Iterable[bytes]) -> Content:
        """Put all rows; what the last line says of them."""
        table: Table | None = None
        number = 0
        for number, line in enumerate(source, 1):
            data = _read(line, number)
            if number == 1:
                self._must_suit(_step(line))
            elif "counts" in data:
                self._write(table)
                return Content(data["counts"], str(data.get("sha256")))
            else:
                named = self.tables.get(str(data.get("table")))
                if named is None:
                    raise NotKept(f"Line {number}: there is no such table: {data.get('table')}")
                if named is not table or len(self.waiting) == ROWS:
                    self._write(table)
                    table = named
                self._take(named, data.get("row"), number)
            self.digest.update(line)
        raise NotKept(f"The file ends after line {number} without its last line: it is not whole.")

    def _must_suit(self, step: str) -> None:
        now = step_of(self.session)
        if step != now:
            raise NotKept(f"The file is of tables at step {step}, those of the database are at step {now}.")

    def _take(self, table: Table, data: object, number: int) -> None:
        try:
            row = from_plain(table, data)
        except ValueError as error:
            raise NotKept(f"Line {number}: {error}") from None
        self.waiting.append(row)
        self.counts[table.name] += 1
        self.read[table.name].update(_row_line(table, row))

    def _write(self, table: Table | None) -> None:
        if table is not None and self.waiting:
            self.session.execute(insert(table), self.waiting)
        self.waiting = []


def _read(line: bytes, number: int) -> dict[str, Any]:
    try:
        data = json.loads(line)
    except ValueError:
        data = None
    if not isinstance(data, dict):
        raise NotKept(f"Line {number} is not a line of a store.")
    return data


def _continue_numbers(session: Session, tables: Iterable[Table]) -> None:
    """Let new rows be numbered after those that were put in; SQLite does so by itself."""
    for table in tables:
        if "id" in table.columns:
            session.execute(
                text(
                    f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), "
                    f"(SELECT coalesce(max(id), 0) + 1 FROM {table.name}), false)"
                )
            )
