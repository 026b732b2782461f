"""Money page: what moves on a job is written down, and no more goes back than came."""

from __future__ import annotations

import pytest

from tappetry.services import books
from tests.web.conftest import Browser

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
