"""Every page in the app's own table: no grave finding of axe-core, no wider than a phone, all by keyboard."""

from __future__ import annotations

from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import Sit
from tests.browser.desk import DESK, HEIGHT, PHONE, Desk
from tests.browser.reader import pages_of
from tests.effort import soaks
from tests.serving import Served

pytestmark = [pytest.mark.slow, pytest.mark.parametrize("served", ["sqlite"], indirect=True)]

AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
#: What must not be found on a page.
GRAVE = ("serious", "critical")
#: What a thumb can hit. [CSS pixel]
THUMB = 44
#: What a page may weigh with all that it loads, charts left out. [byte]
HEAVIEST = 300_000
WEIGHT = """() => [...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')]
    .filter(each => !/\\.(svg|png)(\\?|$)|charts\\.js/.test(each.name))
    .reduce((sum, each) => sum + each.decodedBodySize, 0)"""
TOO_SMALL = """limit => [...document.querySelectorAll('button, input, select, textarea, summary, nav a')]
    .filter(each => each.checkVisibility() && !each.closest('.hidden, .skip, label.choice'))
    .filter(each => each.getBoundingClientRect().height < limit)
    .map(each => each.outerHTML.slice(0, 120))"""

#: Whatever a person can act on; of radio buttons the first of each group, which arrows lead on from.
NUMBER_THE_STOPS = """() => {
    const stops = 'a[href], button, input:not([type=hidden]), select, textarea, summary';
    const groups = new Set();
    const found = [...document.querySelectorAll(stops)].filter(each => each.checkVisibility())
        .filter(each => each.type !== 'radio' || !groups.has(each.name) && groups.add(each.name));
    found.forEach((each, place) => { each.dataset.stop = place; });
    return found.length;
}"""
#: Which of them has the focus, and whether one sees it.
WHERE = """() => {
    const each = document.activeElement, style = getComputedStyle(each);
    const outlined = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
    const seen = each === document.body || outlined;
    return [Number(each.dataset.stop ?? -1), seen, each.outerHTML.slice(0, 120)];
}"""


@pytest.fixture(scope="session")
def pages(served: Served) -> dict[str, str]:
    """An address for each page."""
    found = pages_of(served)
    assert len(found) > 25, found
    return found


def test_no_page_has_a_serious_finding_or_is_too_wide_too_heavy_or_too_small_to_hit(
    chromium: Browser, served: Served, pages: dict[str, str]
) -> None:
    desk = Desk(chromium, served, DESK, bypass=True)
    desk.page.add_init_script(AXE)
    wrong: list[str] = []
    for address in pages.values():
        desk.page.set_viewport_size({"width": DESK, "height": HEIGHT})
        desk.page.emulate_media(color_scheme="light")
        desk.go(address.removeprefix("/"))
        desk.page.wait_for_load_state("networkidle")
        weight = desk.page.evaluate(WEIGHT)
        if weight > HEAVIEST:
            wrong.append(f"{address} weighs {weight} bytes")
        wrong += findings(desk, address, "desk, light", "")
        desk.page.emulate_media(color_scheme="dark")
        if soaks():  # a phone has the same colours
            wrong += findings(desk, address, "desk, dark", "color-contrast")
        desk.page.set_viewport_size({"width": PHONE, "height": HEIGHT})
        wrong += findings(desk, address, "phone, dark", "")
        desk.page.emulate_media(color_scheme="light")
        if soaks():
            wrong += findings(desk, address, "phone, light", "color-contrast")
        over = desk.page.evaluate(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        if over > 0:
            wrong.append(f"{address} is {over} px wider than a phone")
        small = desk.page.evaluate(TOO_SMALL, THUMB)
        wrong += [f"{address} on a phone: lower than {THUMB} px: {each}" for each in small]
    desk.close()
    assert [*wrong, *desk.complaints] == []


def findings(desk: Desk, address: str, how: str, rule: str) -> list[str]:
    """What axe-core finds on the page that is open, by all its rules or by one."""
    options = {"resultTypes": ["violations"], **({"runOnly": [rule]} if rule else {})}
    result = desk.page.evaluate("options => axe.run(options)", options)
    return [
        f"{address}, {how}: {each['id']}, {each['help']}: {each['nodes'][0]['html'][:160]}"
        for each in result["violations"]
        if each["impact"] in GRAVE
    ]


@pytest.mark.parametrize("part", ["facts", "plan", "papers", "customer", "money"])
def test_every_act_is_reached_by_the_tab_key_and_seen(sit: Sit, pages: dict[str, str], part: str) -> None:
    assert f"/jobs/{{number}}/{part}" in pages
    desk = sit(DESK)
    desk.go(f"jobs/J1/{part}")
    desk.page.wait_for_load_state("networkidle")
    count = desk.page.evaluate(NUMBER_THE_STOPS)
    assert count > 15
    left, unseen = set(range(count)), []
    for _ in range(2 * count):
        desk.page.keyboard.press("Tab")
        stop, marked, what = desk.page.evaluate(WHERE)
        left.discard(stop)
        if not marked:
            unseen.append(what)
    assert (left, unseen) == (set(), [])
