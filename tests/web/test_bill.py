"""Bill page: the invoice of a job, as a person writes it in a browser and a program reads it."""

from __future__ import annotations

import pytest

from tappetry.presentation.kept import papers
from tappetry.services import books
from tappetry.services.ledger import Ledger
from tappetry.store.database import Database
from tests.kitting.support import demo
from tests.services.till import DUE, NOON, agreed
from tests.web.conftest import Browser

pytestmark = pytest.mark.slow


@pytest.fixture
def browser(database: Database) -> Browser:
    """A browser at a job that was agreed on; papers are set as they go out."""
    made = Browser(Ledger(demo(), database, papers(), lambda: NOON))
    agreed(made.ledger)
    return made


def test_an_invoice_is_looked_at_written_and_read(browser: Browser) -> None:
    books.move(browser.ledger, "J-1", "deposit", "500", "cash", "", "R-1", "Wren")
    page = browser.get("/jobs/J-1/bill")
    assert "What the invoice would say now" in page
    assert "938.32 USD" in page
    browser.post("/jobs/J-1/bill/invoices", 400, due="2026-02-30")
    page = browser.post("/jobs/J-1/bill/invoices", due=DUE).text
    assert "to be paid by 16 March 2026" in page
    assert "would say" not in page
    assert "invoice written" in page
    browser.post("/jobs/J-1/bill/invoices", 404, due=DUE)
    assert browser.client.get("/jobs/J-1/papers/invoice-1.pdf").content.startswith(b"%PDF-")
    browser.get("/jobs/J-1/papers/invoice-2.pdf", 404)
    assert "\u2212938.32" not in browser.get("/jobs/J-1/money")
    (told,) = browser.client.get("/api/1/jobs/J-1/invoices").json()["invoices"]
    assert (told["kind"], told["number"], told["total"], told["due"]) == ("invoice", 1, "1438.32", DUE)
    parts = {"name": "parts", "net": "448.97", "percent": "7.25", "tax": "32.55"}
    assert told["paper"]["bill"]["classes"][0] == parts


def test_there_is_no_bill_before_the_yes(browser: Browser) -> None:
    browser.open("J3")
    assert "once a quote is accepted" in browser.get("/jobs/J3/bill")
    browser.post("/jobs/J3/bill/invoices", 404, due=DUE)
