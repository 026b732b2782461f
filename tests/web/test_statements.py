"""How often a page asks the database: so often and no more, however much is kept there."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import event

from tests.web.conftest import Browser

#: Statements of one page, without those that begin and end a transaction.
MOST = 25
PAGES = (
    "/",
    "/jobs",
    "/jobs?q=sample",
    "/search?q=spring",
    "/parts?q=spring",
    "/families",
    "/calculators",
    "/shop",
    "/jobs/J3/facts",
    "/jobs/J3/plan",
    "/jobs/J3/kit",
    "/jobs/J3/proof",
    "/jobs/J3/papers",
    "/jobs/J3/bill",
    "/jobs/J3/statement",
    "/bills",
    "/jobs/J3/history",
)


@contextmanager
def counted(browser: Browser) -> Iterator[list[str]]:
    """The statements that a database is sent."""
    said: list[str] = []

    def listen(connection: object, cursor: object, statement: str, *rest: object) -> None:
        if not statement.startswith("BEGIN"):
            said.append(statement)

    engine = browser.ledger.database.engine
    event.listen(engine, "before_cursor_execute", listen)
    try:
        yield said
    finally:
        event.remove(engine, "before_cursor_execute", listen)


@pytest.mark.slow
def test_a_page_asks_the_database_a_few_times_however_many_jobs_there_are(browser: Browser) -> None:
    browser.open("J3")
    asked = {}
    for page in PAGES:
        with counted(browser) as said:
            browser.get(page)
        asked[page] = len(said)
        assert len(said) <= MOST, page
    assert any(asked.values())
    for name in ("J1", "J5"):
        browser.open(name)
    for page in PAGES:
        with counted(browser) as said:
            browser.get(page)
        assert len(said) == asked[page], page
