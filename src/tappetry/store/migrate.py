"""Brings a database to the tables of this version of the program, after a copy of what it holds was made."""

from __future__ import annotations

from collections.abc import Callable
from importlib import resources
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text
from sqlalchemy.orm import Session

from tappetry.records.problems import TappetryError
from tappetry.store.database import Database
from tappetry.store.problems import NotKept, NotMigrated
from tappetry.store.rows import copied_tables, hold_something

Copy = Callable[[Session, str], Path | None]
"""Makes a copy of what a session sees, whose tables are at a step; the file in which it lies, if any."""


def _no_copy(session: Session, step: str) -> None:
    """For databases of which nobody would miss anything."""


def step_of(session: Session) -> str:
    """The last step that a database has taken; nothing where it has no tables yet."""
    return MigrationContext.configure(session.connection()).get_current_revision() or ""


def steps() -> tuple[str, ...]:
    """Every step, from the first to the last."""
    walked = ScriptDirectory.from_config(_config()).walk_revisions()
    return tuple(reversed([step.revision for step in walked]))


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
