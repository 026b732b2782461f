"""What a price list would change, as tables for a person."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rich.text import Text

from tappetry.catalogue.price_list import ProposedRow, RowKind
from tappetry.cli.tables import heading, table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tappetry.catalogue.price_list import Proposal


def proposal_tables(proposed: Proposal) -> Iterator[RenderableType]:
    """Rows that change something, those that cannot be taken, and what is gone."""
    rows = [row for row in proposed.rows if not row.refused and row.kind is not RowKind.SAME]
    same = sum(row.kind is RowKind.SAME for row in proposed.rows if not row.refused)
    yield Text(
        f"{len(rows)} rows would change something, {same} are as listed, "
        f"{len(proposed.refused)} cannot be taken.",
        style="bold",
    )
    for kind, title in ((RowKind.CHANGED, "Changed"), (RowKind.NEW, "New")):
        found = [row for row in rows if row.kind is kind]
        if found:
            yield heading(title)
            yield table(
                ("line", "part", "what changes", "remarks"),
                ((str(row.line), row.part.number, _changes(row), _remarks(row)) for row in found),
                right=("line",),
            )
    if proposed.refused:
        yield heading("Cannot be taken")
        yield table(
            ("line", "part", "why"),
            ((str(row.line), row.part.number, _remarks(row)) for row in proposed.refused),
            right=("line",),
        )
    if proposed.gone:
        yield heading("Gone: the list no longer names them")
        yield table(
            ("part", "what it is", "status"),
            ((part.number, part.description, part.status) for part in proposed.gone),
        )


def _changes(row: ProposedRow) -> str:
    if row.before is None:
        part = row.part
        return (
            f"{part.description}, {part.unit} of {part.pieces}: cost {part.cost:.2f}, price {part.price:.2f}"
        )
    return "; ".join(
        f"{change.field} {change.before} becomes {change.after}"
        + ("" if change.percent is None else f" ({change.percent:+} %)")
        for change in row.changes
    )


def _remarks(row: ProposedRow) -> str:
    return "; ".join(remark.text for remark in row.remarks)
