"""Kits side by side as tables for the terminal: what each comes to, and what changes against the first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from rich import box
from rich.table import Table
from rich.text import Text

from tappetry.presentation.words import amount, hours

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tappetry.pricing.validity import LineChange
    from tappetry.services.compare import Difference, Side


def pages(sides: Sequence[Side], differences: Sequence[Difference | None]) -> Iterator[RenderableType]:
    """A table of what each kit comes to, then one table for each kit against the first."""
    yield _sums(sides)
    for side, each in zip(sides[1:], differences, strict=True):
        if each is None:
            yield Text(f"\n{side.title}: no kit to set beside {sides[0].title}")
        else:
            yield Text(
                f"\nFrom {sides[0].title} to {side.title}: {_signed(each.lines.difference)}", style="bold"
            )
            yield _changes(each)


def _sums(sides: Sequence[Side]) -> Table:
    table = Table("", *(side.title for side in sides), box=box.SIMPLE_HEAD)
    for column in table.columns[1:]:
        column.justify = "right"
    rows = ("lines", "parts", "services", "hours", "labour", "total", "last part after")
    for row in rows:
        table.add_row(row, *(_cell(side, row) for side in sides))
    return table


def _cell(side: Side, row: str) -> str:
    if side.result is None or side.result.kit.totals is None:
        return "refused" if row == "total" else ""
    kit, totals = side.result.kit, side.result.kit.totals
    cells = {
        "lines": str(len(kit.lines)),
        "parts": amount(totals.parts),
        "services": amount(totals.services),
        "hours": hours(totals.hours),
        "labour": amount(totals.labour),
        "total": amount(totals.total),
        "last part after": f"{max((line.lead_days for line in kit.lines), default=0)} working days",
    }
    return cells[row]


def _changes(each: Difference) -> Table:
    table = Table("change", "what", "difference", box=box.SIMPLE_HEAD)
    table.columns[2].justify = "right"
    for line in each.lines.lines:
        table.add_row(_kind(line), f"{line.part}  {line.description}", _signed(line.difference))
    for what in each.operations_added:
        table.add_row("work added", what, "")
    for what in each.operations_dropped:
        table.add_row("work dropped", what, "")
    for change in each.proofs:
        old = "does not apply" if change.old is None else change.old.verdict.value
        new = "does not apply" if change.new is None else change.new.verdict.value
        if old != new:
            table.add_row("check", f"{change.title}: {old} becomes {new}", "")
    if each.latest_old != each.latest_new:
        table.add_row("date", f"last part after {each.latest_old} becomes {each.latest_new} working days", "")
    return table


def _kind(line: LineChange) -> str:
    if line.old_quantity == 0:
        return "added"
    if line.new_quantity == 0:
        return "dropped"
    return f"{line.old_quantity} becomes {line.new_quantity}"


def _signed(value: Decimal) -> str:
    return f"{'+' if value > 0 else ''}{amount(value)}"
