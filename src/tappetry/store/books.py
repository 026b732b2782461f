"""Keeps the books: postings that balance, made from what stands on a job's accounts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session, joinedload, selectinload

from tappetry.quantities.calendar import day
from tappetry.store.books_models import Posting, PostingLine
from tappetry.store.jobs import Act, enter, row_of
from tappetry.store.many import parts
from tappetry.store.models import Entry, JobRow
from tappetry.store.problems import MovedMeanwhile, NotKept


@dataclass(frozen=True, slots=True)
class Moved:
    """An act with money: its kind, the day, what is said of it, and the supplier where one takes part.

    ``of`` is the number of the posting that it takes back.
    """

    kind: str
    day: date
    said: str
    supplier: str
    of: int | None = None


def keep_posting(
    session: Session,
    number: str,
    moved: Moved,
    legs: Callable[[Mapping[str, Decimal], Mapping[str, Decimal]], Sequence[tuple[str, Decimal]]],
    act: Act,
    seen: int | None = None,
) -> Posting:
    """Keep an act with money; ``legs`` makes account and amount of its lines from what stands there.

    It is given what stands on the job, and what of it stands with the supplier who takes part, if one does.
    ``seen`` is the number of the last posting that was there for whoever acts; None asks nothing.

    Raises
    ------
    MovedMeanwhile
        Another posting came since; so the same form that is sent twice moves money once.
    ValueError
        The lines do not add up to nothing.
    """
    row = row_of(session, number, to_change=True)
    last = _last(session, row)
    if seen is not None and seen != (last.id if last else 0):
        came = f": {last.entry.what}, by {last.entry.who}" if last else ""
        raise MovedMeanwhile(
            f"Money of job {number} moved meanwhile, or this was sent twice{came}. Look at it, and write "
            "down what is left to write down."
        )
    alone = balances_of(session, row, moved.supplier) if moved.supplier else {}
    made = legs(balances_of(session, row), alone)
    return post(session, row, moved, made, enter(session, act, row))


def post(
    session: Session, row: JobRow, moved: Moved, made: Sequence[tuple[str, Decimal]], entry: Entry
) -> Posting:
    """Keep a posting within an act.

    Raises
    ------
    ValueError
        The lines do not add up to nothing.
    """
    if sum(amount for _, amount in made) != 0:
        raise ValueError(f"a posting of job {row.number} does not balance: {made}")
    posting = Posting(
        job_id=row.id,
        kind=moved.kind,
        day=moved.day,
        said=moved.said,
        supplier=moved.supplier,
        of_id=moved.of,
        entry_id=entry.id,
        lines=[
            PostingLine(place=place, account=account, amount=amount)
            for place, (account, amount) in enumerate(made)
        ],
    )
    row.changed_at = entry.at
    session.add(posting)
    session.flush()
    return posting


def to_take_back(session: Session, number: str, posting: int, kinds: Iterable[str], called: str) -> Posting:
    """A posting of one of some kinds that is to be taken back; nobody else moves money of the job meanwhile.

    ``called`` is what such a posting is called where there is none, such as ``payment``.

    Raises
    ------
    NotKept
        The job has no such one, or it was taken back already.
    """
    row = row_of(session, number, to_change=True)
    wanted = select(Posting).options(joinedload(Posting.entry), selectinload(Posting.lines))
    found = session.scalar(
        wanted.where(
            Posting.id == posting,
            Posting.job_id == row.id,
            Posting.kind.in_(list(kinds)),
            Posting.of_id.is_(None),
        )
    )
    if found is None:
        raise NotKept(f"Job {number} has no {called} {posting}.")
    back = session.scalar(wanted.where(Posting.of_id == posting))
    if back is not None:
        raise NotKept(
            f"{called.capitalize()} {posting} of job {number} was taken back already, on {day(back.day)} "
            f"by {back.entry.who}: {back.said}"
        )
    return found


def last_of(session: Session, number: str) -> int:
    """The number of the last posting of a job; 0 where there is none."""
    last = _last(session, row_of(session, number))
    return last.id if last else 0


def _last(session: Session, row: JobRow) -> Posting | None:
    wanted = select(Posting).options(joinedload(Posting.entry)).where(Posting.job_id == row.id)
    return session.scalar(wanted.order_by(Posting.id.desc()).limit(1))


def balances(session: Session, number: str) -> dict[str, Decimal]:
    """What stands on the accounts, of one job; all together it is nothing."""
    return balances_of(session, row_of(session, number))


def postings_of(session: Session, number: str) -> list[Posting]:
    """The postings of a job, the first one first."""
    row = row_of(session, number)
    wanted = select(Posting).options(joinedload(Posting.entry), selectinload(Posting.lines))
    return list(session.scalars(wanted.where(Posting.job_id == row.id).order_by(Posting.id)))


def journal(
    session: Session,
    numbers: Iterable[str] | None = None,
    since: date = date.min,
    until: date = date.max,
) -> list[tuple[str, Posting]]:
    """The postings of some jobs, or of all, with the number of each one's job, by their days."""
    wanted = (
        select(JobRow.number, Posting)
        .join(JobRow, JobRow.id == Posting.job_id)
        .options(joinedload(Posting.entry), selectinload(Posting.lines))
        .where(Posting.day >= since, Posting.day <= until)
        .order_by(Posting.day, Posting.id)
    )
    asked = (
        [wanted] if numbers is None else [wanted.where(JobRow.number.in_(each)) for each in parts(numbers)]
    )
    found = [(row[0], row[1]) for each in asked for row in session.execute(each)]
    return sorted(found, key=lambda each: (each[1].day, each[1].id)) if len(asked) > 1 else found


def moved(session: Session) -> tuple[int, int]:
    """How many postings there are and the number of the last one; where both are as before, all are."""
    counted = session.execute(select(func.count(Posting.id), func.max(Posting.id))).one()
    return counted[0], counted[1] or 0


def standing(session: Session, account: str) -> dict[int, Decimal]:
    """What an account stands at, by the rows of the jobs on which it does not stand at nothing."""
    stands = func.sum(PostingLine.amount, type_=PostingLine.amount.type)
    wanted = (
        select(Posting.job_id, stands)
        .join(PostingLine, PostingLine.posting_id == Posting.id)
        .where(PostingLine.account == account)
        .group_by(Posting.job_id)
        .having(stands != Decimal(0))
    )
    return {row[0]: row[1] for row in session.execute(wanted)}


def balances_of(session: Session, row: JobRow, supplier: str = "") -> dict[str, Decimal]:
    """What stands on the accounts, of the row of a job; of one supplier's postings where one is named."""
    wanted = (
        select(PostingLine.account, func.sum(PostingLine.amount, type_=PostingLine.amount.type))
        .join(Posting, Posting.id == PostingLine.posting_id)
        .where(Posting.job_id == row.id)
        .group_by(PostingLine.account)
        .order_by(PostingLine.account)
    )
    if supplier:
        wanted = wanted.where(Posting.supplier == supplier)
    return {row[0]: row[1] for row in session.execute(wanted)}
