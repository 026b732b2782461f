"""Invoices: made of what was accepted, with deposits set off, numbered without gaps, never changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from tappetry.pricing.bill import bill
from tappetry.pricing.books import CORES_HELD, CREDITS, DEPOSITS, NOTHING, invoice_legs
from tappetry.pricing.policy import read_policy
from tappetry.records.problems import BadInput, Where
from tappetry.services import agreements
from tappetry.services.ledger import Ledger
from tappetry.services.paper_records import Invoice
from tappetry.store import invoices
from tappetry.store.books_models import InvoiceRow
from tappetry.store.invoices import INVOICE, InvoicePaper, MovedMeanwhile, Stood
from tappetry.store.jobs import INVOICED
from tappetry.store.problems import NotKept

__all__ = ["INVOICE", "InvoiceRow"]

#: How often a paper is made again because somebody else was quicker.
TRIES = 8


@dataclass(frozen=True, slots=True)
class _Made:
    """A paper that is ready to be kept, and what the trail says of it."""

    paper: InvoicePaper
    what: str


def write_invoice(ledger: Ledger, number: str, due: str, who: str) -> InvoiceRow:
    """Write the invoice of a job: all that was accepted, by quote and change orders, and is not invoiced yet.

    Parameters
    ----------
    due : str
        The day up to which it is to be paid, ``2026-03-30``.

    Raises
    ------
    BadInput
        The day cannot be read, or is over.
    NotKept
        Nothing is accepted yet, or there is an invoice already.
    Refusal
        The shop's taxes changed since it was agreed.
    """
    last = _due(due, agreements.today(ledger))

    def make(stood: Stood) -> _Made:
        found = of_job(ledger, number, stood, last)
        made = ledger.papers.business.invoice(ledger.shop, found)
        return _Made(
            InvoicePaper(
                kind=INVOICE,
                of=None,
                day=found.on,
                due=found.due,
                document=made.document,
                pdf=made.pdf,
                total=found.bill.total,
                currency=found.currency,
                legs=[(leg.account, leg.amount) for leg in invoice_legs(found.bill, stood.balances)],
                state=INVOICED,
            ),
            f"wrote invoice {found.number}: {found.bill.total} {found.currency}",
        )

    return _keep(ledger, number, INVOICE, make, who)


def invoice_now(ledger: Ledger, number: str) -> Invoice:
    """What the invoice of a job would say now; errors as of :func:`write_invoice`."""
    stood = ledger.read(lambda session: invoices.stood(session, number, INVOICE))
    return of_job(ledger, number, stood, agreements.today(ledger))


def of_job(ledger: Ledger, number: str, stood: Stood, due: date) -> Invoice:
    """The invoice of a job out of what stood at one moment.

    Raises
    ------
    NotKept, Refusal
        As of :func:`write_invoice`.
    MovedMeanwhile
        Something else was accepted since.
    """
    agreed = agreements.in_force(ledger, number)
    if stood.papers:
        raise NotKept(f"Job {number} has invoice {stood.papers[-1].number} already.")
    if agreed.id != stood.acceptance:
        raise MovedMeanwhile(f"What is agreed on job {number} changed meanwhile. Look at it again.")
    kit = agreements.agreed_kit(agreed.kit)
    return Invoice(
        job=number,
        title=stood.title,
        customer=stood.customer or agreed.customer,
        number=stood.number,
        on=agreements.today(ledger),
        due=due,
        since=f"{agreements.title(agreed)} of {agreed.entry.at:%Y-%m-%d}",
        currency=agreed.kit.currency,
        bill=bill(kit, read_policy(ledger.shop.knowledge.book.money)),
        work=kit.operations,
        deposit=-stood.balances.get(DEPOSITS, NOTHING),
        credit=-stood.balances.get(CREDITS, NOTHING),
        cores_held=-stood.balances.get(CORES_HELD, NOTHING),
    )


def papers(ledger: Ledger, number: str) -> list[InvoiceRow]:
    """The invoices of a job, the first one first."""
    return ledger.read(lambda session: invoices.papers_of(session, number))


def pdf(ledger: Ledger, number: str, kind: str, paper: int) -> bytes:
    """The very paper of an invoice.

    Raises
    ------
    NotKept
        The job has no such one.
    """
    return ledger.read(lambda session: invoices.paper_pdf(session, number, kind, paper))


def _keep(ledger: Ledger, number: str, kind: str, make: Callable[[Stood], _Made], who: str) -> InvoiceRow:
    """Make a paper and keep it; where somebody else was quicker, make it again of what stands then."""
    for left in reversed(range(TRIES)):
        stood = ledger.read(lambda session: invoices.stood(session, number, kind))
        try:
            made = make(stood)
            act = ledger.act(who, made.what)
            with ledger.database.writing() as session:
                return invoices.keep_paper(session, number, made.paper, stood, act)
        except MovedMeanwhile:
            if not left:
                raise
    raise AssertionError("the last try returns or raises")


def _due(text: str, today: date) -> date:
    try:
        due = date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput.at(Where(field="due"), "the day cannot be read", text, "2026-03-30") from None
    if due < today:
        raise BadInput.at(Where(field="due"), "the day to pay on is over", due, f"{today} or later")
    return due
