"""The machine shop's part of a job in a browser."""

from __future__ import annotations

import html

import pytest

from tests.web.conftest import Browser
from tests.web.test_people import unlabelled

pytestmark = pytest.mark.slow

ORDER = {
    "machinist": "Fenwick <bench>",
    "promised": "2026-03-01",
    "parts": "heads, 2",
    "work": "check",
    "price": "240.00",
    "ask-installed-height": "yes",
    "value-installed-height": "1.800 in ±0.005 in",
}


def test_work_goes_out_is_late_and_comes_back_judged(browser: Browser) -> None:
    browser.open("J1")
    assert unlabelled(browser.get("/jobs/J1/machine")) == []
    page = browser.post("/jobs/J1/machine", **ORDER).text
    assert "Fenwick &lt;bench&gt;" in page
    assert "late" in page
    assert unlabelled(page) == []
    assert "is late at Fenwick &lt;bench&gt;" in browser.get("/")
    assert browser.client.get("/jobs/J1/machine/1.pdf").content.startswith(b"%PDF-")
    told = browser.client.get("/jobs/J1/machine/1.json").json()
    assert (told["price"], told["back"], told["parts"]) == ("240.00", None, ["heads, 2"])
    again = browser.post("/jobs/J1/machine", 409, **ORDER, seen="0").text
    assert "Work order 1 of job J1 was written meanwhile, or this was sent twice." in again
    assert 'name="seen" value="1"' in page
    wrong = html.unescape(browser.post("/jobs/J1/machine", 400, **{**ORDER, "promised": "soon"}).text)
    assert "there is no such day" in wrong
    page = browser.post("/jobs/J1/machine/1/back", **{"value-installed-height": "1.79 in"}).text
    assert "outside" in page
    assert "is late at" not in browser.get("/")
    assert "machine shop Fenwick" in browser.get("/jobs/J1/facts")
    browser.get("/jobs/J1/machine/7.pdf", 404)
