"""Begins a shop in an empty folder: its book as a person states it, its first family and parts as text.

Everything is read and audited before it is taken; a start that fails leaves the folder as it was.
"""

from __future__ import annotations

import errno
import json
import re
import shutil
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from tappetry.knowledge.audit import AuditKind
from tappetry.knowledge.text import read_yaml
from tappetry.pricing.policy import read_policy
from tappetry.records.problems import BadInput, Complaint, Complaints, Where
from tappetry.services.audits import audit_folder
from tappetry.services.shop import (
    BOOK,
    MADE_FROM,
    Shop,
    copied,
    copy_schemas,
    copy_texts,
    first_shop_folder,
    is_shop,
    make_demo_shop,
)
from tappetry.services.uploads import Kind, checked

LEGAL = "legal.yaml"
#: Where a new shop is written and read before it is taken; what is left of a start that was cut off.
STAGE = ".beginning"
#: The longest answer, and the largest file. [letters, byte]
LONGEST, LARGEST = 200, 1_500_000
#: What the audit finds and a first text may have: it is told, and the shop begins.
TOLD = frozenset({AuditKind.NOTE, AuditKind.NO_PART, AuditKind.NEVER_FIRES, AuditKind.UNCOVERED_BREAK})


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the house book that a new shop is asked for.

    ``line`` is its key in the book where that is another than the name, ``usual`` what the template says, for
    those that may be left out.
    """

    name: str
    title: str
    line: str = ""
    usual: str = ""
    choices: tuple[str, ...] = ()
    number: bool = False

    @property
    def key(self) -> str:
        """The key of its line in the book."""
        return self.line or self.name


#: What every shop says of itself, and what most leave as it is.
ENTRIES = (
    Entry("name", "Name of the shop"),
    Entry("place", "Place; the first legal note is for vehicles registered there"),
    Entry("currency", "Currency, by its three letters (EUR, USD)"),
    Entry("labour_rate", "Price of one hour"),
    Entry("tax_parts", "Tax on parts, percent (0 where there is none)", "parts"),
    Entry("tax_services", "Tax on work bought outside, percent", "services"),
    Entry("tax_labour", "Tax on labour, percent", "labour"),
    Entry("tax_supplies", "Tax on shop supplies, percent", "supplies"),
    Entry("tax_number", "Tax number, as invoices show it; empty where there is none yet"),
    Entry("units", "Units that stand first", usual="metric", choices=("metric", "inch")),
    Entry("paper", "Size of the papers", usual="A4", choices=("A4", "Letter")),
    Entry("address", "Address, as papers show it"),
    Entry("phone", "Telephone, as papers show it"),
    Entry("supplies_percent_of_labour", "Shop supplies, percent of labour", usual="3"),
    Entry("supplies_cap", "The most that supplies come to on one job", usual="40.00"),
    Entry("quote_days", "Days that a quote holds", usual="14", number=True),
    Entry("price_check_days", "Days after which a supplier's price is asked again", usual="7", number=True),
    Entry("deposit_special_percent", "Deposit on parts that do not go back, percent", usual="100"),
    Entry("deposit_stock_percent", "Deposit on all other parts, percent", usual="30"),
    Entry("deposit_labour_percent", "Deposit on labour, percent", usual="20"),
    Entry("card_fee_percent", "What a card costs the shop, percent", usual="2"),
)
#: Entries that nobody else can answer.
WANTED = tuple(each.name for each in ENTRIES[:8])
#: What the first page asks for at once; the rest is one step away.
ASKED = (*WANTED, "tax_number")


@dataclass(frozen=True, slots=True)
class Begun:
    """A shop that has begun, and what the audit says of its text; no mistake is among it."""

    shop: Shop
    told: tuple[str, ...]


def templates() -> dict[str, Path]:
    """The texts from which a shop begins, by the name under which a person brings one back.

    The house book is not among them: it is what a person is asked for.
    """
    folder = first_shop_folder()
    files = sorted(each for ending in ("*.yaml", "*.csv") for each in folder.rglob(ending))
    return {each.name: each.relative_to(folder) for each in files if each.name != BOOK}


def template(name: str) -> bytes:
    """The text of a template, as it would stand in a new shop.

    Raises
    ------
    BadInput
        There is no template of this name.
    """
    return copied(first_shop_folder() / _place_of(name))


def begin(place: Path, said: Mapping[str, str], files: Mapping[str, bytes]) -> Begun:
    """Begin a shop in a folder that is empty or not there yet.

    Parameters
    ----------
    said : mapping of str to str
        What the house book says, by the names of `ENTRIES`; an empty answer is none.
    files : mapping of str to bytes
        Templates that a person changed, by their names; all others are taken as they are.

    Raises
    ------
    BadInput
        The folder is not empty, an answer is missing or cannot be read, or a file is not sound: with every
        complaint. The folder then stays as it was.
    """
    must_be_free(place)
    answers = _answers(said)
    for name, content in files.items():
        _place_of(name)
        checked(content, (Kind.TEXT,), LARGEST, name)
    with _staged(place) as stage:
        copy_texts(first_shop_folder(), stage)
        for name, content in files.items():
            (stage / templates()[name]).write_bytes(content)
        _write(stage / BOOK, answers)
        if LEGAL not in files:
            _write(stage / LEGAL, {"places": answers["place"]}, listed=True)
        told = _sound(stage)
        copy_schemas(stage)
        (stage / "jobs").mkdir()
    return Begun(Shop(place), told)


def demo_place(place: Path) -> Path:
    """Where the invented shop is put to look at: beside the folder of one's own, which stays empty."""
    own = place.resolve()
    return own.with_name(f"{own.name}-demo")


def begin_demo(place: Path) -> Shop:
    """The invented shop beside a folder, made anew or as it was left.

    Raises
    ------
    BadInput
        Something else lies there.
    """
    beside = demo_place(place)
    if beside.exists() and not (beside / MADE_FROM).is_file():
        _must_be_empty(beside, ())
    try:
        return make_demo_shop(beside)
    except OSError as error:
        raise _unwritable(beside, error) from error


def must_be_free(place: Path) -> None:
    """Refuse a folder that holds anything, but for what is left of a start that was cut off.

    Raises
    ------
    BadInput
        It holds a shop, or something else.
    """
    if is_shop(place):
        raise BadInput.at(Where(str(place)), "there is a shop already", BOOK, _EMPTY)
    _must_be_empty(place, _left(place))


_EMPTY = "an empty folder, or one that is not there yet; TAPPETRY_HOME names it"


def _left(place: Path) -> frozenset[str]:
    """What a start that was cut off may have left in a folder; nothing where there was none."""
    if not (place / STAGE).is_dir():
        return frozenset()
    return frozenset({STAGE, "jobs", "schemas", *(each.name for each in first_shop_folder().iterdir())})


def _must_be_empty(place: Path, but: Collection[str]) -> None:
    if place.exists() and not place.is_dir():
        raise BadInput.at(Where(str(place)), "this is no folder", place.name, _EMPTY)
    found = sorted(each.name for each in place.iterdir()) if place.is_dir() else []
    others = [name for name in found if name not in but]
    if others:
        said = ", ".join(others[:5]) + (f" and {len(others) - 5} more" if len(others) > 5 else "")
        raise BadInput.at(
            Where(str(place)), "the folder holds something else; it is left alone", said, _EMPTY
        )


def _place_of(name: str) -> Path:
    known = templates()
    if name not in known:
        raise BadInput.at(Where(name), "there is no such template", name, "one of " + ", ".join(known))
    return known[name]


# ---- the house book ----------------------------------------------------------------------------------------


def _answers(said: Mapping[str, str]) -> dict[str, str]:
    """The answer to every entry by its key, as YAML writes it."""
    complaints = Complaints()
    known = {each.name: each for each in ENTRIES}
    for name in said:
        if name not in known:
            complaints.add(Where(BOOK, 0, name), "nobody asks for this", name, ", ".join(known))
    given = {name: " ".join(said.get(name, "").split()) for name in known}
    given["address"] = given["address"] or given["place"]
    written = {}
    for name, entry in known.items():
        text = given[name] or entry.usual
        where = Where(BOOK, 0, name)
        if name in WANTED and not given[name]:
            complaints.add(where, "the answer is missing", "", entry.title)
        elif len(text) > LONGEST or not text.isprintable():
            complaints.add(where, "the answer cannot stand on a paper", text[:60], f"up to {LONGEST} letters")
        elif entry.choices and text not in entry.choices:
            complaints.add(where, "there is no such choice", text, " or ".join(entry.choices))
        elif entry.number and not (text.isascii() and text.isdigit() and 1 <= int(text) <= 365):
            complaints.add(where, "the number of days cannot be read", text, "1 to 365")
        written[entry.key] = text if entry.number else json.dumps(text, ensure_ascii=False)
    complaints.raise_if_any()
    return written


def _write(file: Path, answers: Mapping[str, str], listed: bool = False) -> None:
    """Put answers into the lines of a text; whatever else stands there, remarks too, stays.

    Where ``listed``, an answer is a list of one, and stands in every entry of the text.
    """
    text = file.read_text(encoding="utf-8")
    for name, value in answers.items():
        line = re.compile(rf'^( +{name}: )("[^"]*"|[^#\n]*?)( +#.*)?$', re.MULTILINE)
        written = f"[{value}]" if listed else value
        places = list(line.finditer(text))
        assert len(places) == 1 or (listed and places), f"{file.name} has {len(places)} lines for {name}"
        for found in reversed(places):
            text = text[: found.start(2)] + written + text[found.end(2) :]
    file.write_text(text, encoding="utf-8")


# ---- a new shop, whole or not at all -----------------------------------------------------------------------


def _sound(stage: Path) -> tuple[str, ...]:
    """What the audit says of a new shop's text.

    Raises
    ------
    BadInput
        Something cannot be read, or is a mistake.
    """
    found = audit_folder(stage)
    wrong = [
        Complaint(Where(each.file, each.line, each.field), each.message, each.value, each.expected)
        for each in found
        if each.kind not in TOLD
    ]
    if wrong:
        raise BadInput(wrong)
    book = read_yaml(stage / BOOK, BOOK)
    try:
        read_policy(book.data["money"])
    except BadInput as error:
        raise BadInput(
            [replace(each, where=book.where(tuple(each.where.field.split(".")))) for each in error.complaints]
        ) from None
    return tuple(map(str, found))


@contextmanager
def _staged(place: Path) -> Iterator[Path]:
    """A folder to write a new shop into; what stands there at the end of the block is taken."""
    stage = place / STAGE
    made = [each for each in (place, *place.parents) if not each.exists()]
    moved: list[Path] = []
    try:
        place.mkdir(parents=True, exist_ok=True)
        for name in _left(place):
            _remove(place / name)
        stage.mkdir()
        yield stage
        # the book last: it is what makes the folder a shop
        for each in sorted(stage.iterdir(), key=lambda each: (each.name == BOOK, each.name)):
            if (place / each.name).exists():
                raise FileExistsError(errno.EEXIST, "something else has come there meanwhile")
            moved.append(each.rename(place / each.name))
        stage.rmdir()
    except BaseException as error:
        for each in (*moved, stage):
            _remove(each)
        for each in made:
            if each.is_dir() and not any(each.iterdir()):
                each.rmdir()
        if isinstance(error, OSError):
            raise _unwritable(place, error) from error
        raise


def _remove(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def _unwritable(place: Path, error: OSError) -> BadInput:
    said = f"the shop cannot be written: {error.strerror or error}"
    return BadInput.at(Where(str(place)), said, place.name, "a folder that may be written to")
