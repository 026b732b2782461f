"""The tables of work at machine shops: orders as they went out, and what came back; written once."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import Date, ForeignKey, LargeBinary, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from tappetry.store.columns import Document, Money
from tappetry.store.models import Base, Entry


class MachineOrder(Base):
    """A work order to a machine shop as it was sent; ``price`` is what was agreed, if something was."""

    __tablename__ = "machine_orders"
    __table_args__ = (UniqueConstraint("job_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    number: Mapped[int]
    machinist: Mapped[str] = mapped_column(Text)
    promised: Mapped[date] = mapped_column(Date, index=True)
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    price: Mapped[Decimal | None] = mapped_column(Money)
    currency: Mapped[str] = mapped_column(String(3))
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
    back: Mapped[MachineReturn | None] = relationship()


class MachineReturn(Base):
    """What came back on a work order: the measured values as they were read."""

    __tablename__ = "machine_returns"

    order_id: Mapped[int] = mapped_column(ForeignKey("machine_orders.id"), primary_key=True)
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
