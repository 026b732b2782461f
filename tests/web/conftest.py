"""The app of the invented shop on either database, and a browser that carries its tokens."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from fastapi.testclient import TestClient
from httpx import Response

from tappetry.services.ledger import Ledger
from tappetry.store.database import Database
from tappetry.web import limits
from tappetry.web.app import make_app
from tests.kitting.support import demo
from tests.worked_out import papers_once, share

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


class Browser:
    """A person at a browser: reads pages and sends their forms."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.client = TestClient(make_app(ledger), base_url="http://127.0.0.1", raise_server_exceptions=False)

    def get(self, address: str, status: int = 200, **headers: str) -> str:
        """The text of a page."""
        answer = self.client.get(address, headers=headers)
        assert answer.status_code == status, answer.text
        return answer.text

    @property
    def token(self) -> str:
        """The token that a page's forms carry."""
        found = re.search(r'name="token" value="(\w+)"', self.get("/jobs/new"))
        assert found is not None
        return found[1]

    def post(self, address: str, status: int = 200, **fields: object) -> Response:
        """Send a form and follow to the page that it leads to."""
        answer = self.client.post(address, data={"token": self.token, **fields})
        assert answer.status_code == status, answer.text
        return answer

    def open(self, name: str = "J3") -> str:
        """Open a job of the shop's folder."""
        self.post("/jobs/from-file", name=name)
        return name


@pytest.fixture(autouse=True)
def _patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a machine that is busy a page that takes long is no other page."""
    monkeypatch.setattr(limits, "PATIENCE", 600.0)


@pytest.fixture
def browser(database: Database, monkeypatch: pytest.MonkeyPatch) -> Browser:
    """A browser at the app of the invented shop, whose database is empty."""
    return Browser(share(Ledger(demo(), database, papers_once(), lambda: NOON), monkeypatch))


@pytest.fixture
def second(browser: Browser) -> Browser:
    """Somebody else's browser at the same app."""
    return Browser(browser.ledger)
