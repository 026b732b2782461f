"""Money page: what moves on a job is written down, and no more goes back than came."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tappetry.services import books
from tappetry.services.ledger import Ledger
from tappetry.store.database import Database
from tests.services.till import DAY, DUE, agreed, till
from tests.web.conftest import Browser
from tests.web.test_security import ODD

pytestmark = pytest.mark.slow


def test_a_deposit_comes_and_part_of_it_goes_back(browser: Browser) -> None:
    browser.open("J3")
    assert "once a quote is accepted" in browser.get("/jobs/J3/money")
    browser.post("/jobs/J3/money", 404, kind="deposit", amount="10", means="cash")
    browser.post("/jobs/J3/quotes")
    browser.post("/jobs/J3/accept/quote/1", customer="M. Tresk", how="in-person")
    page = browser.post("/jobs/J3/money", kind="deposit", amount="954.35", means="transfer", said="R-1").text
    assert "\u2212954.35" in page
    assert "R-1" in page
    browser.post("/jobs/J3/money", 400, kind="deposit-back", amount="954.36", means="cash")
    browser.post("/jobs/J3/money", kind="deposit-back", amount="54.35", means="transfer")
    browser.post("/jobs/J3/money", 400, kind="bill", amount="10.00", supplier="nobody")
    browser.post("/jobs/J3/money", 400, kind="deposit", amount="1.234", means="cash")
    stands = {name: str(amount) for name, amount in books.balances(browser.ledger, "J3").items()}
    assert stands == {"bank": "900.00", "deposits of customers": "-900.00"}


#: What somebody may type, or a scanner may send, into a field for an amount.
AMOUNTS = ("0", "-5", "0.005", "1e9", "NaN", "Infinity", "5,00", "", " ", "\u0663", "9" * 17, "9" * 42, *ODD)


@pytest.fixture
def at_the_till(database: Database) -> Browser:
    """A browser at a job that was agreed on, on which some money moved."""
    ledger: Ledger = till(database)
    agreed(ledger)
    books.pay(ledger, "J-1", "deposit", "50", "cash", "", "Wren")
    return Browser(ledger)


def test_nothing_that_is_typed_about_money_is_a_fault_of_ours_or_moves_any(at_the_till: Browser) -> None:
    before = books.balances(at_the_till.ledger, "J-1")
    sound = {"kind": "deposit", "amount": "5", "means": "cash", "supplier": "LOX"}
    forms = [
        *({**sound, "kind": kind, "amount": amount} for kind in ("deposit", "bill") for amount in AMOUNTS),
        *({**sound, name: odd} for name in ("kind", "means", "seen") for odd in ODD),
        *({**sound, "kind": "bill", "supplier": odd} for odd in ODD),
        {**sound, "said": ODD[1]},
    ]
    for form in forms:
        for address in ("money", "bill/payments"):
            at_the_till.post(f"/jobs/J-1/{address}", 409 if form.get("seen") == ODD[0] else 400, **form)
    for amount in AMOUNTS:
        at_the_till.post("/jobs/J-1/bill/refunds", 400, amount=amount, means="cash")
        stated = {"machinist": "Heron", "promised": DUE, "parts": "heads", "work": "check", "price": amount}
        status = 200 if not amount.strip() or amount == "0" else 400
        at_the_till.post("/jobs/J-1/machine", status, **stated)
    for odd in ODD:
        at_the_till.post("/jobs/J-1/bill/invoices", 400, due=odd, supplied=DAY)
        at_the_till.post("/jobs/J-1/bill/invoices", 400, due=DUE, supplied=odd)
        for kind in ("payments", "refunds"):
            at_the_till.post(f"/jobs/J-1/bill/{kind}/{'9' * 40}/back", 404, why="typed wrongly")
        at_the_till.post(f"/jobs/J-1/money/{'9' * 40}/back", 404, why="typed wrongly")
    assert books.balances(at_the_till.ledger, "J-1") == before
    at_the_till.post("/jobs/J-1/bill/invoices", due=DUE, supplied=DAY)
    for amount in (*AMOUNTS, "419.01"):
        at_the_till.post("/jobs/J-1/bill/credits", 400, why="it went back", **{"line-1": amount})
    at_the_till.post("/jobs/J-1/bill/credits", 400, why="it went back", **{"line-9999": "1"})
    assert books.balances(at_the_till.ledger, "J-1")["customers"] == Decimal("1388.32")
