"""Papers page: the customer's yes, orders, and change orders, as a person does them in a browser."""

from __future__ import annotations

import html
import re

import pytest

from tests.web.conftest import Browser

pytestmark = pytest.mark.slow


def test_from_a_quote_to_orders_and_a_change_order(browser: Browser) -> None:
    browser.open("J1")
    page = browser.post("/jobs/J1/quotes").text
    assert 'href="/jobs/J1/accept/quote/1"' in page
    page = html.unescape(browser.get("/jobs/J1/accept/quote/1"))
    assert "a torque converter with a higher stall speed" in page
    assert "1850 rpm" in page, "what it means to go without stands beside the offer"
    browser.post("/jobs/J1/accept/quote/1", 400, customer="A. Pellow", how="in-person")
    signed = {"customer": "A. Pellow", "how": "letter", "option-0": "declined", "read": "yes"}
    page = html.unescape(browser.post("/jobs/J1/accept/quote/1", **signed).text)
    assert "quote 1, accepted by letter by A. Pellow" in page
    assert "accepted, in work" in page
    assert '<span class="money">8,439.31 USD</span>' in page
    assert "accepted, in work" in browser.get("/jobs")
    browser.post("/jobs/J1/accept/quote/1", 404, **signed)
    browser.post("/jobs/J1/quotes", 404)
    page = browser.post("/jobs/J1/orders").text
    assert "Orders that were sent" in page
    assert "held" in page
    assert browser.client.get("/jobs/J1/papers/sent-order-1.pdf").content.startswith(b"%PDF-")
    browser.get("/jobs/J1/papers/sent-order-99.pdf", 404)
    assert "stands as it was agreed" in browser.get("/jobs/J1/change")
    browser.post("/jobs/J1/plan", version=1, package="best")
    assert "New total" in browser.get("/jobs/J1/change")
    browser.post("/jobs/J1/changes", 400, why="")
    page = browser.post("/jobs/J1/changes", why="the chain is worn").text
    assert "the chain is worn" in page
    assert 'href="/jobs/J1/accept/change/1"' in page
    page = browser.get("/")
    assert "<h2>Waits for the customer</h2>" in page
    assert "<h2>Waits for us</h2>" not in page
    assert browser.client.get("/jobs/J1/papers/change-1.pdf").content.startswith(b"%PDF-")
    assert "<h2>Change order 1" in browser.get("/jobs/J1/accept/change/1")
    page = browser.post("/jobs/J1/accept/change/1", customer="A. Pellow", how="in-person").text
    assert "change order 1, accepted in person by A. Pellow" in page
    assert "<h2>Waits for us</h2>" in browser.get("/")


def test_a_paper_that_is_not_there_is_not_accepted(browser: Browser) -> None:
    browser.open("J3")
    browser.get("/jobs/J3/accept/quote/1", 404)
    browser.post("/jobs/J3/accept/quote/1", 404, customer="M. Tresk", how="in-person")
    browser.post("/jobs/J3/orders", 404)
    browser.get("/jobs/J3/change", 404)


def test_prices_of_which_no_day_is_known_are_asked_again_before_orders_are_sent(browser: Browser) -> None:
    old = r"(\d+) prices of suppliers, older than 7 days or of no known day"
    browser.open("J5")
    page = html.unescape(browser.post("/jobs/J5/quotes").text)
    asked = re.findall(r'name="supplier" value="(\w+)"', page)
    assert len(asked) > 1
    assert page.count("day not known") == len(asked)
    counted = re.search(old, page)
    assert counted is not None
    assert int(counted[1]) > len(asked)
    assert counted[0] in html.unescape(browser.get("/jobs/J5/accept/quote/1"))
    for supplier in asked:
        page = html.unescape(browser.post("/jobs/J5/prices-asked", supplier=supplier).text)
    assert "to be asked again" not in page
    assert "to be asked again" not in browser.get("/jobs/J5/accept/quote/1")
    browser.post("/jobs/J5/prices-asked", 422, supplier=asked[0])
    assert "again: " in html.unescape(browser.get("/jobs/J5/history"))
