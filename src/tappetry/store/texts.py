"""Keeps a shop's own text: versions that took effect, one after the other, and drafts beside them."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import delete, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, joinedload

from tappetry.store.jobs import INVOICED, Act, enter
from tappetry.store.models import JobRow, KitRow
from tappetry.store.problems import ChangedMeanwhile, NotKept
from tappetry.store.texts_models import TextDraft, TextFile, TextVersion

TEXT = "shop's text"
Files = Mapping[str, bytes]
"""The content of files by their paths in the shop's folder."""


@dataclass(frozen=True, slots=True)
class Marks:
    """What marks a text: all of it, its knowledge, and its catalogue as the kits carry them."""

    whole: str
    knowledge: str
    catalogue: str


def mark_of(content: bytes) -> str:
    """The mark of the content of a file."""
    return hashlib.sha256(content).hexdigest()


def listing_of(files: Files) -> dict[str, str]:
    """The marks of files by their paths."""
    return {path: mark_of(files[path]) for path in sorted(files)}


def latest(session: Session) -> TextVersion | None:
    """The version that is in effect; None where none was kept yet."""
    wanted = select(TextVersion).options(joinedload(TextVersion.entry))
    return session.scalar(wanted.order_by(TextVersion.number.desc()).limit(1))


def mark_in_effect(session: Session) -> str:
    """The mark of the version in effect; empty where none was kept yet."""
    return session.scalar(select(TextVersion.mark).order_by(TextVersion.number.desc()).limit(1)) or ""


def versions(session: Session) -> list[TextVersion]:
    """Every version, the latest first."""
    wanted = select(TextVersion).options(joinedload(TextVersion.entry))
    return list(session.scalars(wanted.order_by(TextVersion.number.desc())))


def version_numbered(session: Session, number: int) -> TextVersion:
    """One version.

    Raises
    ------
    NotKept
        There is no such version.
    """
    wanted = select(TextVersion).options(joinedload(TextVersion.entry)).where(TextVersion.number == number)
    found = session.scalar(wanted)
    if found is None:
        raise NotKept(f"There is no version {number} of the {TEXT}.")
    return found


def files_of(session: Session, version: TextVersion) -> dict[str, bytes]:
    """The files of a version."""
    marks = set(version.listing.values())
    found = session.scalars(select(TextFile).where(TextFile.mark.in_(marks)))
    by_mark = {file.mark: file.content for file in found}
    return {path: by_mark[mark] for path, mark in version.listing.items()}


def keep(session: Session, before: int, files: Files, marks: Marks, act: Act) -> TextVersion:
    """Let a text take effect after version ``before``, which has to be in effect still; 0 is none.

    Raises
    ------
    ChangedMeanwhile
        Another version took effect since.
    """
    now = latest(session)
    if now is not None and now.number != before:
        _taken(now)
    listing = listing_of(files)
    known = set(session.scalars(select(TextFile.mark).where(TextFile.mark.in_(listing.values()))))
    for path, mark in listing.items():
        if mark not in known:
            session.add(TextFile(mark=mark, content=files[path]))
            known.add(mark)
    entry = enter(session, act)
    made = TextVersion(
        number=before + 1,
        mark=marks.whole,
        knowledge=marks.knowledge,
        catalogue=marks.catalogue,
        listing=listing,
        entry_id=entry.id,
    )
    session.add(made)
    try:
        session.flush()
    except IntegrityError:  # somebody else let one take effect at the same moment
        raise ChangedMeanwhile(
            TEXT, "somebody else", f"{act.at:%Y-%m-%d %H:%M} UTC", before + 1, ()
        ) from None
    return made


def _taken(now: TextVersion) -> None:
    raise ChangedMeanwhile(TEXT, now.entry.who, f"{now.entry.at:%Y-%m-%d %H:%M} UTC", now.number, ())


def unfinished(session: Session) -> list[JobRow]:
    """The jobs whose kits a text may still change, the latest change first."""
    wanted = select(JobRow).where(JobRow.state != INVOICED)
    return list(session.scalars(wanted.order_by(JobRow.changed_at.desc(), JobRow.id.desc())))


def kits_made_from(session: Session, version: TextVersion) -> list[KitRow]:
    """The kits that were made from a version, the first one first."""
    made_from = (KitRow.knowledge_version == version.knowledge, KitRow.catalogue_version == version.catalogue)
    return list(session.scalars(select(KitRow).where(*made_from).order_by(KitRow.id)))


def job_of(session: Session, kit: KitRow) -> str:
    """The number of the job that a kit is for."""
    return session.scalars(select(JobRow.number).where(JobRow.id == kit.job_id)).one()


def drafts(session: Session, to_change: bool = False) -> dict[str, TextDraft]:
    """What is being written, by path."""
    wanted = select(TextDraft).order_by(TextDraft.path)
    found = session.scalars(wanted.with_for_update() if to_change else wanted)
    return {draft.path: draft for draft in found}


def put_draft(session: Session, path: str, content: bytes | None, base: str, act: Act) -> None:
    """Keep what somebody writes in the place of what was written there before."""
    draft = session.scalar(select(TextDraft).where(TextDraft.path == path).with_for_update())
    if draft is None:
        session.add(TextDraft(path=path, content=content, base=base, who=act.who, at=act.at))
    else:
        draft.content, draft.base, draft.who, draft.at = content, base, act.who, act.at
    session.flush()


def drop_drafts(session: Session, paths: list[str]) -> None:
    """Forget what was written."""
    session.execute(delete(TextDraft).where(TextDraft.path.in_(paths)))
