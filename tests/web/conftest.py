"""The app of the invented shop on either database, and a browser that carries its tokens."""

from __future__ import annotations

import re
from collections import OrderedDict
from datetime import UTC, datetime
from typing import Any

import pytest
from fastapi.testclient import TestClient
from httpx import Response

from tappetry.presentation.kept import papers
from tappetry.services.ledger import Ledger
from tappetry.store.database import Database
from tappetry.web import limits
from tappetry.web.app import make_app
from tests.kitting.support import demo

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
#: What was worked out for equal jobs of the one shop, so that each kit is solved once for all tests.
WORKED_OUT: OrderedDict[tuple[str, str], Any] = OrderedDict()


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
    ledger = Ledger(demo(), database, papers(), lambda: NOON)
    monkeypatch.setattr(ledger.working, "_known", WORKED_OUT)
    return Browser(ledger)


@pytest.fixture
def second(browser: Browser) -> Browser:
    """Somebody else's browser at the same app."""
    return Browser(browser.ledger)
