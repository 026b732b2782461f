"""Opens a shop's database and hands out transactions; SQLite in one file, or PostgreSQL by its address."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import local
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, inspect, make_url, text
from sqlalchemy.exc import DBAPIError, IntegrityError, ProgrammingError
from sqlalchemy.orm import Session

from tappetry.store.changes import Changes
from tappetry.store.problems import NotKept, StoreUnavailable

FILE = "shop.db"
#: How long a writer waits for another one. [s]
PATIENCE = 10
#: How long it waits for one who makes a copy and changes the tables. [s]
LONG_PATIENCE = 900
#: The number under which those who change the tables of a PostgreSQL database take turns.
TURN = 4_411_900
#: What the databases say of a number that none of their columns holds.
TOO_LARGE = ("too large to convert to SQLite INTEGER", "integer out of range", "bigint out of range")
_WRITES = "tappetry_writes"
#: Under which a session that is one view notes the rows of jobs, by their numbers.
JOBS_READ = "jobs read"


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
        if self.is_sqlite:
            self.engine = _sqlite(named.database or "", named, PATIENCE)
        else:
            self.engine = _postgresql(named)
        self.changes = Changes(named.database or "" if self.is_sqlite else "")
        turns = {} if self.is_sqlite else {"isolation_level": "READ COMMITTED"}
        self._writing = self.engine.execution_options(**{_WRITES: True}, **turns)
        self._here = local()

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
        shared: Session | None = getattr(self._here, "view", None)
        with _in_words():
            if shared is not None:
                yield shared
            else:
                with Session(self.engine, autoflush=False) as session:
                    yield session

    @contextmanager
    def one_view(self) -> Iterator[None]:
        """Let all that this thread reads within the block be of one moment; it writes nothing meanwhile."""
        with self.reading() as session:
            session.info[JOBS_READ] = {}
            self._here.view = session
            try:
                yield
            finally:
                self._here.view = None

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """One act: all of it is kept, or nothing.

        Raises
        ------
        StoreUnavailable
            The database does not answer, or cannot be written; nothing was kept.
        """
        assert getattr(self._here, "view", None) is None, "what is read is of the moment before it"
        with _in_words(), Session(self._writing, expire_on_commit=False) as session, session.begin():
            yield session

    @contextmanager
    def alone(self) -> Iterator[Session]:
        """One act on the tables themselves, while everybody else may read and nobody may write.

        SQLite makes a table anew to change it, and therefore does not look after keys here.

        Raises
        ------
        StoreUnavailable
            The database does not answer, or others hold it for very long; nothing was kept.
        """
        if self.is_sqlite:
            engine = _sqlite(self.url.database or "", self.url, LONG_PATIENCE, keys=False)
            engine = engine.execution_options(**{_WRITES: True})
        else:
            engine = self._writing
        try:
            with _in_words(), Session(engine) as session, session.begin():
                if not self.is_sqlite:
                    _hold(session)
                yield session
        finally:
            if self.is_sqlite:
                engine.dispose()

    def close(self) -> None:
        """Let go of all connections."""
        self.changes.close()
        self.engine.dispose()


@contextmanager
def _in_words() -> Iterator[None]:
    """Say what the database says in a person's words; a broken rule of the tables is our own fault."""
    try:
        yield
    except (IntegrityError, ProgrammingError):
        raise
    except (OverflowError, DBAPIError) as error:
        if any(said in str(error) for said in TOO_LARGE):
            raise NotKept("There is nothing of such a number: it is larger than any that is kept.") from error
        if isinstance(error, DBAPIError):
            raise StoreUnavailable(str(error.orig).strip().splitlines()[0]) from error
        raise


def _postgresql(url: Any) -> Engine:
    """A reader sees one moment; a writer waits for the job that it changes, then sees what stands there.

    Nobody waits for long: neither for another one, nor for a server that says nothing.
    """
    limit = {} if "connect_timeout" in url.query else {"connect_timeout": PATIENCE}
    engine = create_engine(url, connect_args=limit, pool_pre_ping=True, isolation_level="REPEATABLE READ")

    def prepare(connection: Any, record: Any) -> None:
        connection.execute(f"SET lock_timeout = '{int(1000 * PATIENCE)}ms'")
        connection.commit()

    event.listen(engine, "connect", prepare)
    return engine


def _hold(session: Session) -> None:
    """Wait for whoever else changes tables, then keep writers out."""
    session.execute(text(f"SET LOCAL lock_timeout = '{LONG_PATIENCE}s'"))
    session.execute(text(f"SELECT pg_advisory_xact_lock({TURN})"))
    tables = inspect(session.connection()).get_table_names()
    if tables:
        session.execute(text(f"LOCK TABLE {', '.join(tables)} IN SHARE ROW EXCLUSIVE MODE"))


def _sqlite(file: str, url: Any, patience: float, *, keys: bool = True) -> Engine:
    """Readers beside one writer, foreign keys held, and nothing called kept before the disk has it.

    A file that is made here may be read by its owner alone, as may what SQLite lays beside it.
    """
    if file:
        Path(file).parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(url, connect_args={"timeout": patience})

    def prepare(connection: Any, record: Any) -> None:
        connection.isolation_level = None  # transactions begin where we say so
        for pragma in ("journal_mode=WAL", f"foreign_keys={'ON' if keys else 'OFF'}", "synchronous=FULL"):
            connection.execute(f"PRAGMA {pragma}")

    def make(*_: Any) -> None:
        if file and not Path(file).exists():
            with suppress(OSError):  # SQLite says it itself
                os.close(os.open(file, os.O_CREAT | os.O_RDWR, 0o600))

    event.listen(engine, "do_connect", make)
    event.listen(engine, "connect", prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _begin(connection: Connection) -> None:
    """A writer takes its turn at once, so that no act fails half-way because another one was quicker."""
    writes = connection.get_execution_options().get(_WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
