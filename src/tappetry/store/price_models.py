"""The table of the days on which a supplier said his prices; written once."""

from __future__ import annotations

from datetime import date
from typing import Any

from sqlalchemy import Date, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from tappetry.store.columns import Document
from tappetry.store.models import Base, Entry


class PriceDay(Base):
    """A day on which a supplier's prices were known to be as they are listed.

    ``document`` names the ``parts``: those that are meant, or, where it is ``whole``, those of his that are
    not.
    """

    __tablename__ = "price_days"
    __table_args__ = (Index(None, "supplier", "on_day"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    supplier: Mapped[str] = mapped_column(String(60))
    on: Mapped[date] = mapped_column("on_day", Date)
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
