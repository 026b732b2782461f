"""Text files of rows and columns, read strictly: encoding, parting sign, header, the line of each row."""

from __future__ import annotations

import csv
import io
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tappetry.catalogue.attributes import closest
from tappetry.records.problems import BadInput, Complaint, Complaints, Where

#: Signs that part columns in files that people send.
PARTING_SIGNS = {",": "a comma", ";": "a semicolon", "\t": "a tab", "|": "a bar"}


@dataclass(frozen=True, slots=True)
class Row:
    """One row: the line on which it begins, and its cells by column, without space around them."""

    line: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A row that cannot be read: the line on which it begins, its cells as they stand, and why."""

    line: int
    cells: tuple[str, ...]
    complaints: tuple[Complaint, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of a text: those that can be read, and those that cannot."""

    rows: list[Row]
    unreadable: list[Unreadable]


def read_text(path: Path) -> str:
    """The text of a file, without a byte order mark.

    Raises
    ------
    BadInput
        The file is missing, empty, or not UTF-8.
    """
    where = Where(path.name)
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise BadInput.at(where, "the file does not exist", str(path)) from None
    except IsADirectoryError:
        raise BadInput.at(where, "this is a folder, a file is wanted", str(path)) from None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise BadInput.at(
            Where(path.name, line),
            "the file is not UTF-8 text",
            f"byte 0x{data[error.start]:02X}",
            "a text saved as UTF-8",
        ) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise BadInput.at(
            Where(path.name, line), "the file is not UTF-8 text", "byte 0x00", "a text saved as UTF-8"
        )
    if not text.strip():
        raise BadInput.at(Where(path.name, 1), "the file is empty", "", "a header and rows")
    return text


def read_rows(
    text: str, file: str, columns: Sequence[str], parted_by: str = ",", optional: Collection[str] = ()
) -> list[Row]:
    """The rows of a text whose header names these columns, each of which can be read.

    Parameters
    ----------
    optional : collection of str
        As for :func:`read_table`.

    Raises
    ------
    BadInput
        As of :func:`read_table`; or a row cannot be read.
    """
    table = read_table(text, file, columns, parted_by, optional)
    if table.unreadable:
        raise BadInput([complaint for row in table.unreadable for complaint in row.complaints])
    return table.rows


def read_table(
    text: str, file: str, columns: Sequence[str], parted_by: str = ",", optional: Collection[str] = ()
) -> Table:
    """The rows of a text whose header names these columns, in any order.

    A row that has another number of cells than the header, or a cell with a sign that nobody can see, cannot
    be read; the others can.

    Parameters
    ----------
    optional : collection of str
        Columns that may be missing; their cells are then empty.

    Raises
    ------
    BadInput
        The columns are parted by another sign, a column is unknown, missing or there twice, or a quoted cell
        does not end.
    """
    complaints = Complaints()
    lines = _lines(text, file, parted_by)
    line, header = next(lines)
    header = [name.strip() for name in header]
    _check_sign(header, columns, file, line, parted_by)
    for name in header:
        if name not in columns:
            near = closest(name, columns)
            expected = f"did you mean {near}?" if near else ", ".join(columns)
            complaints.add(Where(file, line, name), "there is no such column", name, expected)
        elif header.count(name) > 1:
            complaints.add(Where(file, line, name), "the column stands twice", name, "each column once")
    for name in columns:
        if name not in header and name not in optional:
            complaints.add(Where(file, line, name), "the column is missing", ", ".join(header), name)
    complaints.raise_if_any()
    table = Table([], [])
    missing = {name: "" for name in columns if name not in header}
    for line, cells in lines:
        said = Complaints()
        if len(cells) != len(header):
            value, expected = parted_by.join(cells)[:80], f"{len(header)} cells, as in the header"
            said.add(
                Where(file, line), f"the row has {len(cells)} cell{'s' * (len(cells) != 1)}", value, expected
            )
        named = dict(zip(header, cells, strict=False))
        read = {name: _cell(text, name, line, file, said) for name, text in named.items()}
        if said.items:
            table.unreadable.append(Unreadable(line, tuple(cells), tuple(said.items)))
        else:
            table.rows.append(Row(line, {**missing, **read}))
    return table


def _cell(text: str, name: str, line: int, file: str, complaints: Complaints) -> str:
    """A cell on one line, without space around it and without signs that nobody can see."""
    text = text.strip()
    if text.isprintable():
        return text
    text = " ".join(text.split())
    if not text.isprintable():
        unseen = next(sign for sign in text if not sign.isprintable())
        where = Where(file, line, name)
        complaints.add(
            where, "the cell holds a sign that cannot be seen", f"U+{ord(unseen):04X}", "printable text"
        )
    return text


def _check_sign(header: list[str], columns: Sequence[str], file: str, line: int, parted_by: str) -> None:
    if len(header) != 1 or len(columns) == 1:
        return
    other = next((sign for sign in PARTING_SIGNS if sign in header[0]), "")
    found = f"the columns are parted by {PARTING_SIGNS[other]}" if other else "the header has one column"
    raise BadInput.at(
        Where(file, line), found, header[0][:80], f"columns parted by {PARTING_SIGNS[parted_by]}"
    )


def _lines(text: str, file: str, parted_by: str) -> Iterator[tuple[int, list[str]]]:
    """The cells of each row that is not empty, with the line on which it begins."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parted_by, strict=True)
    begins = 1
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise BadInput.at(
                Where(file, begins), f"the row cannot be read: {error}", "", "quotes in pairs"
            ) from None
        if cells is None:
            return
        if any(cell.strip() for cell in cells):
            yield begins, cells
        begins = reader.line_num + 1
