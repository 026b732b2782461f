"""The app as people use it: a server of its own on either database, and Debian's Chromium before it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.browser.desk import CHROMIUM, DESK, PHONE, SWITCHES, Desk, demo_served
from tests.databases import KINDS, Databases
from tests.serving import Served

Sit = Callable[..., Desk]


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The browser; what it would fetch for itself is switched off."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=SWITCHES)
        yield browser
        browser.close()


@pytest.fixture(scope="session", params=KINDS)
def served(
    request: pytest.FixtureRequest, all_databases: Databases, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Served]:
    """A server on a copy of the invented shop, once on each database."""
    url = "" if request.param == "sqlite" else all_databases.address(request.param)
    with demo_served(tmp_path_factory.mktemp("shop"), url) as made:
        yield made


@pytest.fixture(params=(DESK, PHONE), ids=("desk", "phone"))
def width(request: pytest.FixtureRequest) -> int:
    """How wide the page is. [CSS pixel]"""
    found: int = request.param
    return found


@pytest.fixture
def sit(chromium: Browser, served: Served) -> Iterator[Sit]:
    """Sits somebody down at the app; at the end every browser must have been content."""
    desks: list[Desk] = []

    def sitting(width: int = DESK, name: str = "") -> Desk:
        desks.append(Desk(chromium, served, width))
        if name:
            desks[-1].say_who(name)
        return desks[-1]

    yield sitting
    for desk in desks:
        desk.close()
    assert [said for desk in desks for said in desk.complaints] == []
