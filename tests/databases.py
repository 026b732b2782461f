"""Both databases for tests: a file, and a PostgreSQL server of our own on a socket, as no privileged user."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import Any

from sqlalchemy import create_engine, make_url, text

from tappetry.store.database import Database, sqlite_url
from tappetry.store.migrate import migrate

KINDS = ("sqlite", "postgresql")
#: Who runs the server where the tests run as root, which PostgreSQL refuses.
UNPRIVILEGED = "nobody"
_numbers = count(1)

MEMORY, ROOM = Path("/dev/shm"), 2 * 1024**3
"""Where files lie in memory, and how much must be free there for a server. [byte]"""


def programs() -> Path:
    """The folder of PostgreSQL's programs: of the newest version that Debian has installed."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda each: int(each.parts[-3]))
    assert found, "PostgreSQL is not installed; scripts/system-packages installs it"
    return found[-1].parent


def roomy() -> str | None:
    """A folder in memory: copying a database there takes a quarter of the time; None where there is none."""
    if not os.access(MEMORY, os.W_OK) or shutil.disk_usage(MEMORY).free < ROOM:
        return None
    return str(MEMORY)


class Server:
    """A PostgreSQL server in a folder of its own, reached by a socket there and in no other way."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="tappetry-pg-", dir=roomy()))
        self.user: dict[str, Any] = {}
        if os.getuid() == 0:
            known = pwd.getpwnam(UNPRIVILEGED)
            os.chown(self.folder, known.pw_uid, known.pw_gid)
            self.user = {"user": known.pw_uid, "group": known.pw_gid, "extra_groups": []}

    def start(self) -> None:
        """Make the server and wait until it answers."""
        data = self.folder / "data"
        made = [programs() / "initdb", "-D", data, "-U", "shop", "-A", "trust", "-E", "UTF8", "--no-sync"]
        self._run(*made, "--locale=C.UTF-8")
        self.run()

    def run(self) -> None:
        """Run the server that was made."""
        settings = f"-c listen_addresses= -c unix_socket_directories={self.folder} -c fsync=off"
        log = self.folder / "log"
        self._run(programs() / "pg_ctl", "-D", self.folder / "data", "-l", log, "-o", settings, "-w", "start")

    def stop(self) -> None:
        """Stop the server at once, as when somebody pulls its plug."""
        self._run(programs() / "pg_ctl", "-D", self.folder / "data", "-m", "immediate", "-w", "stop")

    def clear_away(self) -> None:
        """Stop the server if it runs, and remove its folder."""
        if (self.folder / "data" / "postmaster.pid").exists():
            self.stop()
        shutil.rmtree(self.folder)

    def url(self, name: str) -> str:
        """The address of one of its databases."""
        return f"postgresql+psycopg://shop@/{name}?host={self.folder}"

    def execute(self, command: str) -> None:
        """Run one command on the server itself."""
        engine = create_engine(self.url("postgres"), isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.execute(text(command))
        engine.dispose()

    def _run(self, *words: object) -> None:
        done = subprocess.run(
            [str(word) for word in words],
            cwd=self.folder,
            stdout=subprocess.PIPE if "initdb" in str(words[0]) else subprocess.DEVNULL,
            stderr=subprocess.STDOUT,
            text=True,
            check=False,
            timeout=60,
            **self.user,
        )
        assert done.returncode == 0, f"{words[0]} failed: {done.stdout}"


@contextmanager
def own_server() -> Iterator[Server]:
    """A server that a test stops and runs as it likes; at the end nothing of it is left."""
    made = Server()
    try:
        made.start()
        yield made
    finally:
        made.clear_away()


class Databases:
    """Hands out empty databases of either kind with all their tables; the tables are made once."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.server: Server | None = None
        self.with_tables: dict[str, str] = {}

    def empty(self, kind: str) -> Database:
        """A database without tables."""
        return Database(self.address(kind))

    def address(self, kind: str, like: str = "") -> str:
        """The address of a database without tables, or of a copy of another one that nobody uses."""
        name = f"shop_{next(_numbers)}_{time.monotonic_ns()}"
        if kind == "sqlite":
            if like:
                copy = Path(make_url(sqlite_url(self.folder / name)).database or "")
                copy.parent.mkdir()
                shutil.copyfile(make_url(like).database or "", copy)
            return sqlite_url(self.folder / name)
        if self.server is None:
            self.server = Server()
            self.server.start()
        template = f" TEMPLATE {make_url(like).database}" if like else ""
        self.server.execute(f"CREATE DATABASE {name}{template}")
        return self.server.url(name)

    def new(self, kind: str) -> Database:
        """A database with all its tables and nothing in them: a copy of one that took every step."""
        if kind not in self.with_tables:
            self.with_tables[kind] = self.address(kind)
            first = Database(self.with_tables[kind])
            migrate(first)
            first.close()
        return Database(self.address(kind, self.with_tables[kind]))

    def drop(self, database: Database) -> None:
        """Remove a database of the server, whoever still uses it; files go with their folder."""
        if self.server is not None and not database.is_sqlite:
            self.server.execute(f"DROP DATABASE {database.url.database} WITH (FORCE)")

    def close(self) -> None:
        """Stop the server, if there is one, and clear away."""
        if self.server is not None:
            self.server.clear_away()


@contextmanager
def databases(folder: Path) -> Iterator[Databases]:
    """Databases for as long as the tests run."""
    made = Databases(folder)
    try:
        yield made
    finally:
        made.close()
