"""Keeps jobs: new, changed, found; each act is one line of the audit trail and overwrites nothing."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from sqlalchemy import or_, select, tuple_
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, joinedload

from tappetry.quantities.calendar import moment
from tappetry.store.database import JOBS_READ
from tappetry.store.fields import Field, differing
from tappetry.store.many import parts
from tappetry.store.models import FACTS, PARTS, PLAN, SHEET, Entry, JobRow, Version
from tappetry.store.people import Visitor, keep_up
from tappetry.store.people_models import Customer, Vehicle
from tappetry.store.problems import ChangedMeanwhile, NotKept

#: The states of a job: no quote was sent yet, the customer has one, he said yes, he has the invoice.
OPEN, QUOTED, ACCEPTED, INVOICED = "open", "quoted", "accepted", "invoiced"
#: The parts of a job file that are facts; what is neither these nor the plan stands on the sheet.
OF_FACTS = ("facts", "measurements")
#: How many jobs a list shows.
MOST = 100


@dataclass(frozen=True, slots=True)
class Act:
    """Who does what, when and why."""

    who: str
    what: str
    at: datetime
    why: str = ""


@dataclass(frozen=True, slots=True)
class KeptJob:
    """A job as it stands in the store: its file's content, and the version of each part of it."""

    id: int
    number: str
    state: str
    document: dict[str, Any]
    versions: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Told:
    """One line of the audit trail, with the fields that it changed."""

    at: datetime
    who: str
    what: str
    why: str
    fields: tuple[Field, ...] = field(default=())


def parts_of(document: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """A job file's content by the parts that have versions of their own."""
    return {
        SHEET: {name: value for name, value in document.items() if name not in (*OF_FACTS, PLAN, "job")},
        FACTS: {name: document[name] for name in OF_FACTS if name in document},
        PLAN: dict(document[PLAN]),
    }


def add_job(
    session: Session, document: Mapping[str, Any], act: Act, visitor: Visitor | None = None
) -> KeptJob:
    """Keep a new job, with what is said of whose it is.

    Raises
    ------
    NotKept
        There is a job of this number already.
    """
    number = document["job"]
    taken = f"There is a job {number} already; a new job needs a number of its own."
    if session.scalar(select(JobRow.id).where(JobRow.number == number)) is not None:
        raise NotKept(taken)
    row = JobRow(
        number=number,
        title="",
        customer="",
        words="",
        state=OPEN,
        changed_at=act.at,
        sheet_version=1,
        facts_version=1,
        plan_version=1,
    )
    parts = parts_of(document)
    _describe(row, parts)
    try:
        session.add(row)
        session.flush()
    except IntegrityError:  # somebody else has taken the number at the same moment
        raise NotKept(taken) from None
    entry = enter(session, act, row)
    for part, content in parts.items():
        session.add(Version(job_id=row.id, part=part, version=1, document=content, entry_id=entry.id))
    keep_up(session, row, parts[FACTS], act.at, visitor)
    session.flush()
    return _kept(row, parts)


def enter(session: Session, act: Act, row: JobRow | None = None) -> Entry:
    """Write one line of the audit trail."""
    entry = Entry(at=act.at, who=act.who, what=act.what, why=act.why, job_id=None if row is None else row.id)
    session.add(entry)
    session.flush()
    return entry


def row_of(session: Session, number: str, to_change: bool = False) -> JobRow:
    """The row of a job; one that is to be changed waits until nobody else changes it.

    Raises
    ------
    NotKept
        There is no such job.
    """
    read: dict[str, JobRow] = session.info.get(JOBS_READ, {})
    if number in read:
        return read[number]
    wanted = select(JobRow).where(JobRow.number == number)
    row = session.scalar(wanted.with_for_update() if to_change else wanted)
    if row is None:
        raise NotKept(f"There is no job {number} in the store.")
    read[number] = row
    return row


def rows_of(session: Session, jobs: Collection[int]) -> list[JobRow]:
    """The rows of some jobs, however many."""
    return [row for part in parts(jobs) for row in session.scalars(select(JobRow).where(JobRow.id.in_(part)))]


def job_now(session: Session, number: str) -> KeptJob:
    """A job as it stands."""
    row = row_of(session, number)
    now = [(part, getattr(row, f"{part}_version")) for part in PARTS]
    found = session.execute(
        select(Version.part, Version.document).where(
            Version.job_id == row.id, tuple_(Version.part, Version.version).in_(now)
        )
    )
    documents: dict[str, dict[str, Any]] = dict(found.all())
    for part, version in now:
        if part not in documents:
            raise _no_version(row, part, version)
    return _kept(row, documents)


def job_at(session: Session, number: str, versions: Mapping[str, int]) -> KeptJob:
    """A job as somebody had it before him: some parts in the versions that he read, the rest as it stands."""
    row = row_of(session, number)
    read = {part: version_of(session, row, part, versions.get(part)) for part in PARTS}
    kept = _kept(row, {part: each.document for part, each in read.items()})
    return replace(kept, versions={part: each.version for part, each in read.items()})


def version_of(session: Session, row: JobRow, part: str, version: int | None = None) -> Version:
    """One version of a part, or the one in force."""
    wanted = getattr(row, f"{part}_version") if version is None else version
    found = session.scalar(
        select(Version)
        .options(joinedload(Version.entry))
        .where(Version.job_id == row.id, Version.part == part, Version.version == wanted)
    )
    if found is None:
        raise _no_version(row, part, wanted)
    return found


def _no_version(row: JobRow, part: str, version: int) -> NotKept:
    return NotKept(f"Job {row.number} has no version {version} of its {part}.")


def change_job(
    session: Session, document: Mapping[str, Any], expected: Mapping[str, int], act: Act
) -> KeptJob:
    """Keep a job that says something else; only parts that differ get a new version.

    ``expected`` are the versions that were read before the change, of those parts that may differ.

    Raises
    ------
    ChangedMeanwhile
        A part that differs was changed by somebody else since it was read.
    """
    row = row_of(session, document["job"], to_change=True)
    now = {part: version_of(session, row, part) for part in PARTS}
    parts = parts_of(document)
    wanted = {
        part: content
        for part, content in parts.items()
        if _before(session, row, part, expected, now).document != content
    }
    for part in wanted:
        _still(session, row, part, expected, now[part])
    if not wanted:
        return _kept(row, {part: version.document for part, version in now.items()})
    entry = enter(session, act, row)
    kept = {part: wanted.get(part, now[part].document) for part in PARTS}
    for part, content in wanted.items():
        version = now[part].version + 1
        session.add(Version(job_id=row.id, part=part, version=version, document=content, entry_id=entry.id))
        setattr(row, f"{part}_version", version)
    row.changed_at = act.at
    _describe(row, kept)
    if {SHEET, FACTS} & set(wanted):
        keep_up(session, row, kept[FACTS], act.at)
    session.flush()
    return _kept(row, kept)


def _before(
    session: Session, row: JobRow, part: str, expected: Mapping[str, int], now: Mapping[str, Version]
) -> Version:
    """What a person had before him when he made his change."""
    return version_of(session, row, part, expected.get(part, now[part].version))


def _still(session: Session, row: JobRow, part: str, expected: Mapping[str, int], now: Version) -> None:
    """Refuse when a part is no longer in the version that was read."""
    read = expected.get(part, now.version)
    if read != now.version:
        old = version_of(session, row, part, read)
        raise ChangedMeanwhile(
            part,
            now.entry.who,
            moment(now.entry.at),
            now.version,
            differing(old.document, now.document),
        )


def find_jobs(session: Session, words: str = "", most: int = MOST) -> list[JobRow]:
    """Jobs that hold every one of some words; the latest change first.

    They are looked for in number, title, VIN and plate, and in the customer's name and ways to reach him.
    """
    wanted = select(JobRow).order_by(JobRow.changed_at.desc(), JobRow.id.desc()).limit(most)
    for word in sorted(words.lower().split(), key=_held_by_many):
        customers, vehicles = (
            select(kept.id).where(kept.words.contains(word, autoescape=True)) for kept in (Customer, Vehicle)
        )
        wanted = wanted.where(
            or_(
                JobRow.words.contains(word, autoescape=True),
                JobRow.customer_id.in_(customers),
                JobRow.vehicle_id.in_(vehicles),
            )
        )
    return list(session.scalars(wanted))


def _held_by_many(word: str) -> tuple[bool, int]:
    """Orders words so that those come first which few jobs hold: numbers, then what is long."""
    return not any(sign.isdigit() for sign in word), -len(word)


def history(session: Session, number: str) -> list[Told]:
    """What was done to a job, the latest first, each act with the fields that it changed."""
    row = row_of(session, number)
    entries = session.scalars(select(Entry).where(Entry.job_id == row.id).order_by(Entry.id)).all()
    versions = session.scalars(
        select(Version).where(Version.job_id == row.id).order_by(Version.entry_id, Version.id)
    ).all()
    before: dict[str, Mapping[str, Any]] = {}
    told: dict[int, list[Field]] = {entry.id: [] for entry in entries}
    for version in versions:
        if version.part in before:
            told[version.entry_id] += differing(before[version.part], version.document)
        before[version.part] = version.document
    return [
        Told(entry.at, entry.who, entry.what, entry.why, tuple(told[entry.id])) for entry in reversed(entries)
    ]


def trail(session: Session, most: int = MOST) -> list[Told]:
    """The latest acts in the whole shop."""
    entries = session.scalars(select(Entry).order_by(Entry.id.desc()).limit(most))
    return [Told(entry.at, entry.who, entry.what, entry.why) for entry in entries]


def _kept(row: JobRow, parts: Mapping[str, Mapping[str, Any]]) -> KeptJob:
    document = {"job": row.number, **parts[SHEET], **parts[FACTS], PLAN: dict(parts[PLAN])}
    versions = {part: getattr(row, f"{part}_version") for part in PARTS}
    return KeptJob(row.id, row.number, row.state, document, versions)


def _describe(row: JobRow, parts: Mapping[str, Mapping[str, Any]]) -> None:
    """What a list shows of a job, and the words by which it is found."""
    sheet = parts[SHEET]
    row.title, row.customer = sheet.get("title", ""), sheet.get("customer", "")
    identified = [
        str(stated["value"])
        for name in ("vin", "plate")
        for fact in [parts[FACTS].get("facts", {}).get(name)]
        for stated in (fact if isinstance(fact, list) else [fact])
        if isinstance(stated, Mapping)
    ]
    row.words = " ".join([row.number, row.title, row.customer, *identified]).lower()
