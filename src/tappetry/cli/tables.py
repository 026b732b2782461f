"""Plain tables and trees that the commands share; a text is shown as it is, whatever brackets it holds."""

from __future__ import annotations

from collections.abc import Iterable

from rich import box
from rich.table import Table
from rich.text import Text

Cell = str | Text


def heading(text: str) -> Text:
    """A heading above a table."""
    return Text(f"\n{text}", style="bold")


def table(columns: Iterable[str], rows: Iterable[Iterable[Cell]], right: Iterable[str] = ()) -> Table:
    """A table with a head; the columns named in ``right`` hold numbers."""
    made = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0), header_style="bold")
    for column in columns:
        numbers = column in right
        made.add_column(column, justify="right" if numbers else "left", no_wrap=numbers, overflow="fold")
    for row in rows:
        made.add_row(*(cell if isinstance(cell, Text) else Text(cell) for cell in row))
    return made
