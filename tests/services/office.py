"""A ledger of the invented shop whose kits and papers are worked out once for all tests of its business."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from tappetry.services import agreements
from tappetry.services.agreements import IN_PERSON, Signed
from tappetry.services.ledger import Ledger
from tappetry.store.database import Database
from tests.kitting.support import demo
from tests.worked_out import papers_once, share

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
YES = Signed("M. Tresk", IN_PERSON, {}, read=False)


def ledger_at_noon(database: Database, monkeypatch: pytest.MonkeyPatch, **changed: Any) -> Ledger:
    """The ledger of the invented shop, empty."""
    return share(Ledger(demo(), database, replace(papers_once(), **changed), lambda: NOON), monkeypatch)


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
