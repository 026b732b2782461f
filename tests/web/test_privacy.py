"""A customer's data in a browser: given out as text and JSON, deleted once the sentence is typed."""

from __future__ import annotations

import html
import re

import pytest

from tests.web.conftest import Browser
from tests.web.test_people import unlabelled

pytestmark = pytest.mark.slow


def test_data_are_given_out_and_deleted(browser: Browser) -> None:
    browser.open("J1")
    found = re.search(r'href="(/customers/\d+)"', browser.get("/jobs/J1/customer"))
    assert found is not None
    at = found[1]
    assert f'href="{at}/data"' in browser.get(at)
    page = browser.get(f"{at}/data")
    assert unlabelled(page) == []
    assert "Type: delete A. Pellow" in page
    told = browser.client.get(f"{at}/data.json")
    assert told.headers["content-disposition"].startswith("attachment")
    assert told.json()["tables"]["customers"][0]["name"] == "A. Pellow"
    assert "name: A. Pellow" in browser.get(f"{at}/data.txt")
    assert "this does not confirm it" in html.unescape(browser.post(f"{at}/delete", 400, typed="delete").text)
    done = browser.post(f"{at}/delete", typed="delete A. Pellow").text
    assert "What is left to do by hand" in done
    assert "Pellow" not in browser.get(at)
    assert "were deleted on" in browser.get(at)
    for part in ("facts", "plan", "kit", "proof", "papers", "customer", "history"):
        assert "Pellow" not in browser.get(f"/jobs/J1/{part}"), part
    assert "Pellow" not in browser.get("/")
