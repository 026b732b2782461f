"""The other rooms: today, parts, families, calculators, shop."""

from __future__ import annotations

import html

import pytest

from tappetry.services.calculate import calculate, calculations
from tappetry.services.next_act import next_act
from tappetry.services.parts import find_parts
from tappetry.store.quotes import jobs_with
from tests.kitting.support import demo
from tests.web.conftest import Browser

pytestmark = pytest.mark.slow


def test_today_has_every_job_with_its_next_act(browser: Browser) -> None:
    browser.open("J1")
    browser.open("J3")
    page = browser.get("/")
    assert 'hx-get="/jobs/J1/next"' in page
    assert 'hx-get="/jobs/J3/next"' in page
    assert "waits for its quote" in browser.get("/jobs/J3/next", **{"HX-Request": "true"})
    assert "No job yet" not in page


def test_an_empty_day_says_where_to_begin(browser: Browser) -> None:
    assert "No job yet" in browser.get("/")


def test_the_next_act_follows_what_stands_in_the_way(browser: Browser) -> None:
    ledger = browser.ledger
    browser.open("J3")
    assert next_act(ledger, "J3").part == "papers"
    ledger.change_plan("J3", ["need_by=2026-03-03"], 1, "Wren")
    found = next_act(ledger, "J3")
    assert (found.waits_for, found.part) == ("a plan", "plan")
    assert found.text == "No kit satisfies job J3."
    browser.post("/jobs", number="J-8", cam="B1")
    found = next_act(ledger, "J-8")
    assert (found.waits_for, found.part) == ("a fact", "facts")
    assert "the engine family is not known" in found.text


def test_a_sent_quote_waits_for_the_customer(browser: Browser) -> None:
    browser.open("J5")
    browser.ledger.send_quote("J5", "Wren")
    found = next_act(browser.ledger, "J5")
    assert (found.waits_for, found.text) == ("the customer", "quote 1 is out and holds to 16 March 2026")
    assert "Waits for the customer" in browser.get("/")


def test_parts_are_found_by_number_words_and_need(browser: Browser) -> None:
    part = demo().catalogue.parts[0]
    need = part.fills[0].need
    assert find_parts(demo(), part.number.lower()).parts[0] == part
    assert part in find_parts(demo(), part.description, need).parts
    assert all(each.pieces_for(need) for each in find_parts(demo(), "", need).parts)
    assert find_parts(demo(), "osprey").count == 0
    page = browser.get(f"/parts?q={part.number}", **{"HX-Request": "true"})
    assert f">{part.number}<" in page
    assert "<html" not in page


def test_every_part_has_its_page(browser: Browser) -> None:
    for part in demo().catalogue.parts[::25]:
        page = html.unescape(browser.get(f"/parts/{part.supplier}/{part.number}"))
        assert part.number in page
        assert part.description in page
        assert f"{part.price:,.2f}" in page
    assert "no list carries this part" in browser.get("/parts/NOBODY/X-1", 400)


def test_a_part_names_the_jobs_whose_kept_kits_hold_it(browser: Browser) -> None:
    browser.open("J3")
    line = browser.ledger.keep_kit("J3", "Wren").lines[0]
    assert 'href="/jobs/J3/kit"' in browser.get(f"/parts/{line.supplier}/{line.part}")
    assert browser.ledger.jobs_with(line.supplier, "X-1") == []
    file = (demo().jobs / "J3.yaml").read_text(encoding="utf-8")
    browser.ledger.new_job(file.replace("job: J3", "job: A-4"), "Wren")
    browser.ledger.keep_kit("A-4", "Wren")
    assert browser.ledger.jobs_with(line.supplier, line.part) == ["A-4", "J3"]
    latest = browser.ledger.read(lambda session: jobs_with(session, line.supplier, line.part, most=1))
    assert latest == ["A-4"]


def test_the_search_on_top_goes_on_to_parts(browser: Browser) -> None:
    part = demo().catalogue.parts[0]
    answer = browser.client.get("/search", params={"q": part.number}, follow_redirects=False)
    assert answer.headers["location"] == f"/parts/{part.supplier}/{part.number}"


def test_a_family_is_read_with_its_applications_and_needs(browser: Browser) -> None:
    for family in demo().knowledge.families.values():
        assert family.name in browser.get("/families")
        page = html.unescape(browser.get(f"/families/{family.id}"))
        assert all(each.vehicle in page for each in family.applications)
        assert all(need.why in page for need in demo().knowledge.needs.values())
    browser.get("/families/osprey", 404)


@pytest.mark.parametrize("chapter", sorted({each.chapter for each in calculations()}))
def test_every_calculator_opens_with_an_example_that_can_be_reckoned(browser: Browser, chapter: str) -> None:
    assert html.escape(chapter) in browser.get("/calculators")
    for each in [each for each in calculations() if each.chapter == chapter][::4]:
        page = html.unescape(browser.get(f"/calculators/{each.name}"))
        assert "Not reckoned" not in page, each.name
        assert each.formula in page


def test_a_calculator_reckons_what_is_typed_with_its_band(browser: Browser) -> None:
    words = ["lobe_lift=.353 in", "rocker_ratio=1.65 ±.01"]
    (answer,) = calculate("lift-at-valve", words).outputs
    page = browser.client.get(
        "/calculators/lift-at-valve", params=dict(word.split("=") for word in words)
    ).text
    assert f"{answer.value:.6g} {answer.unit}" in page
    assert " to " in page.split("Result")[1].split("</section>")[0]


def test_a_value_out_of_range_is_told_in_the_result(browser: Browser) -> None:
    page = browser.get("/calculators/lift-at-valve?lobe_lift=-1&rocker_ratio=1.6", **{"HX-Request": "true"})
    assert "Not reckoned" in page
    assert "out of range" in page


def test_whoever_sits_here_stands_in_the_history(browser: Browser) -> None:
    page = browser.post("/person", name="Rook Ünal; <i>").text
    assert 'value="Rook Ünal; &lt;i&gt;"' in page
    browser.open("J3")
    assert browser.ledger.history("J3")[0].who == "Rook Ünal; <i>"
    page = browser.get("/shop")
    assert "opened the job" in page
    assert demo().knowledge.version in page
    assert "shop@" in page or "sqlite" in page
