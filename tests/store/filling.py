"""Fills every table that a database has with rows, whatever step it is at, and says what stands in it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Date,
    DateTime,
    Float,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    insert,
    select,
    text,
)
from sqlalchemy.orm import Session

from tappetry.store.columns import Moment
from tappetry.store.database import Database
from tappetry.store.rows import STEPS
from tests.store.documents import NOON

#: Rows in each table.
ROWS = 3

Rows = dict[str, list[dict[str, Any]]]


def tables_of(session: Session) -> list[Table]:
    """The tables as they stand in a database, those first that others refer to."""
    found = MetaData()
    found.reflect(session.connection(), only=lambda name, _: name != STEPS)
    for table in found.sorted_tables:
        for column in table.columns:
            if isinstance(column.type, DateTime):
                column.type = Moment()
    return found.sorted_tables


def fill(database: Database) -> None:
    """Put rows into every table: each column of each one holds something in all rows but perhaps the last."""
    with database.writing() as session:
        for table in tables_of(session):
            for place in range(1, ROWS + 1):
                session.execute(insert(table).values(_row(table, place)))


def held(database: Database) -> Rows:
    """Every row of every table, in the order of their keys."""
    with database.reading() as session:
        return {
            table.name: [
                dict(row)
                for row in session.execute(select(table).order_by(*table.primary_key.columns)).mappings()
            ]
            for table in tables_of(session)
        }


def orphans(database: Database) -> list[str]:
    """Columns with values that name no row of the table that they refer to."""
    with database.reading() as session:
        return [
            f"{table.name}.{key.parent.name}"
            for table in tables_of(session)
            for key in table.foreign_keys
            if session.scalar(
                text(
                    f"SELECT count(*) FROM {table.name} WHERE {key.parent.name} IS NOT NULL AND "
                    f"{key.parent.name} NOT IN (SELECT {key.column.name} FROM {key.column.table.name})"
                )
            )
        ]


def made_as(database: Database) -> set[tuple[Any, ...]]:
    """All that a database says of its tables, indices and guards."""
    asked = (
        "SELECT type, name, replace(sql, '\"', '') FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'"
        if database.is_sqlite
        else "SELECT 'column', table_name || '.' || column_name, data_type || is_nullable "
        "FROM information_schema.columns WHERE table_schema = 'public' "
        "UNION SELECT 'index', indexname, indexdef FROM pg_indexes WHERE schemaname = 'public' "
        "UNION SELECT 'rule', conname, pg_get_constraintdef(oid) FROM pg_constraint "
        "UNION SELECT 'guard', tgname, pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal"
    )
    with database.reading() as session:
        return {tuple(row) for row in session.execute(text(asked))}


def _row(table: Table, place: int) -> dict[str, Any]:
    """A row that is unlike the others; numbers that the database gives are left to it."""
    keys = list(table.primary_key.columns)
    return {
        column.name: _value(column, place)
        for column in table.columns
        if not (column in keys and len(keys) == 1 and not column.foreign_keys and _whole(column))
    }


def _whole(column: Column[Any]) -> bool:
    return isinstance(column.type, Integer)


def _value(column: Column[Any], place: int) -> Any:
    if column.foreign_keys and _whole(column):
        return place if not column.nullable or place < ROWS else None
    if column.nullable and place == ROWS:
        return None
    kind = column.type
    if isinstance(kind, Boolean):
        return place % 2 == 1
    if isinstance(kind, BigInteger):
        return 1999 * place
    if isinstance(kind, Integer):
        return place
    if isinstance(kind, Float):
        return place / 8
    if isinstance(kind, Moment):
        return NOON + timedelta(minutes=place, microseconds=7)
    if isinstance(kind, Date):
        return date(2026, 3, place)
    if isinstance(kind, LargeBinary):
        return b"\x00\xff" + bytes([place])
    if isinstance(kind, Text):  # a document or plain text: the tables do not say which
        return f'{{"ü": "{column.name}", "of": {place}}}'
    return f"{place}{column.name}"[: getattr(kind, "length", None)]
