"""The shop's own text in the app: pages, forms that lose nothing, progress, permission; either database."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from tappetry.services.ledger import Ledger
from tappetry.services.roles import GRANTS, Permission, Role
from tappetry.services.text_proposal import proposal
from tappetry.services.text_writing import LONGEST
from tappetry.store.database import Database
from tests.services.texts import BOOK, RULES, shop_of, taken_up, text_of, worker_of
from tests.web.conftest import Browser
from tests.web.entering import let_in, opened_to_others

pytestmark = pytest.mark.slow

RATE, OTHER_RATE = 'labour_rate: "118.00"', 'labour_rate: "121.00"'
FILE = f"/shop/text/file?name={BOOK}"


@pytest.fixture
def browser(tmp_path: Path, database: Database) -> Browser:
    """A browser at the app of a shop in a folder of its own."""
    return Browser(taken_up(shop_of(tmp_path), database))


def page_of(browser: Browser, address: str = "/shop/text", status: int = 200) -> str:
    return html.unescape(browser.get(address, status))


def fields_of(browser: Browser, address: str = FILE) -> dict[str, str]:
    """What the form of a file brings back if nobody changes anything."""
    page = browser.get(address)
    text = re.search(r"<textarea[^>]*>\n(.*?)</textarea>", page, re.DOTALL)
    seen = re.search(r'name="seen" value="([^"]*)"', page)
    assert text is not None
    assert seen is not None
    return {"name": BOOK, "seen": seen[1], "text": html.unescape(text[1]).replace("\n", "\r\n")}


def send(browser: Browser, status: int = 200, **fields: str) -> str:
    """Send the form of a file as a browser does; the page that comes of it."""
    parts = {name: (None, value) for name, value in {"token": browser.token, **fields}.items()}
    answer = browser.client.post("/shop/text/file", files=parts)  # type: ignore[arg-type]
    assert answer.status_code == status, answer.text
    return html.unescape(answer.text)


def write(browser: Browser, old: str = RATE, new: str = OTHER_RATE) -> str:
    """Change some words of the house book; the page that comes of it."""
    fields = fields_of(browser)
    assert old in fields["text"]
    return send(browser, **{**fields, "text": fields["text"].replace(old, new)})


def look(browser: Browser) -> str:
    """Have the text looked through; what the page says then."""
    browser.post("/shop/text/look")
    while worker_of(browser.ledger).work_once():
        pass
    return page_of(browser, "/shop/text/look")


def rate_of(browser: Browser) -> str:
    return str(browser.ledger.shop.knowledge.book.money["labour_rate"])


def test_from_the_page_of_the_shop_to_a_text_in_effect(browser: Browser, second: Browser) -> None:
    browser.post("/person", name="Wren")
    browser.open("J3")
    total = browser.ledger.kit(browser.ledger.job("J3").job).kit.totals
    assert 'href="/shop/text"' in browser.get("/shop")
    assert "Nothing: the files of the shop's folder are as they are in effect" in page_of(browser)
    page = write(browser)
    assert f"- {' ' * 2}{RATE}" in page
    assert f"+ {' ' * 2}{OTHER_RATE}" in page
    assert "Wren, " in page
    assert 'hx-get="/shop/text/look"' in page
    assert "Look through it" in page_of(second, "/shop/text/look")
    browser.post("/shop/text/look")
    page = page_of(browser, "/shop/text/look")
    assert '<progress max="1" value="0.0"' in page
    assert 'hx-trigger="every 1s"' in page
    worker_of(browser.ledger).work_once()
    page = page_of(second, "/shop/text/look")
    assert "<progress" not in page
    assert re.search(r"0 mistakes, \d+ notes", page)
    assert "1 looked at, 1 would change." in page
    assert total is not None
    assert f"{total.total:,.2f} becomes " in page
    assert rate_of(browser) == "118.00"
    mark = re.search(r'name="mark" value="(\w+)"', page)
    assert mark is not None
    assert "no reason is stated" in html.unescape(
        browser.post("/shop/text/effect", 400, mark=mark[1], reason=" ").text
    )
    page = html.unescape(browser.post("/shop/text/effect", mark=mark[1], reason="wages rose").text)
    assert "Version 2 is in effect Wren, " in re.sub(r"<[^>]+>", "", page)
    assert ": wages rose" in page
    assert rate_of(browser) == "121.00"
    assert "wages rose" in browser.get("/shop")
    assert OTHER_RATE in page_of(browser, "/shop/text/versions/2")
    now = browser.ledger.kit(browser.ledger.job("J3").job).kit.totals
    assert now is not None
    assert f"{now.total:,.2f}" in browser.get("/jobs/J3/kit")
    assert now.total > total.total
    browser.post("/jobs/J3/kit")
    assert '<a href="/shop/text/versions/2">text 2</a>' in browser.get("/jobs/J3/kit")
    assert '<a href="/jobs/J3/kit">J3, kit 1</a>' in browser.get("/shop/text/versions/2")


def test_one_goes_back_from_the_page_of_a_version(browser: Browser) -> None:
    write(browser)
    look(browser)
    browser.post("/shop/text/effect", mark=proposal(browser.ledger).mark, reason="wages rose")
    assert "Take this text up again" not in browser.get("/shop/text/versions/2")
    assert "Take this text up again" in browser.get("/shop/text/versions/1")
    page = html.unescape(browser.post("/shop/text/again", version=1).text)
    assert f"+ {' ' * 2}{RATE}" in page
    look(browser)
    browser.post("/shop/text/effect", mark=proposal(browser.ledger).mark, reason="a mistake")
    assert (rate_of(browser), "Version 3" in browser.get("/shop/text")) == ("118.00", True)
    browser.get("/shop/text/versions/9", 404)
    browser.post("/shop/text/again", 404, version=9)


def test_a_form_that_nobody_changed_changes_nothing(browser: Browser) -> None:
    fields = fields_of(browser)
    assert fields["text"].replace("\r\n", "\n") == (browser.ledger.shop.folder / BOOK).read_text(
        encoding="utf-8"
    )
    assert "Nothing: the files" in send(browser, **fields)


def test_bad_text_is_kept_and_stands_in_the_form_again(browser: Browser) -> None:
    fields = fields_of(browser)
    bad = fields["text"].replace("money:", "money: [")
    page = send(browser, **{**fields, "text": bad})
    assert "Kept, but it cannot be read yet" in page
    assert f"{BOOK}:" in page
    assert bad.replace("\r\n", "\n") in page
    assert "money: [" in text_of(browser.ledger, BOOK)
    page = look(browser)
    assert "1 mistake, 0 notes" in page
    assert "Mistakes have to be mended before the text can take effect." in page
    assert "Put it into effect" not in page
    refused = browser.post("/shop/text/effect", 422, mark=proposal(browser.ledger).mark, reason="because")
    assert "The text has 1 mistake." in refused.text
    assert rate_of(browser) == "118.00"


def test_whoever_was_slower_finds_his_words_and_what_they_would_change(
    browser: Browser, second: Browser
) -> None:
    fields = fields_of(second)
    browser.post("/person", name="Wren")
    write(browser)
    mine = fields["text"].replace("Upper Mardle", "Lower Mardle")
    page = send(second, 409, **{**fields, "text": mine})
    assert f"The file {BOOK} changed meanwhile by Wren" in page
    assert "What you wrote stands below." in page
    assert mine.replace("\r\n", "\n") in page
    assert f"- {' ' * 2}{OTHER_RATE}" in page
    assert OTHER_RATE in text_of(browser.ledger, BOOK)
    seen = re.search(r'name="seen" value="([^"]*)"', page)
    assert seen is not None
    both = mine.replace(RATE, OTHER_RATE)
    send(second, **{**fields, "text": both, "seen": seen[1]})
    assert "Lower Mardle" in text_of(browser.ledger, BOOK)


def test_what_is_too_long_or_has_no_name_stands_in_the_form_again(browser: Browser) -> None:
    fields = fields_of(browser)
    page = send(browser, 400, **{**fields, "text": "#" * LONGEST})
    assert f"the text is too long (read: {LONGEST + 1} bytes)" in page
    assert "#" * LONGEST in page
    page = send(browser, 400, name="../rules.yaml", text="own words", seen="")
    assert "no file of the shop's text is called so (read: ../rules.yaml)" in page
    assert "own words" in page
    browser.get("/shop/text/file?name=jobs/J3.yaml", 400)


def test_a_file_is_begun_thrown_away_and_taken_away(browser: Browser) -> None:
    name = "needs/9-own.yaml"
    assert "<textarea" in browser.get(f"/shop/text/file?name={name}")
    page = send(browser, name=name, text="- {id: own}\n", seen="")
    assert re.search(rf'{name}</span>\s*<span class="mark">new', page)
    seen = re.search(r'name="seen" value="([^"]*)"', browser.get(f"/shop/text/file?name={name}"))
    assert seen is not None
    browser.post("/shop/text/file/forget", name=name, seen=seen[1])
    assert name not in page_of(browser).split("A new file")[0]
    browser.post("/shop/text/file/away", name=BOOK, seen=fields_of(browser)["seen"])
    assert "taken away" in browser.get("/shop/text")
    assert "This file is to be taken away." in browser.get(FILE)
    assert "mistake" in look(browser)


def test_a_file_changed_in_the_folder_is_told_to_everybody(browser: Browser) -> None:
    file = browser.ledger.shop.folder / BOOK
    file.write_text(file.read_text(encoding="utf-8").replace(RATE, OTHER_RATE), encoding="utf-8")
    page = page_of(browser, "/shop")
    assert "Files in the shop's folder are not as they are in effect:" in page
    assert f'<span class="code">{BOOK}</span>' in page
    page = page_of(browser)
    assert "changed in the shop's folder" in page
    assert OTHER_RATE in page
    assert rate_of(browser) == "118.00"


def test_looking_through_is_stopped_and_asked_for_again(browser: Browser) -> None:
    write(browser)
    browser.post("/shop/text/look")
    browser.post("/shop/text/look/stop")
    page = page_of(browser, "/shop/text/look")
    assert "It was stopped." in page
    assert not worker_of(browser.ledger).work_once()
    assert "0 mistakes" in look(browser)


def test_who_may_edit_the_text_and_who_reads_it(browser: Browser) -> None:
    app = opened_to_others(browser.ledger)
    assert [role for role in Role if Permission.TEXT in GRANTS[role]] == [Role.OWNER]
    for role in Role:
        visitor = let_in(app, role)
        may = role is Role.OWNER
        assert ("/shop/text" in visitor.client.get("/shop").text) is may
        assert ("/shop/text" in visitor.client.get("/families").text) is may
        assert visitor.client.get(FILE).status_code == (200 if may else 403)
    desk = let_in(app, Role.DESK)
    answer = desk.post("/shop/text/file", name=RULES, text="rules: []", seen="")
    assert answer.status_code == 403
    assert "The role desk may not edit the shop's own text and put it into effect" in html.unescape(
        answer.text
    )
    assert proposal(browser.ledger).changes == ()
    owner = let_in(app, Role.OWNER)
    fields = fields_of(browser)
    owner.post("/shop/text/file", **{**fields, "text": fields["text"].replace(RATE, OTHER_RATE)})
    assert [each.who for each in proposal(browser.ledger).changes] == ["Any owner"]


def test_every_field_has_its_label_and_nothing_is_styled_or_scripted_inside(browser: Browser) -> None:
    write(browser)
    look(browser)
    for address in ("/shop/text", "/shop/text/look", FILE, "/shop/text/versions/1"):
        page = browser.get(address)
        assert not re.search(r"<[^>]+\sstyle=|<[^>]+\son\w+=|<style|<script(?![^>]*src=)", page), address
        inner = page.split("<main", 1)[1]
        free = re.sub(r"<label.*?</label>", "", inner, flags=re.DOTALL)
        fields = re.findall(r"<(?:input|textarea|select)[^>]*>", free)
        assert [field for field in fields if 'type="hidden"' not in field] == [], address


def test_before_the_app_took_the_text_up_there_is_nothing_to_edit(tmp_path: Path, database: Database) -> None:
    from tappetry.presentation.kept import papers

    bare = Browser(Ledger(shop_of(tmp_path), database, papers()))
    assert "The shop's text was not taken up yet" in page_of(bare, "/shop/text", 404)
