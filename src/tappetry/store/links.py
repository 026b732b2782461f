"""Keeps links for customers, and what comes back by them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session, joinedload

from tappetry.store.jobs import Act, enter, row_of
from tappetry.store.links_models import AnswerRow, AnswerSeen, LinkEnd, LinkRow
from tappetry.store.models import JobRow
from tappetry.store.problems import NotKept

#: So many answers one link takes in.
MOST_ANSWERS = 60


@dataclass(frozen=True, slots=True)
class Said:
    """One answer of a customer: to what, as which attribute, its value, or a photo with its media type."""

    about: str
    attribute: str = ""
    value: str = ""
    photo: bytes | None = None
    media: str = ""


def keep_link(
    session: Session, number: str, mark: str, ends_at: datetime, document: Mapping[str, Any], act: Act
) -> LinkRow:
    """Keep a link that is sent."""
    row = row_of(session, number)
    entry = enter(session, act, row)
    link = LinkRow(
        job_id=row.id, mark=mark, ends_at=ends_at, document=dict(document), entry_id=entry.id, end=None
    )
    session.add(link)
    session.flush()
    return link


def end_link(session: Session, number: str, link: int, act: Act) -> None:
    """Take a link back; one that is taken back stays so.

    Raises
    ------
    NotKept
        The job has no such link.
    """
    row = row_of(session, number, to_change=True)
    found = session.get(LinkRow, link)
    if found is None or found.job_id != row.id:
        raise NotKept(f"Job {number} has no link {link}.")
    if found.end is None:
        session.add(LinkEnd(link_id=link, entry_id=enter(session, act, row).id))
        session.flush()


def link_by_mark(session: Session, mark: str, at: datetime) -> tuple[LinkRow, str]:
    """A link that still holds, and the number of its job.

    Raises
    ------
    NotKept
        There is no such link, it has run out, or was taken back; which of these is not told.
    """
    found = session.scalar(select(LinkRow).options(joinedload(LinkRow.end)).where(LinkRow.mark == mark))
    if found is None or found.end is not None or found.ends_at < at:
        raise NotKept("This link does not lead anywhere, or not any more. Ask the shop for a new one.")
    number = session.scalar(select(JobRow.number).where(JobRow.id == found.job_id))
    assert number is not None
    return found, number


def keep_answer(session: Session, mark: str, said: Said, act: Act) -> AnswerRow:
    """Keep what a customer answered.

    Raises
    ------
    NotKept
        The link does not hold any more, or has taken in all that one link may.
    """
    link, number = link_by_mark(session, mark, act.at)
    row = row_of(session, number, to_change=True)
    count = session.scalar(select(func.count()).where(AnswerRow.link_id == link.id)) or 0
    if count >= MOST_ANSWERS:
        raise NotKept(f"This link has taken in {MOST_ANSWERS} answers, and takes no more. Call the shop.")
    answer = AnswerRow(
        link_id=link.id,
        about=said.about,
        attribute=said.attribute,
        value=said.value,
        photo=said.photo,
        media=said.media,
        entry_id=enter(session, act, row).id,
        seen=None,
    )
    row.changed_at = act.at
    session.add(answer)
    session.flush()
    return answer


def see_answer(session: Session, number: str, answer: int, taken: bool, act: Act) -> None:
    """Say what was made of an answer.

    Raises
    ------
    NotKept
        The job has no such answer, or somebody has seen to it already.
    """
    row = row_of(session, number, to_change=True)
    found = _answer(session, row, answer)
    if found.seen is not None:
        raise NotKept(f"Somebody has seen to this answer on job {number} already.")
    session.add(AnswerSeen(answer_id=answer, taken=taken, entry_id=enter(session, act, row).id))
    session.flush()


def links_of(session: Session, number: str) -> list[LinkRow]:
    """The links of a job, the latest first."""
    wanted = select(LinkRow).options(joinedload(LinkRow.end), joinedload(LinkRow.entry))
    row = row_of(session, number)
    return list(session.scalars(wanted.where(LinkRow.job_id == row.id).order_by(LinkRow.id.desc())))


def answers_of(session: Session, number: str) -> list[AnswerRow]:
    """What a customer answered, the first one first; photos are not read with it."""
    row = row_of(session, number)
    wanted = (
        select(AnswerRow)
        .join(LinkRow, LinkRow.id == AnswerRow.link_id)
        .options(joinedload(AnswerRow.entry), joinedload(AnswerRow.seen).joinedload(AnswerSeen.entry))
        .where(LinkRow.job_id == row.id)
        .order_by(AnswerRow.id)
    )
    return list(session.scalars(wanted))


def photo_of(session: Session, number: str, answer: int) -> tuple[bytes, str]:
    """A photo that a customer sent, and its media type.

    Raises
    ------
    NotKept
        The job has no such photo.
    """
    found = _answer(session, row_of(session, number), answer)
    if found.photo is None:
        raise NotKept(f"Answer {answer} of job {number} is no photo.")
    return found.photo, found.media


def _answer(session: Session, row: JobRow, answer: int) -> AnswerRow:
    found = session.get(AnswerRow, answer)
    if found is None or session.scalar(select(LinkRow.job_id).where(LinkRow.id == found.link_id)) != row.id:
        raise NotKept(f"Job {row.number} has no answer {answer}.")
    return found
