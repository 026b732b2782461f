"""Invoices of what was accepted, with deposits set off, and credit notes on them; never changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from tappetry.pricing.bill import Bill, bill, bill_from_data, credit_of, left_of
from tappetry.pricing.books import (
    CORES_HELD,
    CREDITS,
    CUSTOMERS,
    DEPOSITS,
    NOTHING,
    credit_legs,
    invoice_legs,
)
from tappetry.pricing.policy import read_policy
from tappetry.quantities.calendar import day
from tappetry.quantities.money import Money, MoneyError
from tappetry.records.problems import BadInput, Where
from tappetry.services import agreements
from tappetry.services.ledger import Ledger, day_of
from tappetry.services.paper_records import CreditNote, Invoice
from tappetry.services.supply import read_supplied
from tappetry.store import invoices
from tappetry.store.books_models import InvoiceRow
from tappetry.store.invoices import CREDIT, INVOICE, TITLES, InvoicePaper, Stood
from tappetry.store.jobs import ACCEPTED, INVOICED
from tappetry.store.problems import MovedMeanwhile, NotKept

__all__ = ["CREDIT", "INVOICE", "InvoiceRow"]

#: How often a paper is made again because somebody else was quicker.
TRIES = 8


@dataclass(frozen=True, slots=True)
class _Made:
    """A paper that is ready to be kept, and what the trail says of it."""

    paper: InvoicePaper
    what: str
    why: str = ""


def write_invoice(ledger: Ledger, number: str, due: str, supplied: str, who: str) -> InvoiceRow:
    """Write the invoice of a job: all that was accepted, by quote and change orders, and is not invoiced yet.

    Parameters
    ----------
    due : str
        The day up to which it is to be paid, ``2026-03-30``.
    supplied : str
        The day of supply, ``2026-03-16``; it stands on the invoice for ever.

    Raises
    ------
    BadInput
        A day cannot be read; the one to pay on is over; that of supply is before the job or too far ahead.
    NotKept
        Nothing is accepted yet, or there is an invoice already.
    Refusal
        The shop's taxes changed since it was agreed.
    """
    last = _due(due, ledger.today)
    supply = read_supplied(ledger, number, supplied)

    def make(stood: Stood) -> _Made:
        found = of_job(ledger, number, stood, last, supply)
        made = ledger.papers.business.invoice(ledger.shop, found)
        return _Made(
            InvoicePaper(
                kind=INVOICE,
                of=None,
                day=found.on,
                due=found.due,
                supplied=found.supplied,
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
    """What the invoice of a job would say now, were it supplied and paid today; errors as of
    :func:`write_invoice`.
    """
    stood = ledger.read(lambda session: invoices.stood(session, number, INVOICE))
    today = ledger.today
    return of_job(ledger, number, stood, today, today)


def of_job(ledger: Ledger, number: str, stood: Stood, due: date, supplied: date) -> Invoice:
    """The invoice of a job out of what stood at one moment.

    Raises
    ------
    NotKept, Refusal
        As of :func:`write_invoice`.
    MovedMeanwhile
        Something else was accepted since.
    """
    agreed = agreements.in_force(ledger, number)
    standing = in_force(stood.papers)
    if standing is not None:
        raise NotKept(f"Job {number} has invoice {standing.row.number} already; a credit note may undo it.")
    if agreed.id != stood.acceptance:
        raise MovedMeanwhile(f"What is agreed on job {number} changed meanwhile. Look at it again.")
    kit = agreements.agreed_kit(agreed.kit)
    return Invoice(
        job=number,
        title=stood.title,
        customer=stood.customer or agreed.customer,
        number=stood.number,
        on=ledger.today,
        due=due,
        supplied=supplied,
        since=f"{agreements.title(agreed)} of {day(day_of(agreed.entry.at))}",
        currency=agreed.kit.currency,
        bill=bill(kit, read_policy(ledger.shop.knowledge.book.money)),
        work=kit.operations,
        deposit=-stood.balances.get(DEPOSITS, NOTHING),
        credit=-stood.balances.get(CREDITS, NOTHING),
        cores_held=-stood.balances.get(CORES_HELD, NOTHING),
    )


@dataclass(frozen=True, slots=True)
class Standing:
    """An invoice of which something is not credited: as it was written, and what is left of it."""

    row: InvoiceRow
    whole: Bill
    credits: tuple[Bill, ...]

    @property
    def left(self) -> Bill:
        """What is not credited."""
        return left_of(self.whole, self.credits)


def in_force(papers: Iterable[InvoiceRow]) -> Standing | None:
    """The invoice that is in force, if any: the last one, unless all of it is credited.

    One that came to nothing stays: there is nothing of it to credit.
    """
    papers = tuple(papers)
    row = next((each for each in reversed(papers) if each.kind == INVOICE), None)
    if row is None:
        return None
    credits = tuple(bill_from_data(each.document["bill"]) for each in papers if each.of_id == row.id)
    found = Standing(row, bill_from_data(row.document["bill"]), credits)
    return found if found.left.total or not credits else None


def write_credit(
    ledger: Ledger,
    number: str,
    amounts: Mapping[int, str] | None,
    why: str,
    who: str,
    seen: int | None = None,
) -> InvoiceRow:
    """Write a credit note on the invoice of a job, with the tax that goes back.

    Where all of the invoice is credited, the job may be invoiced anew.

    Parameters
    ----------
    amounts : mapping of int to str, or None
        Net to credit by the place of the invoice's line, as money text; None credits all that is left.
    seen : int, optional
        How many papers there were when the form was made.

    Raises
    ------
    BadInput
        It does not say why, an amount cannot be read, or is more than is left of its line.
    NotKept
        The job has no invoice of which something is left, or another paper came since the form was made.
    """
    if not why.strip():
        raise BadInput.at(Where(field="why"), "a credit note says why", why, "a reason, in one sentence")
    currency = read_policy(ledger.shop.knowledge.book.money).currency
    asked = (
        None
        if amounts is None
        else {place: _amount(place, said, currency) for place, said in amounts.items()}
    )

    def make(stood: Stood) -> _Made:
        standing = in_force(stood.papers)
        if standing is None:
            raise NotKept(f"Job {number} has no invoice of which something could be credited.")
        if seen is not None and seen != len(stood.papers):
            last = stood.papers[-1]
            raise MovedMeanwhile(
                f"Job {number} has another paper meanwhile, or this was sent twice: {TITLES[last.kind]} "
                f"{last.number} over {last.total}, by {last.entry.who}. Look at the bill again."
            )
        left = standing.left
        chosen = {n: line.net for n, line in enumerate(left.lines) if line.net} if asked is None else asked
        credited = credit_of(standing.whole, standing.credits, chosen)
        note = CreditNote(
            job=number,
            title=stood.title,
            customer=standing.row.document["customer"],
            number=stood.number,
            on=ledger.today,
            invoice=standing.row.number,
            invoiced_on=standing.row.day,
            supplied=standing.row.supplied,
            why=why.strip(),
            currency=standing.row.currency,
            bill=credited,
            was_open=stood.balances.get(CUSTOMERS, NOTHING),
        )
        made = ledger.papers.business.credit(ledger.shop, note)
        return _Made(
            InvoicePaper(
                kind=CREDIT,
                of=standing.row.id,
                day=note.on,
                due=None,
                supplied=note.supplied,
                document=made.document,
                pdf=made.pdf,
                total=credited.total,
                currency=note.currency,
                legs=[(leg.account, leg.amount) for leg in credit_legs(credited, stood.balances)],
                state=ACCEPTED if credited.total == left.total else INVOICED,
            ),
            f"wrote credit note {note.number} on invoice {note.invoice}: {credited.total} {note.currency}",
            note.why,
        )

    return _keep(ledger, number, CREDIT, make, who)


def papers(ledger: Ledger, number: str) -> list[InvoiceRow]:
    """The invoices and credit notes of a job, the first one first."""
    return ledger.read(lambda session: invoices.papers_of(session, number))


def pdf(ledger: Ledger, number: str, kind: str, paper: int) -> bytes:
    """The very paper of an invoice or credit note.

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
            act = ledger.act(who, made.what, made.why)
            with ledger.database.writing() as session:
                return invoices.keep_paper(session, number, made.paper, stood, act)
        except MovedMeanwhile:
            if not left:
                raise
    raise AssertionError("the last try returns or raises")


def _amount(place: int, said: str, currency: str) -> Decimal:
    try:
        return Money.parse(said, currency).amount
    except MoneyError as error:
        raise BadInput.at(Where(field=f"line {place + 1}"), str(error), said) from None


def _due(text: str, today: date) -> date:
    try:
        due = date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput.at(Where(field="due"), "the day cannot be read", text, "2026-03-30") from None
    if due < today:
        raise BadInput.at(Where(field="due"), "the day to pay on is over", due, f"{today} or later")
    return due
