"""The tables of people and their vehicles: rows of their own, to which jobs refer, and which may change."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import Date, ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from tappetry.store.columns import Document, Moment
from tappetry.store.models import Base


class Customer(Base):
    """A person or firm: how he is called and reached, and notes of the shop.

    ``document`` holds ``reach``, a list of texts. ``key`` is the name as names are compared; ``words`` is
    what a search reads. ``deleted_at`` says when his data were taken away; the row then holds a mark alone.
    """

    __tablename__ = "customers"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Text)
    key: Mapped[str] = mapped_column(Text, index=True)
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    notes: Mapped[str] = mapped_column(Text)
    words: Mapped[str] = mapped_column(Text)
    deleted_at: Mapped[datetime | None] = mapped_column(Moment)

    @property
    def reach(self) -> tuple[str, ...]:
        """The ways to reach him."""
        return tuple(self.document["reach"])


class Vehicle(Base):
    """A vehicle of one customer; empty where VIN or plate are not known. Its jobs say what is known of it."""

    __tablename__ = "vehicles"

    id: Mapped[int] = mapped_column(primary_key=True)
    customer_id: Mapped[int | None] = mapped_column(ForeignKey("customers.id"), index=True)
    vin: Mapped[str] = mapped_column(String(40), index=True)
    plate: Mapped[str] = mapped_column(String(40))
    words: Mapped[str] = mapped_column(Text)
    mileages: Mapped[list[Mileage]] = relationship(order_by="Mileage.day, Mileage.id")


class Mileage(Base):
    """A reading of a vehicle's mileage, as it was stated, with its day and how well it is known."""

    __tablename__ = "mileages"

    id: Mapped[int] = mapped_column(primary_key=True)
    vehicle_id: Mapped[int] = mapped_column(ForeignKey("vehicles.id"), index=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"), index=True)
    day: Mapped[date] = mapped_column(Date)
    value: Mapped[str] = mapped_column(Text)
    grade: Mapped[str] = mapped_column(String(20))
