"""The customer's page in a browser, and what comes of it in the shop."""

from __future__ import annotations

import html
import re

import pytest

from tappetry.web.security import HEADERS, LARGEST_PHOTO
from tests.web.conftest import Browser

pytestmark = pytest.mark.slow

PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x20\0\0\0\x10" + bytes(64)


def link(browser: Browser, **fields: object) -> str:
    """The address of a page that was made for the customer of J1."""
    browser.open("J1")
    browser.post("/jobs/J1/quotes")
    asked = {"paper": "yes", "questions": ["fuel-octane"], "photos": "the front cover\n", "days": 14}
    page = browser.post("/jobs/J1/links", **{**asked, **fields}).text
    found = re.search(r'class="code" href="http://127\.0\.0\.1(/c/[\w-]+)"', page)
    assert found is not None
    return found[1]


def test_a_customer_reads_accepts_answers_and_sends_a_photo(browser: Browser, second: Browser) -> None:
    address = link(browser)
    page = html.unescape(second.get(address))
    assert "Your quote 1" in page
    assert "a torque converter with a higher stall speed" in page
    assert "1850 rpm" in page
    assert 'href="/jobs' not in page, "a customer sees no room of the shop"
    assert second.client.get(f"{address}/paper.pdf").content.startswith(b"%PDF-")
    second.post(f"{address}/answer", attribute="fuel-octane", value="93")
    files = {"photo": ("x.exe", PNG, "text/html")}
    answer = second.client.post(f"{address}/photo", data={"token": second.token, "wanted": "0"}, files=files)
    assert "the photo is here" in answer.text
    signed = {"what": "quote 1", "customer": "A. Pellow", "option-0": "declined", "read": "yes"}
    page = second.post(f"{address}/accept", **signed).text
    assert "What you accepted" in page
    page = html.unescape(browser.get("/jobs/J1/customer"))
    photo = re.search(r'href="(/jobs/J1/customer/photo-\d+)"', page)
    assert photo is not None
    shown = browser.client.get(photo[1])
    assert (shown.content, shown.headers["content-type"]) == (PNG, "image/png")
    assert shown.headers["X-Content-Type-Options"] == "nosniff"
    take = re.search(
        r'action="(/jobs/J1/answers/\d+)" class="line">\s*<input[^>]*>\s*<input[^>]*>\s*<label', page
    )
    assert take is not None
    page = browser.post(take[1], version=1, act="take", value="93").text
    assert "taken by" in page
    assert browser.ledger.job("J1").kept.versions["facts"] == 2
    assert "accepted by the page by A. Pellow" in browser.get("/jobs/J1/papers")


def test_a_link_that_does_not_hold_shows_nothing_of_the_shop(browser: Browser) -> None:
    address = link(browser)
    end = re.search(r'action="(/jobs/J1/links/\d+/end)"', browser.get("/jobs/J1/customer"))
    assert end is not None
    browser.post(end[1])
    for wrong in (address, address + "x", "/c/" + "a" * 43):
        page = browser.get(wrong, 404)
        assert "does not lead anywhere" in page
        assert 'href="/jobs' not in page
    assert (
        browser.client.get(address).headers["Referrer-Policy"] == HEADERS["Referrer-Policy"] == "no-referrer"
    )


def test_what_is_no_photo_or_too_large_is_refused(browser: Browser) -> None:
    address = link(browser)
    for content, status in ((b"<html>", 400), (bytes(LARGEST_PHOTO), 413)):
        answer = browser.client.post(
            f"{address}/photo",
            data={"token": browser.token, "wanted": "0"},
            files={"photo": ("x.jpg", content, "image/jpeg")},
        )
        assert answer.status_code == status
        assert f'<a href="{address}">Back to the page</a>' in answer.text
        assert 'href="/jobs' not in answer.text
    assert "Nothing yet" in browser.get("/jobs/J1/customer")


def test_a_yes_that_is_not_taken_leads_back_and_loses_nothing(browser: Browser) -> None:
    address = link(browser)
    said = {"customer": "A. Pellow", "note": "call me <b>", "option-0": "declined", "what": "quote 1"}
    page = browser.post(f"{address}/accept", 400, **said).text
    assert "signed only by who has read what that means" in page
    assert f'<a href="{address}">Back to the page</a>' in page
    assert '<span class="quiet">note:</span> call me &lt;b&gt;' in page
    assert browser.token not in page


def test_a_link_that_asks_nothing_is_not_made(browser: Browser) -> None:
    browser.open("J3")
    browser.post("/jobs/J3/links", 400, days=14)
    browser.post("/jobs/J3/links", 400, days=0, photos="the plate")
