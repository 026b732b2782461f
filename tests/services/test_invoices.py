"""Invoices: of what was accepted, once, numbered without gaps, on either database."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from decimal import Decimal

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from tappetry.presentation.invoice import invoice_data, missing
from tappetry.presentation.papers import letterhead
from tappetry.records.problems import BadInput, Refusal
from tappetry.services import books, invoices
from tappetry.services.invoices import INVOICE, write_credit, write_invoice
from tappetry.services.ledger import Ledger
from tappetry.store.database import Database
from tappetry.store.erasure import lifted
from tappetry.store.problems import NotKept
from tests.services.till import DAY, DUE, PDF, TOTAL, agreed, changed, said_to_four, till, with_book

pytestmark = pytest.mark.slow


@pytest.fixture
def ledger(database: Database) -> Ledger:
    return till(database)


def stands(ledger: Ledger, number: str = "J-1") -> dict[str, str]:
    """What stands on the accounts of a job, without those at nothing."""
    return {name: str(amount) for name, amount in books.balances(ledger, number).items() if amount}


def test_an_invoice_sets_the_deposit_off_and_is_booked(ledger: Ledger) -> None:
    agreed(ledger)
    books.move(ledger, "J-1", "deposit", "500", "cash", "", "R-1", "Wren")
    books.move(ledger, "J-1", "core-taken", "45", "cash", "", "R-2", "Wren")
    row = write_invoice(ledger, "J-1", DUE, DAY, "Rook")
    assert (row.kind, row.number, row.total, str(row.due)) == (INVOICE, 1, TOTAL, DUE)
    assert stands(ledger) == {
        "cash": "545.00",
        "core deposits of customers": "-45.00",
        "customers": "938.32",
        "sales: labour": "-295.00",
        "sales: parts": "-448.97",
        "sales: services": "-650.00",
        "sales: supplies": "-11.80",
        "tax owed": "-32.55",
    }
    assert ledger.job("J-1").kept.state == "invoiced"
    assert ledger.history("J-1")[0].what == "wrote invoice 1: 1438.32 USD"
    assert row.document["figure"] == {"what": "to be paid", "amount": "938.32"}
    assert row.document["settled"] == [{"what": "deposit that was paid", "amount": "−500.00"}]
    assert "45.00 of core deposits" in row.document["closing"][0]
    assert row.document["since"] == "For what was agreed: quote 1 of 2 March 2026."
    assert (row.document["date"], row.document["supplied"]) == ("2 March 2026", DAY), "programs read it too"
    assert "cost" not in repr(row.document)
    assert invoices.pdf(ledger, "J-1", INVOICE, 1) == PDF


def test_there_is_an_invoice_of_what_is_agreed_and_one_alone(ledger: Ledger) -> None:
    agreed(ledger)
    total = changed(ledger, "J-1", "519.00")
    assert total == TOTAL + Decimal("107.25")
    assert invoices.invoice_now(ledger, "J-1").since == "change order 1 of 2 March 2026"
    assert write_invoice(ledger, "J-1", DUE, DAY, "Wren").total == total
    with pytest.raises(NotKept, match="Job J-1 has invoice 1 already"):
        write_invoice(ledger, "J-1", DUE, DAY, "Wren")


@pytest.mark.parametrize("due", ["", "soon", "2026-03-01", "16.03.2026"])
def test_a_day_that_is_none_or_over_is_refused(ledger: Ledger, due: str) -> None:
    agreed(ledger)
    with pytest.raises(BadInput, match="due: the day"):
        write_invoice(ledger, "J-1", due, DAY, "Wren")
    assert invoices.papers(ledger, "J-1") == []


def test_an_invoice_says_who_supplied_what_when_and_each_rate(ledger: Ledger) -> None:
    agreed(ledger)
    row = write_invoice(ledger, "J-1", "2026-04-30", "2026-03-09", "Wren")
    assert str(row.supplied) == "2026-03-09"
    said = row.document
    assert (said["tax_number"], said["supplied"]) == ("UM 117-262-003", "2026-03-09")
    assert said["shop"]["lines"] == ["Mill Yard 4, Upper Mardle", "tax number UM 117-262-003"]
    assert [(each["what"], each["value"]) for each in said["facts"]] == [
        ("job", "J-1"),
        ("date of issue", "2 March 2026"),
        ("day of supply", "9 March 2026"),
        ("to be paid by", "30 April 2026"),
    ]
    untaxed = ["services", "labour", "supplies"]
    assert said["rates"] == [
        {"percent": "7.25", "net": "448.97", "tax": "32.55", "classes": ["parts"]},
        {"percent": "0", "net": "956.80", "tax": "0.00", "classes": untaxed},
    ]
    assert [(each["what"], each["amount"]) for each in said["sums"]] == [
        ("without tax", "1,405.77"),
        ("tax 7.25 % of 448.97, parts", "32.55"),
        ("tax 0 % of 956.80, services, labour and supplies", "0.00"),
    ]
    note = write_credit(ledger, "J-1", {1: "19"}, "dearer than said", "Wren")
    assert str(note.supplied) == "2026-03-09"
    assert (note.document["tax_number"], note.document["supplied"]) == ("UM 117-262-003", "2026-03-09")
    assert note.document["facts"][-1] == {"what": "day of supply", "value": "9 March 2026"}
    assert note.document["rates"] == [
        {"percent": "7.25", "net": "19.00", "tax": "1.38", "classes": ["parts"]}
    ]
    part = {"quantity": "in part", "what": "a cam", "each": "", "amount": "19.00"}
    assert note.document["lines"] == [part], "one cam at 419.00 does not come to 19.00"
    (rest,) = write_credit(ledger, "J-1", {0: "29.97"}, "all of it went back", "Wren").document["lines"]
    assert (rest["quantity"], rest["each"], rest["amount"]) == ("3", "9.99", "29.97")


@pytest.mark.parametrize(
    ("day", "told"),
    [
        ("", "the day of supply cannot be read"),
        ("soon", "the day of supply cannot be read"),
        ("2026-03-01", r"the day of supply is before the job .*2026-03-01.*2026-03-02 to 2026-04-02"),
        ("2026-04-03", r"the day of supply is too far ahead .*2026-04-03.*2026-03-02 to 2026-04-02"),
    ],
)
def test_a_day_of_supply_that_makes_no_sense_is_refused(ledger: Ledger, day: str, told: str) -> None:
    agreed(ledger)
    with pytest.raises(BadInput, match=told):
        write_invoice(ledger, "J-1", "2026-05-01", day, "Wren")
    assert invoices.papers(ledger, "J-1") == []
    assert str(write_invoice(ledger, "J-1", "2026-05-01", "2026-04-02", "Wren").supplied) == "2026-04-02"


def test_invoices_of_before_say_no_day_of_supply_nor_do_credits_on_them(ledger: Ledger) -> None:
    agreed(ledger)
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    with ledger.database.writing() as session, lifted(session, ("invoices",)):
        session.execute(text("UPDATE invoices SET supplied = NULL"))
    note = write_credit(ledger, "J-1", {1: "19"}, "dearer than said", "Wren")
    assert (note.supplied, note.document["supplied"]) == (None, None)
    assert "day of supply" not in repr(note.document["facts"])


def test_what_the_shop_does_not_state_is_missing_and_not_made_up(ledger: Ledger) -> None:
    agreed(ledger)
    stated = ledger.shop.knowledge.book.shop
    assert missing(letterhead(ledger.shop)) == []
    unstated = {"name": stated["name"], "place": stated["place"], "tax_number": " "}
    head = letterhead(with_book(ledger.shop, unstated))
    assert missing(head) == ["the shop's address", "the shop's tax number"]
    said = invoice_data(invoices.invoice_now(ledger, "J-1"), head)
    assert said["tax_number"] is None
    assert said["shop"]["lines"] == ["Upper Mardle"]
    assert "tax number" not in repr(said)


def test_other_taxes_than_were_agreed_are_refused(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    agreed(ledger)
    policy = invoices.read_policy(ledger.shop.knowledge.book.money)
    other = replace(policy, tax={**policy.tax, "parts": Decimal(9)})
    monkeypatch.setattr(invoices, "read_policy", lambda money: other)
    with pytest.raises(Refusal, match=r"would come to 1446\.18, and 1438\.32 was agreed"):
        write_invoice(ledger, "J-1", DUE, DAY, "Wren")


def test_who_invoices_at_once_leaves_no_gap_and_no_number_twice(ledger: Ledger) -> None:
    names = [agreed(ledger, f"J-{place}") for place in range(4)]
    with ThreadPoolExecutor(4) as pool:
        rows = list(pool.map(lambda name: write_invoice(ledger, name, DUE, DAY, "Wren"), names))
    assert sorted(row.number for row in rows) == [1, 2, 3, 4]


def test_one_job_is_invoiced_once_by_four_at_once(ledger: Ledger) -> None:
    agreed(ledger)

    said = said_to_four(lambda who: f"invoice {write_invoice(ledger, 'J-1', DUE, DAY, who).number}")
    assert said == ["Job J-1 has invoice 1 already; a credit note may undo it."] * 3 + ["invoice 1"]
    assert stands(ledger)["customers"] == str(TOTAL)


@pytest.mark.parametrize("change", ["DELETE FROM invoices", "UPDATE invoices SET total = total"])
def test_the_database_itself_refuses_to_change_an_invoice(ledger: Ledger, change: str) -> None:
    agreed(ledger)
    write_invoice(ledger, "J-1", DUE, DAY, "Wren")
    refused = pytest.raises(DBAPIError, match="what is kept is never changed")
    with refused, ledger.database.writing() as session:
        session.execute(text(change))
