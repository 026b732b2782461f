"""Jobs, kits and acts as tests of the store state them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from tappetry.records.kit import Kit, Line, Totals
from tappetry.store.accepted import OrderPaper, Yes
from tappetry.store.jobs import Act
from tappetry.store.quotes import Paper

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def act(what: str = "changed", who: str = "Wren", after: int = 0, why: str = "") -> Act:
    """An act some minutes after noon."""
    return Act(who, what, NOON + timedelta(minutes=after), why)


def document(number: str = "J-1", **plan: Any) -> dict[str, Any]:
    """A job as its file states it."""
    return {
        "job": number,
        "title": "Withy sedan, phaser out",
        "date": "2026-03-02",
        "customer": "A. Pellow",
        "facts": {
            "vin": {"value": "9ZZW2SSE6CK051209", "grade": "seen", "source": "dash plate"},
            "mileage": {"value": "140000 km", "grade": "told", "source": "customer"},
        },
        "measurements": {"lift": "0.510 in"},
        "plan": {"cam": "B2", **plan},
    }


def kit(price: str = "19.99") -> Kit:
    """A kit of two sets at a price."""
    total = Decimal(price) * 2
    zero = Decimal("0.00")
    line = Line(
        "LX-1",
        "LX",
        "set of springs",
        2,
        "set",
        Decimal(price),
        total,
        Decimal("9.50"),
        "parts",
        "must",
        (),
        (),
    )
    totals = Totals(
        total, zero, zero, zero, zero, total, zero, Decimal("19.00"), zero, zero, zero, zero, "USD"
    )
    return Kit("J-1", (line,), totals=totals, knowledge_version="k1", catalogue_version="c1")


def paper(text: str = "the quote") -> Paper:
    """A quote as it goes out."""
    return Paper({"says": text}, text.encode(), date(2026, 3, 16))


def order_paper(quantity: int = 2) -> OrderPaper:
    """An order of one line as it goes out."""
    cost = Decimal("9.50")
    return OrderPaper("LX", {"says": "the order"}, b"the order", cost * quantity, (("LX-1", quantity, cost),))


def yes() -> Yes:
    """A customer's yes."""
    return Yes("A. Pellow", "letter", {"total": "39.98", "currency": "USD", "options": [], "note": ""})
