"""Rows as plain data and back, by the tables that a database has: of this version of the program or an older.

Nothing here asks the models what there is, so that a database is copied whole before its tables are changed.
"""

from __future__ import annotations

import base64
import binascii
import json
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any

from sqlalchemy import BigInteger, Column, Date, DateTime, LargeBinary, MetaData, Table, Text, func, select
from sqlalchemy.orm import Session

from tappetry.store.columns import CENT, Moment, Money
from tappetry.store.models import Base

#: The table in which the steps note how far they are.
STEPS = "alembic_version"
#: Marks a column of cents that a copy tells with two digits.
_CENTS = "cents"


def copied_tables(session: Session) -> list[Table]:
    """The tables that a copy holds, those first that others refer to.

    Tables whose rows are over when a copy is brought back are left out.
    """
    found = MetaData()
    found.reflect(session.connection(), only=lambda name, _: name != STEPS)
    tables = [table for table in found.sorted_tables if not _model(table.name, "info", {}).get("passing")]
    for table in tables:
        known = _model(table.name, "columns", {})
        for column in table.columns:
            if isinstance(column.type, DateTime):
                column.type = Moment()
            if column.name in known and isinstance(known[column.name].type, Money):
                column.info[_CENTS] = True
    return tables


def _model(name: str, what: str, otherwise: Any) -> Any:
    """What the program of today says of a table, if it knows it."""
    return getattr(Base.metadata.tables.get(name), what, otherwise)


def hold_something(session: Session, tables: Iterable[Table]) -> bool:
    """Whether any table has a row."""
    return any(session.scalar(select(func.count()).select_from(table)) for table in tables)


def as_plain(table: Table, row: Mapping[str, Any]) -> dict[str, Any]:
    """A row as JSON holds it: money as decimal text, moments in UTC, papers in base64."""
    return {column.name: _plain(column, row[column.name]) for column in table.columns}


def _plain(column: Column[Any], value: Any) -> Any:
    if value is None:
        return None
    if column.info.get(_CENTS):
        return str(Decimal(value).scaleb(-2))
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, str) and isinstance(column.type, Text):
        return _document(value)
    return base64.b64encode(value).decode() if isinstance(value, bytes) else value


def _document(text: str) -> Any:
    """A document as data if just that text comes of it again, else the text."""
    if text.startswith("{"):
        try:
            data = json.loads(text)
            return data if _text(data) == text else text
        except (ValueError, RecursionError):
            pass
    return text


def _text(document: Any) -> str:
    return json.dumps(document, ensure_ascii=False, allow_nan=False)


def from_plain(table: Table, row: object) -> dict[str, Any]:
    """A row as the database takes it.

    Raises
    ------
    ValueError
        The row has other columns, or a value cannot be read.
    """
    if not isinstance(row, dict) or set(row) != set(table.columns.keys()):
        raise ValueError(f"a row of {table.name} has {', '.join(table.columns.keys())}")
    try:
        return {column.name: _value(column, row[column.name]) for column in table.columns}
    except (ValueError, InvalidOperation, binascii.Error, TypeError) as error:
        raise ValueError(f"a value of {table.name} cannot be read: {error}") from None


def _value(column: Column[Any], value: Any) -> Any:
    if value is None:
        return None
    if isinstance(column.type, BigInteger) and isinstance(value, str):
        return _cents(Decimal(value))
    if isinstance(column.type, Moment):
        return datetime.fromisoformat(value)
    if isinstance(column.type, Date):
        return date.fromisoformat(value)
    if isinstance(column.type, Text) and isinstance(value, dict):
        return _text(value)
    return base64.b64decode(value, validate=True) if isinstance(column.type, LargeBinary) else value


def _cents(amount: Decimal) -> int:
    if not amount.is_finite() or amount != amount.quantize(CENT):
        raise ValueError(f"an amount of {amount} is kept in whole cents or not at all")
    return int(amount.scaleb(2))
