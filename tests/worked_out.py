"""What is worked out once for all tests: kits and what pages show of them, and quotes, of equal jobs."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from tappetry.presentation.kept import papers
from tappetry.services.kits import KitResult
from tappetry.services.ledger import Ledger, Papers
from tappetry.services.shop import Shop
from tappetry.store.quotes import Paper
from tests.kitting.support import demo

#: What was worked out for equal jobs of the one shop, so that each kit is solved once for all tests.
WORKED_OUT: OrderedDict[tuple[str, str], Any] = OrderedDict()
QUOTES: dict[str, Paper] = {}


def share(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> Ledger:
    """Let a ledger of the invented shop know what other ones worked out."""
    monkeypatch.setattr(ledger.working, "_known", WORKED_OUT)
    return ledger


def papers_once() -> Papers:
    """The papers as they go out; a quote is the very one of an equal job on that day."""
    return replace(papers(), quote=_quote)


def _quote(shop: Shop, result: KitResult, on: date) -> Paper:
    if shop is not demo():
        return papers().quote(shop, result, on)
    key = repr((replace(result.job, file=""), on))
    if key not in QUOTES:
        QUOTES[key] = papers().quote(shop, result, on)
    return QUOTES[key]
