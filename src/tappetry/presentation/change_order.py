"""The change order: what was agreed beside what is needed now, line by line, with its own signature."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from tappetry.presentation import render, words
from tappetry.presentation.letterhead import Letterhead
from tappetry.pricing.validity import LineChange
from tappetry.records.kit import Line, OperationLine, Totals
from tappetry.services.paper_records import ChangeOrder

Data = dict[str, Any]

#: The sums of a kit, in the order in which they stand on papers.
SUMS = (
    ("parts", "parts"),
    ("services", "work done outside"),
    ("labour", "our work"),
    ("supplies", "shop supplies"),
    ("tax", "tax"),
    ("total", "total"),
)


def change_pdf(change: ChangeOrder, shop: Letterhead) -> bytes:
    """The change order as a PDF, the same bytes for the same change."""
    return render.pdf("change", change_data(change, shop), change.on, shop.paper)


def change_data(change: ChangeOrder, shop: Letterhead) -> Data:
    """Everything on the paper, in words; no cost, margin or supplier."""
    before, after = _totals(change.before.totals), _totals(change.after.totals)
    return {
        "shop": shop.data(),
        "job": change.job,
        "title": change.title,
        "customer": change.customer,
        "number": str(change.number),
        "date": words.day(change.on),
        "valid_until": words.day(change.last_day),
        "since": change.since,
        "why": change.why,
        "lines": [_line(each) for each in change.lines],
        "work": [*_work(change.work_dropped, -1), *_work(change.work_added, 1)],
        "sums": [
            {
                "what": title,
                "before": words.amount(getattr(before, name)),
                "after": words.amount(getattr(after, name)),
                "difference": more(getattr(after, name) - getattr(before, name)),
            }
            for name, title in SUMS
        ],
        "difference": more(change.difference),
        "total": words.amount(after.total),
        "deposit": words.amount(change.deposit),
        "currency": after.currency,
        "knowledge_version": change.after.knowledge_version,
        "catalogue_version": change.after.catalogue_version,
    }


def more(value: Decimal) -> str:
    """An amount as a difference, its sign always written; nothing for nothing."""
    if not value:
        return "–"
    return f"{'−' if value < 0 else '+'}{words.amount(abs(value))}"


def _line(change: LineChange) -> Data:
    return {
        "description": change.description,
        "before": _bought(change.old),
        "after": _bought(change.new),
        "difference": more(change.difference),
    }


def _bought(line: Line | None) -> str:
    """So many units at such a price, as one phrase."""
    if line is None:
        return ""
    return f"{words.quantity(line.quantity, line.unit)} at {words.amount(line.unit_price)}"


def _work(lines: Iterable[OperationLine], sign: int) -> list[Data]:
    return [
        {"what": each.what, "hours": f"{'−' if sign < 0 else '+'}{words.hours(each.hours)}"} for each in lines
    ]


def _totals(totals: Totals | None) -> Totals:
    assert totals is not None, "a change order stands between priced kits"
    return totals
