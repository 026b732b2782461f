"""Keeps kits and quotes: each beside those before it, pinned to the versions that it was made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session, joinedload

from tappetry.records.kit import Kit
from tappetry.store.jobs import MOST, OPEN, QUOTED, Act, KeptJob, enter, row_of
from tappetry.store.models import FACTS, PLAN, SHEET, Entry, JobRow, KitLine, KitRow, QuoteRow
from tappetry.store.problems import NotKept


@dataclass(frozen=True, slots=True)
class Paper:
    """A quote as it goes out: its data, the PDF, and the last day on which it holds."""

    document: Mapping[str, Any]
    pdf: bytes
    last_day: date


def keep_kit(session: Session, job: KeptJob, kit: Kit, document: Mapping[str, Any], act: Act) -> KitRow:
    """Keep a priced kit; the same kit of the same versions is kept once."""
    row = row_of(session, job.number, to_change=True)
    assert kit.totals is not None
    latest = latest_kit(session, row)
    if latest is not None and _same(latest, job, document):
        return latest
    entry = enter(session, act, row)
    kept = KitRow(
        job_id=row.id,
        number=_next(session, KitRow, row),
        sheet_version=job.versions[SHEET],
        facts_version=job.versions[FACTS],
        plan_version=job.versions[PLAN],
        knowledge_version=kit.knowledge_version,
        catalogue_version=kit.catalogue_version,
        document=dict(document),
        total=kit.totals.total,
        currency=kit.totals.currency,
        entry_id=entry.id,
        lines=[
            KitLine(
                place=place,
                supplier=line.supplier,
                part=line.part,
                description=line.description,
                quantity=line.quantity,
                unit_price=line.unit_price,
                line_total=line.line_total,
            )
            for place, line in enumerate(kit.lines)
        ],
    )
    row.changed_at = act.at
    session.add(kept)
    session.flush()
    return kept


def _same(latest: KitRow, job: KeptJob, document: Mapping[str, Any]) -> bool:
    versions = {SHEET: latest.sheet_version, FACTS: latest.facts_version, PLAN: latest.plan_version}
    return versions == dict(job.versions) and latest.document == document


def keep_quote(session: Session, job: KeptJob, kit: KitRow, paper: Paper, act: Act) -> QuoteRow:
    """Keep a quote that is sent.

    Raises
    ------
    NotKept
        The job has an accepted quote already; what changes then is agreed by a change order.
    """
    row = row_of(session, job.number, to_change=True)
    if row.state not in (OPEN, QUOTED):
        raise NotKept(
            f"A quote of job {job.number} is accepted already. What changes now is agreed by a change order."
        )
    entry = enter(session, act, row)
    quote = QuoteRow(
        job_id=row.id,
        number=_next(session, QuoteRow, row),
        kit_id=kit.id,
        document=dict(paper.document),
        pdf=paper.pdf,
        total=kit.total,
        currency=kit.currency,
        last_day=paper.last_day,
        entry_id=entry.id,
    )
    row.state, row.changed_at = QUOTED, act.at
    session.add(quote)
    session.flush()
    return quote


def last_sent(session: Session, number: str) -> datetime | None:
    """When the last quote of a job was sent."""
    return session.scalar(
        select(func.max(Entry.at))
        .join(QuoteRow, QuoteRow.entry_id == Entry.id)
        .join(JobRow, JobRow.id == QuoteRow.job_id)
        .where(JobRow.number == number)
    )


def latest_kit(session: Session, row: JobRow) -> KitRow | None:
    """The kit that was kept last."""
    return session.scalar(
        select(KitRow).where(KitRow.job_id == row.id).order_by(KitRow.number.desc()).limit(1)
    )


def kits_of(session: Session, number: str) -> list[KitRow]:
    """Every kit of a job, the first one first."""
    row = row_of(session, number)
    wanted = select(KitRow).options(joinedload(KitRow.entry)).where(KitRow.job_id == row.id)
    return list(session.scalars(wanted.order_by(KitRow.number)))


def jobs_with(session: Session, supplier: str, part: str, most: int = MOST) -> list[str]:
    """The numbers of the jobs of the latest kept kits that hold a part, that of the latest kit first."""
    kits = (
        select(KitLine.kit_id)
        .where(KitLine.supplier == supplier, KitLine.part == part)
        .order_by(KitLine.kit_id.desc())
        .limit(most)
        .subquery()
    )
    wanted = (
        select(JobRow.number)
        .join(KitRow, KitRow.job_id == JobRow.id)
        .join(kits, kits.c.kit_id == KitRow.id)
        .group_by(JobRow.number)
        .order_by(func.max(KitRow.id).desc())
    )
    return list(session.scalars(wanted))


def quotes_of(session: Session, number: str) -> list[QuoteRow]:
    """Every quote that was sent on a job, the first one first."""
    row = row_of(session, number)
    wanted = select(QuoteRow).options(joinedload(QuoteRow.entry), joinedload(QuoteRow.kit))
    return list(session.scalars(wanted.where(QuoteRow.job_id == row.id).order_by(QuoteRow.number)))


def quote_paper(session: Session, number: str, quote: int) -> bytes:
    """The very paper of a quote that was sent.

    Raises
    ------
    NotKept
        The job has no such quote.
    """
    row = row_of(session, number)
    wanted = select(QuoteRow.pdf).where(QuoteRow.job_id == row.id, QuoteRow.number == quote)
    found = session.scalar(wanted)
    if found is not None:
        return found
    raise NotKept(f"Job {number} has no quote {quote}.")


def _next(session: Session, table: type[KitRow] | type[QuoteRow], row: JobRow) -> int:
    last: int | None = session.scalar(select(func.max(table.number)).where(table.job_id == row.id))
    return 1 + (last or 0)
