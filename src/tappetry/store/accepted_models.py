"""The tables of what a customer accepts: change orders, acceptances, and the orders that follow."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import Date, ForeignKey, LargeBinary, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from tappetry.store.columns import Document, Money
from tappetry.store.models import Base, Entry, KitRow, QuoteRow


class ChangeRow(Base):
    """A change order as it was sent: the accepted kit before, the kit after; ``total`` is the difference."""

    __tablename__ = "changes"
    __table_args__ = (UniqueConstraint("job_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    number: Mapped[int]
    before_id: Mapped[int] = mapped_column(ForeignKey("kits.id"))
    kit_id: Mapped[int] = mapped_column(ForeignKey("kits.id"))
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    total: Mapped[Decimal] = mapped_column(Money)
    currency: Mapped[str] = mapped_column(String(3))
    last_day: Mapped[date] = mapped_column(Date)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
    kit: Mapped[KitRow] = relationship(foreign_keys=[kit_id])
    before: Mapped[KitRow] = relationship(foreign_keys=[before_id])


class Acceptance(Base):
    """A customer's yes to one quote or to one change order: who, how, and each option taken or declined."""

    __tablename__ = "acceptances"

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"), index=True)
    quote_id: Mapped[int | None] = mapped_column(ForeignKey("quotes.id"), unique=True)
    change_id: Mapped[int | None] = mapped_column(ForeignKey("changes.id"), unique=True)
    kit_id: Mapped[int] = mapped_column(ForeignKey("kits.id"))
    customer: Mapped[str] = mapped_column(String(100))
    how: Mapped[str] = mapped_column(String(20))
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
    kit: Mapped[KitRow] = relationship()
    quote: Mapped[QuoteRow | None] = relationship()
    change: Mapped[ChangeRow | None] = relationship()


class OrderRow(Base):
    """An order to one supplier as it was sent, made from what was accepted; ``total`` is its landed cost."""

    __tablename__ = "orders"
    __table_args__ = (UniqueConstraint("job_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    number: Mapped[int]
    acceptance_id: Mapped[int] = mapped_column(ForeignKey("acceptances.id"))
    supplier: Mapped[str] = mapped_column(String(20))
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    total: Mapped[Decimal] = mapped_column(Money)
    currency: Mapped[str] = mapped_column(String(3))
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
    lines: Mapped[list[OrderedLine]] = relationship(order_by="OrderedLine.place")


class OrderedLine(Base):
    """So many units of a part on an order."""

    __tablename__ = "order_lines"

    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id"), primary_key=True)
    place: Mapped[int] = mapped_column(primary_key=True)
    part: Mapped[str] = mapped_column(String(60), index=True)
    quantity: Mapped[int]
    unit_cost: Mapped[Decimal] = mapped_column(Money)
