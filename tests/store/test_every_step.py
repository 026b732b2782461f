"""Databases of every earlier step, with rows in every table, opened by the program of today.

The rows are made from the tables themselves, so that a step that is added to the chain is tried as it is.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext

from tappetry.presentation.kept import papers
from tappetry.services.copies import folder_of
from tappetry.services.ledger import ledger_of
from tappetry.services.safekeeping import import_store
from tappetry.services.shop import Shop
from tappetry.store.database import Database
from tappetry.store.dump import content, lines, load
from tappetry.store.migrate import migrate, step_of, steps
from tappetry.store.models import PLAN, Base
from tests.databases import KINDS, Databases
from tests.kitting.support import demo
from tests.store.filling import ROWS, fill, held, made_as, orphans

pytestmark = pytest.mark.slow


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """The invented shop as if its folder were another."""
    made = Shop(tmp_path / "shop")
    made.__dict__["knowledge"] = demo().knowledge
    return made


@pytest.fixture(params=steps())
def step(request: pytest.FixtureRequest) -> str:
    """Each step of the chain."""
    return str(request.param)


@pytest.fixture(params=KINDS)
def old(request: pytest.FixtureRequest, all_databases: Databases, step: str) -> Iterator[Database]:
    """A database at a step, with rows in every table that there is then."""
    made = all_databases.empty(request.param)
    migrate(made, step)
    fill(made)
    yield made
    made.close()


def address(database: Database) -> str:
    return database.url.render_as_string(hide_password=False)


def test_nothing_is_lost_and_the_store_works(
    old: Database, step: str, shop: Shop, all_databases: Databases, capsys: pytest.CaptureFixture[str]
) -> None:
    before = held(old)
    assert all(len(rows) == ROWS for rows in before.values())
    ledger = ledger_of(shop, papers(), address(old))
    told = capsys.readouterr().err
    now = held(old)
    for name, rows in before.items():
        assert [{column: row[column] for column in rows[0]} for row in now[name]] == rows, name
    assert orphans(old) == []
    with old.reading() as session:
        context = MigrationContext.configure(session.connection(), opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []
        assert step_of(session) == steps()[-1]
    fresh = all_databases.new("sqlite" if old.is_sqlite else "postgresql")
    assert made_as(old) == made_as(fresh)

    text = (demo().jobs / "J3.yaml").read_text(encoding="utf-8")
    opened = ledger.new_job(text, "Wren")
    changed = ledger.change_plan("J3", ["package=best"], opened.versions[PLAN], "Wren")
    assert ledger.job("J3").kept.document["plan"]["package"] == "best"
    assert changed.versions[PLAN] == 2
    assert len(ledger.find()) == ROWS + 1

    backups = list(folder_of(old, shop.folder).glob("*"))
    if step == steps()[-1]:
        assert (told, backups) == ("", [])
    else:
        (backup,) = backups
        assert backup.name.startswith(f"step-{step}-20")
        assert f"tappetry: the backup is {backup}: " in told
        found = import_store(shop, address(fresh), backup)
        assert found == content(fresh)
        kept = {name: rows for name, rows in held(fresh).items() if name in found.counts}
        assert kept == {name: rows for name, rows in now.items() if name in found.counts}
    ledger.database.close()
    fresh.close()


@pytest.mark.parametrize("kind", KINDS)
def test_invoices_that_were_written_before_say_no_day_of_supply(all_databases: Databases, kind: str) -> None:
    made = all_databases.empty(kind)
    migrate(made, "reversals")
    fill(made)
    migrate(made)
    assert [row["supplied"] for row in held(made)["invoices"]] == [None] * ROWS
    made.close()


def test_a_copy_of_a_step_moves_to_the_other_kind_of_database(
    old: Database, step: str, all_databases: Databases
) -> None:
    written = list(lines(old))
    assert json.loads(written[0])["schema"] == step
    other = all_databases.empty("postgresql" if old.is_sqlite else "sqlite")
    migrate(other, step)
    load(other, written)
    assert list(lines(other)) == written
    other.close()
