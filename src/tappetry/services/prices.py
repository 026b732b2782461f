"""Suppliers' price lists: received, read as the shop says, looked at, and taken or left.

A list that was received waits in the shop's folder until somebody decides. To take it makes the next version
of the shop's text, with another list of parts and nothing else changed: whole or not at all, with the old one
kept, and with who did it in the audit trail. Quotes that were sent do not change; kits are worked out of the
new prices from then on.
"""

from __future__ import annotations

import json
import os
import re
import secrets
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from tappetry.catalogue.attributes import ValueProblem
from tappetry.catalogue.catalogue import Catalogue
from tappetry.catalogue.identity import identity
from tappetry.catalogue.numbers import read_amount, read_whole
from tappetry.catalogue.price_columns import (
    NEEDED,
    OPTIONAL,
    SUSPICIOUS_PERCENT,
    PriceColumns,
    price_columns_text,
    read_price_columns,
)
from tappetry.catalogue.price_list import Proposal, ProposedRow, RowKind, propose
from tappetry.catalogue.reader import known_to, parse_parts
from tappetry.catalogue.rows import PARTING_SIGNS, Unreadable
from tappetry.catalogue.workbook import workbook_text
from tappetry.catalogue.writer import write_parts
from tappetry.knowledge.model import Knowledge
from tappetry.quantities.calendar import day
from tappetry.records.problems import BadInput, Ground, Refusal, Where
from tappetry.services.files import save
from tappetry.services.ledger import Ledger
from tappetry.services.shop import Shop
from tappetry.services.text_files import lay_down, read_files, whole_mark
from tappetry.services.text_in_effect import begin as take_up
from tappetry.services.text_in_effect import marks_of, read, writing_files
from tappetry.services.uploads import Kind, checked
from tappetry.store import price_days, texts
from tappetry.store.jobs import enter
from tappetry.store.price_days import Known
from tappetry.store.texts_models import TextVersion

__all__ = [
    "LARGEST",
    "NEEDED",
    "OPTIONAL",
    "PRICE_LISTS",
    "SUSPICIOUS_PERCENT",
    "Following",
    "InEffect",
    "PriceColumns",
    "Proposal",
    "ProposedRow",
    "Received",
    "RowKind",
    "Taken",
    "Unreadable",
    "ValueProblem",
    "following",
    "forget",
    "header_of",
    "keep_reading",
    "leave",
    "proposal",
    "read_amount",
    "read_whole",
    "reading",
    "reading_file",
    "receive",
    "received",
    "says_what_is_listed",
    "stand",
    "take",
    "text_of",
    "undoubted",
    "waiting",
]

PARTS = "parts.csv"
#: Of a shop's folder: how the lists of each supplier are read, and below it those that wait.
PRICE_LISTS, WAITING = "price-lists", "waiting"
#: The largest file that is taken. [byte]
LARGEST = 10_000_000
#: The mark of a list that waits.
MARK = re.compile(r"[0-9a-f]{16}")


@dataclass(frozen=True, slots=True)
class Received:
    """A price list that waits: whose it is, its text, who brought it and when."""

    mark: str
    supplier: str
    file: str
    text: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Taken:
    """What came of a list: how many parts are new, changed, or sold no longer.

    ``text`` is the number of the version of the shop's text that took effect, ``catalogue`` its mark.
    """

    new: int
    changed: int
    gone: int
    text: int
    catalogue: str


@dataclass(frozen=True, slots=True)
class InEffect:
    """A shop with the text that is in effect, and the version that it is."""

    shop: Shop
    version: TextVersion


@dataclass(frozen=True, slots=True)
class Following:
    """The parts as they would be after rows of a list were taken, and the file that says so."""

    catalogue: Catalogue
    written: bytes


# ---- how a supplier's lists are read -----------------------------------------------------------------------


def reading_file(shop: Shop, supplier: str) -> Path:
    """Where it stands how the lists of a supplier are read.

    Raises
    ------
    BadInput
        There is no such supplier.
    """
    if supplier not in shop.catalogue.suppliers:
        expected = "one of " + ", ".join(shop.catalogue.suppliers)
        raise BadInput.at(Where("supplier"), "there is no such supplier", supplier, expected)
    return shop.folder / PRICE_LISTS / f"{supplier}.yaml"


def reading(shop: Shop, supplier: str) -> PriceColumns | None:
    """How the lists of a supplier are read; None where nobody has said so yet."""
    file = reading_file(shop, supplier)
    return read_price_columns(file) if file.is_file() else None


def keep_reading(shop: Shop, supplier: str, how: PriceColumns) -> PriceColumns:
    """Keep how the lists of a supplier are read, for the next one too.

    Raises
    ------
    BadInput
        A column is missing or stands for two things, or a word has no meaning here.
    """
    file = reading_file(shop, supplier)
    named = list(how.columns.values())
    twice = sorted({column for column in named if named.count(column) > 1})
    if twice:
        where = Where(file.name, 0, "columns")
        raise BadInput.at(where, "one column stands for two things", ", ".join(twice), "each column once")
    half = file.with_name(f".{supplier}.{secrets.token_hex(4)}.yaml")
    try:
        save(half, price_columns_text(how).encode())
        kept = read_price_columns(half, file.name)
        os.replace(half, file)
    finally:
        half.unlink(missing_ok=True)
    return kept


def header_of(text: str) -> tuple[str, tuple[str, ...]]:
    """By which sign the columns of a text are parted, and what they are called."""
    first = next(line for line in text.splitlines() if line.strip())
    sign = max(PARTING_SIGNS, key=first.count)
    return sign, tuple(name.strip().strip('"') for name in first.split(sign))


# ---- lists that wait ---------------------------------------------------------------------------------------


def text_of(content: bytes, file: str) -> str:
    """A price list as text, whether it came as text or as a workbook.

    Raises
    ------
    BadInput
        It is neither, too large, or unpacks to too much.
    """
    if checked(content, (Kind.TEXT, Kind.XLSX), LARGEST, "price list") is Kind.XLSX:
        return workbook_text(content, file)
    return content.decode("utf-8-sig")


def receive(ledger: Ledger, supplier: str, file: str, content: bytes, who: str) -> Received:
    """Keep a price list until somebody decides about it.

    Raises
    ------
    BadInput
        There is no such supplier, or the file is none that is taken.
    """
    reading_file(ledger.shop, supplier)
    name = re.sub(r"[^\w. -]", "_", Path(file.replace("\\", "/")).name)[:80] or "list"
    text = text_of(content, name)
    received = Received(secrets.token_hex(8), supplier, name, text, who, ledger.now())
    document = {
        "supplier": supplier,
        "file": name,
        "who": who,
        "at": received.at.isoformat(),
        "text": text,
    }
    save(_waiting_file(ledger.shop, received.mark), json.dumps(document, ensure_ascii=False).encode())
    return received


def waiting(shop: Shop) -> tuple[Received, ...]:
    """The lists that nobody has decided about, the latest first."""
    files = (shop.folder / PRICE_LISTS / WAITING).glob("*.json")
    found = [received(shop, file.stem) for file in files if MARK.fullmatch(file.stem)]
    return tuple(sorted(found, key=lambda each: each.at, reverse=True))


def received(shop: Shop, mark: str) -> Received:
    """A list that waits.

    Raises
    ------
    BadInput
        There is none of this mark: it has been taken or left.
    """
    where = Where("price list")
    if not MARK.fullmatch(mark):
        raise BadInput.at(where, "no price list has such a mark", mark[:40], "a list that waits")
    try:
        said: Mapping[str, Any] = json.loads(_waiting_file(shop, mark).read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise BadInput.at(
            where, "the price list waits no longer: it was taken or left", mark, "a list that waits"
        ) from None
    at = datetime.fromisoformat(said["at"])
    return Received(mark, said["supplier"], said["file"], said["text"], said["who"], at)


def leave(ledger: Ledger, mark: str, who: str) -> None:
    """Leave a list: nothing of it is taken."""
    found = received(ledger.shop, mark)
    with ledger.database.writing() as session:
        enter(session, ledger.act(who, f"left the price list {found.file} of {found.supplier}"))
    forget(ledger.shop, mark)


def forget(shop: Shop, mark: str) -> None:
    """Let a list wait no longer."""
    _waiting_file(shop, mark).unlink(missing_ok=True)


def _waiting_file(shop: Shop, mark: str) -> Path:
    return shop.folder / PRICE_LISTS / WAITING / f"{mark}.json"


# ---- what a list would do, and taking it -------------------------------------------------------------------


def proposal(shop: Shop, text: str, file: str, how: PriceColumns, today: date) -> Proposal:
    """What a price list would do; nothing is changed.

    Raises
    ------
    BadInput
        The file as a whole cannot be read as the shop says.
    """
    return propose(text, file, shop.catalogue, how, today)


def undoubted(proposed: Proposal) -> tuple[int, ...]:
    """The lines of a list that change something and about which nothing is odd."""
    return tuple(
        row.line
        for row in proposed.rows
        if row.kind is not RowKind.SAME and not row.suspicious and not row.refused
    )


def following(shop: Shop, proposed: Proposal, lines: Collection[int], gone: Collection[str]) -> Following:
    """The parts as they would be; nothing is changed.

    Parameters
    ----------
    lines : collection of int
        The lines of the file that are taken.
    gone : collection of str
        Numbers of parts among those that the list no longer names.

    Raises
    ------
    Refusal
        Nothing was chosen, a row that cannot be taken was, or the parts changed since the list was read.
    BadInput
        The parts would not hold together.
    """
    if not lines and not gone:
        raise Refusal(f"Nothing of {proposed.file} was chosen.", [], ["choose rows, or leave the list"])
    then = _without(proposed.apply(shop.catalogue, lines), proposed, gone)
    written = write_parts(then.parts).encode()
    _must_be_read_again(written, then, shop.knowledge)
    return Following(then, written)


def take(
    ledger: Ledger,
    supplier: str,
    proposed: Proposal,
    lines: Collection[int],
    gone: Collection[str],
    brought: date,
    who: str,
    looked_at: str = "",
) -> Taken:
    """Take rows of a list, and mark parts that it no longer names as sold no longer.

    What comes of it takes effect as the next version of the shop's text, in which nothing else differs.

    Parameters
    ----------
    lines, gone : collections of int and of str
        As for :func:`following`.
    brought : date
        The day on which the list came, which the reason of the version says.
    looked_at : str
        The mark of the text against which it was looked through, where it was.

    Raises
    ------
    Refusal
        As for :func:`following`; or another text is in effect than the one it was looked through against, or
        the folder holds another list of parts than the one in effect.
    ChangedMeanwhile
        Somebody else let a text take effect at the same moment.
    BadInput
        The parts would not hold together; nothing is then written.
    """
    now = in_effect(ledger)
    shop, version, folder = now.shop, now.version, ledger.shop.folder
    if looked_at and looked_at != version.mark:
        raise Refusal(
            "Another text took effect since the list was looked through. Nothing was taken.",
            [Ground(f"looked through against {looked_at[:12]}, it is {version.mark[:12]} now", "price list")],
            ["look at the list again and choose anew"],
        )
    files = read_files(shop.text)
    if (folder / PARTS).read_bytes() != files[PARTS]:
        raise Refusal(
            "The list of parts in the shop's folder is not the one that is in effect. Nothing was taken.",
            [Ground(f"{folder / PARTS} was changed by hand", "the shop's folder")],
            ["put it into effect on the page Shop, or bring it back to what it was; then take the list"],
        )
    written = following(shop, proposed, lines, gone).written
    changed = {**files, PARTS: written}
    mark = whole_mark(changed)
    after = read(Shop(folder, lay_down(changed, folder, mark)))
    chosen = [row for row in proposed.rows if row.line in set(lines)]
    counts = {kind: sum(row.kind is kind for row in chosen) for kind in RowKind}
    named = f"the price list {proposed.file} of {supplier}"
    said = f"took {named}: version {version.number + 1} of the shop's text is in effect"
    why = (
        f"{named} of {day(brought)}: {len(chosen)} of its {proposed.count} rows, "
        f"{counts[RowKind.NEW]} new, {counts[RowKind.CHANGED]} changed, {len(gone)} sold no longer"
    )
    with writing_files(folder, mark, {PARTS: written}), ledger.database.writing() as session:
        act = ledger.act(who, said, why)
        kept = texts.keep(session, version.number, changed, marks_of(after, mark), act)
        for known in _known(after.catalogue, proposed, lines, brought):
            price_days.keep_day(session, known, kept.entry_id)
    ledger.change_text(after)
    return Taken(
        counts[RowKind.NEW],
        counts[RowKind.CHANGED],
        len(gone),
        version.number + 1,
        after.catalogue.version,
    )


def says_what_is_listed(proposed: Proposal) -> bool:
    """Whether a list changes nothing, and all of it can be read."""
    same = all(row.kind is RowKind.SAME and not row.refused for row in proposed.rows)
    return same and bool(proposed.rows) and not proposed.unreadable


def stand(ledger: Ledger, supplier: str, proposed: Proposal, brought: date, who: str) -> None:
    """Write down that a list says what is listed already: so its prices stand, as of the day it came.

    Raises
    ------
    Refusal
        Something of it differs from what is listed.
    """
    if not says_what_is_listed(proposed):
        raise Refusal(
            f"Not all in {proposed.file} is as it is listed. Nothing was written down.",
            ways_out=["look through what it changes, and take or leave it"],
        )
    act = ledger.act(who, f"the price list {proposed.file} of {supplier} says what is listed")
    with ledger.database.writing() as session:
        entry = enter(session, act)
        for known in _known(ledger.shop.catalogue, proposed, (), brought):
            price_days.keep_day(session, known, entry.id)


def _known(
    catalogue: Catalogue, proposed: Proposal, lines: Collection[int], brought: date
) -> Iterator[Known]:
    """Whose prices a list makes known: those that it says as they are listed, or that were taken from it."""
    taken = set(lines)
    said: dict[str, set[str]] = {}
    for row in proposed.rows:
        if row.stands and (row.line in taken or (row.kind is RowKind.SAME and row.before is not None)):
            part = row.part if row.line in taken else row.before or row.part
            said.setdefault(part.supplier, set()).add(part.number)
    for supplier, numbers in said.items():
        others = {part.number for part in catalogue.parts if part.supplier == supplier} - numbers
        whole = len(others) < len(numbers)
        yield Known(supplier, brought, frozenset(others if whole else numbers), whole)


def in_effect(ledger: Ledger) -> InEffect:
    """Go on with the text that is in effect: the shop and the version, both of one moment."""
    if ledger.read(texts.latest) is None:
        take_up(ledger, alone=True)
    shop = ledger.shop
    with ledger.database.reading() as session:
        version = texts.latest(session)
        assert version is not None
        if shop.kept is not None and shop.kept.name == version.mark:
            return InEffect(shop, version)
        files = texts.files_of(session, version)
    shop = read(Shop(shop.folder, lay_down(files, shop.folder, version.mark)))
    ledger.change_text(shop)
    return InEffect(shop, version)


def _without(catalogue: Catalogue, proposed: Proposal, gone: Collection[str]) -> Catalogue:
    """The catalogue with parts that a list no longer names as sold no longer."""
    known = {part.number: part for part in proposed.gone}
    missing = [number for number in gone if number not in known]
    if missing:
        expected = "a part of this supplier that the list no longer names"
        raise BadInput.at(Where(proposed.file), "this part is not gone", ", ".join(missing), expected)
    ended = {identity(known[number].supplier, number) for number in gone}
    return replace(
        catalogue,
        parts=tuple(
            replace(part, status="discontinued") if identity(part.supplier, part.number) in ended else part
            for part in catalogue.parts
        ),
    )


def _must_be_read_again(written: bytes, meant: Catalogue, knowledge: Knowledge) -> None:
    """Refuse a list of parts that could not be read from its file, such as a part without a cost.

    Raises
    ------
    BadInput
        With every complaint about it.
    """
    parts = parse_parts(written.decode(), PARTS, known_to(knowledge), meant.suppliers)
    assert replace(meant, parts=parts).version == meant.version, "the parts as written are others than meant"
