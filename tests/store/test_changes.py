"""Whether anybody wrote into a database file is told at once, of this process or of another."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tappetry.store.changes import Changes
from tappetry.store.database import Database
from tappetry.store.jobs import enter
from tests.databases import Databases
from tests.store.documents import act

WRITE = """
import sqlite3, sys
with sqlite3.connect(sys.argv[1]) as connection:
    connection.execute("CREATE TABLE by_another_process (x)")
"""


def test_it_changes_with_each_act_and_with_nothing_else(all_databases: Databases) -> None:
    database = all_databases.new("sqlite")
    first = database.changes.mark()
    assert first is not None
    with database.reading() as session:
        session.connection().exec_driver_sql("SELECT count(*) FROM entries").scalar()
    assert database.changes.mark() == first
    with database.writing() as session:
        enter(session, act())
        session.flush()
        assert database.changes.mark() == first, "it is not kept yet"
    second = database.changes.mark()
    assert second != first
    done = subprocess.run([sys.executable, "-c", WRITE, str(database.url.database)], check=False)
    assert done.returncode == 0
    third = database.changes.mark()
    assert third not in (None, first, second)
    database.close()
    assert database.changes.mark() not in (None, first, second, third), "who looks again knows nothing"
    database.close()


def test_it_keeps_nobody_from_writing(all_databases: Databases) -> None:
    database = all_databases.new("sqlite")
    assert database.changes.mark() is not None
    with database.alone() as session:
        session.connection().exec_driver_sql("DROP TABLE tasks")
        assert database.changes.mark() is not None, "nor is it kept from looking"
    database.close()


def test_where_it_cannot_be_told_nothing_is_told(tmp_path: Path) -> None:
    assert Changes("").mark() is None
    assert Changes(str(tmp_path)).mark() is None
    (tmp_path / "none.db").write_bytes(b"this is no database, however long it may be" * 100)
    assert Changes(str(tmp_path / "none.db")).mark() is None
    assert Database("postgresql://nobody@/none").changes.mark() is None
