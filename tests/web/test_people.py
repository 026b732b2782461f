"""Customers in a browser: found by telephone and plate, told what was done before, merged, and back again."""

from __future__ import annotations

import html
import re

import pytest

from tests.web.conftest import Browser

pytestmark = pytest.mark.slow

NEW = {"number": "J-77", "cam": "B2", "customer": "B. Tamsin", "vin": "9ZZW2SSE6CK051209"}


def unlabelled(page: str) -> list[str]:
    """Fields of a page that no label names."""
    inner = re.sub(r"<label.*?</label>", "", page, flags=re.DOTALL)
    named = set(re.findall(r'<label[^>]* for="(\w+)"', page))
    fields = re.findall(r"<(?:input|select|textarea)\b[^>]*>", inner)
    return [
        each
        for each in fields
        if 'type="hidden"' not in each and not any(f'id="{name}"' in each for name in named)
    ]


def test_a_customer_is_found_by_telephone_and_plate_from_every_page(browser: Browser) -> None:
    browser.post("/jobs", **NEW, reach="+1 555 0100", plate="mc 12-34")
    browser.open("J1")
    for words in ("mc 12-34", "MC1234", "15550100"):
        answer = browser.client.get("/search", params={"q": words}, follow_redirects=False)
        assert (answer.status_code, answer.headers["location"]) == (303, "/jobs/J-77/facts"), words
        listed = browser.get(f"/customers?q={words}", **{"HX-Request": "true"})
        assert "B. Tamsin" in listed
        assert "A. Pellow" not in listed
        assert "<html" not in listed
    assert "No customer holds “osprey”" in browser.get("/customers?q=osprey")


def test_a_vehicle_that_comes_back_begins_with_what_is_known(browser: Browser) -> None:
    browser.open("J1")
    at = re.search(r'href="(/customers/\d+)"', browser.get("/jobs/J1/customer"))
    assert at is not None
    page = html.unescape(browser.get(at[1]))
    assert "A. Pellow" in page
    new = re.search(r'href="(/vehicles/\d+/new-job)"', page)
    assert new is not None
    form = html.unescape(browser.get(new[1]))
    assert "; job J1 of 2026-03-02" in form
    assert ">no</td>" in form
    assert "False" not in form
    assert "Asked again, for it may have changed" in form
    for each in (page, form, browser.get("/customers"), browser.get("/jobs/new")):
        assert unlabelled(each) == []
    opened = browser.post(new[1], number="J-78", cam="B2", mileage="99000 km", grade="told").text
    assert "99000 km" in opened
    assert "J-78" in browser.get(at[1])
    assert "Not done" in browser.post(new[1], 400, number="J-79", cam="B2", mileage="far").text
    assert "There is no vehicle 999" in browser.get("/vehicles/999/new-job", 404)


def test_two_who_are_one_are_shown_beside_each_other_and_made_one(browser: Browser) -> None:
    for number, vin in (("J-1", "9ZZW2SSE6CK051209"), ("J-2", "9ZZT1L4A34H014820")):
        browser.post("/jobs", **{**NEW, "number": number, "vin": vin})
    first, second = sorted(
        set(re.findall(r'href="/customers/(\d+)"', browser.get("/customers?q=tamsin"))), key=int
    )
    page = browser.get(f"/customers/{first}")
    assert f"/customers/{first}/merge?other={second}" in page
    both = browser.get(f"/customers/{first}/merge?other={second}")
    assert "J-1" in both
    assert "J-2" in both
    merged = browser.post(f"/customers/{first}/merge", other=second).text
    assert "J-2" in merged
    assert "make one of the two" not in merged
    browser.get(f"/customers/{second}", 404)
    plate = re.search(
        r'action="(/vehicles/\d+)/new-job"',
        browser.get(re.findall(r'href="(/vehicles/\d+/new-job)"', merged)[0]),
    )
    assert plate is not None
    assert "Q 1" in browser.post(plate[1], plate="q 1").text
