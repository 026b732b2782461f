"""A ledger of the invented shop whose kits and papers are worked out once for all tests of its business."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from tappetry.presentation.kept import papers
from tappetry.services import agreements
from tappetry.services.agreements import IN_PERSON, Signed
from tappetry.services.kits import KitResult
from tappetry.services.ledger import Ledger
from tappetry.services.shop import Shop
from tappetry.store.database import Database
from tappetry.store.quotes import Paper
from tests.kitting.support import demo
from tests.web.conftest import WORKED_OUT

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
YES = Signed("M. Tresk", IN_PERSON, {}, read=False)
QUOTES: dict[str, Paper] = {}


def _quote(shop: Shop, result: KitResult, on: date) -> Paper:
    """The very quote, set once for equal jobs on one day."""
    key = repr((replace(result.job, file=""), on))
    if key not in QUOTES:
        QUOTES[key] = papers().quote(shop, result, on)
    return QUOTES[key]


def ledger_at_noon(database: Database, monkeypatch: pytest.MonkeyPatch, **changed: Any) -> Ledger:
    """The ledger of the invented shop, empty."""
    made = Ledger(demo(), database, replace(papers(), quote=_quote, **changed), lambda: NOON)
    monkeypatch.setattr(made.working, "_known", WORKED_OUT)
    return made


def quoted(ledger: Ledger, name: str = "J3") -> str:
    """A job with a quote that was sent."""
    ledger.new_job((demo().jobs / f"{name}.yaml").read_text(encoding="utf-8"), "Wren")
    ledger.send_quote(name, "Wren")
    return name


def accepted(ledger: Ledger) -> str:
    """A job whose quote was accepted."""
    number = quoted(ledger)
    agreements.accept_quote(ledger, number, 1, YES, "Wren")
    return number
