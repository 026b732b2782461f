"""What the papers of a job's business are made of; what they look like is not kept here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from tappetry.pricing.bill import Bill
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
class Invoice:
    """What was agreed, to be paid: the bill, what is set off, what is left to pay.

    ``since`` names what was accepted; ``supplied`` is the day of supply. ``deposit`` and ``credit`` are set
    off, and what of them is over stays to the customer's credit; ``cores_held`` are core deposits, which
    stand apart.
    """

    job: str
    title: str
    customer: str
    number: int
    on: date
    due: date
    supplied: date
    since: str
    currency: str
    bill: Bill
    work: tuple[OperationLine, ...]
    deposit: Decimal
    credit: Decimal
    cores_held: Decimal

    @property
    def left(self) -> Decimal:
        """What is to be paid; below zero where more was paid in advance than it comes to."""
        return self.bill.total - self.deposit - self.credit


@dataclass(frozen=True, slots=True)
class CreditNote:
    """What is taken back of an invoice: the credit line by line, and how much of it was open.

    ``supplied`` is the invoice's day of supply; None where it was written before invoices said one.
    """

    job: str
    title: str
    customer: str
    number: int
    on: date
    invoice: int
    invoiced_on: date
    supplied: date | None
    why: str
    currency: str
    bill: Bill
    was_open: Decimal


@dataclass(frozen=True, slots=True)
class MadePaper:
    """A paper as data and as PDF."""

    document: Mapping[str, Any]
    pdf: bytes


@dataclass(frozen=True, slots=True)
class BusinessPapers:
    """How change orders, supplier orders, invoices and credit notes are written."""

    change: Callable[[Shop, ChangeOrder], Paper]
    orders: Callable[[Shop, Kit, date], tuple[OrderPaper, ...]]
    invoice: Callable[[Shop, Invoice], MadePaper]
    credit: Callable[[Shop, CreditNote], MadePaper]
