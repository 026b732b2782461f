"""Keeps invoices and credit notes: numbered without gaps, each with its posting, never changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import func, select, text
from sqlalchemy.orm import Session, joinedload

from tappetry.store.accepted_models import Acceptance
from tappetry.store.books import Moved, balances_of, post
from tappetry.store.books_models import InvoiceRow
from tappetry.store.jobs import Act, enter, row_of
from tappetry.store.many import parts
from tappetry.store.models import JobRow
from tappetry.store.problems import MovedMeanwhile, NotKept

#: The kinds of papers, and what they are called.
INVOICE, CREDIT = "invoice", "credit"
TITLES = {INVOICE: "invoice", CREDIT: "credit note"}


@dataclass(frozen=True, slots=True)
class Stood:
    """What a paper is made from, all of one moment: its number, the job, its money and its papers."""

    number: int
    title: str
    customer: str
    state: str
    acceptance: int | None
    balances: Mapping[str, Decimal]
    papers: tuple[InvoiceRow, ...]

    def is_as(self, other: Stood) -> bool:
        """Whether nothing of it moved."""
        return (self.number, self.acceptance, self.balances, [each.id for each in self.papers]) == (
            other.number,
            other.acceptance,
            other.balances,
            [each.id for each in other.papers],
        )


@dataclass(frozen=True, slots=True)
class InvoicePaper:
    """An invoice or credit note as it goes out, with the lines of its posting, and the job's state then."""

    kind: str
    of: int | None
    day: date
    due: date | None
    supplied: date | None
    document: Mapping[str, Any]
    pdf: bytes
    total: Decimal
    currency: str
    legs: Sequence[tuple[str, Decimal]]
    state: str


def stood(session: Session, number: str, kind: str) -> Stood:
    """What the next paper of a kind is made from."""
    return _stood(session, row_of(session, number), kind)


def keep_paper(session: Session, number: str, paper: InvoicePaper, made_from: Stood, act: Act) -> InvoiceRow:
    """Keep a paper with its posting, under the next number of its kind.

    Raises
    ------
    MovedMeanwhile
        What it was made from is no longer so; nothing was kept.
    """
    row = row_of(session, number, to_change=True)
    if session.get_bind().dialect.name == "postgresql":  # SQLite has one writer at a time
        session.execute(text("LOCK TABLE invoices IN SHARE ROW EXCLUSIVE MODE"))
    if not _stood(session, row, paper.kind).is_as(made_from):
        raise MovedMeanwhile(
            f"Numbers of papers, or money or agreements of job {number}, moved meanwhile. Look at it again."
        )
    entry = enter(session, act, row)
    said = Moved(paper.kind, paper.day, str(made_from.number), "")
    posting = post(session, row, said, paper.legs, entry)
    kept = InvoiceRow(
        kind=paper.kind,
        number=made_from.number,
        job_id=row.id,
        of_id=paper.of,
        day=paper.day,
        due=paper.due,
        supplied=paper.supplied,
        document=dict(paper.document),
        pdf=paper.pdf,
        total=paper.total,
        currency=paper.currency,
        posting_id=posting.id,
        entry_id=entry.id,
    )
    row.state = paper.state
    session.add(kept)
    session.flush()
    return kept


def papers_of(session: Session, number: str) -> list[InvoiceRow]:
    """The invoices and credit notes of a job, the first one first."""
    return _papers(session, row_of(session, number))


def last_invoices(session: Session, jobs: Iterable[int]) -> dict[int, InvoiceRow]:
    """The last invoice of some jobs, however many, by the id of the job."""
    found: dict[int, InvoiceRow] = {}
    for part in parts(jobs):
        last = (
            select(func.max(InvoiceRow.id))
            .where(InvoiceRow.kind == INVOICE, InvoiceRow.job_id.in_(part))
            .group_by(InvoiceRow.job_id)
        )
        for row in session.scalars(select(InvoiceRow).where(InvoiceRow.id.in_(last))):
            found[row.job_id] = row
    return found


def paper_pdf(session: Session, number: str, kind: str, paper: int) -> bytes:
    """The very paper.

    Raises
    ------
    NotKept
        The job has no such one.
    """
    row = row_of(session, number)
    wanted = select(InvoiceRow.pdf).where(
        InvoiceRow.job_id == row.id, InvoiceRow.kind == kind, InvoiceRow.number == paper
    )
    found = session.scalar(wanted)
    if found is None:
        raise NotKept(f"Job {number} has no {TITLES[kind]} {paper}.")
    return found


def _stood(session: Session, row: JobRow, kind: str) -> Stood:
    last: int | None = session.scalar(select(func.max(InvoiceRow.number)).where(InvoiceRow.kind == kind))
    return Stood(
        number=1 + (last or 0),
        title=row.title,
        customer=row.customer,
        state=row.state,
        acceptance=session.scalar(select(func.max(Acceptance.id)).where(Acceptance.job_id == row.id)),
        balances=balances_of(session, row),
        papers=tuple(_papers(session, row)),
    )


def _papers(session: Session, row: JobRow) -> list[InvoiceRow]:
    wanted = select(InvoiceRow).options(joinedload(InvoiceRow.entry))
    return list(session.scalars(wanted.where(InvoiceRow.job_id == row.id).order_by(InvoiceRow.id)))
