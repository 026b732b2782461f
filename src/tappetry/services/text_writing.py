"""Writing a shop's own text in the app: nothing that was typed is lost, nothing of it is in effect yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tappetry.knowledge.text import parse_yaml
from tappetry.quantities.calendar import moment
from tappetry.records.problems import BadInput, Refusal, Where
from tappetry.services.ledger import Ledger
from tappetry.services.text_files import name_of, read_files, typed, written
from tappetry.services.text_proposal import mark_or_none
from tappetry.store import texts
from tappetry.store.problems import ChangedMeanwhile
from tappetry.store.texts_models import TextDraft

#: The longest file that is written in the app; a longer one is edited as a file. [byte]
LONGEST = 500_000


@dataclass(frozen=True, slots=True)
class Page:
    """A file as somebody has it before him; ``seen`` marks what it was, ``draft`` says who writes it.

    ``gone`` says that it is to be taken away.
    """

    path: str
    text: str
    seen: str
    draft: str = ""
    gone: bool = False


def page(ledger: Ledger, path: str) -> Page:
    """A file to be written in the app: as somebody writes it, else as it stands in the folder.

    Raises
    ------
    BadInput
        No file of the text is called so, it is too long, or it is no UTF-8 text.
    """
    draft = ledger.read(texts.drafts).get(path)
    there = read_files(ledger.shop.folder)
    if draft is None and path not in there:
        return Page(name_of(path), "", "")
    content = there.get(path) if draft is None else draft.content
    if content is not None and len(content) > LONGEST:
        raise BadInput.at(
            Where(path), "the file is too long to be written here", f"{len(content)} bytes", "the file itself"
        )
    who = "" if draft is None else draft.who
    return Page(path, typed(content), _seen(draft, content), who, gone=content is None)


def _seen(draft: TextDraft | None, content: bytes | None) -> str:
    """Marks what somebody has before him: the file, or the draft in its place."""
    return ("draft " if draft is not None else "") + mark_or_none(content)


def write(ledger: Ledger, path: str, text: str, seen: str, who: str) -> tuple[str, ...]:
    """Keep what somebody wrote; what cannot be read yet is kept all the same, and the complaints returned.

    Raises
    ------
    BadInput
        No file of the text is called so, or it is too long.
    ChangedMeanwhile
        Somebody else wrote the file, or it was changed in the folder.
    """
    there = read_files(ledger.shop.folder)
    if path not in there and path not in ledger.read(texts.drafts):
        name_of(path)
    content = written(text, there.get(path))
    if len(content) > LONGEST:
        raise BadInput.at(
            Where(path),
            "the text is too long",
            f"{len(content)} bytes",
            f"at most {LONGEST}; edit the file itself",
        )
    _put(ledger, path, content, seen, who, there)
    return complaints(path, content)


def take_away(ledger: Ledger, path: str, seen: str, who: str) -> None:
    """Propose a text without a file."""
    _put(ledger, path, None, seen, who, read_files(ledger.shop.folder))


def _put(
    ledger: Ledger, path: str, content: bytes | None, seen: str, who: str, there: Mapping[str, bytes]
) -> None:
    with ledger.database.writing() as session:
        draft = texts.drafts(session, to_change=True).get(path)
        _still(ledger, draft, path, there, seen)
        if content == there.get(path):
            texts.drop_drafts(session, [path])
        else:
            act = ledger.act(who, "")
            texts.put_draft(session, path, content, mark_or_none(there.get(path)), act)


def _still(ledger: Ledger, draft: TextDraft | None, path: str, there: Mapping[str, bytes], seen: str) -> None:
    """Refuse where the file is not what somebody had before him."""
    now = _seen(draft, there.get(path) if draft is None else draft.content)
    if seen != now:
        who = "somebody in the shop's folder" if draft is None else draft.who
        at = ledger.now() if draft is None else draft.at
        raise ChangedMeanwhile(f"file {path}", who, moment(at), 0, ())


def throw_away(ledger: Ledger, path: str, seen: str) -> None:
    """Forget what was written in the place of a file.

    Raises
    ------
    ChangedMeanwhile
        Somebody else wrote it further.
    """
    with ledger.database.writing() as session:
        draft = texts.drafts(session, to_change=True).get(path)
        _still(ledger, draft, path, read_files(ledger.shop.folder), seen)
        texts.drop_drafts(session, [path])


def complaints(path: str, content: bytes | None) -> tuple[str, ...]:
    """Why a file cannot be read as it is written; nothing where it can, or is none that is read so."""
    if content is None or not path.endswith(".yaml"):
        return ()
    try:
        parse_yaml(typed(content), path)
    except BadInput as error:
        return tuple(map(str, error.complaints))
    return ()


def go_back(ledger: Ledger, number: int, who: str) -> None:
    """Propose the text of an earlier version, to be looked through and to take effect as a new one.

    Raises
    ------
    Refusal
        Something is being written; it would be lost.
    NotKept
        There is no such version.
    """
    there = read_files(ledger.shop.folder)
    with ledger.database.writing() as session:
        version = texts.version_numbered(session, number)
        wanted = texts.files_of(session, version)
        if texts.drafts(session, to_change=True):
            raise Refusal(
                f"Version {number} cannot be taken up while something else is being written.",
                ways_out=["put it into effect or throw it away, then take the version up"],
            )
        for path in sorted({*there, *wanted}):
            if there.get(path) != wanted.get(path):
                act = ledger.act(who, "")
                texts.put_draft(session, path, wanted.get(path), mark_or_none(there.get(path)), act)
