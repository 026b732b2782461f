"""Statements: every paper and payment of a customer with the balance after it; what is open in the shop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from tappetry.pricing.books import CREDITS, CUSTOMERS, NOTHING, OF_CUSTOMERS
from tappetry.pricing.policy import read_policy
from tappetry.services import books
from tappetry.services.ledger import Ledger
from tappetry.store.books import journal, moved, standing
from tappetry.store.books_models import Posting
from tappetry.store.invoices import TITLES, last_invoices
from tappetry.store.jobs import row_of, rows_of
from tappetry.store.people import jobs_of


@dataclass(frozen=True, slots=True)
class StatementRow:
    """One paper or payment: what it changed, and the balance after it; positive is what the customer owes."""

    day: date
    job: str
    what: str
    said: str
    change: Decimal
    balance: Decimal


@dataclass(frozen=True, slots=True)
class Statement:
    """Where a customer stands with a job, or with all of his jobs; ``stands`` by account."""

    customer: str
    title: str
    jobs: tuple[str, ...]
    on: date
    currency: str
    rows: tuple[StatementRow, ...]
    stands: tuple[tuple[str, Decimal], ...]

    @property
    def balance(self) -> Decimal:
        """What the customer owes; below zero where the shop owes him."""
        return self.rows[-1].balance if self.rows else NOTHING


@dataclass(frozen=True, slots=True)
class OpenBill:
    """An invoice that is not paid whole; ``days_over`` is above 0 where the day to pay on is over."""

    job: str
    customer: str
    invoice: int
    due: date
    days_over: int
    owes: Decimal


@dataclass(frozen=True, slots=True)
class OpenBills:
    """What customers owe, the earliest day first, and what stands to the credit of customers by job."""

    currency: str
    bills: tuple[OpenBill, ...]
    credits: tuple[tuple[str, str, Decimal], ...]

    @property
    def total(self) -> Decimal:
        """All that is open."""
        return sum((each.owes for each in self.bills), NOTHING)

    @property
    def overdue(self) -> Decimal:
        """What of it should have been paid."""
        return sum((each.owes for each in self.bills if each.days_over > 0), NOTHING)


def statement(ledger: Ledger, number: str, whole: bool = False) -> Statement:
    """The statement of a job, or where ``whole`` of every job of the same customer.

    A customer is who the store knows again, never who merely bears the same name.

    Raises
    ------
    NotKept
        There is no such job.
    """
    with ledger.database.reading() as session:
        row = row_of(session, number)
        known = row.customer_id if whole else None
        others = [row] if known is None else jobs_of(session, known)[::-1]
        jobs = tuple(each.number for each in others)
        found = journal(session, jobs)
        customer, title = row.customer, row.title
    rows: list[StatementRow] = []
    stands = dict.fromkeys(OF_CUSTOMERS, NOTHING)
    balance = NOTHING
    for job, posting in found:
        touched = [line for line in posting.lines if line.account in stands]
        for line in touched:
            stands[line.account] += line.amount
        change = sum((line.amount for line in touched), NOTHING)
        if change:
            balance += change
            said = "" if posting.kind in TITLES else posting.said
            rows.append(StatementRow(posting.day, job, _what(posting), said, change, balance))
    return Statement(
        customer=customer,
        title="" if len(jobs) > 1 else title,
        jobs=jobs,
        on=ledger.today,
        currency=_currency(ledger),
        rows=tuple(rows),
        stands=tuple((name, amount) for name, amount in stands.items() if amount),
    )


def open_bills(ledger: Ledger) -> OpenBills:
    """What is open in the whole shop."""
    today = ledger.today
    with ledger.database.reading() as session:
        owing, credits = ledger.working.remembered(
            "what stands open",
            f"{ledger.place} {moved(session)}",
            lambda: (standing(session, CUSTOMERS), standing(session, CREDITS)),
            beside=False,
        )
        papers = last_invoices(session, owing)
        jobs = {row.id: row for row in rows_of(session, {*owing, *credits})}
    bills = []
    for job, owes in owing.items():
        invoice = papers[job]
        assert invoice.due is not None, "an invoice says until when"
        days = (today - invoice.due).days
        row = jobs[job]
        bills.append(OpenBill(row.number, row.customer, invoice.number, invoice.due, max(days, 0), owes))
    return OpenBills(
        _currency(ledger),
        tuple(sorted(bills, key=lambda each: (each.due, each.invoice))),
        tuple(sorted((jobs[job].number, jobs[job].customer, -amount) for job, amount in credits.items())),
    )


def _what(posting: Posting) -> str:
    """What a posting is, with its number or the way in which money went."""
    if posting.kind in TITLES:
        return books.paper(posting)
    way = books.way_of(posting)
    return f"{books.what(posting)}, {way}" if way else books.what(posting)


def _currency(ledger: Ledger) -> str:
    return read_policy(ledger.shop.knowledge.book.money).currency
