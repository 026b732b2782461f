"""Cam search in the app: what may be asked for, the work beside the page, the front, and what it leads to."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

import pytest

from tappetry.services.search import Wish
from tappetry.services.search_tasks import FOLDER, KIND, wish_of
from tappetry.services.shop import make_demo_shop
from tappetry.services.worker import Worker
from tappetry.services.works import WORKS
from tappetry.simulation.engine import Mesh
from tappetry.web.pages import cam_search
from tests.web.conftest import Browser

pytestmark = pytest.mark.slow

ASKED = {"job": "J1", "goal": ["torque", "power"], "from": 2000, "to": 5000, "step": 1500}


@pytest.fixture(autouse=True)
def _coarse(browser: Browser, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Few cells, and a shop of its own, for a search writes into its folder."""
    monkeypatch.setattr(cam_search, "Wish", lambda **said: Wish(**said, mesh=Mesh(4, 6, 5, 12)))
    monkeypatch.setattr(browser.ledger, "shop", make_demo_shop(tmp_path / "shop"))
    browser.open("J1")


def worker(browser: Browser) -> Worker:
    return Worker(browser.ledger.shop, browser.ledger.database, WORKS)


def text(page: str) -> str:
    return " ".join(html.unescape(page).split())


def ask(browser: Browser, **more: Any) -> str:
    """Ask for a search, and return its address."""
    return str(browser.post("/cam-search", **{**ASKED, **more}).url.path)


def test_a_search_is_asked_for_worked_on_and_leads_to_the_plan(browser: Browser, second: Browser) -> None:
    form = text(browser.get("/cam-search?job=J1"))
    assert "much torque over the whole band" in form
    assert "separation of the lobes" in form
    at = ask(browser)
    assert "The search is running" in second.get(at)
    assert "waits for its turn" in second.get(at)
    assert worker(browser).work_once()
    page = text(browser.get(at))
    assert "No other one beats these" in page
    assert "at worst" in page
    assert "<summary>What cannot hold together</summary><ol><li>" in page
    grounds = re.findall(r"<li>([^<]+)</li>", page.partition("<summary>What cannot hold together")[2])
    assert "the plan says phaser keep-limited" in grounds, "what is out says why, ground by ground"
    assert 'href="/jobs/J1/plan/try?cam=B2"' in page or 'href="/jobs/J1/plan/try?cam=B4"' in page
    assert "cam=F56" not in page, "the factory's camshaft is not bought"
    assert at in browser.get("/cam-search")
    data = json.loads(browser.get(f"{at}/found.json"))
    assert data["goals"] == ["torque", "power"]
    assert all(len(each["points"]) == 3 for each in data["front"])
    for name in ("front", "torque"):
        assert browser.get(f"{at}/{name}.svg").startswith("<svg")
    assert not list((browser.ledger.shop.folder / FOLDER).iterdir()), "what is done needs no memory"
    assert ask(second) == at, "the same question is answered once"
    assert len(browser.ledger.queue.latest_of(KIND)) == 1


def test_a_search_that_was_stopped_goes_on_where_it_was(
    browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    at = ask(browser)
    one = worker(browser)

    def stops(shop: Any, task: Any, report: Any) -> Any:
        def told(share: float, said: str) -> None:
            if said.startswith("2 of") and said.endswith("turned"):
                one.leaving = lambda: True
                raise KeyError("the machine is switched off")
            report(share, said)

        return WORKS[KIND](shop, task, told)

    one.works = {KIND: stops}
    assert one.work_once()
    (memory,) = (browser.ledger.shop.folder / FOLDER).iterdir()
    turned = json.loads(memory.read_text())["search"]
    assert len(turned) >= 2
    heard: list[str] = []

    def listens(shop: Any, task: Any, report: Any) -> Any:
        del report
        return WORKS[KIND](shop, task, lambda share, said: heard.append(said))

    other = worker(browser)
    other.works = {KIND: listens}
    assert other.work_once()
    assert f"1 of {4 - len(turned)} camshafts turned" in heard
    assert "No other one beats these" in browser.get(at)


def test_it_is_stopped_and_begun_again_from_the_page(browser: Browser) -> None:
    at = ask(browser)
    assert "It was stopped" in browser.post(f"{at}/stop").text
    assert not worker(browser).work_once()
    assert "The search is running" in browser.post(f"{at}/go-on").text
    assert worker(browser).work_once()
    assert "No other one beats these" in browser.get(at)


def test_camshafts_to_be_ground_have_a_specification_for_the_grinder(browser: Browser) -> None:
    found = re.findall(r'name="((?:low|high) [a-z0-9_]+)" value="([^"]+)"', browser.get("/cam-search?job=J1"))
    ends = {name: float(value) for name, value in found}
    assert len(ends) == 14
    at = ask(browser, grind=3, generations=2, **{name: f"{value:g}" for name, value in ends.items()})
    assert worker(browser).work_once()
    page = text(browser.get(at))
    data = json.loads(browser.get(f"{at}/found.json"))
    ground = [each for each in (*data["front"], *data["beaten"]) if each["specification"]]
    assert len(ground) + data["specifications_out"] >= 5
    for each in ground:
        for name, value in each["specification"].items():
            assert ends[f"low {name}"] - 1e-9 <= value <= ends[f"high {name}"] + 1e-9
        assert each["cam"] in page
        assert f"{each['card']['lsa_deg']:g} degrees of the cam" in page


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"goal": []}, "one goal at least"),
        ({"from": "fast"}, "this is no number (read: fast)"),
        ({"from": 5000, "to": 4000}, "the band is empty (read: 4000)"),
        ({"step": 0}, "speeds do not rise"),
        ({"vacuum": 900}, "no such vacuum (read: 900); expected above 0, below 100 kPa"),
        ({"roughness": 120}, "no such roughness (read: 120)"),
        ({"stall": 9000}, "no such stall (read: 9000); expected -2000 to 2000 rpm"),
        ({"grind": 20_000, "generations": 2}, "too many camshafts (read: 40000)"),
        ({"grind": "many"}, "out of range (read: many)"),
        (
            {"grind": 4, "low lsa_deg": 114, "high lsa_deg": 108},
            "lsa_deg does not rise",
        ),
        ({"grind": 4, "low lsa_deg": 114, "high lsa_deg": ""}, "an end is missing"),
    ],
)
def test_what_cannot_be_searched_is_told_and_what_was_typed_stays(
    browser: Browser, more: dict[str, Any], said: str
) -> None:
    page = text(browser.post("/cam-search", status=400, **{**ASKED, **more}).text)
    assert said in page
    for name in ("from", "to", "step", "grind"):
        typed = {**ASKED, "grind": 0, **more}[name]
        assert f'name="{name}" value="{typed}"' in page or (name == "grind" and "grind" not in more)
    assert browser.ledger.queue.latest_of(KIND) == []


def test_limits_are_told_and_taken_into_the_search(browser: Browser) -> None:
    at = ask(browser, vacuum=40, roughness=12.5, goal=["torque"])
    page = text(browser.get(at))
    assert "Vacuum at idle at least 40 kPa" in page
    assert "at most 12.5%" in page
    (task,) = browser.ledger.queue.latest_of(KIND)
    wish = wish_of(task.task["wish"])
    assert (wish.least_vacuum, wish.most_roughness) == (pytest.approx(40e3), pytest.approx(0.125))


def test_what_is_not_there_is_not_found(browser: Browser) -> None:
    browser.get("/cam-search?job=J99", status=404)
    browser.get(f"/cam-search/{'0' * 64}", status=404)
    at = ask(browser)
    browser.get(f"{at}/found.json", status=404)
    browser.get(f"{at}/torque.svg", status=404)


def test_while_it_is_being_stopped_the_page_says_so_and_does_not_offer_it_again(browser: Browser) -> None:
    at = ask(browser)
    one, seen = worker(browser), []

    def stopped_meanwhile(shop: Any, task: Any, report: Any) -> Any:
        del shop, task
        assert f'action="{at}/stop"' in browser.get(at)
        browser.post(f"{at}/stop")
        seen.append(browser.get(at))
        report(0.5, "half of it")
        raise AssertionError("it was not stopped")

    one.works = {KIND: stopped_meanwhile}
    assert one.work_once()
    assert "The search is being stopped" in seen[0]
    assert f'action="{at}/stop"' not in seen[0]
    assert "It was stopped" in browser.get(at)
