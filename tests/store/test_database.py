"""The databases themselves: tables by steps, promises held, and what a person is told when one fails."""

from __future__ import annotations

import socket
from importlib import resources
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text

from tappetry.store.columns import Moment
from tappetry.store.database import Database, sqlite_url
from tappetry.store.jobs import add_job, job_now
from tappetry.store.migrate import migrate, step_of, steps
from tappetry.store.models import Base
from tappetry.store.problems import NotKept, StoreUnavailable
from tests.databases import KINDS, Databases, own_server
from tests.store.documents import NOON, act, document

pytestmark = pytest.mark.slow

#: Tables of which a row may be changed: what stands now, and how far work is.
CHANGING = {
    "jobs",
    "customers",
    "vehicles",
    "mileages",
    "tasks",
    "accounts",
    "sessions",
    "failed_logins",
    "program_tokens",
    "text_drafts",
}


def test_the_steps_make_the_tables_that_the_models_say(database: Database) -> None:
    with database.reading() as session:
        context = MigrationContext.configure(session.connection(), opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_the_steps_are_those_that_alembic_takes_in_its_order() -> None:
    config = Config()
    config.set_main_option("script_location", str(resources.files("tappetry.store") / "migrations"))
    walked = ScriptDirectory.from_config(config).walk_revisions()
    assert steps() == tuple(reversed([step.revision for step in walked]))


def test_a_database_says_at_which_step_it_is(tmp_path: Path) -> None:
    database = Database(sqlite_url(tmp_path))
    with database.reading() as session:
        assert step_of(session) == ""
    migrate(database, steps()[1])
    with database.reading() as session:
        assert step_of(session) == steps()[1]
    database.close()


@pytest.mark.parametrize("kind", KINDS)
def test_steps_are_taken_once(all_databases: Databases, kind: str) -> None:
    database = all_databases.new(kind)
    with database.writing() as session:
        add_job(session, document(), act())
    migrate(database)
    with database.reading() as session:
        assert job_now(session, "J-1").document == document()
    database.close()


def test_a_database_of_a_later_version_is_left_as_it_is(database: Database) -> None:
    with database.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = 'later'"))
    with pytest.raises(NotKept, match=r"of a later version of the program \(its tables are at step later\)"):
        migrate(database)


def test_a_file_holds_its_promises(all_databases: Databases) -> None:
    database = all_databases.new("sqlite")
    with database.reading() as session:
        told = {
            name: session.execute(text(f"PRAGMA {name}")).scalar()
            for name in ("journal_mode", "foreign_keys", "synchronous")
        }
    assert told == {"journal_mode": "wal", "foreign_keys": 1, "synchronous": 2}
    database.close()


def test_a_file_is_read_by_its_owner_alone(tmp_path: Path) -> None:
    database = Database(sqlite_url(tmp_path))
    with database.writing() as session:
        session.execute(text("CREATE TABLE t (x)"))
        modes = {file.name: file.stat().st_mode & 0o777 for file in tmp_path.iterdir()}
        assert modes == dict.fromkeys(("shop.db", "shop.db-shm", "shop.db-wal"), 0o600)
    database.close()


def test_a_reader_is_not_held_up_by_a_writer(database: Database) -> None:
    with database.writing() as session:
        add_job(session, document(), act())
    with database.writing() as writer:
        add_job(writer, document("J-2"), act())
        with database.reading() as reader:
            assert job_now(reader, "J-1").number == "J-1"
            with pytest.raises(NotKept):
                job_now(reader, "J-2")


def test_a_file_that_another_program_holds_is_told(
    all_databases: Databases, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tappetry.store.database.PATIENCE", 0.05)
    holder = all_databases.new("sqlite")
    other = Database(holder.url.render_as_string())
    with holder.writing() as session:
        add_job(session, document(), act())
        refused = "database is locked. Nothing of this act was kept"
        with pytest.raises(StoreUnavailable, match=refused), other.writing() as late:
            add_job(late, document("J-2"), act())
    with other.writing() as session:
        add_job(session, document("J-2"), act())
    other.close()
    holder.close()


def test_a_full_disk_is_told_and_work_goes_on_when_there_is_room(all_databases: Databases) -> None:
    database = all_databases.new("sqlite")
    with database.writing() as session:
        add_job(session, document(), act())
        pages = session.execute(text("PRAGMA page_count")).scalar()
        session.execute(text(f"PRAGMA max_page_count={pages}"))
    large = document("J-2", wishes=["x" * 200_000])
    with pytest.raises(StoreUnavailable, match="database or disk is full"), database.writing() as session:
        add_job(session, large, act())
    with database.writing() as session:
        session.execute(text("PRAGMA max_page_count=1000000"))
        add_job(session, large, act())
    with database.reading() as session:
        assert job_now(session, "J-2").document == large
    database.close()


def test_a_server_that_says_nothing_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tappetry.store.database.PATIENCE", 2)
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        database = Database(f"postgresql://shop@127.0.0.1:{silent.getsockname()[1]}/shop")
        with pytest.raises(StoreUnavailable, match="timeout"), database.reading() as session:
            job_now(session, "J-1")


def test_a_server_that_is_started_again_is_found_again() -> None:
    with own_server() as made:
        made.execute("CREATE DATABASE shop")
        database = Database(made.url("shop"))
        migrate(database)
        with database.writing() as session:
            add_job(session, document(), act())
        made.stop()
        with pytest.raises(StoreUnavailable), database.reading() as session:
            job_now(session, "J-1")
        made.run()
        with database.reading() as session:
            assert job_now(session, "J-1").document == document()
        database.close()


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="2026-03-02 12:00:00 says no time zone"):
        Moment().process_bind_param(NOON.replace(tzinfo=None), None)  # type: ignore[arg-type]


def test_the_file_lies_in_the_shops_folder(tmp_path: Path) -> None:
    assert sqlite_url(tmp_path) == f"sqlite:///{tmp_path}/shop.db"


def test_the_database_guards_every_table_but_those_that_change(database: Database) -> None:
    asked = (
        "SELECT DISTINCT tbl_name FROM sqlite_master WHERE type = 'trigger'"
        if database.is_sqlite
        else "SELECT DISTINCT tgrelid::regclass::text FROM pg_trigger WHERE NOT tgisinternal"
    )
    with database.reading() as session:
        guarded = set(session.scalars(text(asked)))
    assert set(Base.metadata.tables) - guarded == CHANGING
