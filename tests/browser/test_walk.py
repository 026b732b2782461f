"""A job from the first call to its orders, in the page as people do it; and two people at one job."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Sit
from tests.browser.desk import DESK, PHONE, Desk

pytestmark = pytest.mark.slow

#: What is seen at check-in: what it is about, the value, and how well it is known.
SEEN = (
    ("application", "A06", "seen"),
    ("distance run since the part was new", "140000 km", "as told to us"),
    ("four-wheel drive", "no", "seen"),
    ("exhaust flap fitted", "no", "seen"),
    ("emission papers wanted", "no", "as told to us"),
    ("knock marks or a history of detonation", "no", "seen"),
    ("compression spread between cylinders", "6 %", "measured"),
    ("worst leak-down", "7 %", "measured"),
)


def call_comes(desk: Desk, number: str) -> None:
    """Open a job while the telephone is in one hand."""
    desk.go("jobs")
    desk.follow("New job")
    expect(desk.main.get_by_label("Number")).to_be_focused()
    desk.page.keyboard.type(number)
    desk.fill("Customer", "A. Pellow")
    desk.fill("What it is about", "deactivation out")
    desk.fill("VIN", "9ZZW2SSE6CK051209")
    desk.fill("Place of registration", "Mardle county")
    desk.choose("Camshaft", "B2")
    desk.press("Open the job")
    desk.sees("Brindle V8")


def state(desk: Desk, what: str, value: str, grade: str) -> None:
    """State one fact."""
    form = desk.section("State a fact")
    desk.choose("What", what, form)
    desk.fill("Value, as it is read", value, form)
    desk.choose("How well it is known", grade, form)
    desk.fill("Where it was seen", "check-in", form)
    desk.press("State it", form)
    stands(desk, what, value, grade, "check-in")


def stands(desk: Desk, *words: str) -> None:
    """A row of a table holds these words one after another; on a phone it is a card."""
    expect(desk.main).to_contain_text(re.compile(r"[^\n]*\s+".join(map(re.escape, words))))


def plan(desk: Desk) -> None:
    """Say what goes and what stays; what a choice comes to is told before it is taken."""
    desk.part("Plan")
    form = desk.section("What goes and what stays")
    desk.sees("the plan must say what happens to the phaser")
    desk.choose("phaser", "the phaser stays with limited travel", form)
    desk.choose("cylinder deactivation", "the deactivation is removed", form)
    desk.sees("There was no kit before; this gives one")
    desk.fill("Why", "what the customer wants", form)
    desk.press("Take this plan", form)
    expect(desk.main.get_by_role("heading", name="As it is")).to_be_visible()


def answer(desk: Desk) -> None:
    """Answer what is to be asked next."""
    desk.part("Facts")
    desk.sees("Is there bright metal in the filter?")
    form = desk.section("Ask next")
    desk.choose("bright metal in filter or pan", "no", form)
    desk.fill("Where it was seen", "filter cut open", form)
    desk.press("State it", form)
    stands(desk, "bright metal in filter or pan", "no", "seen", "filter cut open")


def keep_kit(desk: Desk) -> str:
    """Look at a line's reasons, keep the kit, look at its proofs; say what it costs."""
    desk.part("Kit")
    desk.main.get_by_text("camshaft", exact=True).first.click()
    desk.follow("Why no other part")
    desk.sees("by itself 10.00 less")
    desk.fill("Why it is kept", "agreed on the telephone")
    desk.press("Keep this kit")
    desk.sees("agreed on the telephone")
    found = re.search(r"Kit 1: ([\d,.]+ USD)", desk.main.inner_text())
    assert found is not None
    desk.part("Proof")
    desk.sees("How near")
    return found[1]


def send_quote(desk: Desk) -> None:
    """Send the quote."""
    desk.part("Papers")
    desk.press("Send this quote")
    desk.sees("holds to")
    expect(desk.main.get_by_role("link", name="Quote 1")).to_be_visible()


def link_for_customer(desk: Desk) -> str:
    """Make a link to a page of the customer's own."""
    desk.part("Customer")
    expect(desk.main.get_by_label("the quote or change order, to read and accept")).to_be_checked()
    desk.press("Make the link")
    return desk.main.get_by_role("link", name="http:").inner_text()


def accept(customer: Desk, link: str, total: str) -> None:
    """Read the quote and accept it, on a phone somewhere else."""
    customer.go(link)
    customer.sees(total)
    for each in customer.main.get_by_role("radio", name="declined").all():
        each.check()
    customer.main.get_by_label("I have read what it means").check()
    customer.fill("Your name, as your signature", "A. Pellow")
    customer.press("I accept")
    customer.sees("What you accepted")


def take_deposit(desk: Desk) -> None:
    """Write down the deposit."""
    desk.part("Money")
    deposit = desk.main.get_by_text("Deposit as agreed").locator("b").inner_text()
    desk.choose("What", "deposit from the customer")
    desk.fill("Amount", deposit)
    desk.choose("How money came or went", "card terminal")
    desk.press("Write it down")
    desk.sees("What moved, the latest first")
    expect(desk.main.get_by_role("row", name=f"card terminal +{deposit}")).to_be_visible()


def order(desk: Desk) -> None:
    """Send the suppliers their orders."""
    desk.part("Papers")
    desk.sees("accepted, in work")
    desk.press("Send the orders")
    desk.sees("Orders that were sent")
    paper = desk.main.get_by_role("link", name=re.compile("^Order 1 to")).get_attribute("href")
    assert paper is not None
    assert desk.context.request.get(paper).body().startswith(b"%PDF-")


@pytest.mark.parametrize(
    ("served", "width"),
    [("sqlite", DESK), ("postgresql", PHONE)],
    indirect=True,
    ids=["sqlite-desk", "postgresql-phone"],
)
def test_from_the_first_call_to_the_orders(sit: Sit, width: int) -> None:
    desk, customer = sit(width, "Wren"), sit(PHONE)
    call_comes(desk, f"W-{width}")
    for what, value, grade in SEEN:
        state(desk, what, value, grade)
    plan(desk)
    answer(desk)
    total = keep_kit(desk)
    send_quote(desk)
    accept(customer, link_for_customer(desk), total)
    take_deposit(desk)
    order(desk)
    desk.part("History")
    for act in ("opened the job", "kept the kit", "sent a quote", "sent orders"):
        desk.sees(act)
    expect(desk.main.get_by_role("listitem").filter(has_text="Wren").first).to_be_visible()


@pytest.mark.parametrize(
    ("served", "widths"),
    [("sqlite", (DESK, PHONE)), ("postgresql", (PHONE, DESK))],
    indirect=["served"],
    ids=["sqlite-desk-first", "postgresql-phone-first"],
)
def test_whoever_comes_second_is_told_who_changed_what(sit: Sit, widths: tuple[int, int]) -> None:
    first, second = sit(widths[0], "Wren"), sit(widths[1], "Lark")
    first.go("jobs")
    file = first.main.get_by_role("listitem").filter(has_text="J3")
    if file.get_by_role("button", name="Open").count():  # whoever reads all pages may have opened it
        first.press("Open", file)
    first.go("jobs/J3/plan")
    second.go("jobs/J3/plan")
    (old, new), package = other(first, "use", "tow", "daily"), other(second, "package", "standard", "best")[1]
    take(first, "use", new)
    expect(first.main.get_by_label("use")).to_have_value(new)
    second.refused = 409
    take(second, "package", package)
    second.sees("The plan changed meanwhile by Wren")
    second.sees(f"use: {old} became {new}")
    second.refused = 0
    expect(second.main.get_by_label("package")).to_have_value(package)
    second.follow("Load the page as it stands now")
    expect(second.main.get_by_role("alert")).to_have_count(0)
    expect(second.main.get_by_label("use")).to_have_value(new)
    take(second, "package", package)
    expect(second.main.get_by_label("package")).to_have_value(package)
    second.part("History")
    for said in ("Wren", "Lark"):
        second.sees(said)


def other(desk: Desk, field: str, one: str, another: str) -> tuple[str, str]:
    """What a field of the plan says now, and what of the two it does not say."""
    now = desk.main.get_by_label(field).input_value()
    return now, another if now == one else one


def take(desk: Desk, field: str, value: str) -> None:
    """Take the plan with another value in one field."""
    desk.main.get_by_label(field).select_option(value)
    desk.press("Take this plan")
