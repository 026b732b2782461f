"""The app while it comes up: its first page alone, then all others, and who is told of the first answer."""

from __future__ import annotations

from pathlib import Path
from threading import Thread

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from tappetry.presentation.kept import papers
from tappetry.services.ledger import Ledger
from tappetry.services.shop import make_demo_shop
from tappetry.store.database import Database
from tappetry.web.app import make_app, open_app
from tappetry.web.beginning import Beginning, Pages
from tests.kitting.support import demo


class Coming:
    """An app that comes up, and how often its first answer was told."""

    def __init__(self, app: FastAPI) -> None:
        self.app, self.pages, self.told = app, Pages(app), 0
        self.client = TestClient(Beginning(app, self.pages, self.tell), base_url="http://127.0.0.1")

    def tell(self) -> None:
        self.told += 1

    def status(self, address: str) -> int:
        return self.client.get(address).status_code


@pytest.fixture
def coming(tmp_path: Path) -> Coming:
    return Coming(open_app(make_demo_shop(tmp_path / "shop")))


def test_the_first_page_needs_no_other(coming: Coming) -> None:
    assert [coming.status(address) for address in ("/", "/static/app.css", "/?")] == [200, 200, 200]
    assert not coming.pages.are_read
    assert coming.told == 1


def test_another_page_reads_all_of_them(coming: Coming) -> None:
    assert [coming.status(address) for address in ("/jobs", "/api/1/families", "/login")] == [200, 200, 200]
    assert coming.pages.are_read
    assert coming.told == 1
    assert coming.status("/nowhere") == 404


def test_pages_are_read_once_by_whoever_comes_first(coming: Coming) -> None:
    readers = [Thread(target=coming.pages.read) for _ in range(4)]
    for reader in readers:
        reader.start()
    assert coming.status("/parts") == 200
    for reader in readers:
        reader.join()
    whole = make_app(Ledger(demo(), Database("sqlite://"), papers()))
    assert len(coming.app.routes) == len(whole.routes)
