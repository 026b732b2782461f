"""What the pages say of backups: the last one, and one that failed."""

from __future__ import annotations

import html
from datetime import timedelta
from pathlib import Path

import pytest

from tappetry.services.backups import Backups, Schedule
from tappetry.services.roles import Role
from tests.web.conftest import NOON, Browser
from tests.web.entering import Visitor, name_of, opened_to_others

pytestmark = pytest.mark.slow


@pytest.fixture
def backups(browser: Browser, tmp_path: Path) -> Backups:
    """The app's backups, in a folder of their own."""
    ledger = browser.ledger
    ledger.backups = Backups(
        ledger.database, tmp_path, Schedule(tmp_path / "kept", days=5, weeks=4, months=3), ledger.now
    )
    return ledger.backups


def test_the_page_shop_says_when_where_and_how_large(browser: Browser, backups: Backups) -> None:
    assert "none yet" in browser.get("/shop")
    browser.open("J3")
    backups.keep_up()
    (made,) = backups.made()
    with made.file.open("ab") as large:
        large.truncate(2_500_000)
    page = browser.get("/shop")
    assert f'{NOON.astimezone():%Y-%m-%d %H:%M}, 2.5 MB, <span class="code">{made.file.name}' in page
    assert f'<td class="code">{backups.folder}</td>' in page
    assert "1; of the latest 5 days, 4 weeks and 3 months the last of each" in page
    assert "backup failed" not in page + browser.get("/")


def test_today_tells_a_failure_to_the_owner_alone(browser: Browser, backups: Backups) -> None:
    browser.open("J3")
    backups.folder.write_text("a file that stands in the way")
    backups.keep_up()
    app = opened_to_others(browser.ledger)
    for role in Role:
        visitor = Visitor(app)
        visitor.log_in(name_of(role))
        assert ("The daily backup failed" in visitor.client.get("/").text) == (role is Role.OWNER)
        assert "The daily backup failed" in visitor.client.get("/shop").text


def test_a_failure_is_told_on_shop_and_today_until_it_is_mended(browser: Browser, backups: Backups) -> None:
    browser.open("J3")
    backups.folder.write_text("a file that stands in the way")
    backups.keep_up()
    for address in ("/", "/shop"):
        page = html.unescape(browser.get(address))
        assert "The daily backup failed" in page
        assert f"{backups.folder}/daily-2026-03-02T120000Z.jsonl.gz: the file cannot be written" in page
        assert f"tried again at {(NOON + timedelta(minutes=15)).astimezone():%Y-%m-%d %H:%M}" in page
    backups.folder.unlink()
    backups.now = lambda: NOON + timedelta(minutes=15)
    backups.keep_up()
    assert "backup failed" not in browser.get("/") + browser.get("/shop")
