"""The books for the accountant: every line of every posting, and no formula among them."""

from __future__ import annotations

import csv
from datetime import timedelta
from decimal import Decimal
from io import StringIO

import pytest

from tappetry.presentation.books_csv import COLUMNS, books_csv, plain_cell
from tappetry.records.problems import BadInput
from tappetry.services import books, invoices, people, privacy
from tappetry.services.invoices import write_credit, write_invoice
from tappetry.services.journal import entries
from tappetry.services.ledger import Ledger
from tappetry.store.database import Database
from tests.services.till import DAY, DUE, NOON, TOTAL, agreed, till

pytestmark = pytest.mark.slow


@pytest.fixture
def ledger(database: Database) -> Ledger:
    return till(database)


def test_the_table_holds_every_posting_and_balances(ledger: Ledger) -> None:
    agreed(ledger)
    books.pay(ledger, "J-1", "deposit", "500", "cash", "=1+1", "Wren, at the till")
    supplier = next(iter(ledger.shop.catalogue.suppliers))
    books.move(ledger, "J-1", "bill", "700", "", supplier, "B-9", "Wren")
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    ledger.now = lambda: NOON + timedelta(days=1)
    write_credit(ledger, "J-1", None, "never done", "Wren")
    content = books_csv(entries(ledger)).decode()
    assert content.startswith(",".join(COLUMNS) + "\r\n")
    rows = list(csv.DictReader(StringIO(content, newline="")))
    first = {name: rows[0][name] for name in COLUMNS if name != "posting"}
    assert first == {
        "date": "2026-03-02",
        "account": "cash",
        "debit": "500.00",
        "credit": "0.00",
        "currency": "USD",
        "what": "deposit from the customer",
        "paper": "'=1+1",
        "job": "J-1",
        "supplier": "",
        "written by": "Wren, at the till",
        "takes back": "",
    }
    assert [row["supplier"] for row in rows if row["paper"] == "B-9"] == [supplier, supplier]
    assert {row["paper"] for row in rows} == {"'=1+1", "B-9", "invoice 1", "credit note 1"}
    by_posting: dict[str, Decimal] = {}
    by_account: dict[str, Decimal] = {}
    for row in rows:
        amount = Decimal(row["debit"]) - Decimal(row["credit"])
        assert Decimal(row["debit"]) >= 0 <= Decimal(row["credit"])
        by_posting[row["posting"]] = by_posting.get(row["posting"], Decimal(0)) + amount
        by_account[row["account"]] = by_account.get(row["account"], Decimal(0)) + amount
    assert len(by_posting) == 4
    assert set(by_posting.values()) == {0}
    assert by_account == books.balances(ledger, "J-1")


def test_the_table_is_of_the_days_that_were_asked_for(ledger: Ledger) -> None:
    agreed(ledger)
    for day in range(3):
        ledger.now = lambda day=day: NOON + timedelta(days=day)
        books.pay(ledger, "J-1", "deposit", "1", "cash", f"R-{day}", "Wren")
    found = entries(ledger, "2026-03-03", "2026-03-03")
    assert {each.paper for each in found} == {"R-1"}
    assert {each.paper for each in entries(ledger, since="2026-03-03")} == {"R-1", "R-2"}
    with pytest.raises(BadInput, match=r"since: the day cannot be read .*3 March"):
        entries(ledger, "3 March")
    with pytest.raises(BadInput, match=r"the last day is before the first .*2026-03-02.*2026-03-03 or later"):
        entries(ledger, "2026-03-03", "2026-03-02")


def test_the_books_name_their_papers_after_a_customer_was_deleted(ledger: Ledger) -> None:
    agreed(ledger)
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    books.pay(ledger, "J-1", "payment", "20.00", "cash", "his aunt paid for him", "Wren")
    write_credit(ledger, "J-1", {1: "19"}, "his cousin Bede asked for it", "Wren")
    before = entries(ledger)
    customer, _ = people.of_job(ledger, "J-1")
    assert customer is not None
    privacy.delete(ledger, customer.id, privacy.sentence(customer.name), b"%PDF-", "Wren")
    after = entries(ledger)
    assert [(each.account, each.debit, each.credit) for each in after] == [
        (each.account, each.debit, each.credit) for each in before
    ]
    assert {each.paper for each in after} == {"invoice 1", "[deleted]", "credit note 1"}
    standing = invoices.in_force(invoices.papers(ledger, "J-1"))
    assert standing is not None
    assert standing.left.total == TOTAL - Decimal("20.38")
    assert standing.left.lines[1].text == "a cam"
    assert "Bede" not in repr([row.document for row in invoices.papers(ledger, "J-1")])


@pytest.mark.parametrize("text", ["=1", "+1", "-1", "@x", "\t=1", "\r=1", "\n=1", "  =1"])
def test_no_text_is_read_as_a_formula(text: str) -> None:
    assert plain_cell(text) == "'" + text
    assert plain_cell("R-1 = paid") == "R-1 = paid"
