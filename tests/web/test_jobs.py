"""Jobs in the app: opened, found, changed by two people, with their history."""

from __future__ import annotations

import html
import re

import pytest

from tests.kitting.support import demo
from tests.web.conftest import Browser

pytestmark = pytest.mark.slow


def test_a_job_is_opened_from_the_shops_folder_once(browser: Browser) -> None:
    assert "Job files that are not opened yet" in browser.get("/jobs")
    browser.open("J3")
    page = browser.get("/jobs")
    assert 'href="/jobs/J3/facts"' in page
    assert 'name="name" value="J3"' not in page
    assert "There is a job J3 already" in browser.post("/jobs/from-file", 404, name="J3").text


def test_a_job_is_opened_with_what_is_known_on_the_telephone(browser: Browser) -> None:
    page = browser.post(
        "/jobs", number="J-77", cam="B2", customer="B. Tamsin <b>", vin="9ZZW2SSE6CK051209"
    ).text
    assert "J-77" in page
    assert "B. Tamsin &lt;b&gt;" in page
    assert "Brindle V8" in page, "the VIN says which engine it is"
    assert "Papers and vehicle" in page


def test_a_new_job_chooses_no_camshaft_by_itself_and_names_those_of_the_factory_last(
    browser: Browser,
) -> None:
    page = html.unescape(browser.get("/jobs/new"))
    found = re.search(r'<select name="cam".*?</select>', page, re.DOTALL)
    assert found is not None
    options = re.findall(r'<option value="(.*?)">(.*?)</option>', found[0])
    assert options[0][0] == ""
    grinds = demo().knowledge.tables["grind"]
    assert [told for _, told in options[1:]] == [f"{name} {grinds[name]['name']}" for name, _ in options[1:]]
    assert {name for name, _ in options[1:]} == set(grinds)
    factory = [bool(grinds[name].get("factory")) for name, _ in options[1:]]
    assert factory == sorted(factory)
    assert any(factory)
    assert "it is not said what is to be done" in browser.post("/jobs", 400, number="J-80").text


def test_a_number_that_cannot_be_one_is_refused_in_words(browser: Browser) -> None:
    assert "job" in browser.post("/jobs", 400, number="../x", cam="B2").text
    assert browser.ledger.find() == []


@pytest.mark.parametrize("words", ["j3", "J3"])
def test_a_job_is_found_from_every_page(browser: Browser, words: str) -> None:
    browser.open("J1")
    browser.open("J3")
    answer = browser.client.get("/search", params={"q": words}, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/jobs/J3/facts")
    assert "No job holds “osprey”" in browser.get("/search?q=osprey")


@pytest.mark.parametrize("label", ["HV-2041-1N", "hv-2041-1n"])
def test_the_label_of_a_part_goes_to_the_part(browser: Browser, label: str) -> None:
    answer = browser.client.get("/search", params={"q": label}, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/parts/HVC/HV-2041-1N")
    answer = browser.client.get("/search", params={"q": "beehive"}, follow_redirects=False)
    assert answer.headers["location"] == "/parts?q=beehive"


def test_the_list_narrows_as_one_types(browser: Browser) -> None:
    browser.open("J1")
    browser.open("J3")
    part = browser.get("/jobs?q=pellow", **{"HX-Request": "true"})
    assert "J1" in part
    assert "J3" not in part
    assert "<html" not in part


def test_a_page_of_no_job_says_so(browser: Browser) -> None:
    assert "There is no job J9 in the store" in browser.get("/jobs/J9/facts", 404)
    assert "There is no such page" in browser.get("/osprey", 404)


def test_the_history_says_who_what_and_the_difference(browser: Browser) -> None:
    browser.open("J3")
    browser.post("/jobs/J3/plan", version=1, package="best", why="the owner wants it once")
    page = browser.get("/jobs/J3/history")
    assert "changed the plan: package=best" in page
    assert "the owner wants it once" in page
    assert "<del>standard</del> <ins>best</ins>" in page


def test_whoever_comes_second_is_told_and_nothing_is_lost(browser: Browser, second: Browser) -> None:
    browser.open("J3")
    browser.post("/jobs/J3/plan", version=1, use="daily")
    told = second.post("/jobs/J3/plan", 409, version=1, package="best").text
    assert "The plan changed meanwhile by not said" in told
    assert "use: tow became daily" in told
    assert browser.ledger.job("J3").job.plan.package == "standard"
