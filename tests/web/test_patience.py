"""A page that takes long says so and comes by itself; whoever takes no page for an answer waits."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator

import pytest

from tappetry.services.working import Working
from tappetry.web import limits
from tests.web.conftest import Browser

LONG = 60.0
PAGE = {"accept": "text/html,application/xhtml+xml,*/*;q=0.8"}


@pytest.fixture
def held(browser: Browser, monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """Something else is being worked out until the event is set."""
    monkeypatch.setattr(limits, "PATIENCE", 0.0)
    monkeypatch.setattr(browser.ledger, "working", Working())
    browser.open("J5")
    free, begun = threading.Event(), threading.Event()

    def work() -> None:
        begun.set()
        free.wait(LONG)

    other = threading.Thread(target=browser.ledger.working.alone, args=(work,))
    other.start()
    assert begun.wait(LONG)
    yield free
    free.set()
    other.join()


@pytest.mark.slow
def test_a_page_that_is_not_there_yet_comes_by_itself(browser: Browser, held: threading.Event) -> None:
    answer = browser.client.get("/jobs/J5/kit", headers=PAGE)
    assert answer.status_code == 200
    assert answer.headers["refresh"] == "0"
    assert "This is being worked out, and comes by itself." in answer.text
    assert '<a href="/jobs/J5/kit">Look again</a>' in answer.text
    within = browser.client.get("/jobs/J5/plan/try?use=daily", headers={"HX-Request": "true"})
    assert "refresh" not in within.headers
    assert re.search(r'<div[^>]* hx-get="/jobs/J5/plan/try\?use=daily"[^>]* hx-swap="outerHTML"', within.text)
    assert "<html" not in within.text
    facts = browser.client.get("/jobs/J5/facts", headers=PAGE)
    assert "refresh" not in facts.headers  # which engine it is waits for nobody
    held.set()
    browser.get("/jobs/J5/kit")
    again = browser.client.get("/jobs/J5/kit", headers=PAGE)
    assert "refresh" not in again.headers
    assert "Keep this kit" in again.text


@pytest.mark.slow
def test_whoever_takes_no_page_waits_until_it_is_there(browser: Browser, held: threading.Event) -> None:
    threading.Timer(0.3, held.set).start()
    answer = browser.client.get("/api/1/jobs/J5/kit", headers=PAGE)
    assert "refresh" not in answer.headers
    assert "One moment" not in browser.get("/jobs/J5/kit")
