"""The tables: jobs, every version of what they say, kits, quotes, and the audit trail behind all of it.

Here only rows of ``jobs`` and ``tasks`` are ever changed: the first point at what holds now, the second say
how far work has come. Everything else is written once, and the database itself refuses to change it.
"""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import Date, Double, ForeignKey, LargeBinary, MetaData, String, Text, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship

from tappetry.store.columns import Document, Moment, Money

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}

#: The parts of a job that have versions of their own, so that two people at two parts do not meet.
SHEET, FACTS, PLAN = "sheet", "facts", "plan"
PARTS = (SHEET, FACTS, PLAN)


class Base(DeclarativeBase):
    """What all tables share: names of constraints that do not depend on the database."""

    metadata = MetaData(naming_convention=NAMES)


class Entry(Base):
    """One line of the audit trail: who did what, when, and why; ``job`` is None for acts on the shop."""

    __tablename__ = "entries"

    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime] = mapped_column(Moment, index=True)
    who: Mapped[str] = mapped_column(String(100))
    what: Mapped[str] = mapped_column(Text)
    why: Mapped[str] = mapped_column(Text)
    job_id: Mapped[int | None] = mapped_column(ForeignKey("jobs.id"), index=True)


class JobRow(Base):
    """A job as it stands now: the number of the version in force of each of its parts."""

    __tablename__ = "jobs"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[str] = mapped_column(String(41), unique=True)
    title: Mapped[str] = mapped_column(Text)
    customer: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(String(20), index=True)
    words: Mapped[str] = mapped_column(Text)
    changed_at: Mapped[datetime] = mapped_column(Moment, index=True)
    sheet_version: Mapped[int]
    facts_version: Mapped[int]
    plan_version: Mapped[int]
    customer_id: Mapped[int | None] = mapped_column(ForeignKey("customers.id"), index=True)
    vehicle_id: Mapped[int | None] = mapped_column(ForeignKey("vehicles.id"), index=True)


class Version(Base):
    """One version of one part of a job, whole, as it was stated."""

    __tablename__ = "versions"
    __table_args__ = (UniqueConstraint("job_id", "part", "version"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    part: Mapped[str] = mapped_column(String(10))
    version: Mapped[int]
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"), index=True)
    entry: Mapped[Entry] = relationship()


class KitRow(Base):
    """A kit that was kept, with its price, and the versions of everything that it was made from."""

    __tablename__ = "kits"
    __table_args__ = (UniqueConstraint("job_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    number: Mapped[int]
    sheet_version: Mapped[int]
    facts_version: Mapped[int]
    plan_version: Mapped[int]
    knowledge_version: Mapped[str] = mapped_column(String(64))
    catalogue_version: Mapped[str] = mapped_column(String(64))
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    total: Mapped[Decimal] = mapped_column(Money)
    currency: Mapped[str] = mapped_column(String(3))
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"), index=True)
    entry: Mapped[Entry] = relationship()
    lines: Mapped[list[KitLine]] = relationship(order_by="KitLine.place")


class KitLine(Base):
    """One priced line of a kit, so that parts can be found over all jobs."""

    __tablename__ = "kit_lines"

    kit_id: Mapped[int] = mapped_column(ForeignKey("kits.id"), primary_key=True)
    place: Mapped[int] = mapped_column(primary_key=True)
    supplier: Mapped[str] = mapped_column(String(20))
    part: Mapped[str] = mapped_column(String(60), index=True)
    description: Mapped[str] = mapped_column(Text)
    quantity: Mapped[int]
    unit_price: Mapped[Decimal] = mapped_column(Money)
    line_total: Mapped[Decimal] = mapped_column(Money)


class QuoteRow(Base):
    """A quote as it was sent: its data and the very paper; a later price makes another one."""

    __tablename__ = "quotes"
    __table_args__ = (UniqueConstraint("job_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    number: Mapped[int]
    kit_id: Mapped[int] = mapped_column(ForeignKey("kits.id"), index=True)
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    total: Mapped[Decimal] = mapped_column(Money)
    currency: Mapped[str] = mapped_column(String(3))
    last_day: Mapped[date] = mapped_column(Date)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"), index=True)
    entry: Mapped[Entry] = relationship()
    kit: Mapped[KitRow] = relationship()


class Task(Base):
    """Long work: what is to be done, how far it is, and what came of it.

    ``key`` marks the content of the work, so that equal work is done once. Whoever works on it holds it under
    the name ``worker`` until ``held_until``; after that moment anybody may take it again.
    """

    __tablename__ = "tasks"

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(String(64), unique=True)
    kind: Mapped[str] = mapped_column(String(40))
    title: Mapped[str] = mapped_column(Text)
    task: Mapped[dict[str, Any]] = mapped_column(Document)
    state: Mapped[str] = mapped_column(String(10), index=True)
    share: Mapped[float] = mapped_column(Double)
    message: Mapped[str] = mapped_column(Text)
    result: Mapped[dict[str, Any] | None] = mapped_column(Document)
    who: Mapped[str] = mapped_column(String(100))
    asked_at: Mapped[datetime] = mapped_column(Moment)
    begun_at: Mapped[datetime | None] = mapped_column(Moment)
    ended_at: Mapped[datetime | None] = mapped_column(Moment)
    worker: Mapped[str] = mapped_column(String(40))
    held_until: Mapped[datetime | None] = mapped_column(Moment)
    tries: Mapped[int]
    to_stop: Mapped[bool]
