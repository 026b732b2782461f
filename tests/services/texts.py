"""A shop with text of its own in a folder of its own, taken up by a ledger, and ways to change it."""

from __future__ import annotations

from pathlib import Path

from tappetry.presentation.kept import papers
from tappetry.services import text_writing
from tappetry.services.ledger import Ledger
from tappetry.services.shop import Shop, make_demo_shop
from tappetry.services.text_in_effect import begin
from tappetry.services.worker import Worker
from tappetry.services.works import WORKS
from tappetry.store.database import Database
from tests.services.office import NOON

RULES, BOOK, NOTES, PARTS = "rules.yaml", "shop.yaml", "notes.yaml", "parts.csv"


def shop_of(place: Path) -> Shop:
    """The invented shop, to be changed."""
    return Shop(make_demo_shop(place / "shop").folder)


def taken_up(shop: Shop, database: Database, alone: bool = True) -> Ledger:
    """The ledger of a shop whose app has started."""
    ledger = Ledger(shop, database, papers(), lambda: NOON)
    begin(ledger, alone)
    return ledger


def worker_of(ledger: Ledger) -> Worker:
    """A worker beside it, that knows nothing of the ledger but its folder and its database."""
    return Worker(Shop(ledger.shop.folder), ledger.database, WORKS)


def text_of(ledger: Ledger, path: str) -> str:
    """A file as somebody would find it in the app."""
    return text_writing.page(ledger, path).text


def write(ledger: Ledger, path: str, text: str, who: str = "Wren") -> tuple[str, ...]:
    """Write a file in the app, from what stands there."""
    return text_writing.write(ledger, path, text, text_writing.page(ledger, path).seen, who)


def change(ledger: Ledger, path: str, old: str, new: str, who: str = "Wren") -> tuple[str, ...]:
    """Change some words of a file in the app."""
    text = text_of(ledger, path)
    assert text.count(old) >= 1, f"{path} does not say {old}"
    return write(ledger, path, text.replace(old, new, 1), who)
