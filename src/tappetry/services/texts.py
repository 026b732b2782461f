"""The acts on a shop's own text as a whole: look it through, let it take effect, tell what was in effect.

What would take effect is the text of the shop's folder with what is written in the app in the place of its
files. Nothing of it is in effect before it was looked through and somebody who may do so says why.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy.orm import Session

from tappetry.quantities.calendar import moment
from tappetry.records.problems import BadInput, Refusal, Where
from tappetry.services.ledger import Ledger
from tappetry.services.queue import DONE, Standing, Task, standing
from tappetry.services.shop import Shop
from tappetry.services.text_check import KIND, Checked, checked, open_jobs, open_versions, wanted_check
from tappetry.services.text_files import lay_down
from tappetry.services.text_in_effect import marks_of, must_keep_currency, writing_files
from tappetry.services.text_proposal import Change, Proposal, proposal
from tappetry.store import texts
from tappetry.store.jobs import Told
from tappetry.store.models import KitRow
from tappetry.store.problems import ChangedMeanwhile
from tappetry.store.texts import TEXT
from tappetry.store.texts_models import TextVersion

__all__ = ["Changed", "Checked", "TextVersion"]

Changed = ChangedMeanwhile


@dataclass(frozen=True, slots=True)
class Look:
    """How far the looking through of a proposal is, and what came of it; ``stale`` jobs changed since."""

    asked: bool
    standing: Standing
    found: Checked | None
    stale: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Kept:
    """A version that was in effect: who let it take effect, and what it changed from the one before it."""

    number: int
    mark: str
    knowledge: str
    catalogue: str
    told: Told
    changes: tuple[Change, ...]
    kits: tuple[tuple[str, int], ...]


def versions(ledger: Ledger) -> list[TextVersion]:
    """Every version that was in effect, the latest first."""
    return ledger.read(texts.versions)


def ask_look(ledger: Ledger, who: str) -> None:
    """Have the proposed text looked through.

    Raises
    ------
    BadInput
        A file is no UTF-8 text.
    """
    proposed = proposal(ledger)
    changed = {each.path: None if each.new is None else _plain(each) for each in proposed.changes}
    jobs, left = open_jobs(ledger)
    ledger.queue.ask([wanted_check(proposed.base, proposed.mark, changed, jobs, left)], who)


def _plain(change: Change) -> str:
    try:
        return (change.new or b"").decode("utf-8")
    except UnicodeDecodeError as error:
        raise BadInput.at(
            Where(change.path), "the file is not UTF-8 text", f"byte {error.start}", "a text saved as UTF-8"
        ) from None


def stop_look(ledger: Ledger) -> None:
    """Stop looking through the proposed text."""
    ledger.queue.stop([task.key for task in _looks(ledger, proposal(ledger))])


def _looks(ledger: Ledger, proposed: Proposal) -> list[Task]:
    return [
        task
        for task in ledger.queue.latest_of(KIND)
        if (task.task["base"], task.task["mark"]) == (proposed.base, proposed.mark)
    ]


def look(ledger: Ledger, proposed: Proposal) -> Look:
    """How far the looking through of a proposal is."""
    tasks = _looks(ledger, proposed)
    if not tasks:
        return Look(False, standing(()), None)
    task = tasks[0]
    if task.state != DONE or task.result is None:
        return Look(True, standing([task]), None)
    found = checked(task.task, task.result, task.asked_at)
    now = ledger.read(open_versions)
    stale = tuple(number for number, versions in now.items() if found.jobs.get(number) != versions)
    return Look(True, standing([task]), found, stale)


def put_into_effect(ledger: Ledger, mark: str, why: str, who: str) -> int:
    """Let the proposed text take effect, and return the number of its version.

    Raises
    ------
    BadInput
        No reason is stated.
    ChangedMeanwhile
        The proposed text, or the one in effect, is not the one that was looked at.
    Refusal
        It was not looked through, or has mistakes, or a file was changed at two places; or it reckons in
        another currency than jobs were agreed in.
    """
    if not why.strip():
        raise BadInput.at(Where("reason"), "no reason is stated", "", "why this text takes effect")
    proposed = proposal(ledger)
    at = moment(ledger.now())
    if proposed.mark != mark:
        raise ChangedMeanwhile(TEXT, "somebody", at, proposed.version.number, ())
    _must_be_sound(proposed, look(ledger, proposed).found)
    folder = ledger.shop.folder
    shop = Shop(folder, lay_down(proposed.files, folder, mark))
    marks = marks_of(shop, mark)
    drafts = {each.path: each.new for each in proposed.changes if each.at is not None}
    with writing_files(folder, mark, drafts), ledger.database.writing() as session:
        now = {path: draft.content for path, draft in texts.drafts(session, to_change=True).items()}
        if now != drafts:
            raise ChangedMeanwhile(TEXT, "somebody", at, proposed.version.number, ())
        must_keep_currency(session, ledger.shop, shop)
        number = proposed.version.number
        files = ", ".join(each.path for each in proposed.changes)
        marked = f"{proposed.base[:12]} became {mark[:12]}"
        said = f"version {number + 1} of the shop's text is in effect: {marked}"
        act = ledger.act(who, f"{said}; {files}", why.strip())
        made = texts.keep(session, number, proposed.files, marks, act).number
        texts.drop_drafts(session, list(drafts))
    ledger.change_text(shop)
    return made


def _must_be_sound(proposed: Proposal, found: Checked | None) -> None:
    if not proposed.changes:
        raise Refusal("Nothing differs from the text that is in effect.", ways_out=["write a file first"])
    if proposed.clashes:
        raise Refusal(
            f"Changed both in the app and in the folder: {', '.join(proposed.clashes)}.",
            ways_out=[
                "open the file, see what differs, and keep it again; or throw away what was written here"
            ],
        )
    if found is None:
        raise Refusal("The text was not looked through yet.", ways_out=["have it looked through first"])
    if found.mistakes:
        count = len(found.mistakes)
        raise Refusal(
            f"The text has {count} mistake{'s' * (count != 1)}.",
            ways_out=["mend what the audit finds, then have it looked through again"],
        )


def kept(ledger: Ledger, number: int) -> Kept:
    """One version that was in effect.

    Raises
    ------
    NotKept
        There is no such version.
    """

    def found(session: Session) -> Kept:
        version = texts.version_numbered(session, number)
        files = texts.files_of(session, version)
        before = texts.files_of(session, texts.version_numbered(session, number - 1)) if number > 1 else files
        entry = version.entry
        return Kept(
            version.number,
            version.mark,
            version.knowledge,
            version.catalogue,
            Told(entry.at, entry.who, entry.what, entry.why),
            tuple(
                Change(path, before.get(path), files.get(path))
                for path in sorted({*before, *files})
                if before.get(path) != files.get(path)
            ),
            tuple(_named(session, row) for row in texts.kits_made_from(session, version)),
        )

    return ledger.read(found)


def _named(session: Session, row: KitRow) -> tuple[str, int]:
    return texts.job_of(session, row), row.number


def versions_of(ledger: Ledger, rows: Iterable[KitRow]) -> dict[int, int | None]:
    """The version of the text that each of some kits was made from; None where it is not kept."""
    known = {(each.knowledge, each.catalogue): each.number for each in versions(ledger)}
    return {row.number: known.get((row.knowledge_version, row.catalogue_version)) for row in rows}


def shop_of(ledger: Ledger, number: int) -> Shop:
    """The shop with the text of an earlier version, so that a kit which was made from it can be explained.

    Raises
    ------
    NotKept
        There is no such version.
    """

    def found(session: Session) -> tuple[str, dict[str, bytes]]:
        version = texts.version_numbered(session, number)
        return version.mark, texts.files_of(session, version)

    mark, files = ledger.read(found)
    return Shop(ledger.shop.folder, lay_down(files, ledger.shop.folder, mark))
