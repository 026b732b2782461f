"""Keeps what customers accept: change orders, acceptances, and the orders to suppliers that follow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session, joinedload, selectinload

from tappetry.store.accepted_models import Acceptance, ChangeRow, OrderedLine, OrderRow
from tappetry.store.jobs import ACCEPTED, Act, enter, row_of
from tappetry.store.models import JobRow, KitRow, QuoteRow
from tappetry.store.problems import NotKept
from tappetry.store.quotes import Paper


@dataclass(frozen=True, slots=True)
class Yes:
    """What a customer said yes to: his name, in which way, and what he read, took and declined."""

    customer: str
    how: str
    document: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class OrderPaper:
    """An order as it goes out: its data, the PDF, its landed cost, and part, units and unit cost by line."""

    supplier: str
    document: Mapping[str, Any]
    pdf: bytes
    total: Decimal
    lines: tuple[tuple[str, int, Decimal], ...]


def keep_change(
    session: Session, number: str, before: KitRow, kit: KitRow, paper: Paper, act: Act
) -> ChangeRow:
    """Keep a change order that is sent; ``before`` is the kit that was accepted when it was made.

    Raises
    ------
    NotKept
        Nothing of the job is accepted, or something else was accepted meanwhile.
    """
    row = row_of(session, number, to_change=True)
    accepted = _in_force(session, row)
    if accepted is None or accepted.kit_id != before.id:
        raise NotKept(
            f"A change order of job {number} starts from what is accepted; "
            f"{'nothing is yet' if accepted is None else 'that changed meanwhile'}. Look at the job again."
        )
    entry = enter(session, act, row)
    change = ChangeRow(
        job_id=row.id,
        number=_next(session, ChangeRow, row),
        before_id=before.id,
        kit_id=kit.id,
        document=dict(paper.document),
        pdf=paper.pdf,
        total=kit.total - before.total,
        currency=kit.currency,
        last_day=paper.last_day,
        entry_id=entry.id,
    )
    row.changed_at = act.at
    session.add(change)
    session.flush()
    return change


def keep_acceptance(
    session: Session, number: str, accepted: QuoteRow | ChangeRow, yes: Yes, act: Act
) -> Acceptance:
    """Keep a customer's yes; the job goes on from there.

    Raises
    ------
    NotKept
        The quote or change order is not the latest one, or it is accepted already, or starts from a kit
        that is no longer the accepted one.
    """
    row = row_of(session, number, to_change=True)
    _acceptable(session, row, accepted)
    entry = enter(session, act, row)
    of_quote = isinstance(accepted, QuoteRow)
    kept = Acceptance(
        job_id=row.id,
        quote_id=accepted.id if of_quote else None,
        change_id=None if of_quote else accepted.id,
        kit_id=accepted.kit_id,
        customer=yes.customer,
        how=yes.how,
        document=dict(yes.document),
        entry_id=entry.id,
    )
    row.state = ACCEPTED if of_quote else row.state
    row.changed_at = act.at
    session.add(kept)
    session.flush()
    return kept


def _acceptable(session: Session, row: JobRow, accepted: QuoteRow | ChangeRow) -> None:
    table = type(accepted)
    latest = session.scalar(select(func.max(table.number)).where(table.job_id == row.id))
    what = "quote" if table is QuoteRow else "change order"
    if accepted.number != latest:
        raise NotKept(
            f"{what.capitalize()} {accepted.number} of job {row.number} was replaced by {what} {latest}."
        )
    now = _in_force(session, row)
    if isinstance(accepted, QuoteRow) and now is not None:
        raise NotKept(
            f"A quote of job {row.number} is accepted already, by {now.customer}. "
            "A change needs a change order."
        )
    if isinstance(accepted, ChangeRow) and (now is None or now.kit_id != accepted.before_id):
        raise NotKept(
            f"Change order {accepted.number} of job {row.number} is accepted already, or what it starts from "
            "is no longer what was agreed."
        )


def agreed_in_another(session: Session, currency: str) -> tuple[str, str] | None:
    """The number of some job that was agreed in another currency, and that currency; None where none was."""
    wanted = (
        select(JobRow.number, KitRow.currency)
        .join(Acceptance, Acceptance.job_id == JobRow.id)
        .join(KitRow, KitRow.id == Acceptance.kit_id)
        .where(KitRow.currency != currency)
        .order_by(Acceptance.id.desc())
        .limit(1)
    )
    found = session.execute(wanted).first()
    return None if found is None else (found[0], found[1])


def keep_orders(
    session: Session, number: str, acceptance: Acceptance, papers: Sequence[OrderPaper], known: int, act: Act
) -> list[OrderRow]:
    """Keep orders that are sent; ``known`` says how many orders the job had when these were made.

    Raises
    ------
    NotKept
        Somebody else has sent orders since, or a change order was accepted.
    """
    row = row_of(session, number, to_change=True)
    now = _in_force(session, row)
    last = _next(session, OrderRow, row) - 1
    if now is None or now.id != acceptance.id or last != known:
        raise NotKept(
            f"Orders or agreements of job {number} changed meanwhile. Look at what is left to order."
        )
    entry = enter(session, act, row)
    kept = [
        OrderRow(
            job_id=row.id,
            number=last + place,
            acceptance_id=acceptance.id,
            supplier=paper.supplier,
            document=dict(paper.document),
            pdf=paper.pdf,
            total=paper.total,
            currency=acceptance.kit.currency,
            entry_id=entry.id,
            lines=[
                OrderedLine(place=at, part=part, quantity=quantity, unit_cost=cost)
                for at, (part, quantity, cost) in enumerate(paper.lines)
            ],
        )
        for place, paper in enumerate(papers, 1)
    ]
    row.changed_at = act.at
    session.add_all(kept)
    session.flush()
    return kept


def acceptances_of(session: Session, number: str) -> list[Acceptance]:
    """Every acceptance of a job, the first one first."""
    row = row_of(session, number)
    wanted = select(Acceptance).options(
        joinedload(Acceptance.entry),
        joinedload(Acceptance.kit),
        joinedload(Acceptance.quote),
        joinedload(Acceptance.change),
    )
    return list(session.scalars(wanted.where(Acceptance.job_id == row.id).order_by(Acceptance.id)))


def changes_of(session: Session, number: str) -> list[ChangeRow]:
    """Every change order that was sent on a job, the first one first."""
    row = row_of(session, number)
    wanted = select(ChangeRow).options(
        joinedload(ChangeRow.entry), joinedload(ChangeRow.kit), joinedload(ChangeRow.before)
    )
    return list(session.scalars(wanted.where(ChangeRow.job_id == row.id).order_by(ChangeRow.number)))


def with_open_change(session: Session, jobs: Sequence[JobRow]) -> set[str]:
    """Of some jobs, the numbers of those with a change order that waits for the customer."""
    ids = [row.id for row in jobs]
    latest = select(func.max(Acceptance.id)).where(Acceptance.job_id.in_(ids)).group_by(Acceptance.job_id)
    asked = (
        select(ChangeRow.job_id)
        .join(Acceptance, Acceptance.kit_id == ChangeRow.before_id)
        .where(Acceptance.id.in_(latest))
    )
    found = set(session.scalars(asked))
    return {row.number for row in jobs if row.id in found}


def orders_of(session: Session, number: str) -> list[OrderRow]:
    """Every order that was sent for a job, the first one first."""
    row = row_of(session, number)
    wanted = select(OrderRow).options(joinedload(OrderRow.entry), selectinload(OrderRow.lines))
    return list(session.scalars(wanted.where(OrderRow.job_id == row.id).order_by(OrderRow.number)))


def paper_of(session: Session, row: QuoteRow | ChangeRow | OrderRow) -> bytes:
    """The very paper of a quote, a change order or an order that was sent."""
    table = type(row)
    return session.scalars(select(table.pdf).where(table.id == row.id)).one()


def _in_force(session: Session, row: JobRow) -> Acceptance | None:
    """The latest acceptance: its kit is what was agreed."""
    wanted = select(Acceptance).where(Acceptance.job_id == row.id).order_by(Acceptance.id.desc())
    return session.scalar(wanted.limit(1))


def _next(session: Session, table: type[ChangeRow] | type[OrderRow], row: JobRow) -> int:
    last: int | None = session.scalar(select(func.max(table.number)).where(table.job_id == row.id))
    return 1 + (last or 0)
