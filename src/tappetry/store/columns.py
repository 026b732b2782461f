"""What columns hold on either database: money to the cent, moments in UTC, documents as they were written."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import BigInteger, DateTime, Dialect, Text
from sqlalchemy.types import TypeDecorator

CENT = Decimal("0.01")


class Money(TypeDecorator[Decimal]):
    """An exact amount: whole cents in the database, so that sums and orders are exact on either one."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> int | None:
        """The amount in cents.

        Raises
        ------
        ValueError
            The amount is finer than a cent, or no number.
        """
        if value is None:
            return None
        if not value.is_finite() or value != value.quantize(CENT):
            raise ValueError(f"an amount of {value} is kept in whole cents or not at all")
        return int(value.scaleb(2))

    def process_result_value(self, value: int | None, dialect: Dialect) -> Decimal | None:
        """The amount with two digits."""
        return None if value is None else Decimal(value).scaleb(-2)


class Moment(TypeDecorator[datetime]):
    """A moment in UTC; one without a zone is refused, because nobody could tell when it was."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """The moment as the database keeps it.

        Raises
        ------
        ValueError
            The moment has no zone.
        """
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} says no time zone")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """The moment with its zone, which not every database gives back."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Document(TypeDecorator[dict[str, Any]]):
    """Plain data as JSON text; the order of keys is kept, for the nearest of equal evidence stands first."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: dict[str, Any] | None, dialect: Dialect) -> str | None:
        """The data as text; what JSON cannot hold is refused."""
        return None if value is None else json.dumps(value, ensure_ascii=False, allow_nan=False)

    def process_result_value(self, value: str | None, dialect: Dialect) -> dict[str, Any] | None:
        """The data as it was."""
        if value is None:
            return None
        data: dict[str, Any] = json.loads(value)
        return data
