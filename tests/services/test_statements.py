"""Statements and open bills: every paper and payment with the balance after it, on either database."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from tappetry.presentation.papers import letterhead
from tappetry.presentation.statement import statement_data, statement_pdf
from tappetry.services import books
from tappetry.services.invoices import write_credit, write_invoice
from tappetry.services.ledger import Ledger
from tappetry.services.next_act import next_act
from tappetry.services.statements import open_bills, statement
from tappetry.store.database import Database
from tests.services.till import DAY, DUE, NOON, TOTAL, agreed, till

pytestmark = pytest.mark.slow


@pytest.fixture
def ledger(database: Database) -> Ledger:
    return till(database)


def worked(ledger: Ledger) -> None:
    """A job with a deposit, a core deposit, an invoice, a payment of too much, and a credit note."""
    agreed(ledger)
    books.move(ledger, "J-1", "bill", "700", "", next(iter(ledger.shop.catalogue.suppliers)), "B-9", "Wren")
    books.pay(ledger, "J-1", "deposit", "500", "cash", "R-1", "Wren")
    books.pay(ledger, "J-1", "core-taken", "45", "card", "", "Wren")
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    ledger.now = lambda: NOON + timedelta(days=15)
    books.pay(ledger, "J-1", "payment", "950", "transfer", "", "Wren")
    write_credit(ledger, "J-1", {1: "419"}, "it went back", "Wren")


def test_a_statement_tells_each_paper_and_payment_with_the_balance_after_it(ledger: Ledger) -> None:
    worked(ledger)
    found = statement(ledger, "J-1")
    assert [
        (str(each.day), each.what, each.said, str(each.change), str(each.balance)) for each in found.rows
    ] == [
        ("2026-03-02", "deposit from the customer, cash", "R-1", "-500.00", "-500.00"),
        ("2026-03-02", "core deposit from the customer, card", "", "-45.00", "-545.00"),
        ("2026-03-02", "invoice 1", "", "1438.32", "893.32"),
        ("2026-03-17", "payment from the customer, transfer", "", "-950.00", "-56.68"),
        ("2026-03-17", "credit note 1", "", "-449.38", "-506.06"),
    ]
    assert found.stands == (
        ("core deposits of customers", Decimal("-45.00")),
        ("credits of customers", Decimal("-461.06")),
    )
    paper = statement_data(found, letterhead(ledger.shop))
    assert paper["balance"] == {"what": "we owe you", "amount": "506.06"}
    assert "B-9" not in repr(paper), "what the shop buys is not told"
    assert statement_pdf(found, letterhead(ledger.shop)).startswith(b"%PDF-")


def test_a_customer_has_one_statement_over_all_jobs_of_his_and_of_no_namesake(ledger: Ledger) -> None:
    worked(ledger)
    agreed(ledger, "J-2")
    books.pay(ledger, "J-2", "deposit", "6.06", "cash", "", "Wren")
    agreed(ledger, "J-3", vin="9ZZT1L4A34H014820")
    books.pay(ledger, "J-3", "deposit", "900", "cash", "", "Wren")
    whole = statement(ledger, "J-2", whole=True)
    assert whole.jobs == ("J-1", "J-2")
    assert whole.balance == Decimal("-512.12")
    assert statement(ledger, "J-2").balance == Decimal("-6.06")
    assert statement_data(whole, letterhead(ledger.shop))["jobs"] == "jobs J-1 and J-2"


def test_what_is_open_and_overdue_is_told_until_it_is_paid(ledger: Ledger) -> None:
    for number, due in (("J-1", "2026-03-20"), ("J-2", DUE), ("J-3", DUE)):
        agreed(ledger, number)
        write_invoice(ledger, number, due, DAY, "Wren")
    books.pay(ledger, "J-2", "payment", "1000", "cash", "", "Wren")
    books.pay(ledger, "J-3", "payment", "1500", "cash", "", "Wren")
    ledger.now = lambda: NOON + timedelta(days=16)
    found = open_bills(ledger)
    assert [(each.job, each.invoice, each.days_over, str(each.owes)) for each in found.bills] == [
        ("J-2", 2, 2, "438.32"),
        ("J-1", 1, 0, "1438.32"),
    ]
    assert (found.total, found.overdue) == (TOTAL + Decimal("438.32"), Decimal("438.32"))
    assert found.credits == (("J-3", "A. Pellow", Decimal("61.68")),)
    act = next_act(ledger, "J-2")
    assert (act.waits_for, act.text) == ("a payment", "invoice 2 is out, to be paid by 16 March 2026")
    assert next_act(ledger, "J-3").text == "all is paid"
    books.pay(ledger, "J-2", "payment", "438.32", "cash", "", "Wren")
    write_credit(ledger, "J-1", None, "never done", "Wren")
    assert open_bills(ledger).bills == ()
