"""The tables of the books: postings and their lines, invoices; written once."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import Date, ForeignKey, LargeBinary, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from tappetry.store.columns import Document, Money
from tappetry.store.models import Base, Entry


class Posting(Base):
    """One movement between accounts; its lines add up to nothing.

    One that takes another one back is of its kind, and names it in ``of_id``.
    """

    __tablename__ = "postings"

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"), index=True)
    kind: Mapped[str] = mapped_column(String(20))
    day: Mapped[date] = mapped_column(Date)
    said: Mapped[str] = mapped_column(Text)
    supplier: Mapped[str] = mapped_column(String(20))
    of_id: Mapped[int | None] = mapped_column(ForeignKey("postings.id"), index=True, unique=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
    lines: Mapped[list[PostingLine]] = relationship(order_by="PostingLine.place")


class PostingLine(Base):
    """What one account gains by a posting: a debit where it is positive."""

    __tablename__ = "posting_lines"

    posting_id: Mapped[int] = mapped_column(ForeignKey("postings.id"), primary_key=True)
    place: Mapped[int] = mapped_column(primary_key=True)
    account: Mapped[str] = mapped_column(String(60), index=True)
    amount: Mapped[Decimal] = mapped_column(Money)


class InvoiceRow(Base):
    """An invoice, or a credit note on one, as it was written; each kind has numbers of its own without gaps.

    ``total`` is positive for either kind. A credit note names its invoice in ``of_id`` and is due on no day.
    ``supplied`` is the day of supply, a credit note's that of its invoice; None on papers that were written
    before they said it.
    """

    __tablename__ = "invoices"
    __table_args__ = (UniqueConstraint("kind", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(10))
    number: Mapped[int]
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"), index=True)
    of_id: Mapped[int | None] = mapped_column(ForeignKey("invoices.id"))
    day: Mapped[date] = mapped_column(Date)
    due: Mapped[date | None] = mapped_column(Date)
    supplied: Mapped[date | None] = mapped_column(Date)
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    total: Mapped[Decimal] = mapped_column(Money)
    currency: Mapped[str] = mapped_column(String(3))
    posting_id: Mapped[int] = mapped_column(ForeignKey("postings.id"), unique=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
