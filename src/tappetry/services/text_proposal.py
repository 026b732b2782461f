"""The text of a shop that would take effect: its files, and what is written in the app in their place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from tappetry.quantities.calendar import moment
from tappetry.services.ledger import Ledger
from tappetry.services.text_files import DiffLine, differing, read_files, whole_mark
from tappetry.services.text_in_effect import keep_up
from tappetry.store import texts
from tappetry.store.problems import ChangedMeanwhile, NotKept
from tappetry.store.texts import TEXT, mark_of
from tappetry.store.texts_models import TextDraft, TextVersion


@dataclass(frozen=True, slots=True)
class Change:
    """A file that would be another one; ``old`` is in effect, None where there is none.

    ``who`` wrote it in the app at ``at``; nobody where it was changed in the shop's folder. ``clash`` says
    that it was changed there since the writing began.
    """

    path: str
    old: bytes | None
    new: bytes | None
    who: str = ""
    at: datetime | None = None
    clash: bool = False

    @property
    def lines(self) -> tuple[DiffLine, ...]:
        """What differs, line by line."""
        return differing(self.old, self.new)


@dataclass(frozen=True, slots=True)
class Proposal:
    """The text that would take effect: all its files, and those that would be other ones.

    ``version`` is the version in effect, ``base`` the mark of its text, ``mark`` that of the proposed one.
    """

    version: TextVersion
    base: str
    mark: str
    files: Mapping[str, bytes]
    changes: tuple[Change, ...]

    @property
    def clashes(self) -> tuple[str, ...]:
        """The files that were written in the app and changed in the folder."""
        return tuple(change.path for change in self.changes if change.clash)


def outside(ledger: Ledger) -> tuple[str, ...]:
    """The files of the shop's folder that are not as they are in effect."""
    shop = ledger.shop
    if shop.kept is None:
        return ()
    now, there = read_files(shop.text), read_files(shop.folder)
    return tuple(path for path in sorted({*now, *there}) if now.get(path) != there.get(path))


def proposal(ledger: Ledger) -> Proposal:
    """The text that would take effect.

    Raises
    ------
    BadInput
        The folder cannot be read.
    NotKept
        The app that takes the text up has not been started yet.
    ChangedMeanwhile
        Another text takes effect at this moment.
    """

    def found(session: Session) -> tuple[TextVersion, dict[str, TextDraft]]:
        return _in_effect(session), texts.drafts(session)

    keep_up(ledger)
    version, drafts = ledger.read(found)
    return _proposal(ledger, version, drafts)


def _in_effect(session: Session) -> TextVersion:
    version = texts.latest(session)
    if version is None:
        raise NotKept("The shop's text was not taken up yet: `tappetry serve` does so when it starts.")
    return version


def _proposal(ledger: Ledger, version: TextVersion, drafts: Mapping[str, TextDraft]) -> Proposal:
    now, there = read_files(ledger.shop.text), read_files(ledger.shop.folder)
    base = whole_mark(now)
    if version.mark != base:  # another server let one take effect at this very moment
        raise ChangedMeanwhile(TEXT, version.entry.who, moment(version.entry.at), version.number, ())
    stated = {path: draft.content for path, draft in drafts.items()}
    files: Mapping[str, bytes] = there
    if stated:
        files = {path: content for path, content in {**there, **stated}.items() if content is not None}
    changes = []
    for path in sorted({*now, *files, *drafts}):
        old, new, draft = now.get(path), files.get(path), drafts.get(path)
        if draft is not None:
            clash = draft.base != mark_or_none(there.get(path)) and there.get(path) != draft.content
            changes.append(Change(path, old, new, draft.who, draft.at, clash))
        elif old != new:
            changes.append(Change(path, old, new))
    return Proposal(version, base, whole_mark(files), files, tuple(changes))


def mark_or_none(content: bytes | None) -> str:
    """The mark of a file; empty where there is none."""
    return "" if content is None else mark_of(content)
