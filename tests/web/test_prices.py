"""Price lists in the app: brought, read, looked at, taken or left, by who may see what the shop pays."""

from __future__ import annotations

import html
import json
import re
from decimal import Decimal
from pathlib import Path

import pytest
from httpx import Response

from tappetry.presentation.kept import papers
from tappetry.services import prices
from tappetry.services.begin import begin
from tappetry.services.ledger import Ledger
from tappetry.services.roles import Role
from tappetry.store.database import Database
from tests.catalogue.workbooks import table_workbook
from tests.services.test_begin import SAID, first_job
from tests.services.test_prices import HOW, LIST, price_of
from tests.services.texts import worker_of
from tests.web.conftest import Browser
from tests.web.entering import let_in, opened_to_others

pytestmark = pytest.mark.slow

READING = {
    "column.number": "NO",
    "column.price": "LIST",
    "column.cost": "NET",
    "column.description": "WHAT",
    "complete": "yes",
    "percent": "15",
    "lead_days": "0",
    "tax_class": "parts",
}


@pytest.fixture
def browser(tmp_path: Path, database: Database) -> Browser:
    """A browser at the app of a new shop."""
    return Browser(Ledger(begin(tmp_path / "shop", SAID, {}).shop, database, papers()))


def bring(browser: Browser, content: bytes = LIST.encode(), name: str = "list.csv", status: int = 200) -> str:
    """Bring a list; the address of the page that follows."""
    answer = browser.client.post(
        "/prices", data={"token": browser.token, "supplier": "TNV"}, files={"file": (name, content)}
    )
    assert answer.status_code == status, answer.text
    return answer.url.path


def read_it(browser: Browser, address: str) -> str:
    """Say how it is read; the page of what it would do."""
    return html.unescape(browser.post(address, **READING).text)


def take(browser: Browser, mark: str, **chosen: str | list[str]) -> Response:
    """Have rows looked through, and take them."""
    looked = browser.post(f"/prices/{mark}/looks", **chosen)
    assert worker_of(browser.ledger).work_once()
    return browser.post(f"{looked.url.path}/take")


def version_in(page: str) -> str:
    found = re.search(r'name="version" value="(\w+)"', page)
    assert found is not None
    return found[1]


def test_the_first_list_of_a_supplier_asks_for_its_columns_and_the_second_does_not(browser: Browser) -> None:
    assert 'href="/prices"' in browser.get("/parts")
    assert "its columns are not known yet" in browser.get("/prices")
    address = bring(browser)
    assert address.endswith("/reading")
    page = html.unescape(browser.get(address))
    assert "NO,WHAT,LIST,NET,PAGE" in page
    for column in ("NO", "WHAT", "LIST", "NET", "PAGE"):
        assert f"<option>{column}</option>" in page
    page = read_it(browser, address)
    assert "price: <del>239.00</del> <ins>244.00</ins>" in page
    assert prices.reading(browser.ledger.shop, "TNV") == HOW
    assert "its columns are not known yet" not in browser.get("/prices")
    assert re.fullmatch(r"/prices/\w{16}", bring(browser))


def test_every_field_has_its_label(browser: Browser) -> None:
    address = bring(browser)
    pages = [browser.get("/prices"), browser.get(address), read_it(browser, address)]
    for page in pages:
        main = page.split("<main")[1]
        outside = re.sub(r"<label.*?</label>", "", main, flags=re.DOTALL)
        assert re.findall(r'<(?:input(?! type="hidden")|select|textarea)[^>]*>', outside) == []
        assert "style=" not in page


def test_the_page_tells_everything_a_list_would_do_before_it_does(browser: Browser) -> None:
    before = (browser.ledger.shop.folder / "parts.csv").read_bytes()
    page = read_it(browser, bring(browser))
    assert "<b>3</b> changed, <b>1</b> new" in page
    assert "1 gone, 1 that cannot be taken. 2 want a decision." in page
    assert "+2.1 %" in page
    assert "price 36.00 becomes 54.00: +50.0 %, over 15 %" in page
    assert "LIST 'free'" in page
    assert re.findall(r'name="line" value="(\d+)" checked', page) == ["2", "6"]
    assert re.findall(r'name="line" value="(\d+)">', page) == ["4", "10"]
    assert 'name="gone" value="TN-O1">' in page
    assert (browser.ledger.shop.folder / "parts.csv").read_bytes() == before
    assert browser.ledger.trail() == []


def test_a_row_with_a_cell_too_many_is_told_and_the_others_are_taken(browser: Browser) -> None:
    spoiled = LIST.replace("TN-D1,Chain,33.00", "TN-D1,Chain <b>, long,33.00")
    address = bring(browser, spoiled.encode())
    page = browser.post(address, **READING).text
    assert "<b>2</b> changed, <b>1</b> new" in page
    assert "1 gone, 2 that cannot be taken." in page
    told = "the row has 6 cells, expected 5 cells, as in the header"
    value = "TN-D1,Chain &lt;b&gt;, long,33.00,21.50,3"
    assert f'Line 6<br><span class="quiet">{told}: <span class="code">{value}</span></span>' in page
    assert price_of(browser.ledger.shop, "TN-C1") == Decimal("239.00"), "nothing is taken yet"
    mark, version = address.split("/")[2], version_in(page)
    browser.post(f"/prices/{mark}/looks", 422, version=version, line=["2", "6"])
    assert "0 new, 1 changed" in take(browser, mark, version=version, line="2").text
    shop = browser.ledger.shop
    assert (price_of(shop, "TN-C1"), price_of(shop, "TN-D1")) == (Decimal("244.00"), Decimal("32.00"))
    assert ": 1 of its 9 rows, 0 new, 1 changed" in browser.get("/shop/text")


def test_rows_are_taken_one_by_one(browser: Browser) -> None:
    address = bring(browser)
    version = version_in(read_it(browser, address))
    mark = address.split("/")[2]
    answer = take(browser, mark, version=version, line=["2", "10"], gone="TN-O1")
    assert "1 new, 1 changed, 1 sold no longer" in answer.text
    shop = browser.ledger.shop
    assert price_of(shop, "TN-C1") == Decimal("244.00")
    assert price_of(shop, "TN-D1") == Decimal("32.00")
    assert "244.00" in browser.get("/parts/TNV/TN-C1")
    assert "A new thing" in browser.get("/parts?q=TN-N1")
    assert "discontinued" in browser.get("/parts?q=TN-O1")
    assert "took the price list list.csv of TNV: version 2 of" in browser.get("/shop")
    named = r"the price list list\.csv of TNV of \d+ [A-Z][a-z]+ \d{4}: 2 of its 9 rows, 1 new, 1 changed, 1 "
    assert re.search(named, browser.get("/shop/text"))
    assert mark not in browser.get("/prices")


def test_the_whole_of_a_list_is_what_is_not_odd_and_workbooks_are_read_alike(browser: Browser) -> None:
    book = table_workbook(line.split(",") for line in LIST.splitlines())
    address = bring(browser, book, "list.xlsx")
    page = read_it(browser, address)
    assert "Look through all 2 about which nothing is odd" in page
    answer = take(browser, address.split("/")[2], version=version_in(page), which="undoubted")
    assert "0 new, 2 changed, 0 sold no longer" in answer.text
    assert price_of(browser.ledger.shop, "TN-D1") == Decimal("33.00")
    assert price_of(browser.ledger.shop, "TN-S40") == Decimal("36.00")


def test_what_it_changes_in_kits_is_shown_before_it_is_taken(browser: Browser) -> None:
    browser.ledger.new_job(json.dumps(first_job()), "Wren")
    address = bring(browser)
    version = version_in(read_it(browser, address))
    looked = browser.post(f"/prices/{address.split('/')[2]}/looks", version=version, line="2", gone="TN-O1")
    here = looked.url.path
    assert f'hx-get="{here}"' in looked.text
    assert "Take it" not in looked.text
    browser.post(f"{here}/take", 422)
    assert "It was stopped." in browser.post(f"{here}/stop").text
    assert browser.post(f"{here}/again").url.path == here
    assert worker_of(browser.ledger).work_once()
    part = browser.get(here, **{"HX-Request": "true"})
    assert "<h1>" not in part, "the heading stays on the page while this part comes anew"
    page = html.unescape(browser.get(here))
    assert "<h1>Before list.csv is taken</h1>" in page
    assert "1 row of TNV's list, and 1 part that would be sold no longer." in page
    assert "1 job would have no kit any more: Q-1." in page
    assert "1 looked at, 1 would change." in page
    assert "no kit any more</span>" in page
    assert "Quotes that were sent stay as they are." in page
    looked = browser.post(f"/prices/{address.split('/')[2]}/looks", version=version, line="2")
    assert worker_of(browser.ledger).work_once()
    page = html.unescape(browser.get(looked.url.path))
    assert "no kit any more" not in page
    assert re.search(r"[\d,.]+ becomes [\d,.]+</span>", page)
    assert 'We pay <span class="money">' in page
    assert price_of(browser.ledger.shop, "TN-C1") == Decimal("239.00")
    browser.get(f"/prices/{address.split('/')[2]}/looks/none", 404)


def test_a_list_is_left(browser: Browser) -> None:
    mark = bring(browser).split("/")[2]
    assert mark in browser.get("/prices")
    assert mark not in browser.post(f"/prices/{mark}/leave").text
    assert "the price list waits no longer" in browser.get(f"/prices/{mark}", 400)
    assert browser.ledger.trail()[0].what == "left the price list list.csv of TNV"


def test_a_reading_that_cannot_be_is_told_on_its_page(browser: Browser) -> None:
    address = bring(browser)
    page = html.unescape(browser.post(address, 400, **{**READING, "column.price": "NO"}).text)
    assert "one column stands for two things (read: NO)" in page
    page = html.unescape(browser.post(address, 400, **READING, units="EA").text)
    assert "a word has no meaning (read: EA); expected such as EA = each" in page
    page = html.unescape(browser.post(address, 400, **{**READING, "percent": "much"}).text)
    assert "the form: " in page
    assert prices.reading(browser.ledger.shop, "TNV") is None


def test_a_list_with_other_columns_than_its_reading_asks_for_it_anew(browser: Browser) -> None:
    read_it(browser, bring(browser))
    address = bring(browser, LIST.replace("LIST", "PRICE").encode(), status=400)
    page = html.unescape(browser.get(address, 400))
    assert "list.csv:1, PRICE: there is no such column" in page
    assert "Which column tells what" in page
    assert "244.00" in html.unescape(
        browser.post(f"{address}/reading", **{**READING, "column.price": "PRICE"}).text
    )


def test_what_is_no_list_is_refused_and_nothing_waits(browser: Browser) -> None:
    answer = browser.client.post(
        "/prices", data={"token": browser.token, "supplier": "TNV"}, files={"file": ("a.pdf", b"%PDF-\xff")}
    )
    assert answer.status_code == 400
    assert "the price list is none that is taken here" in answer.text
    assert "None." in browser.get("/prices")


def test_a_page_that_was_overtaken_takes_nothing(browser: Browser) -> None:
    address = bring(browser)
    version = version_in(read_it(browser, address))
    other = bring(browser)
    take(browser, other.split("/")[2], version=version, line="2")
    answer = browser.post(f"/prices/{address.split('/')[2]}/looks", 422, version=version, line="6")
    assert "The list of parts has changed since this page was made. Nothing was taken." in answer.text
    assert price_of(browser.ledger.shop, "TN-D1") == Decimal("32.00")


def test_only_who_may_see_what_the_shop_pays_sees_and_takes_lists(browser: Browser) -> None:
    mark = bring(browser).split("/")[2]
    app = opened_to_others(browser.ledger)
    for role in (Role.COUNTER, Role.BENCH):
        visitor = let_in(app, role)
        assert "/prices" not in visitor.client.get("/parts").text
        assert visitor.client.get(f"/prices/{mark}").status_code == 403
        assert visitor.post(f"/prices/{mark}/looks", version="x", which="undoubted").status_code == 403
        assert visitor.post(f"/prices/{mark}/looks/x/take").status_code == 403
    desk = let_in(app, Role.DESK)
    assert "/prices" in desk.client.get("/parts").text
    assert mark in desk.client.get("/prices").text


@pytest.mark.parametrize("odd", ["9" * 40, "é\u202e' OR 1=1 -- %<b>{{7*7}}../../x", "= \u2028:", "-"])
def test_nothing_odd_that_is_sent_is_a_fault_of_ours(browser: Browser, odd: str) -> None:
    mark = bring(browser, name=odd).split("/")[2]
    token = browser.token
    for content in (odd.encode(), f"{odd}\n{odd},{odd}".encode(), b"PK\x03\x04" + odd.encode()):
        files = {"file": (odd, content)}
        for supplier in ("TNV", odd):
            sent = browser.client.post("/prices", data={"token": token, "supplier": supplier}, files=files)
            assert sent.status_code < 500, sent.text
    names = [*READING, "units", "statuses", "prefix", "returnable", "line", "gone", "version", "which"]
    for data in (dict.fromkeys(names, odd), {**READING, "units": odd, "prefix": odd}):
        for act in ("reading", "take", "reading", "leave"):
            answer = browser.client.post(f"/prices/{mark}/{act}", data={**data, "token": token})
            assert answer.status_code < 500, (act, answer.text)
            assert browser.client.get(f"/prices/{mark}").status_code < 500
    assert browser.get("/prices")


def test_a_list_that_changes_nothing_says_that_its_prices_stand(browser: Browser) -> None:
    parts = [each for each in browser.ledger.shop.catalogue.parts if each.supplier == "TNV"]
    rows = [f"{each.number},,{each.price},{each.cost},1" for each in parts]
    address = bring(browser, "\n".join(["NO,WHAT,LIST,NET,PAGE", *rows]).encode())
    page = read_it(browser, address)
    assert f"Write down that its {len(parts)} prices stand" in page
    mark = address.split("/")[2]
    assert '<p class="quiet">None.</p>' in browser.post(f"/prices/{mark}/stand").text
    browser.post(f"/prices/{mark}/stand", 400)
