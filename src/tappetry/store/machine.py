"""Keeps work orders to machine shops, and what came back on them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session, joinedload, undefer

from tappetry.store.jobs import Act, enter, row_of
from tappetry.store.machine_models import MachineOrder, MachineReturn
from tappetry.store.models import JobRow
from tappetry.store.problems import MovedMeanwhile, NotKept


@dataclass(frozen=True, slots=True)
class WorkPaper:
    """A work order as it goes out."""

    machinist: str
    promised: date
    document: Mapping[str, Any]
    pdf: bytes
    price: Decimal | None
    currency: str


def keep_order(session: Session, number: str, expected: int, paper: WorkPaper, act: Act) -> MachineOrder:
    """Keep a work order; ``expected`` is its number, as it stands on the paper.

    Raises
    ------
    MovedMeanwhile
        Another one was written meanwhile; so a form that is sent twice sends one out.
    """
    row = row_of(session, number, to_change=True)
    last = session.scalar(select(func.max(MachineOrder.number)).where(MachineOrder.job_id == row.id)) or 0
    if expected != last + 1:
        raise MovedMeanwhile(
            f"Work order {last} of job {number} was written meanwhile, or this was sent twice. Look at it; "
            "if this is another one, write it again."
        )
    order = MachineOrder(
        job_id=row.id,
        number=expected,
        machinist=paper.machinist,
        promised=paper.promised,
        document=dict(paper.document),
        pdf=paper.pdf,
        price=paper.price,
        currency=paper.currency,
        entry_id=enter(session, act, row).id,
        back=None,
    )
    session.add(order)
    row.changed_at = act.at
    session.flush()
    return order


def keep_return(session: Session, number: str, order: int, values: Mapping[str, str], act: Act) -> None:
    """Keep what came back on a work order.

    Raises
    ------
    NotKept
        The job has no such order, or it came back already.
    """
    row = row_of(session, number, to_change=True)
    found = session.scalar(_of(row).where(MachineOrder.number == order))
    if found is None or found.back is not None:
        raise NotKept(f"Job {number} has no work order {order} that is out.")
    entry = enter(session, act, row)
    session.add(MachineReturn(order_id=found.id, document={"values": dict(values)}, entry_id=entry.id))
    session.flush()


def orders_of(session: Session, number: str) -> list[MachineOrder]:
    """The work orders of a job, the first one first; their papers are not read with them."""
    return list(session.scalars(_of(row_of(session, number)).order_by(MachineOrder.number)))


def paper_of(session: Session, number: str, order: int) -> MachineOrder:
    """A work order with its paper.

    Raises
    ------
    NotKept
        The job has no such order.
    """
    wanted = _of(row_of(session, number)).where(MachineOrder.number == order)
    found = session.scalar(wanted.options(undefer(MachineOrder.pdf)))
    if found is None:
        raise NotKept(f"Job {number} has no work order {order}.")
    return found


def late(session: Session, today: date) -> list[tuple[str, MachineOrder]]:
    """Work orders that are out beyond the day that was promised, with the numbers of their jobs."""
    wanted = (
        select(JobRow.number, MachineOrder)
        .join(MachineOrder, MachineOrder.job_id == JobRow.id)
        .outerjoin(MachineReturn, MachineReturn.order_id == MachineOrder.id)
        .where(MachineReturn.order_id.is_(None), MachineOrder.promised < today)
        .order_by(MachineOrder.promised, MachineOrder.id)
    )
    return [(number, order) for number, order in session.execute(wanted)]


def _of(row: JobRow) -> Select[MachineOrder]:
    told = (joinedload(MachineOrder.entry), joinedload(MachineOrder.back).joinedload(MachineReturn.entry))
    return select(MachineOrder).options(*told).where(MachineOrder.job_id == row.id)
