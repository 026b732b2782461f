"""How often a page asks the database: so often and no more, however much is kept there."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import event

from tappetry.services import texts
from tappetry.services.shop import Shop
from tappetry.store.database import Database
from tappetry.store.jobs import enter
from tests.services.texts import BOOK, change, shop_of, taken_up, worker_of
from tests.store.documents import act
from tests.web.conftest import Browser

#: Statements of one page, without those that begin and end a transaction.
MOST = 15
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
    "/jobs/J3/machine",
    "/jobs/J3/customer",
    "/jobs/J3/bill",
    "/jobs/J3/money",
    "/jobs/J3/next",
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
def test_the_text_in_effect_is_asked_for_when_somebody_wrote_and_then_alone(
    tmp_path: Path, database: Database
) -> None:
    shop = shop_of(tmp_path)
    browser = Browser(taken_up(shop, database))
    other = taken_up(Shop(shop.folder), Database(database.url.render_as_string(hide_password=False)))
    each_time = 0 if database.is_sqlite else 1
    browser.get("/families")
    for _ in range(3):
        with counted(browser) as said:
            browser.get("/families")
        assert len(said) == each_time, said
    with other.database.writing() as session:
        enter(session, act("something else"))
    with counted(browser) as said:
        browser.get("/families")
        browser.get("/families")
    assert len(said) == 1 + each_time, said
    change(other, BOOK, 'labour_rate: "118.00"', 'labour_rate: "119.00"')
    texts.ask_look(other, "Wren")
    assert worker_of(other).work_once()
    texts.put_into_effect(other, texts.proposal(other).mark, "dearer", "Wren")
    assert browser.ledger.shop.knowledge.book.money["labour_rate"] == "118.00"
    browser.get("/families")
    assert browser.ledger.shop.knowledge.book.money["labour_rate"] == "119.00"
    other.database.close()


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
        assert len(said) <= asked[page], page
