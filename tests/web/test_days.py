"""What each day costs: shown beside the kit, drawn, taken into the plan; what the shop pays is not told."""

from __future__ import annotations

import html
import json

import pytest

from tappetry.presentation import words
from tappetry.services.working import Working
from tests.services.test_front import hasty
from tests.web.conftest import Browser

pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def _hasty(browser: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    """A shop in which some parts may be had earlier for more, and a memory of its own."""
    monkeypatch.setattr(browser.ledger, "shop", hasty())
    monkeypatch.setattr(browser.ledger, "working", Working())


def test_each_day_is_told_and_taken_into_the_plan(browser: Browser) -> None:
    browser.open("J3")
    assert 'hx-get="/jobs/J3/days"' in browser.get("/jobs/J3/kit")
    page = html.unescape(browser.get("/jobs/J3/days"))
    front = browser.ledger.front(browser.ledger.job("J3").job)
    assert len(front.points) > 1
    for point in front.points:
        assert point.kit.totals is not None
        assert words.amount(point.kit.totals.total) in page
        assert f'value="{point.day.isoformat()}"' in page
    assert front.no_earlier is not None
    assert front.no_earlier.message in page
    version = browser.ledger.job("J3").kept.versions["plan"]
    earliest = front.points[-1]
    browser.post("/jobs/J3/plan", version=version, need_by=earliest.day.isoformat())
    now = browser.ledger.job("J3").job
    assert now.plan.need_by == earliest.day
    totals = browser.ledger.kit(now).kit.totals
    assert totals is not None
    assert earliest.kit.totals is not None
    assert totals.total == earliest.kit.totals.total
    again = browser.ledger.front(now)
    assert [each.days for each in again.points] == [each.days for each in front.points]


def test_the_chart_shows_landed_cost_to_those_alone_who_may_see_it(
    browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser.open("J3")
    assert browser.get("/jobs/J3/days/cost.svg").startswith("<svg")
    assert "landed_cost" in browser.get("/jobs/J3/days/cost.json")
    monkeypatch.setattr("tappetry.web.pages.days.may", lambda request, permission: False)
    drawn = json.loads(browser.get("/jobs/J3/days/cost.json"))
    assert "landed" not in json.dumps(drawn)
    assert "landed" not in browser.get("/jobs/J3/days")
