"""Brings a database to the tables of this version of the program, after a copy of what it holds was made.

Alembic takes the steps, and is not needed where none is left to take: it comes up in a tenth of a second.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import inspect, text
from sqlalchemy.orm import Session

from tappetry.records.problems import TappetryError
from tappetry.store.database import Database
from tappetry.store.problems import NotKept, NotMigrated
from tappetry.store.rows import copied_tables, hold_something

if TYPE_CHECKING:
    from alembic.config import Config

Copy = Callable[[Session, str], Path | None]
"""Makes a copy of what a session sees, whose tables are at a step; the file in which it lies, if any."""

#: Where Alembic keeps the last step that a database has taken.
TAKEN = "alembic_version"
#: The lines of a step that say its name and that of the one before.
_NAMED = re.compile(r"^(revision|down_revision) = \"?(\w+)\"?$", re.MULTILINE)
_NONE = "None"


def _no_copy(session: Session, step: str) -> None:
    """For databases of which nobody would miss anything."""


def step_of(session: Session) -> str:
    """The last step that a database has taken; nothing where it has no tables yet."""
    if not inspect(session.connection()).has_table(TAKEN):
        return ""
    return session.scalar(text(f"SELECT version_num FROM {TAKEN}")) or ""


@cache
def steps() -> tuple[str, ...]:
    """Every step, from the first to the last, as their texts name them."""
    after: dict[str, str] = {}
    for file in (resources.files("tappetry.store.migrations") / "versions").iterdir():
        if file.name.endswith(".py"):
            named = dict(_NAMED.findall(file.read_text(encoding="utf-8")))
            if named:
                after[named["down_revision"]] = named["revision"]
    walked = [after[_NONE]]
    while walked[-1] in after:
        walked.append(after[walked[-1]])
    return tuple(walked)


def migrate(database: Database, to: str = "", copy: Copy = _no_copy) -> None:
    """Take every step that a database has not taken yet: all of them, or none.

    Where it holds something, a copy is made first, while nobody else writes; another one who comes meanwhile
    waits, and finds the steps taken.

    Parameters
    ----------
    database : Database
    to : str
        The step to stop at; the last one where it is empty.
    copy : callable
        Makes the copy; what it raises leaves the database as it is.

    Raises
    ------
    NotKept
        The database was made by a later version of the program.
    NotMigrated
        A step could not be taken; the database is as it was before.
    """
    known = steps()
    to = to or known[-1]
    with database.reading() as session:
        if _taken(step_of(session), to, known):
            return
    now, kept = "", None
    try:
        with database.alone() as session:
            now = step_of(session)
            if _taken(now, to, known):
                return
            if hold_something(session, copied_tables(session)):
                kept = copy(session, now)
            from alembic import command

            config = _config()
            config.attributes["connection"] = session.connection()
            command.upgrade(config, to)
            _keys_must_hold(session)
    except Exception as error:
        if kept is None and isinstance(error, TappetryError):
            raise
        raise NotMigrated(_said(now, to, error, kept)) from error


def _said(now: str, to: str, error: Exception, kept: Path | None) -> str:
    reason = (str(error).strip().splitlines() or [type(error).__name__])[0]
    backup = f" A backup of it lies at {kept}; bring it back should anything be missing." if kept else ""
    return (
        f"The database could not be brought from step {now or 'none'} to step {to}: {reason}. "
        "It was left as it is: the version of the program that was used so far works with it. "
        f"Send what is said here to the developers.{backup}"
    )


def _config() -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(resources.files("tappetry.store") / "migrations"))
    return config


def _taken(now: str, to: str, known: tuple[str, ...]) -> bool:
    """Whether a database has taken a step; one whose step is not known stays as it is."""
    if now and now not in known:
        raise NotKept(
            f"The database is of a later version of the program (its tables are at step {now}). "
            "Install that version; this one leaves the database as it is."
        )
    return bool(now) and known.index(now) >= known.index(to)


def _keys_must_hold(session: Session) -> None:
    """See that every row that is referred to is there; SQLite does not look while tables are made anew."""
    if session.connection().dialect.name == "sqlite":
        broken = session.execute(text("PRAGMA foreign_key_check")).first()
        if broken is not None:
            raise ValueError(f"row {broken[1]} of {broken[0]} refers to a row of {broken[2]} that is missing")
