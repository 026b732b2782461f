"""A database of an earlier version is backed up before it is changed, or is not changed at all."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import text

from tappetry.services.copies import folder_of
from tappetry.services.opening import open_store
from tappetry.services.safekeeping import import_store
from tappetry.services.shop import Shop
from tappetry.store.database import Database
from tappetry.store.dump import content, lines, load, read_lines
from tappetry.store.migrate import migrate, step_of, steps
from tappetry.store.problems import NotKept, NotMigrated
from tests.databases import KINDS, Databases
from tests.store.filling import fill, held, made_as

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]
FIRST, LAST = steps()[0], steps()[-1]


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(tmp_path / "shop")


@pytest.fixture(params=KINDS)
def old(request: pytest.FixtureRequest, all_databases: Databases) -> Iterator[Database]:
    """A database at the first step, with rows in every table that there is then."""
    made = all_databases.empty(request.param)
    migrate(made, FIRST)
    fill(made)
    yield made
    made.close()


def address(database: Database) -> str:
    return database.url.render_as_string(hide_password=False)


def backups(database: Database, shop: Shop) -> list[Path]:
    """All that lies where backups lie, half files too."""
    return sorted(folder_of(database, shop.folder).glob("*"))


def test_the_backup_holds_what_the_database_held(old: Database, shop: Shop, all_databases: Databases) -> None:
    written = list(lines(old))
    told: list[str] = []
    open_store(shop, address(old), told.append).close()
    (backup,) = backups(old, shop)
    assert list(read_lines(backup)) == written
    assert told == [
        f"the database is of an earlier version (its tables are at step {FIRST}, those of this version at "
        f"{LAST}); a backup of it is made first",
        f"the backup is {backup}: {content_rows(written)} rows, proved by bringing them back",
    ]
    before = all_databases.empty("sqlite" if old.is_sqlite else "postgresql")
    migrate(before, FIRST)
    load(before, read_lines(backup))
    assert list(lines(before)) == written
    before.close()
    open_store(shop, address(old), told.append).close()
    assert len(told) == 2
    assert backups(old, shop) == [backup]


def content_rows(written: list[bytes]) -> int:
    return len(written) - 2


@pytest.mark.parametrize("kind", KINDS)
def test_a_database_that_holds_nothing_is_brought_up_without_a_word(
    all_databases: Databases, kind: str, shop: Shop, capsys: pytest.CaptureFixture[str]
) -> None:
    for step in ("", FIRST):
        empty = all_databases.empty(kind)
        if step:
            migrate(empty, step)
        open_store(shop, address(empty)).close()
        with empty.reading() as session:
            assert step_of(session) == LAST
        assert backups(empty, shop) == []
        empty.close()
    assert capsys.readouterr().err == ""


def test_nothing_is_changed_where_no_backup_can_be_made(old: Database, shop: Shop) -> None:
    before, made = held(old), made_as(old)
    folder = folder_of(old, shop.folder)
    folder.parent.mkdir(parents=True, exist_ok=True)
    folder.write_text("a file that stands in the way")
    said = (
        rf"its tables are at step {FIRST}\)\. No backup of it could be made, so it was left as it is: "
        rf"{folder}/step-{FIRST}-\S+: the file cannot be written: File exists .*See that {folder} is a folder"
    )
    with pytest.raises(NotMigrated, match=said):
        open_store(shop, address(old))
    assert (held(old), made_as(old)) == (before, made)
    folder.unlink()
    open_store(shop, address(old)).close()
    assert len(backups(old, shop)) == 1


def test_a_backup_that_is_not_whole_changes_nothing(
    old: Database, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, made = held(old), made_as(old)
    monkeypatch.setattr(
        "tappetry.services.opening.lines_of", lambda session: list(lines(old))[:-1]
    )  # as if the disk had lost the end
    with pytest.raises(NotMigrated, match="without its last line: it is not whole"):
        open_store(shop, address(old))
    assert (held(old), made_as(old)) == (before, made)
    assert backups(old, shop) == []


def test_a_step_that_fails_leaves_everything_and_names_the_backup(
    old: Database, shop: Shop, monkeypatch: pytest.MonkeyPatch, all_databases: Databases
) -> None:
    before, made = held(old), made_as(old)
    whole = command.upgrade

    def fails(config: Config, to: str) -> None:
        whole(config, to)
        if to == LAST:  # not where the backup is proved
            config.attributes["connection"].execute(text("INSERT INTO jobs (id) VALUES (1)"))

    monkeypatch.setattr(command, "upgrade", fails)
    with pytest.raises(NotMigrated) as caught:
        open_store(shop, address(old))
    (backup,) = backups(old, shop)
    said = str(caught.value)
    assert said.startswith(f"The database could not be brought from step {FIRST} to step {LAST}: ")
    assert "It was left as it is: the version of the program that was used so far works with it. " in said
    assert said.endswith(f"A backup of it lies at {backup}; bring it back should anything be missing.")
    assert (held(old), made_as(old)) == (before, made)
    monkeypatch.undo()
    other = all_databases.new("sqlite" if old.is_sqlite else "postgresql")
    assert import_store(shop, address(other), backup) == content(other)
    other.close()


def test_a_step_that_breaks_a_key_of_a_file_is_taken_back(
    all_databases: Databases, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = all_databases.empty("sqlite")
    migrate(old, FIRST)
    fill(old)
    whole = command.upgrade

    def breaks(config: Config, to: str) -> None:
        whole(config, to)
        if to == LAST:
            config.attributes["connection"].execute(text("DELETE FROM jobs WHERE id = 1"))

    monkeypatch.setattr(command, "upgrade", breaks)
    with pytest.raises(NotMigrated, match="refers to a row of jobs that is missing"):
        open_store(shop, address(old))
    assert len(held(old)["jobs"]) == 3
    old.close()


def test_two_who_open_it_at_once_make_one_backup(old: Database, shop: Shop) -> None:
    opens = (
        "import sys; from pathlib import Path; from tappetry.services.shop import Shop; "
        "from tappetry.services.opening import open_store; sys.stdin.readline(); "
        "open_store(Shop(Path(sys.argv[1])), sys.argv[2]).close()"
    )
    both = [
        subprocess.Popen(
            [sys.executable, "-c", opens, str(shop.folder), address(old)],
            cwd=ROOT, stdin=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for _ in range(2)
    ]  # fmt: skip
    for each in both:
        assert each.stdin is not None
        each.stdin.write("\n")
        each.stdin.flush()
    said = [each.communicate(timeout=60)[1] for each in both]
    assert [each.returncode for each in both] == [0, 0], said
    assert sorted(bool(text) for text in said) == [False, True], said
    assert len(backups(old, shop)) == 1


def test_a_later_version_is_left_as_it_is(old: Database, shop: Shop) -> None:
    with old.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = 'later'"))
    with pytest.raises(NotKept, match=r"of a later version of the program \(its tables are at step later\)"):
        open_store(shop, address(old))
    assert backups(old, shop) == []
