"""Forms as a clumsy person fills them in: a refusal is said where it stands, and nothing typed is lost."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Route, expect

from tests.browser.conftest import Sit
from tests.browser.desk import DESK, HEIGHT, PHONE, Desk, Served

pytestmark = [pytest.mark.slow, pytest.mark.parametrize("served", ["sqlite"], indirect=True)]


def fill_in(desk: Desk, number: str) -> None:
    """Fill in the form of a new job."""
    desk.go("jobs/new")
    desk.fill("Number", number)
    desk.fill("Customer", "B. Tamsin")
    desk.fill("VIN", "9ZZW2SSE6CK051209")


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_what_is_refused_is_said_above_the_form_which_stays_as_it_was(sit: Sit, width: int) -> None:
    desk = sit(width)
    fill_in(desk, f"F-{width}")
    desk.refused = 400
    desk.press("Open the job")
    alert = desk.main.get_by_role("alert")
    expect(alert).to_contain_text("it is not said what is to be done")
    expect(alert).to_be_focused()
    expect(alert).to_be_in_viewport()
    expect(desk.page).to_have_url(re.compile("/jobs/new$"))
    expect(desk.main.get_by_label("VIN")).to_have_value("9ZZW2SSE6CK051209")
    desk.press("Open the job")
    expect(alert).to_have_count(1)
    desk.refused = 0
    desk.main.get_by_label("new valve springs").check()
    desk.press("Open the job")
    desk.sees("Brindle V8")
    expect(desk.page).to_have_url(re.compile(f"/jobs/F-{width}/facts$"))


def test_a_button_that_is_pressed_again_does_nothing_more(sit: Sit) -> None:
    desk = sit()
    fill_in(desk, "F-2")
    desk.main.get_by_label("new valve springs").check()
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    desk.page.route("**/jobs", hold)
    button = desk.main.get_by_role("button", name="Open the job")
    button.click()
    expect(desk.main.locator("form[aria-busy]")).to_have_count(1)
    button.click()
    desk.main.get_by_label("VIN").press("Enter")
    assert len(held) == 1
    held[0].continue_()
    desk.sees("Brindle V8")
    desk.go("jobs?q=F-2")
    expect(desk.main.get_by_role("link", name="F-2")).to_have_count(1)


def test_where_nobody_answers_what_was_typed_still_stands(sit: Sit) -> None:
    desk = sit()
    fill_in(desk, "F-3")
    desk.page.route("**/jobs", lambda route: route.abort("aborted"))
    desk.refused = 1
    desk.press("Open the job")
    expect(desk.main.get_by_role("alert")).to_contain_text("What you typed still stands here.")
    expect(desk.main.get_by_label("Customer")).to_have_value("B. Tamsin")


def test_without_scripts_what_was_typed_is_shown_to_be_copied(chromium: Browser, served: Served) -> None:
    context = chromium.new_context(base_url=served.address, java_script_enabled=False)
    page = context.new_page()
    page.goto("jobs/new")
    main = page.get_by_role("main")
    main.get_by_label("Number").fill("F-4")
    main.get_by_label("Customer").fill("B. Tamsin")
    main.get_by_role("button", name="Open the job").click()
    expect(main).to_contain_text("it is not said what is to be done")
    main.get_by_text("What you typed, to be copied").click()
    expect(main.get_by_role("listitem").filter(has_text="customer: B. Tamsin")).to_be_visible()
    expect(main).not_to_contain_text("token")
    context.close()


def test_a_scanner_needs_no_field(sit: Sit) -> None:
    desk = sit()
    desk.go("")
    desk.page.keyboard.type("HV-2041-1N")
    desk.page.keyboard.press("Enter")
    desk.sees("B1 Hedger cam, single-bolt nose")
    desk.page.set_viewport_size({"width": PHONE, "height": HEIGHT})
    address = desk.page.url
    desk.page.keyboard.type("HV-5520", delay=300)
    desk.page.keyboard.press("Enter")
    expect(desk.page).to_have_url(address)
