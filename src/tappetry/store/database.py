"""Opens a shop's database and hands out transactions; SQLite in one file, or PostgreSQL by its address."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import DBAPIError, IntegrityError, ProgrammingError
from sqlalchemy.orm import Session

from tappetry.store.problems import StoreUnavailable

FILE = "shop.db"
#: How long a writer waits for another one. [s]
PATIENCE = 10
_WRITES = "tappetry_writes"


def sqlite_url(folder: Path) -> str:
    """The address of the database file in a shop's folder."""
    return f"sqlite:///{folder / FILE}"


class Database:
    """A shop's database; nothing is read or written outside a transaction."""

    def __init__(self, url: str) -> None:
        named = make_url(url)
        if named.drivername == "postgresql":
            named = named.set(drivername="postgresql+psycopg")
        self.url = named
        self.engine = _sqlite(named.database or "", named) if self.is_sqlite else _postgresql(named)
        turns = {} if self.is_sqlite else {"isolation_level": "READ COMMITTED"}
        self._writing = self.engine.execution_options(**{_WRITES: True}, **turns)

    @property
    def is_sqlite(self) -> bool:
        """Whether the database is one file."""
        return self.url.get_backend_name() == "sqlite"

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """One view of the store, all of one moment.

        Raises
        ------
        StoreUnavailable
            The database does not answer.
        """
        with _in_words(), Session(self.engine, autoflush=False) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """One act: all of it is kept, or nothing.

        Raises
        ------
        StoreUnavailable
            The database does not answer, or cannot be written; nothing was kept.
        """
        with _in_words(), Session(self._writing, expire_on_commit=False) as session, session.begin():
            yield session

    def close(self) -> None:
        """Let go of all connections."""
        self.engine.dispose()


@contextmanager
def _in_words() -> Iterator[None]:
    """Say what the database says in a person's words; a broken rule of the tables is our own fault."""
    try:
        yield
    except (IntegrityError, ProgrammingError):
        raise
    except DBAPIError as error:
        raise StoreUnavailable(str(error.orig).strip().splitlines()[0]) from error


def _postgresql(url: Any) -> Engine:
    """A reader sees one moment; a writer waits for the job that it changes, then sees what stands there."""
    return create_engine(url, pool_pre_ping=True, isolation_level="REPEATABLE READ")


def _sqlite(file: str, url: Any) -> Engine:
    if file:
        Path(file).parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(url, connect_args={"timeout": PATIENCE})
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, record: Any) -> None:
    """Readers beside one writer, foreign keys held, and nothing called kept before the disk has it."""
    connection.isolation_level = None  # transactions begin where we say so
    for pragma in ("journal_mode=WAL", "foreign_keys=ON", "synchronous=FULL"):
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    """A writer takes its turn at once, so that no act fails half-way because another one was quicker."""
    writes = connection.get_execution_options().get(_WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
