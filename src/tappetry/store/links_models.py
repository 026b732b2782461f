"""The tables of what passes between shop and customer by a link; written once."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, LargeBinary, String, Text
from sqlalchemy.orm import Mapped, deferred, mapped_column, relationship

from tappetry.store.columns import Document, Moment
from tappetry.store.models import Base, Entry


class LinkRow(Base):
    """A link that a customer was sent, known by the mark of its token, and what its page asks and shows."""

    __tablename__ = "links"

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"), index=True)
    mark: Mapped[str] = mapped_column(String(64), unique=True)
    ends_at: Mapped[datetime] = mapped_column(Moment)
    document: Mapped[dict[str, Any]] = mapped_column(Document)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
    end: Mapped[LinkEnd | None] = relationship()


class LinkEnd(Base):
    """A link that was taken back before its time."""

    __tablename__ = "link_ends"

    link_id: Mapped[int] = mapped_column(ForeignKey("links.id"), primary_key=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))


class AnswerRow(Base):
    """What a customer said or showed: a value for an attribute, or a photo of what was asked for."""

    __tablename__ = "answers"

    id: Mapped[int] = mapped_column(primary_key=True)
    link_id: Mapped[int] = mapped_column(ForeignKey("links.id"), index=True)
    about: Mapped[str] = mapped_column(Text)
    attribute: Mapped[str] = mapped_column(String(60))
    value: Mapped[str] = mapped_column(Text)
    photo: Mapped[bytes | None] = deferred(mapped_column(LargeBinary))
    media: Mapped[str] = mapped_column(String(20))
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
    seen: Mapped[AnswerSeen | None] = relationship()


class AnswerSeen(Base):
    """What somebody in the shop made of an answer: taken as a fact, or left."""

    __tablename__ = "answers_seen"

    answer_id: Mapped[int] = mapped_column(ForeignKey("answers.id"), primary_key=True)
    taken: Mapped[bool]
    entry_id: Mapped[int] = mapped_column(ForeignKey("entries.id"))
    entry: Mapped[Entry] = relationship()
