"""What keeps others out of the app: headers, known hosts, tokens, sizes, and nothing from elsewhere."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import quote

import pytest
from fastapi.routing import APIRoute

from tappetry.services.shop import Shop, make_demo_shop
from tappetry.store.problems import StoreUnavailable
from tappetry.web.security import HEADERS, LARGEST
from tests.web.conftest import Browser

pytestmark = pytest.mark.slow

FIELDS = (
    "number", "cam", "title", "customer", "place", "vin", "name", "attribute", "value", "grade", "source",
    "version", "sheet", "rpm", "budget", "need_by", "change", "text", "first", "check", "reason", "why",
)  # fmt: skip
WEB = Path(__file__).resolve().parents[2] / "src" / "tappetry" / "web"


def posts(browser: Browser) -> list[str]:
    """The addresses of all forms."""
    return [
        route.path.replace("{number}", "J3")
        for router in _routers()
        for route in router
        if isinstance(route, APIRoute) and "POST" in (route.methods or ())
    ]


def _routers() -> list[list[object]]:
    from tappetry.web.pages.every import ALL

    return [list(router.routes) for router in ALL]


@pytest.mark.parametrize("address", ["/jobs", "/osprey", "/static/app.css"])
def test_every_answer_carries_the_headers(browser: Browser, address: str) -> None:
    answer = browser.client.get(address)
    assert {name: answer.headers[name] for name in HEADERS} == HEADERS
    assert "unsafe" not in answer.headers["Content-Security-Policy"]


def test_every_form_without_its_token_is_refused(browser: Browser, second: Browser) -> None:
    browser.open("J3")
    addresses = posts(browser)
    assert len(addresses) >= 8
    for address in addresses:
        for fields in ({}, {"token": "no"}, {"token": second.token}):
            answer = browser.client.post(address, data={"version": "1", "use": "daily", **fields})
            assert answer.status_code == 403, address
    assert browser.ledger.job("J3").kept.versions == {"sheet": 1, "facts": 1, "plan": 1}


@pytest.mark.parametrize("host", ["example.test", "example.test:8321", "127.0.0.1.example.test", ""])
def test_a_page_elsewhere_that_points_at_this_machine_is_refused(browser: Browser, host: str) -> None:
    answer = browser.client.get("/jobs", headers={"host": host})
    assert answer.status_code == 421
    assert answer.text == "This server answers to this machine alone."


@pytest.mark.parametrize("method", ["TRACE", "PUT", "PATCH", "DELETE", "OPTIONS", "OSPREY"])
def test_a_page_is_asked_by_known_methods_alone(browser: Browser, method: str) -> None:
    answer = browser.client.request(method, "/jobs", content=b"x")
    assert answer.status_code == 405
    assert "access-control-allow-origin" not in answer.headers


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:8321", "localhost:8321", "[::1]:8321", "[::1]"])
def test_this_machine_is_let_in_by_any_of_its_names(browser: Browser, host: str) -> None:
    assert browser.client.get("/jobs", headers={"host": host}).status_code == 200


def test_what_is_too_large_is_not_read_and_a_page_says_so(browser: Browser) -> None:
    answer = browser.client.post("/jobs", content=b"x" * (LARGEST + 1))
    assert answer.status_code == 413
    assert answer.headers["content-type"].startswith("text/html")
    assert answer.headers["content-security-policy"] == HEADERS["Content-Security-Policy"]
    assert f"What was sent has {LARGEST + 1} bytes, and no more than {LARGEST} are read here." in answer.text
    assert 'href="/jobs"' in answer.text, "the rooms of the app stand around it"
    for length in ("-1", "x", "9" * 2000):
        answer = browser.client.post("/jobs", content=b"", headers={"content-length": length})
        assert (answer.status_code, answer.text) == (400, "It is not said in figures how long this is.")
    assert browser.client.post("/jobs", content=iter([b"x"])).status_code == 411


ODD = ("9" * 40, "\x00", "é\u202e' OR 1=1 -- %<b>{{7*7}}../../x")


@pytest.fixture(scope="module")
def own_shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """A shop whose folder may be written to."""
    return make_demo_shop(tmp_path_factory.mktemp("odd") / "shop")


@pytest.mark.parametrize("odd", ODD, ids=range(len(ODD)))
def test_nothing_that_a_person_sends_is_a_fault_of_ours(
    browser: Browser, own_shop: Shop, odd: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(browser.ledger, "shop", own_shop)
    browser.open("J3")
    token = browser.token
    inside = quote(odd, safe="")
    for part in ("facts", "plan", "kit", "proof", "papers", "history", "next", f"kit/why/{inside}"):
        assert browser.client.get(f"/jobs/{inside}/{part}").status_code < 500, part
        assert browser.client.get(f"/jobs/J3/{part}").status_code < 500, part
    for room in ("jobs", "search", "parts"):
        assert browser.client.get(f"/{room}?q={inside}&need={inside}").status_code < 500, room
    for name in ("cam", "rpm", "budget", "need_by", "pins", "own_parts", "package", "use"):
        assert browser.client.get(f"/jobs/J3/plan/try?{name}={inside}").status_code < 500, name
    for address in (
        f"parts/X/{inside}",
        f"families/{inside}",
        f"calculators/{inside}",
        f"jobs/J3/papers/quote-{inside}.pdf",
    ):
        assert browser.client.get(f"/{address}").status_code < 500, address
    fields = dict.fromkeys(FIELDS, odd)
    for address in posts(browser):
        for stated in (fields, {**fields, "version": "1", "sheet": "1"}):
            answer = browser.client.post(address, data={**stated, "token": token})
            assert answer.status_code < 500, (address, answer.text)


def test_cookies_are_out_of_reach_of_scripts_and_other_sites(browser: Browser) -> None:
    cookie = browser.client.get("/jobs").headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie


def test_pages_hold_no_inline_script_or_style_and_nothing_from_elsewhere() -> None:
    for file in [*(WEB / "templates").glob("*.html"), *(WEB / "static").glob("*.css")]:
        text = file.read_text(encoding="utf-8")
        assert not re.search(r"<style|\sstyle=|\son\w+=|hx-on|javascript:", text), file.name
        assert not re.search(r"\|\s*safe|autoescape|Markup", text), f"{file.name} does not escape a text"
        assert not re.search(r"https?://|url\(|@import|src=\"//", text), file.name
        assert all('src="/static/' in each for each in re.findall(r"<script[^>]*>", text)), file.name


def test_the_script_is_there_with_its_licence(browser: Browser) -> None:
    page = browser.get("/jobs")
    script = re.search(r'src="(/static/htmx[^"]+)"', page)
    assert script is not None
    assert len(browser.client.get(script[1]).content) > 40_000
    assert "Permission to use, copy, modify" in browser.get("/static/htmx-LICENSE.txt")


def test_a_database_that_does_not_answer_is_a_clear_page_and_work_goes_on(
    browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser.open("J3")

    def gone(*_: object) -> None:
        raise StoreUnavailable("the disk is full")

    with monkeypatch.context() as patch:
        patch.setattr(browser.ledger, "read", gone)
        page = browser.get("/jobs", 503)
    assert "The shop&#39;s database does not answer: the disk is full" in page
    assert "J3" in browser.get("/jobs")


def test_a_fault_of_ours_is_saved_and_told(
    browser: Browser, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("TAPPETRY_HOME", str(tmp_path))

    def broken(*_: object) -> None:
        raise ZeroDivisionError("by nothing")

    monkeypatch.setattr(browser.ledger, "find", broken)
    answer = browser.client.get("/jobs")
    assert answer.status_code == 500
    assert "fault of the program, not of yours" in answer.text
    assert "by nothing" not in answer.text
    assert answer.headers["X-Frame-Options"] == "DENY"
    (saved,) = (tmp_path / "problems").iterdir()
    assert "by nothing" in saved.read_text(encoding="utf-8")


def test_a_page_that_waits_for_its_form_is_told_where_to_go(browser: Browser) -> None:
    form = {"token": browser.token, "name": "Wren"}
    answer = browser.client.post("/person", data=form, headers={"X-In-Place": "yes"}, follow_redirects=False)
    assert (answer.status_code, answer.headers["x-goes-to"]) == (200, "/shop")
    assert "location" not in answer.headers
    assert answer.headers["content-security-policy"] == HEADERS["Content-Security-Policy"]
    answer = browser.client.post("/person", data=form, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/shop")
