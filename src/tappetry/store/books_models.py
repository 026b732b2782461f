"""The tables of the books: postings and their lines; written once."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from sqlalchemy import Date, ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from tappetry.store.columns import Money
from tappetry.store.models import Base, Entry


class Posting(Base):
    """One movement between accounts; its lines add up to nothing."""

    __tablename__ = "postings"

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"), index=True)
    kind: Mapped[str] = mapped_column(String(20))
    day: Mapped[date] = mapped_column(Date)
    said: Mapped[str] = mapped_column(Text)
    supplier: Mapped[str] = mapped_column(String(20))
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
