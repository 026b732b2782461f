"""The tables of a shop's own text: every version that was in effect, whole, and what is being written now."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, LargeBinary, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from tappetry.store.columns import Document, Moment
from tappetry.store.models import Base, Entry


class TextFile(Base):
    """The content of a file, once for all versions that hold it; ``mark`` is its SHA-256."""

    __tablename__ = "text_files"

    mark: Mapped[str] = mapped_column(String(64), primary_key=True)
    content: Mapped[bytes] = mapped_column(LargeBinary)


class TextVersion(Base):
    """A version of the whole text that took effect; the last one is in effect.

    ``mark`` marks all of it; ``knowledge`` and ``catalogue`` are the marks that kits carry which were made
    from it. ``listing`` names the content of each file by its path.
    """

    __tablename__ = "text_versions"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(unique=True)
    mark: Mapped[str] = mapped_column(String(64))
    knowledge: Mapped[str] = mapped_column(String(64), index=True)
    catalogue: Mapped[str] = mapped_column(String(64))
    listing: Mapped[dict[str, Any]] = mapped_column(Document)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()


class TextDraft(Base):
    """A file as somebody writes it in the app; not in effect, and None where it is to be taken away.

    ``base`` marks the file in the shop's folder on which the writing began; it is empty where there was none.
    """

    __tablename__ = "text_drafts"

    id: Mapped[int] = mapped_column(primary_key=True)
    path: Mapped[str] = mapped_column(String(200), unique=True)
    content: Mapped[bytes | None] = mapped_column(LargeBinary)
    base: Mapped[str] = mapped_column(String(64))
    who: Mapped[str] = mapped_column(String(100))
    at: Mapped[datetime] = mapped_column(Moment)
