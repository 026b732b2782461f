"""The work order to a machine shop as a paper."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from tappetry.presentation import render, words
from tappetry.presentation.papers import letterhead
from tappetry.services.shop import Shop


def machine_pdf(shop: Shop, data: Mapping[str, Any], on: date) -> bytes:
    """A work order as a PDF, the same bytes for the same order."""
    head = letterhead(shop)
    days = {name: words.day(date.fromisoformat(data[name])) for name in ("date", "promised")}
    whole = {**data, **days, "shop": head.data()}
    return render.pdf("machine", whole, on, head.paper)
