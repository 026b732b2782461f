"""The tables of who may enter: accounts, sessions, failed logins and the tokens of other programs.

What was done to an account stands in the audit trail; these rows say only how it stands now. Neither a
password, nor what a browser or program holds, can be made from what is kept here.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from tappetry.store.columns import Moment
from tappetry.store.models import Base

#: What marks a table that is left out of copies: what it says is over when a copy is brought back.
PASSING = {"passing": True}


class Account(Base):
    """A person who may enter: name, role, and the mark of the password."""

    __tablename__ = "accounts"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(60), unique=True)
    role: Mapped[str] = mapped_column(String(20))
    password: Mapped[str] = mapped_column(String(200))
    disabled: Mapped[bool]
    must_change: Mapped[bool]


class LoginSession(Base):
    """A browser that is let in, known by the mark of what it holds, until it rests or ``ends_at``."""

    __tablename__ = "sessions"
    __table_args__ = ({"info": PASSING},)

    id: Mapped[int] = mapped_column(primary_key=True)
    mark: Mapped[str] = mapped_column(String(64), unique=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"), index=True)
    seen_at: Mapped[datetime] = mapped_column(Moment)
    ends_at: Mapped[datetime] = mapped_column(Moment)
    account: Mapped[Account] = relationship()


class FailedLogin(Base):
    """A login that failed: for which name, from which address, when."""

    __tablename__ = "failed_logins"
    __table_args__ = ({"info": PASSING},)

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(60), index=True)
    address: Mapped[str] = mapped_column(String(60), index=True)
    at: Mapped[datetime] = mapped_column(Moment, index=True)


class ProgramToken(Base):
    """A program that may ask: its name, the role whose rights it has, whether it may change anything."""

    __tablename__ = "program_tokens"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(60), unique=True)
    mark: Mapped[str] = mapped_column(String(64), unique=True)
    role: Mapped[str] = mapped_column(String(20))
    writes: Mapped[bool]
    ends_at: Mapped[datetime] = mapped_column(Moment)
    ended: Mapped[bool]
