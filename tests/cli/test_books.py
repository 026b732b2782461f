"""The books from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from tappetry.services import books
from tappetry.services.shop import make_demo_shop
from tappetry.store.database import Database, sqlite_url
from tappetry.store.migrate import migrate
from tests.cli.calling import call, refused
from tests.services.till import agreed, till


def test_the_books_are_written_to_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = make_demo_shop(tmp_path / "shop")
    monkeypatch.setenv("TAPPETRY_HOME", str(shop.folder))
    database = Database(sqlite_url(shop.folder))
    migrate(database)
    ledger = till(database)
    agreed(ledger)
    books.pay(ledger, "J-1", "deposit", "500", "cash", "R-1", "Wren")
    database.close()
    file = tmp_path / "books.csv"
    said = call("books", file, "--since", "2026-03-02")
    assert (said.code, said.out) == (0, f"{file}: 2 lines\n")
    assert "cash,500.00,0.00,USD,deposit from the customer,R-1,J-1" in file.read_text(encoding="utf-8")
    said = call("books", file, "--until", "2026-03-01", "--json")
    assert said.data == {"file": str(file), "lines": 0}
    code, error = refused("books", file, "--since", "soon")
    assert (code, "since: the day cannot be read" in error["message"]) == (3, True)
