"""Looks through a text before it takes effect, as long work: its audit, and what kits of open jobs change."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from tappetry.jobs.reader import read_job_data
from tappetry.knowledge.audit import AuditFinding, AuditKind, unreadable
from tappetry.pricing.validity import LineChange, line_changes
from tappetry.records.kit import Kit
from tappetry.records.problems import BadInput, Refusal
from tappetry.records.verdict import Proof
from tappetry.services.audits import audit_folder
from tappetry.services.kits import identify_job, kit_for_engine
from tappetry.services.ledger import Ledger
from tappetry.services.queue import Report, Wanted, key_of
from tappetry.services.shop import Shop
from tappetry.services.text_files import read_files, whole_mark, write_files
from tappetry.store.jobs import job_now
from tappetry.store.models import PARTS
from tappetry.store.texts import unfinished

KIND = "look through a text"
#: Of so many open jobs the kits are looked at, those that changed last.
MOST_JOBS = 200
#: The share of the work that the audit is. [1]
AUDIT = 0.1
#: The sums of an effect; results that were kept earlier hold the totals alone.
MONEY = ("old", "new", "old_cost", "new_cost")


@dataclass(frozen=True, slots=True)
class LineEffect:
    """A line of a kit that would come, go, or be bought otherwise."""

    part: str
    description: str
    old: int
    new: int
    money: Decimal


@dataclass(frozen=True, slots=True)
class ProofEffect:
    """A check that would say something else; empty where it is not made."""

    title: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class JobEffect:
    """What the kit of a job would change; ``old`` and ``new`` are totals, None where there is no kit.

    ``said`` tells why there is none, or why the job could not be read any more. ``old_cost`` and ``new_cost``
    are what the shop would pay, freight included; None where nobody looked at them.
    """

    job: str
    title: str
    old: Decimal | None
    new: Decimal | None
    lines: tuple[LineEffect, ...]
    proofs: tuple[ProofEffect, ...]
    said: str = ""
    old_cost: Decimal | None = None
    new_cost: Decimal | None = None

    @property
    def is_none(self) -> bool:
        """Whether nothing would change."""
        same = (self.old, self.old_cost) == (self.new, self.new_cost)
        return same and not (self.lines or self.proofs or self.said)

    @property
    def worse(self) -> bool:
        """Whether a kit that is there would be no more."""
        return self.old is not None and self.new is None


@dataclass(frozen=True, slots=True)
class Checked:
    """What came of looking through a text.

    ``jobs`` are the numbers of the jobs that were looked at, ``effects`` those that would change; ``left``
    counts the open jobs that were not looked at.
    """

    findings: tuple[AuditFinding, ...]
    jobs: Mapping[str, Mapping[str, int]]
    effects: tuple[JobEffect, ...]
    left: int
    asked_at: datetime

    @property
    def mistakes(self) -> tuple[AuditFinding, ...]:
        """What has to be mended first."""
        return tuple(each for each in self.findings if not each.is_note)

    @property
    def notes(self) -> tuple[AuditFinding, ...]:
        """What is worth a look."""
        return tuple(each for each in self.findings if each.is_note)


def open_jobs(ledger: Ledger) -> tuple[list[dict[str, Any]], int]:
    """Content and versions of the open jobs that changed last, and how many more there are.

    Each bears the day of its quote, as everywhere in the app.
    """
    told = []
    with ledger.database.reading() as session:
        rows = unfinished(session)
        for row in rows[:MOST_JOBS]:
            kept = job_now(session, row.number)
            document = {**kept.document, "date": ledger.quoted_on(session, kept).isoformat()}
            told.append({"document": document, "versions": dict(kept.versions), "title": row.title})
    return told, max(0, len(rows) - MOST_JOBS)


def open_versions(session: Session) -> dict[str, dict[str, int]]:
    """The versions of the parts of the open jobs that changed last, by their numbers."""
    return {
        row.number: {part: getattr(row, f"{part}_version") for part in PARTS}
        for row in unfinished(session)[:MOST_JOBS]
    }


def wanted_check(
    base: str, mark: str, changed: Mapping[str, str | None], jobs: list[dict[str, Any]], left: int
) -> Wanted:
    """The task of looking through a text: the one in effect with some files changed."""
    task = {"base": base, "mark": mark, "changed": dict(changed), "jobs": jobs, "left": left}
    return Wanted(key_of(KIND, task), KIND, f"text {mark[:12]}", task)


def work_check(shop: Shop, task: Mapping[str, Any], report: Report) -> dict[str, Any]:
    """Look through a text; the kits of the jobs are worked out where it has no mistake.

    Raises
    ------
    Refusal
        Another text took effect since it was asked for.
    """
    before = read_files(shop.text)
    if whole_mark(before) != task["base"]:
        raise Refusal("Another text took effect since this was asked for.", ways_out=["ask for it again"])
    report(0.0, "looks through the text")
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        write_files(before, place)
        stated = task["changed"].items()
        write_files({path: None if text is None else text.encode() for path, text in stated}, place)
        findings = audited(place)
        sound = all(each.is_note for each in findings)
        effects = list(effects_of(shop, Shop(place), task["jobs"], report, AUDIT)) if sound else []
    return {"findings": [asdict(each) for each in findings], "effects": effects}


def audited(folder: Path) -> tuple[AuditFinding, ...]:
    """The audit of a folder, whatever stands in it."""
    try:
        return audit_folder(folder)
    except BadInput as error:
        return unreadable(error)


def effects_of(
    old: Shop, new: Shop, jobs: Sequence[Mapping[str, Any]], report: Report, since: float = 0.0
) -> Iterator[dict[str, Any]]:
    """What the kits of some jobs would change from one text to another, as plain data; those that change.

    ``since`` is the share of the work that was done before. [1]
    """
    for place, each in enumerate(jobs):
        document = each["document"]
        report(since + (1 - since) * place / len(jobs), f"job {document['job']}, {place + 1} of {len(jobs)}")
        found = effect(old, new, document, each["title"])
        if not found.is_none:
            yield plain(found)


def effect(old: Shop, new: Shop, document: Mapping[str, Any], title: str) -> JobEffect:
    """What the kit of one job would change from one text to another."""
    before, _ = _kit(old, document)
    after, said = _kit(new, document)
    if before is not None and after is None:
        _, said = _kit(new, document, why=True)
    return JobEffect(
        job=str(document["job"]),
        title=title,
        old=_total(before),
        new=_total(after),
        lines=tuple(_lines(before, after)),
        proofs=tuple(_proofs(before, after)),
        said=said if before is not None else "",
        old_cost=None if before is None else before.landed_cost,
        new_cost=None if after is None else after.landed_cost,
    )


def _kit(shop: Shop, document: Mapping[str, Any], why: bool = False) -> tuple[Kit | None, str]:
    """The kit of a job, or why there is none; ``why`` names the grounds, which takes longer."""
    try:
        job = read_job_data(document, shop.knowledge, f"job {document['job']}")
        return kit_for_engine(shop, job, identify_job(shop, job), why=why).kit, ""
    except Refusal as refusal:
        return None, f"{refusal.message} {'; '.join(ground.text for ground in refusal.grounds)}".strip()
    except BadInput as error:
        return None, str(error)


def _total(kit: Kit | None) -> Decimal | None:
    return None if kit is None or kit.totals is None else kit.totals.total


def _lines(old: Kit | None, new: Kit | None) -> Iterator[LineEffect]:
    if old is None or new is None:
        return
    for change in line_changes(old, new):
        if change.is_another_purchase:
            yield _line(change)


def _line(change: LineChange) -> LineEffect:
    return LineEffect(
        change.part, change.description, change.old_quantity, change.new_quantity, change.difference
    )


def _proofs(old: Kit | None, new: Kit | None) -> Iterator[ProofEffect]:
    if old is None or new is None:
        return
    before, after = ({proof.id: proof for proof in kit.proofs} for kit in (old, new))
    for name in dict.fromkeys((*before, *after)):
        was, now = before.get(name), after.get(name)
        if _says(was) != _says(now):
            known = now or was
            assert known is not None
            yield ProofEffect(known.title, _says(was), _says(now))


def _says(proof: Proof | None) -> str:
    """What a check says, with its value and its limit; nothing where it is not made."""
    if proof is None:
        return ""
    figures = [f"{each:.4g}" for each in (proof.value, proof.limit) if each is not None]
    told = f": {' against '.join(figures)} {proof.unit}".rstrip() if figures else ""
    return f"{proof.verdict.value}{told}"


def plain(found: JobEffect) -> dict[str, Any]:
    """An effect as plain data; money is decimal text."""
    data = asdict(found)
    for name in MONEY:
        data[name] = None if data[name] is None else str(data[name])
    data["lines"] = [{**line, "money": str(line["money"])} for line in data["lines"]]
    return data


def checked(task: Mapping[str, Any], result: Mapping[str, Any], asked_at: datetime) -> Checked:
    """What came of it, out of the plain data that is kept."""
    return Checked(
        findings=tuple(
            AuditFinding(**{**each, "kind": AuditKind(each["kind"])}) for each in result["findings"]
        ),
        jobs={each["document"]["job"]: each["versions"] for each in task["jobs"]},
        effects=tuple(_effect_of(each) for each in result["effects"]),
        left=int(task["left"]),
        asked_at=asked_at,
    )


def _effect_of(data: Mapping[str, Any]) -> JobEffect:
    money = {name: None if data.get(name) is None else Decimal(data[name]) for name in MONEY}
    return JobEffect(
        job=data["job"],
        title=data["title"],
        **money,
        lines=tuple(LineEffect(**{**each, "money": Decimal(each["money"])}) for each in data["lines"]),
        proofs=tuple(ProofEffect(**each) for each in data["proofs"]),
        said=data["said"],
    )
