"""What the papers of a job's business are made of; what they look like is not kept here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from tappetry.pricing.validity import LineChange
from tappetry.records.kit import Kit, OperationLine
from tappetry.services.shop import Shop
from tappetry.store.accepted import OrderPaper
from tappetry.store.quotes import Paper


@dataclass(frozen=True, slots=True)
class ChangeOrder:
    """A kit beside the one that was accepted: what comes, what goes, what it costs more.

    ``since`` names what was accepted, ``deposit`` is what the deposit rises by, never below zero.
    """

    job: str
    title: str
    customer: str
    number: int
    on: date
    last_day: date
    since: str
    why: str
    before: Kit
    after: Kit
    lines: tuple[LineChange, ...]
    work_added: tuple[OperationLine, ...]
    work_dropped: tuple[OperationLine, ...]
    deposit: Decimal

    @property
    def difference(self) -> Decimal:
        """How much more the whole costs, tax included."""
        assert self.before.totals is not None
        assert self.after.totals is not None
        return self.after.totals.total - self.before.totals.total


@dataclass(frozen=True, slots=True)
class BusinessPapers:
    """How change orders and supplier orders are written."""

    change: Callable[[Shop, ChangeOrder], Paper]
    orders: Callable[[Shop, Kit, date], tuple[OrderPaper, ...]]
