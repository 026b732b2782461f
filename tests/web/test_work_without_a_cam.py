"""A job whose camshaft stays, in the app: opened, planned, looked at, and turned both ways."""

from __future__ import annotations

import html
import re

import pytest

from tappetry.services import people
from tests.web.conftest import Browser

pytestmark = pytest.mark.slow

PARTS = ("facts", "ask", "plan", "kit", "proof", "papers", "history", "days", "money", "machine")
#: What only a job with a new camshaft is about.
OF_A_CONVERSION = re.compile(r"new camshaft goes in|emission|degree|dynamometer|tamper", re.IGNORECASE)


@pytest.mark.parametrize("name", ["J7", "J8"])
def test_every_part_is_shown_and_says_nothing_of_a_conversion(browser: Browser, name: str) -> None:
    browser.open(name)
    for part in PARTS:
        page = browser.get(f"/jobs/{name}/{part}")
        assert f"{name}" in page
        if part in ("kit", "proof", "papers"):
            assert not OF_A_CONVERSION.search(html.unescape(page)), part
    assert "The camshaft stays as it was found." in browser.get(f"/jobs/{name}/plan")


def test_a_new_job_asks_for_a_camshaft_or_for_work(browser: Browser) -> None:
    form = browser.get("/jobs/new")
    assert '<option value="">none new: it stays as it was found</option>' in form
    assert 'name="work" value="springs"' in form
    browser.post("/jobs", number="S-1", work="springs", vin="9ZZW2SSE9CK048367")
    assert browser.ledger.job("S-1").kept.document["plan"] == {"work": ["springs"], "heads": "on"}
    browser.post("/jobs", number="S-2", work=["front-reseal", "valley-reseal"])
    assert browser.ledger.job("S-2").job.plan.work == ("front-reseal", "valley-reseal")


@pytest.mark.parametrize(
    ("stated", "said"),
    [
        ({}, "no camshaft and no work"),
        ({"cam": "B2", "work": "springs"}, "camshaft B2, and springs without one"),
    ],
)
def test_a_new_job_with_neither_or_with_both_is_refused_in_words(
    browser: Browser, stated: dict[str, str], said: str
) -> None:
    page = html.unescape(browser.post("/jobs", 400, number="S-3", **stated).text)
    assert f"it is not said what is to be done (read: {said}); expected a camshaft that goes in, or" in page
    assert "where it stays at least one piece of work; not both" in page


def test_work_is_chosen_on_the_page_of_the_plan(browser: Browser) -> None:
    browser.open("J7")
    page = browser.get("/jobs/J7/plan")
    assert 'name="work" value="springs" checked' in page
    assert 'name="work" value="front-reseal">' in page
    assert "Camshafts side by side" not in page
    address = "/jobs/J7/plan/try?work-shown=yes&work=springs&work=front-reseal&cam="
    tried = html.unescape(browser.get(address, **{"HX-Request": "true"}))
    assert "front cover gasket" in tried.lower()
    fields = {"work-shown": "yes", "work": ["springs", "front-reseal"], "cam": ""}
    browser.post("/jobs/J7/plan", version=1, **fields)
    assert browser.ledger.job("J7").kept.document["plan"]["work"] == ["springs", "front-reseal"]


def test_what_stays_in_two_places_alike_is_told_once(browser: Browser) -> None:
    browser.open("J7")
    page = html.unescape(browser.get("/jobs/J7/kit"))
    places = browser.ledger.kit(browser.ledger.job("J7").job).kit.kept
    assert sum(each.need == "pushrods" for each in places) == 2
    assert page.count("<li><b>pushrods</b>: stays in the engine") == 1
    assert "pushrods (8)" not in page


def test_a_camshaft_takes_the_place_of_work_and_work_that_of_a_camshaft(browser: Browser) -> None:
    browser.open("J3")
    fields = {"work-shown": "yes", "work": "springs", "cam": "B1"}
    browser.post("/jobs/J3/plan", version=1, **fields)
    plan = browser.ledger.job("J3").kept.document["plan"]
    assert (plan["work"], "cam" in plan) == (["springs"], False)
    browser.post("/jobs/J3/plan", version=2, **{**fields, "cam": "B2"})
    plan = browser.ledger.job("J3").kept.document["plan"]
    assert (plan["cam"], "work" in plan) == ("B2", False)


def test_a_plan_that_was_left_alone_changes_nothing(browser: Browser) -> None:
    browser.open("J3")
    browser.post("/jobs/J3/plan", version=1, **{"work-shown": "yes", "cam": "B1"})
    assert browser.ledger.job("J3").kept.versions["plan"] == 1


def test_a_damaged_lobe_is_told_with_a_camshaft_to_take(browser: Browser) -> None:
    browser.open("J8")
    browser.post(
        "/jobs/J8/facts", version=1, attribute="failed-lobe", value="damaged", grade="measured", source="dial"
    )
    page = html.unescape(browser.get("/jobs/J8/plan"))
    assert "the camshaft is no longer a choice" in page
    assert "a new camshaft, grind B1" in page
    form = re.search(r'name="change" value="([^"]*B1[^"]*)"', browser.get("/jobs/J8/plan"))
    assert form is not None
    browser.post(
        "/jobs/J8/way-out",
        change=html.unescape(form[1]),
        text="a new camshaft, grind B1",
        version=1,
        sheet=1,
    )
    opened = browser.ledger.job("J8")
    assert (opened.job.plan.cam, opened.job.plan.work) == ("B1", ())
    assert browser.ledger.kit(opened.job).kit.proved_optimal


def test_no_camshafts_are_set_beside_one_that_stays(browser: Browser) -> None:
    browser.open("J7")
    page = html.unescape(browser.get("/jobs/J7/cams"))
    assert "The camshaft of job J7 stays as it was found" in page
    assert "J7" in browser.get("/cam-search?job=J7")
    stated = {"job": "J7", "goal": "torque", "from": "1500", "to": "", "step": "500", "grind": "0"}
    page = html.unescape(browser.post("/cam-search", 400, **stated).text)
    assert "its camshaft stays as it was found" in page


def test_a_vehicle_that_comes_back_may_come_for_work(browser: Browser) -> None:
    browser.open("J3")
    vehicle = people.of_job(browser.ledger, "J3")[1]
    assert vehicle is not None
    page = browser.get(f"/vehicles/{vehicle.id}/new-job")
    assert 'name="work" value="valley-reseal"' in page
    fields = {"number": "J-30", "work": ["springs", "valley-reseal"], "mileage": "101000 km", "grade": "seen"}
    browser.post(f"/vehicles/{vehicle.id}/new-job", **fields)
    plan = browser.ledger.job("J-30").kept.document["plan"]
    assert plan == {"work": ["springs", "valley-reseal"], "heads": "on"}
    assert "springs" in html.unescape(browser.get("/jobs/J-30/plan"))
    browser.post(f"/vehicles/{vehicle.id}/new-job", 400, number="J-31")


def test_programs_read_and_change_the_work_of_a_plan(browser: Browser) -> None:
    browser.open("J7")
    told = browser.client.get("/api/1/jobs/J7/plan").json()
    assert told["plan"]["work"] == ["springs"]
    assert told["choices"]["work"][0] == "springs"
    change = {"change": "work=springs, valley-reseal"}
    tried = browser.client.get("/api/1/jobs/J7/plan/try", params=change).json()
    assert float(tried["difference"]["total"]) > 0
    assert any("valley-cover-gasket" in each["needs"] for each in tried["difference"]["changes"])
    address = "/api/1/jobs/J7/plan/try"
    both = browser.client.get(address, params={"change": ["cam=B1", "work=springs"]})
    assert both.status_code == 400
    assert "more than one of cam, work is stated" in both.text
