"""Camshafts side by side: worked out beside the page, told, stopped, loaded again; charts and units."""

from __future__ import annotations

import html
import json
import re

import pytest

from tappetry.presentation.cams import strength
from tappetry.presentation.measures import INCH, METRIC
from tappetry.services import curves
from tappetry.services import simulate as service
from tappetry.services.cams import compared, job_shelf
from tappetry.services.worker import Worker
from tappetry.services.working import Working
from tappetry.services.works import WORKS
from tappetry.simulation.engine import Mesh
from tests.services.test_curves import no_idle
from tests.web.conftest import Browser

pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def _coarse(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (service, curves):
        monkeypatch.setattr(module, "Mesh", lambda **given: Mesh(**given) if given else Mesh(4, 6, 5, 10))
    monkeypatch.setattr(curves, "speeds_of", lambda *_: (3000.0, 4000.0))
    monkeypatch.setattr(curves, "simulate_idle", no_idle)


@pytest.fixture
def worker(browser: Browser, monkeypatch: pytest.MonkeyPatch) -> Worker:
    # what was worked out with other cells is another shelf
    monkeypatch.setattr(browser.ledger, "working", Working())
    return Worker(browser.ledger.shop, browser.ledger.database, WORKS)


def page_of(browser: Browser, address: str = "/jobs/J3/cams") -> str:
    return html.unescape(browser.get(address))


def test_the_shelf_has_a_card_for_each_camshaft(browser: Browser, worker: Worker) -> None:
    browser.open("J3")
    assert 'hx-get="/jobs/J3/cams"' in browser.get("/jobs/J3/plan")
    page = page_of(browser)
    shelf = job_shelf(browser.ledger, browser.ledger.job("J3").job)
    assert [card.factory for card in shelf.cards] == [True] + [False] * (len(shelf.cards) - 1)
    assert [card.chosen for card in shelf.cards].count(True) == 1
    for card in shelf.cards:
        assert card.name in page
    assert "Work out torque and power" in page
    assert "/jobs/J3/cams/timing.svg" in page
    assert "/jobs/J3/cams/torque.svg" not in page


def test_curves_are_worked_out_beside_the_page_and_survive_it(
    browser: Browser, second: Browser, worker: Worker
) -> None:
    browser.open("J3")
    browser.post("/jobs/J3/cams")
    page = page_of(browser)
    assert 'hx-trigger="every 1s"' in page
    assert "waits for its turn" in page
    assert 'value="0.0"' in page
    worker.work_once()
    count = len(job_shelf(browser.ledger, browser.ledger.job("J3").job).cards)
    assert f"1 of {count} are done" in page_of(second), "loaded again, by somebody else"
    second.post("/jobs/J3/cams")
    while worker.work_once():
        pass
    page = page_of(browser)
    assert "<progress" not in page
    assert "every 1s" not in page
    found = compared(browser.ledger, job_shelf(browser.ledger, browser.ledger.job("J3").job))
    assert found.done
    assert found.standing.done == count == len(browser.ledger.queue.latest()), "nothing is done twice"
    for curve in found.curves:
        assert curve is not None
        assert strength(curve.full, METRIC) in page
    assert "at the peaks" in page
    assert "It does not idle: No opening of the throttle lets it idle." in page
    browser.post("/jobs/J3/cams")
    assert not worker.work_once(), "what is done is not done again"


def test_work_is_stopped_from_the_page(browser: Browser, worker: Worker) -> None:
    browser.open("J3")
    browser.post("/jobs/J3/cams")
    browser.post("/jobs/J3/cams/stop")
    assert not worker.work_once()
    page = page_of(browser)
    assert "It was stopped." in page
    assert "Go on with the curves" in page


def test_what_went_wrong_is_told_where_it_was_asked_for(
    browser: Browser, worker: Worker, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser.open("J3")
    browser.post("/jobs/J3/cams")
    with monkeypatch.context() as patch:
        patch.setattr(curves, "model_mark", lambda: "another")
        worker.work_once()
    page = page_of(browser)
    assert "The shop's text says otherwise of this engine" in page
    assert 'every 1s"' in page, "the others wait still"


def test_a_chart_is_a_picture_and_a_specification(browser: Browser, worker: Worker) -> None:
    browser.open("J3")
    for theme, ground in (("light", "#ffffff"), ("dark", "#1e2225")):
        for size in ("wide", "narrow"):
            answer = browser.client.get(f"/jobs/J3/cams/timing.svg?theme={theme}&size={size}")
            assert answer.headers["content-type"] == "image/svg+xml"
            assert ground in answer.text
    made = json.loads(browser.get("/jobs/J3/cams/timing.json"))
    tooltips = [layer["encoding"]["tooltip"] for layer in made["layer"] if "tooltip" in layer["encoding"]]
    assert {"field": "cam", "title": "cam", "type": "nominal"} in tooltips[0]
    for odd in ("timing.pdf", "timing.svg?theme=pink", "timing.svg?size=huge", "osprey.svg", "torque.svg"):
        browser.get(f"/jobs/J3/cams/{odd}", 404)


def test_the_script_of_charts_is_served_from_here_and_needs_no_evaluation(browser: Browser) -> None:
    answer = browser.client.get("/static/charts.js")
    assert answer.headers["content-type"].startswith("text/javascript")
    assert len(answer.text) > 500_000
    assert "ast:" in answer.text.replace(" ", "")
    assert "unsafe-eval" not in answer.headers["Content-Security-Policy"]


def test_every_picture_has_its_words_and_its_table(browser: Browser, worker: Worker) -> None:
    browser.open("J3")
    for address in ("/jobs/J3/cams", "/jobs/J3/proof"):
        page = browser.get(address)
        figures = re.findall(r"<figure.*?</figure>", page, re.DOTALL)
        assert figures
        for figure in figures:
            assert re.search(r'alt="Chart: [^"]+"', figure)
            assert figure.count("<tr>") > 3


def test_an_engine_that_is_not_known_is_told(browser: Browser, worker: Worker) -> None:
    browser.post("/jobs", number="J-9", cam="B1")
    page = page_of(browser, "/jobs/J-9/cams")
    assert "the engine family is not known" in page
    browser.post("/jobs/J-9/cams", 422)


def test_the_engines_of_a_family_stand_side_by_side(browser: Browser, worker: Worker) -> None:
    for family in browser.ledger.shop.knowledge.families:
        assert f'hx-get="/families/{family}/curves"' in browser.get(f"/families/{family}")
        address = f"/families/{family}/curves"
        page = page_of(browser, address)
        browser.post(address)
        count = page.count("<tr>\n<th")
        assert count >= 1
        browser.post(f"{address}/stop")
        assert "It was stopped." in page_of(browser, address)
    browser.get("/families/osprey/curves", 404)


def test_units_follow_the_person(browser: Browser, second: Browser, worker: Worker) -> None:
    browser.open("J3")
    assert "mm (0." in page_of(browser)
    browser.post("/units", units="inch")
    shelf = job_shelf(browser.ledger, browser.ledger.job("J3").job)
    assert INCH.both(shelf.cards[0].intake_lift, "length") in page_of(browser)
    assert METRIC.both(shelf.cards[0].intake_lift, "length") in page_of(second)
    assert re.search(r"<option value=\"inch\" selected", browser.get("/shop"))
    inch = browser.get("/jobs/J3/proof")
    browser.post("/units", units="metric")
    metric = browser.get("/jobs/J3/proof")
    assert re.search(r"0\.\d+ in \(\d+\.\d+ mm\)", inch)
    assert re.search(r"\d+\.\d+ mm \(0\.\d+ in\)", metric)
    browser.post("/units", units="furlongs")
    assert "selected" not in browser.get("/shop")
