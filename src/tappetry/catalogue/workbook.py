"""Reads the first sheet of a workbook (XLSX, ECMA-376) as text; a formula counts as its last value."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation
from xml.etree import ElementTree

from tappetry.records.problems import BadInput, Where

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINKED = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
TO = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"
#: Formats of numbers that are dates (ECMA-376 part 1, 18.8.30), and signs of one that a person made.
DATES = frozenset({*range(14, 23), *range(45, 48)})
DATE_SIGNS = re.compile(r"[ymd]", re.IGNORECASE)
QUOTED = re.compile(r'"[^"]*"|\[[^\]]*\]|\\.')
#: Day 0 of a workbook, by which the first of March 1900 is day 61 as in the workbooks that people have.
DAY_0, DAY_0_LATER = datetime(1899, 12, 30), datetime(1904, 1, 1)
#: More digits are a fault of binary fractions, not of whoever typed the number.
DIGITS = 15
CELL = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
MOST_COLUMNS = 200


def workbook_text(content: bytes, file: str) -> str:
    """The first sheet as text with commas; each row stands on the line of its number.

    The archive has been looked through before: what it unpacks to, and that it states no entities.

    Raises
    ------
    BadInput
        It is no workbook that can be read, or its sheet is empty.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            rows = list(_Sheet(archive).rows())
    except (
        KeyError,
        IndexError,
        ValueError,
        OverflowError,
        ElementTree.ParseError,
        zipfile.BadZipFile,
    ) as error:
        raise BadInput.at(
            Where(file), "the workbook cannot be read", str(error)[:80], "a workbook (XLSX) with one sheet"
        ) from None
    if not rows:
        raise BadInput.at(Where(file, 1), "the sheet is empty", "", "a header and rows")
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    width = max(len(cells) for _, cells in rows)
    line = 1
    for number, cells in rows:
        text.write("\n" * (number - line))
        writer.writerow([*cells, *[""] * (width - len(cells))])
        line = number + 1
    return text.getvalue()


class _Sheet:
    """The first sheet of a workbook, with what its cells point to."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self.archive = archive
        book = self._tree("xl/workbook.xml")
        properties = book.find(f"{MAIN}workbookPr")
        later = properties is not None and properties.get("date1904") in ("1", "true")
        self.day_0 = DAY_0_LATER if later else DAY_0
        sheet = book.find(f"{MAIN}sheets/{MAIN}sheet")
        if sheet is None:
            raise ValueError("it has no sheet")
        links = {
            each.get("Id"): each.get("Target", "")
            for each in self._tree("xl/_rels/workbook.xml.rels").iter(TO)
        }
        target = links[sheet.get(LINKED)]
        self.name = target.removeprefix("/") if target.startswith("/") else f"xl/{target}"
        self.shared = self._shared()
        self.dates = self._dates()

    def rows(self) -> Iterator[tuple[int, list[str]]]:
        """Number and cells of each row that is not empty."""
        following = 1
        for row in self._tree(self.name).iter(f"{MAIN}row"):
            number = int(row.get("r", following))
            if number < following or number > 1_048_576:
                raise ValueError(f"row {number} is out of order")
            following = number + 1
            cells: list[str] = []
            for cell in row.iter(f"{MAIN}c"):
                place = _column(cell.get("r", ""), len(cells))
                cells += [""] * (place - len(cells))
                cells.append(self._text(cell))
            if any(cells):
                yield number, cells

    def _tree(self, name: str) -> ElementTree.Element:
        return ElementTree.fromstring(self.archive.read(name))

    def _shared(self) -> Sequence[str]:
        if "xl/sharedStrings.xml" not in self.archive.namelist():
            return ()
        return [_words(each) for each in self._tree("xl/sharedStrings.xml").iter(f"{MAIN}si")]

    def _dates(self) -> frozenset[int]:
        """The styles of cells that are dates."""
        if "xl/styles.xml" not in self.archive.namelist():
            return frozenset()
        tree = self._tree("xl/styles.xml")
        own = {
            int(each.get("numFmtId", -1))
            for each in tree.iter(f"{MAIN}numFmt")
            if DATE_SIGNS.search(QUOTED.sub("", each.get("formatCode", "")))
        }
        styles = tree.find(f"{MAIN}cellXfs")
        formats = [int(each.get("numFmtId", 0)) for each in styles] if styles is not None else []
        return frozenset(place for place, number in enumerate(formats) if number in DATES or number in own)

    def _text(self, cell: ElementTree.Element) -> str:
        kind, value = cell.get("t", "n"), cell.findtext(f"{MAIN}v") or ""
        if kind == "inlineStr":
            return _one_line("".join(_words(each) for each in cell.iter(f"{MAIN}is")))
        if kind == "s":
            return _one_line(self.shared[int(value)])
        if kind == "b":
            return "yes" if value == "1" else "no"
        if kind == "n" and value:
            return self._number(value, int(cell.get("s", 0)))
        return _one_line(value)

    def _number(self, value: str, style: int) -> str:
        if style in self.dates:
            return (self.day_0 + timedelta(days=float(value))).date().isoformat()
        try:
            number = Decimal(value)
        except InvalidOperation:
            raise ValueError(f"{value!r} is no number") from None
        if not number.is_finite() or abs(number.adjusted()) > DIGITS:
            return value
        shown = format(Decimal(f"{number:.{DIGITS - 1}e}"), "f")
        return shown.rstrip("0").rstrip(".") if "." in shown else shown


def _words(element: ElementTree.Element) -> str:
    """The text of a string in pieces, without the signs that say how it is read aloud."""
    return "".join(
        each.findtext(f"{MAIN}t") or "" if each.tag == f"{MAIN}r" else each.text or ""
        for each in element
        if each.tag in (f"{MAIN}t", f"{MAIN}r")
    )


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _column(reference: str, otherwise: int) -> int:
    """The place of a cell by its letters, counted from 0."""
    if not reference:
        return otherwise
    found = CELL.fullmatch(reference)
    if found is None:
        raise ValueError(f"{reference!r} is no place of a cell")
    place = 0
    for letter in found[1]:
        place = place * 26 + ord(letter) - ord("A") + 1
    if not otherwise < place <= MOST_COLUMNS:
        raise ValueError(f"the cell {reference} is out of order, or beyond {MOST_COLUMNS} columns")
    return place - 1
