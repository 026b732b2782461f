"""Bill page: the invoice of a job, as a person writes it in a browser and a program reads it."""

from __future__ import annotations

import html
import re
from datetime import timedelta

import pytest

from tappetry.presentation.kept import papers
from tappetry.services import books
from tappetry.services.ledger import Ledger
from tappetry.store.database import Database
from tappetry.store.machine import WorkPaper, keep_order, keep_return
from tests.kitting.support import demo
from tests.services.till import DAY, DUE, NOON, agreed, with_book
from tests.store.documents import act
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
    assert 'name="supplied" type="date" required value="2026-03-02"' in page
    assert "Proposed: 2 March 2026, where it is handed over today." in page
    assert "Missing on it" not in page
    browser.post("/jobs/J-1/bill/invoices", 400, due=DUE, supplied="2026-03-01")
    browser.post("/jobs/J-1/bill/invoices", 400, due=DUE)
    browser.post("/jobs/J-1/bill/invoices", 400, due="2026-02-30", supplied=DAY)
    page = browser.post("/jobs/J-1/bill/invoices", due=DUE, supplied=DAY).text
    assert "supplied on 2 March 2026, to be paid by 16 March 2026" in page
    assert "would say" not in page
    assert "invoice written" in page
    browser.post("/jobs/J-1/bill/invoices", 404, due=DUE, supplied=DAY)
    assert browser.client.get("/jobs/J-1/papers/invoice-1.pdf").content.startswith(b"%PDF-")
    browser.get("/jobs/J-1/papers/invoice-2.pdf", 404)
    assert "\u2212938.32" not in browser.get("/jobs/J-1/money")
    (told,) = browser.client.get("/api/1/jobs/J-1/invoices").json()["invoices"]
    assert (told["kind"], told["number"], told["total"], told["due"]) == ("invoice", 1, "1438.32", DUE)
    assert (told["supplied"], told["paper"]["tax_number"]) == (DAY, "UM 117-262-003")
    parts = {"name": "parts", "net": "448.97", "percent": "7.25", "tax": "32.55"}
    assert told["paper"]["bill"]["classes"][0] == parts


def test_the_customer_pays_too_much_and_a_line_is_credited(browser: Browser) -> None:
    browser.post("/jobs/J-1/bill/payments", 400, kind="payment", amount="10", means="cash")
    assert '<option value="deposit">' in browser.get("/jobs/J-1/bill")
    browser.post("/jobs/J-1/bill/payments", kind="deposit", amount="500", means="card")
    browser.post("/jobs/J-1/bill/invoices", due=DUE, supplied=DAY)
    page = browser.get("/jobs/J-1/bill")
    assert '<option value="deposit">' not in page
    assert 'value="938.32"' in page, "what is open is proposed"
    browser.post("/jobs/J-1/bill/payments", 400, kind="bill", amount="1", means="cash")
    page = html.unescape(
        browser.post("/jobs/J-1/bill/payments", kind="payment", amount="950", means="cash").text
    )
    assert "More was paid than is owed" in page
    assert 'to the customer\'s credit</th><td class="number"><b>11.68' in page
    page = browser.get("/jobs/J-1/bill/credit")
    assert "a cam, up to 419.00" in page
    browser.post("/jobs/J-1/bill/credits", 400, why="it went back")
    browser.post("/jobs/J-1/bill/credits", 400, why="it went back", **{"line-1": "419.01"})
    page = browser.post("/jobs/J-1/bill/credits", why="it went back", **{"line-1": "419.00"}).text
    assert "Credit note 1" in page
    assert browser.client.get("/jobs/J-1/papers/credit-1.pdf").content.startswith(b"%PDF-")
    browser.post("/jobs/J-1/bill/refunds", 400, amount="461.07", means="cash")
    browser.post("/jobs/J-1/bill/refunds", amount="461.06", means="cash")
    assert "Nothing is open" in browser.get("/jobs/J-1/bill")
    browser.post("/jobs/J-1/bill/credits", why="all of it", whole="yes")
    browser.get("/jobs/J-1/bill/credit", 404)
    told = browser.client.get("/api/1/jobs/J-1/invoices").json()
    assert told["stands"] == {"owes": "0.00", "deposit": "0.00", "credit": "988.94", "core_deposits": "0.00"}
    assert [(each["kind"], each["number"]) for each in told["invoices"]] == [
        ("invoice", 1),
        ("credit", 1),
        ("credit", 2),
    ]


def test_a_statement_and_what_is_open_are_read(browser: Browser) -> None:
    assert "No invoice is open" in browser.get("/bills")
    assert "Nothing was written" in browser.get("/jobs/J-1/statement")
    browser.post("/jobs/J-1/bill/payments", kind="deposit", amount="500", means="card")
    browser.post("/jobs/J-1/bill/invoices", due=DUE, supplied=DAY)
    page = html.unescape(browser.get("/jobs/J-1/statement"))
    assert "deposit from the customer, card" in page
    assert "938.32 USD" in page
    assert "you owe" in page
    assert "All jobs of A. Pellow" in page
    browser.get("/jobs/J-1/statement?whole=yes")
    assert browser.client.get("/jobs/J-1/statement.pdf?whole=yes").content.startswith(b"%PDF-")
    browser.get("/jobs/J-9/statement", 404)
    browser.ledger.now = lambda: NOON + timedelta(days=15)
    page = browser.get("/bills")
    assert "1 day over" in page
    assert "938.32" in page
    assert 'href="/bills"' in browser.get("/")
    answer = browser.client.get("/bills/books.csv?since=2026-03-02&until=")
    assert answer.headers["content-disposition"] == 'attachment; filename="books.csv"'
    assert "2026-03-02,customers,938.32,0.00,USD,invoice,invoice 1,J-1" in answer.text
    browser.get("/bills/books.csv?since=soon", 400)
    told = browser.client.get("/api/1/bills").json()
    assert (told["total"], told["overdue"], told["bills"][0]["due"]) == ("938.32", "938.32", DUE)
    told = browser.client.get("/api/1/jobs/J-1/statement").json()
    assert [each["balance"] for each in told["rows"]] == ["-500.00", "938.32"]


def test_a_payment_that_was_typed_wrongly_is_taken_back(browser: Browser) -> None:
    browser.post("/jobs/J-1/bill/payments", kind="deposit", amount="5000", means="card", said="R-7")
    (told,) = browser.client.get("/api/1/jobs/J-1/payments").json()["payments"]
    number = told.pop("number")
    assert told == {
        "day": "2026-03-02",
        "what": "deposit from the customer",
        "means": "card",
        "amount": "5000.00",
        "said": "R-7",
        "written_by": told["written_by"],
        "taken_back": None,
    }
    address = f"/jobs/J-1/bill/payments/{number}/back"
    assert address in browser.get("/jobs/J-1/bill")
    browser.post(address, 400, why="")
    browser.post("/jobs/J-1/bill/payments/999/back", 404, why="one nought too many")
    page = browser.post(address, why="one <nought> too many").text
    assert "taken back</span> 2 March 2026" in page
    assert "one &lt;nought&gt; too many" in page
    assert address not in page
    browser.post(address, 404, why="again")
    assert "one &lt;nought&gt; too many" in browser.get("/jobs/J-1/papers")
    assert "taken back: deposit from the customer, card: one" in browser.get("/jobs/J-1/statement")
    assert "took back deposit from the customer: 5000.00" in browser.get("/jobs/J-1/history")
    assert "taken back: deposit" in browser.get("/jobs/J-1/money")
    table = browser.client.get("/bills/books.csv").text
    assert (
        f"taken back: deposit from the customer,one <nought> too many,J-1,,{told['written_by']},{number}"
        in table
    )
    browser.post("/jobs/J-1/bill/payments", kind="deposit", amount="500", means="card")
    second = browser.client.get("/api/1/jobs/J-1/payments").json()["payments"][1]["number"]
    address = f"/api/1/jobs/J-1/payments/{second}/back"
    for body, status in (({}, 400), ({"why": ""}, 400), ({"why": " "}, 400)):
        assert browser.client.post(address, json=body).status_code == status
    back = browser.client.post(address, json={"why": "typed twice"})
    assert back.status_code == 201
    assert back.json()["taken_back"] == {
        "day": "2026-03-02",
        "by": back.json()["written_by"],
        "why": "typed twice",
    }
    assert browser.client.post(address, json={"why": "again"}).status_code == 404


def seen(page: str) -> str:
    """What each form of a page says that it was made from."""
    (found,) = set(re.findall(r'name="seen" value="(\d+)"', page))
    return found


def test_a_form_that_is_sent_twice_does_it_once(browser: Browser) -> None:
    form = {"kind": "deposit", "amount": "500", "means": "card", "seen": seen(browser.get("/jobs/J-1/bill"))}
    browser.post("/jobs/J-1/bill/payments", **form)
    again = html.unescape(browser.post("/jobs/J-1/bill/payments", 409, **form).text)
    assert "moved meanwhile, or this was sent twice: wrote down deposit from the customer: 500.00" in again
    form = {
        "kind": "deposit-back",
        "amount": "5",
        "means": "cash",
        "seen": seen(browser.get("/jobs/J-1/money")),
    }
    browser.post("/jobs/J-1/money", **form)
    browser.post("/jobs/J-1/money", 409, **form)
    browser.post("/jobs/J-1/bill/invoices", due=DUE, supplied=DAY)
    form = {"why": "it went back", "line-1": "9", "seen": seen(browser.get("/jobs/J-1/bill/credit"))}
    browser.post("/jobs/J-1/bill/credits", **form)
    assert "sent twice: credit note 1 over" in browser.post("/jobs/J-1/bill/credits", 409, **form).text
    form = {"kind": "payment", "amount": "2000", "means": "cash", "seen": seen(browser.get("/jobs/J-1/bill"))}
    browser.post("/jobs/J-1/bill/payments", **form)
    form = {"amount": "3", "means": "cash", "seen": seen(browser.get("/jobs/J-1/bill"))}
    browser.post("/jobs/J-1/bill/refunds", **form)
    browser.post("/jobs/J-1/bill/refunds", 409, **form)
    browser.post("/jobs/J-1/bill/refunds", 400, **{**form, "seen": "osprey"})
    assert len(books.postings(browser.ledger, "J-1")) == 6


def test_money_that_went_back_by_mistake_is_taken_back(browser: Browser) -> None:
    browser.post("/jobs/J-1/bill/payments", kind="deposit", amount="500", means="card")
    browser.post("/jobs/J-1/money", kind="deposit-back", amount="50", means="cash", said="P-7")
    (told,) = browser.client.get("/api/1/jobs/J-1/refunds").json()["refunds"]
    assert (told["what"], told["means"], told["amount"], told["said"], told["taken_back"]) == (
        "deposit given back",
        "cash",
        "50.00",
        "P-7",
        None,
    )
    address = f"/jobs/J-1/bill/refunds/{told['number']}/back"
    assert address in browser.get("/jobs/J-1/bill")
    browser.post(address, 400, why="")
    browser.post(f"/jobs/J-1/bill/payments/{told['number']}/back", 404, why="it did not go out")
    page = browser.post(address, why="it did not go out").text
    assert "taken back</span> 2 March 2026" in page
    assert address not in page
    browser.post(address, 404, why="again")
    assert "taken back: deposit given back, cash: it did not" in browser.get("/jobs/J-1/statement")
    assert "took back deposit given back: 50.00" in browser.get("/jobs/J-1/history")
    browser.post("/jobs/J-1/money", kind="deposit-back", amount="500", means="cash")
    browser.post("/jobs/J-1/bill/invoices", due=DUE, supplied=DAY)
    second = browser.client.get("/api/1/jobs/J-1/refunds").json()["refunds"][1]["number"]
    api = f"/api/1/jobs/J-1/refunds/{second}/back"
    refused = browser.client.post(api, json={"why": "it did not go out"})
    assert (refused.status_code, "beside an invoice that is open" in refused.text) == (422, True)
    assert browser.client.post(api, json={"why": " "}).status_code == 400
    browser.post("/jobs/J-1/bill/credits", why="all of it", whole="yes")
    back = browser.client.post(api, json={"why": "it did not go out"})
    assert (back.status_code, back.json()["taken_back"]["why"]) == (201, "it did not go out")


def test_what_was_typed_of_a_supplier_is_taken_back(browser: Browser) -> None:
    supplier = next(iter(browser.ledger.shop.catalogue.suppliers))
    for kind in ("bill", "bill-paid"):
        page = browser.post(
            "/jobs/J-1/money", kind=kind, amount="70", means="card", supplier=supplier, said="B-7"
        ).text
    bill, paid = browser.client.get("/api/1/jobs/J-1/suppliers").json()["suppliers"]
    assert (bill["supplier"], bill["what"], bill["amount"]) == (supplier, "supplier's invoice", "70.00")
    assert (paid["means"], paid["said"], paid["taken_back"]) == ("card", "B-7", None)
    address = f"/jobs/J-1/money/{paid['number']}/back"
    assert address in page
    browser.post(address, 400, why="")
    browser.post(f"/jobs/J-1/money/{bill['number']}/back", 422, why="of another job")
    page = browser.post(address, why="paid <twice>").text
    assert re.search(r"taken back</span> 2 March 2026, [^<]*: paid &lt;twice&gt;", page)
    assert address not in page
    browser.post(address, 404, why="again")
    history = browser.get("/jobs/J-1/history")
    assert f"took back supplier paid: {supplier}" in history
    assert "paid &lt;twice&gt;" not in history
    api = f"/api/1/jobs/J-1/suppliers/{bill['number']}/back"
    assert browser.client.post(api, json={"why": " "}).status_code == 400
    back = browser.client.post(api, json={"why": "of another job"})
    assert (back.status_code, back.json()["supplier"]) == (201, supplier)
    assert back.json()["taken_back"]["why"] == "of another job"
    assert browser.client.post(api, json={"why": "again"}).status_code == 404
    assert "took back" not in browser.get("/jobs/J-1/statement")


def test_a_shop_without_a_tax_number_is_told_where_it_is_stated(browser: Browser) -> None:
    assert "UM 117-262-003 <a" in browser.get("/shop")
    ledger = browser.ledger
    stated = {**ledger.shop.knowledge.book.shop, "tax_number": ""}
    other = Browser(Ledger(with_book(ledger.shop, stated), ledger.database, papers(), lambda: NOON))
    page = html.unescape(other.get("/jobs/J-1/bill"))
    assert "Missing on it: the shop's tax number. The law of many places asks for it" in page
    assert '<a href="/shop/text/file?name=shop.yaml">' in page
    assert "not stated: invoices go out without it." in other.get("/shop")
    other.post("/jobs/J-1/bill/invoices", due=DUE, supplied=DAY)
    (told,) = other.client.get("/api/1/jobs/J-1/invoices").json()["invoices"]
    assert told["paper"]["tax_number"] is None


def test_the_day_on_which_work_came_back_is_proposed(browser: Browser) -> None:
    with browser.ledger.database.writing() as session:
        paper = WorkPaper("Heron Heads", NOON.date(), {}, b"%PDF-", None, "USD")
        keep_order(session, "J-1", 1, paper, act("sent a work order"))
    with browser.ledger.database.writing() as session:
        keep_return(session, "J-1", 1, {}, act("took in what came back", after=24 * 60))
    page = browser.get("/jobs/J-1/bill")
    assert "3 March 2026, the last work of a machine shop came back." in page


def test_there_is_no_bill_before_the_yes(browser: Browser) -> None:
    browser.open("J3")
    assert "once a quote is accepted" in browser.get("/jobs/J3/bill")
    browser.post("/jobs/J3/bill/invoices", 404, due=DUE, supplied=DAY)
