"""All that belongs to one customer, in every table, and how it is taken away.

What belongs to him is found by the keys of the tables alone, so that a table that is new is found as well.
What the books demand stays, with a mark in place of his name.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import LargeBinary, String, Table, Text, bindparam, delete, select, text, update
from sqlalchemy.orm import Session

from tappetry.store.columns import Document
from tappetry.store.database import Database
from tappetry.store.links_models import AnswerRow, AnswerSeen, LinkEnd, LinkRow
from tappetry.store.many import parts
from tappetry.store.models import FACTS, PLAN, SHEET, Base, Entry, JobRow, Task, Version
from tappetry.store.people import VIN, name_key, words_of
from tappetry.store.people_models import Customer, Mileage, Vehicle

#: What stands where words were taken away.
GONE = "[deleted]"
#: Choices of a plan that say nothing of a person; the rest of it is words.
CHOICES = ("cam", "work", "phaser", "deact", "heads", "use", "package", "rpm")
#: Tables of which the rows of a customer go whole, those first that refer to others.
WHOLE = (AnswerSeen, AnswerRow, LinkEnd, LinkRow, Mileage)
#: Names within a job, a link or an acceptance under which people write words of their own.
_FREE = {"source", "note", "signatures", "wishes", "declined", "own_parts", "photos", "place"}
_WRITTEN = {"versions", "links", "acceptances"}
#: A shorter text is no words that somebody would be known by.
_SHORT = 8
Rows = dict[str, list[dict[str, Any]]]


@dataclass(frozen=True, slots=True)
class Erased:
    """What was done: rows that went whole, and rows that stay without his words, each by table."""

    gone: Mapping[str, int]
    kept: Mapping[str, int]
    jobs: tuple[str, ...]


def rows_of(session: Session, customer: int) -> Rows:
    """All rows that belong to a customer, by table: his own, his jobs', and whatever refers to those."""
    found: Rows = {}
    numbers: dict[str, list[int]] = {}
    for table in Base.metadata.sorted_tables:
        if table.name == Customer.__tablename__:
            wanted = [table.c.id == customer]
        elif table.name in (JobRow.__tablename__, Vehicle.__tablename__):
            wanted = [table.c.customer_id == customer]
        else:
            # ids within the text of the statement: a value each takes four times as long where there are many
            wanted = [
                key.parent.in_(bindparam(None, part, expanding=True, literal_execute=True))
                for key in table.foreign_keys
                for part in parts(numbers.get(key.column.table.name, ()))
            ]
        rows = _rows(session, table, wanted)
        if rows:
            found[table.name] = rows
            numbers[table.name] = [row["id"] for row in rows if "id" in row]
    return found


def _rows(session: Session, table: Table, wanted: Iterable[Any]) -> list[dict[str, Any]]:
    """The rows for which any of some conditions holds, each once, in the order of their keys."""
    keys = [column.name for column in table.primary_key.columns]
    found = {
        tuple(row[name] for name in keys): dict(row)
        for condition in wanted
        for row in session.execute(select(table).where(condition)).mappings()
    }
    return [found[key] for key in sorted(found)]


def erase(session: Session, customer: Customer, mark: str, stand_in: bytes, at: datetime) -> Erased:
    """Take the words of a customer out of every table; ``stand_in`` is put in the place of each paper."""
    rows = rows_of(session, customer.id)
    cleaner = Cleaner(rows, mark)
    jobs = tuple(row["number"] for row in rows.get(JobRow.__tablename__, ()))
    whole = {each.__tablename__: Base.metadata.tables[each.__tablename__] for each in WHOLE}
    gone = {name: len(rows[name]) for name in whole if name in rows}
    own = {Customer.__tablename__, Vehicle.__tablename__, JobRow.__tablename__}
    kept = {name: each for name, each in rows.items() if name not in whole and name not in own}
    with lifted(session, (*gone, *kept)):
        for name, table in whole.items():
            for row in rows.get(name, ()):
                session.execute(delete(table).where(_same(table, row)))
        for name, each in kept.items():
            table = Base.metadata.tables[name]
            for row in each:
                changed = cleaner.row(table, row, stand_in)
                if changed:
                    session.execute(update(table).where(_same(table, row)).values(changed))
    gone[Vehicle.__tablename__] = len(rows.get(Vehicle.__tablename__, ()))
    gone[Task.__tablename__] = _end_tasks(session, jobs, cleaner)
    for row in rows.get(JobRow.__tablename__, ()):
        values = {"title": "", "customer": mark, "words": row["number"].lower(), "vehicle_id": None}
        session.execute(update(JobRow).where(JobRow.id == row["id"]).values(values))
    session.execute(delete(Vehicle).where(Vehicle.customer_id == customer.id))
    customer.name, customer.key, customer.notes = mark, name_key(mark), ""
    customer.document, customer.words, customer.deleted_at = {"reach": []}, words_of(mark), at
    session.flush()
    session.expire_all()
    return Erased(gone, {name: len(each) for name, each in kept.items()}, jobs)


def _same(table: Table, row: Mapping[str, Any]) -> Any:
    keys = [column == row[column.name] for column in table.primary_key.columns]
    return keys[0] if len(keys) == 1 else keys[0] & keys[1]


def _end_tasks(session: Session, jobs: Iterable[str], cleaner: Cleaner) -> int:
    """Take away long work about his jobs; it names them in its document and not by a key."""
    wanted = set(jobs)
    found = [
        each.id
        for each in session.scalars(select(Task))
        if wanted.intersection(_jobs_of(each.task)) or cleaner.text(each.title) != each.title
    ]
    session.execute(delete(Task).where(Task.id.in_(found)))
    return len(found)


def _jobs_of(value: Any) -> Iterator[str]:
    """The numbers of the jobs that a task names, wherever in its document."""
    if isinstance(value, Mapping):
        for key, each in value.items():
            if key == "job" and isinstance(each, str):
                yield each
            else:
                yield from _jobs_of(each)
    elif isinstance(value, list):
        for each in value:
            yield from _jobs_of(each)


class Cleaner:
    """Knows the words of a customer and takes them out of texts."""

    def __init__(self, rows: Rows, mark: str) -> None:
        self.mark = mark
        names, marks, free = _words(rows)
        parts = {part for name in names for part in re.findall(r"[^\W\d_]{4,}", name) if part[0].isupper()}
        self._names = _pattern(names, re.IGNORECASE)
        self._parts = _pattern(parts)
        self._marks = _pattern(marks, re.IGNORECASE)
        self._free = _pattern(free)

    def text(self, value: str) -> str:
        """A text without his words."""
        for pattern, instead in (
            (self._free, GONE),
            (self._names, self.mark),
            (self._marks, GONE),
            (self._parts, GONE),
        ):
            if pattern is not None:
                value = pattern.sub(instead, value)
        return value

    def plain(self, value: Any) -> Any:
        """Plain data without his words; names of fields stay."""
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, Mapping):
            return {key: self.plain(each) for key, each in value.items()}
        return [self.plain(each) for each in value] if isinstance(value, list) else value

    def row(self, table: Table, row: Mapping[str, Any], stand_in: bytes) -> dict[str, Any]:
        """The columns of a row that say something else without his words."""
        if table.name == Version.__tablename__:
            return {"document": _blank(row["part"], row["document"], self.mark)}
        changed: dict[str, Any] = {}
        for column in table.columns:
            value = row[column.name]
            if value is None or column.primary_key or column.foreign_keys:
                continue
            if isinstance(column.type, Document):
                changed[column.name] = self.plain(value)
            elif isinstance(column.type, LargeBinary):
                changed[column.name] = stand_in
            elif isinstance(column.type, String | Text):
                changed[column.name] = self.text(value)
        if table.name == Entry.__tablename__:  # what was done stays, and not with which words
            changed["what"] = self.text(row["what"].partition(":")[0])
            changed["why"] = ""
        return {name: value for name, value in changed.items() if value != row[name]}


def _pattern(words: Iterable[str], flags: int = 0) -> re.Pattern[str] | None:
    """Any of some words, the longest first, where they stand for themselves."""
    found = sorted({word for word in words if word}, key=lambda word: (-len(word), word))
    if not found:
        return None
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, found))})(?!\w)", flags)


def _words(rows: Rows) -> tuple[set[str], set[str], set[str]]:
    """His names; what else he is known by; and sentences that were written about him."""
    names: set[str] = set()
    marks: set[str] = set()
    free: set[str] = set()
    for row in rows.get(Customer.__tablename__, ()):
        names.add(row["name"])
        marks |= set(row["document"]["reach"])
        free |= set(row["notes"].splitlines())
    for each in rows.get(Vehicle.__tablename__, ()):
        marks |= {each["vin"], each["plate"]}
    for each in rows.get(JobRow.__tablename__, ()):
        names.add(each["customer"])
        free.add(each["title"])
    for name, each in ((name, row) for name, found in rows.items() for row in found):
        if name == Version.__tablename__:
            marks |= set(_said(each["document"], VIN))
            names |= {each["document"].get("customer", "")}
            free.add(each["document"].get("title", ""))
        elif name not in (Customer.__tablename__, Vehicle.__tablename__, JobRow.__tablename__):
            names.add(str(each.get("customer", "")))
        free |= {str(each[column]) for column in ("why", "said", "about", "value") if each.get(column)}
        if name in _WRITTEN:
            free |= set(_free(each["document"]))
    marks = {mark for mark in marks if len(mark) > 3}
    names.discard("")
    return names, marks, {each for each in free if _is_said(each)} - names


def _said(document: Mapping[str, Any], name: str) -> Iterator[str]:
    fact = document.get(FACTS, {}).get(name)
    for each in fact if isinstance(fact, list) else [fact]:
        if isinstance(each, Mapping):
            yield str(each["value"]).strip()


def _is_said(text: str) -> bool:
    return len(text) >= _SHORT and " " in text.strip()


def _free(value: Any, within: bool = False) -> Iterator[str]:
    """Texts that people wrote, by the names of the fields in which they stand."""
    if isinstance(value, str) and within:
        yield value
    elif isinstance(value, Mapping):
        for key, each in value.items():
            yield from _free(each, within or key in _FREE)
    elif isinstance(value, list):
        for each in value:
            yield from _free(each, within)


def _blank(part: str, document: Mapping[str, Any], mark: str) -> dict[str, Any]:
    """A version that says nothing of anybody, and still makes a job."""
    if part == SHEET:
        return {"date": document["date"], "customer": mark}
    if part == PLAN:
        return {name: document[name] for name in CHOICES if name in document}
    return {FACTS: {}}


@contextmanager
def lifted(session: Session, tables: Iterable[str]) -> Iterator[None]:
    """Let rows that are written once be changed, for this act alone; the guards stand again after it."""
    named = list(tables)
    if session.connection().dialect.name != "sqlite":
        asked = text(
            "SELECT tgrelid::regclass::text, tgname FROM pg_trigger "
            "WHERE NOT tgisinternal AND tgrelid::regclass::text = ANY(:tables)"
        )
        guards = session.execute(asked, {"tables": named}).all()
        for table, guard in guards:
            session.execute(text(f"ALTER TABLE {table} DISABLE TRIGGER {guard}"))
        yield
        for table, guard in guards:
            session.execute(text(f"ALTER TABLE {table} ENABLE TRIGGER {guard}"))
        return
    asked = text("SELECT name, tbl_name, sql FROM sqlite_master WHERE type = 'trigger'")
    made = [(name, sql) for name, table, sql in session.execute(asked).all() if table in named]
    for name, _ in made:
        session.execute(text(f"DROP TRIGGER {name}"))
    yield
    for _, sql in made:
        session.connection().exec_driver_sql(sql)


def compact(database: Database, tables: Iterable[str]) -> None:
    """Let the database write its files anew, so that nothing of what was taken away stays in them."""
    if database.is_sqlite:
        connection = database.engine.raw_connection()
        try:
            for command in ("VACUUM", "PRAGMA wal_checkpoint(TRUNCATE)"):
                connection.cursor().execute(command)
        finally:
            connection.close()
        return
    with database.engine.connect() as plain:
        connection_ = plain.execution_options(isolation_level="AUTOCOMMIT")
        for table in tables:
            connection_.exec_driver_sql(f"VACUUM FULL {table}")
