"""What a price list would change, as tables for a person."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rich.text import Text

from tappetry.catalogue.price_list import ProposedRow, RowKind
from tappetry.cli.tables import heading, table

if TYPE_CHECKING:
    from decimal import Decimal

    from rich.console import RenderableType

    from tappetry.catalogue.price_list import Proposal
    from tappetry.services.text_check import Checked, JobEffect, LineEffect


def proposal_tables(proposed: Proposal) -> Iterator[RenderableType]:
    """Rows that change something, those that cannot be taken, and what is gone."""
    rows = [row for row in proposed.rows if not row.refused and row.kind is not RowKind.SAME]
    same = sum(row.kind is RowKind.SAME for row in proposed.rows if not row.refused)
    yield Text(
        f"{len(rows)} rows would change something, {same} are as listed, "
        f"{len(proposed.refused) + len(proposed.unreadable)} cannot be taken.",
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
    if proposed.unreadable:
        yield heading("Cannot be read")
        yield table(
            ("line", "as it stands", "why"),
            (
                (str(row.line), ", ".join(row.cells), "; ".join(each.message for each in row.complaints))
                for row in proposed.unreadable
            ),
            right=("line",),
        )
    if proposed.gone:
        yield heading("Gone: the list no longer names them")
        yield table(
            ("part", "what it is", "status"),
            ((part.number, part.description, part.status) for part in proposed.gone),
        )


def kit_tables(found: Checked) -> Iterator[RenderableType]:
    """What it would change in the kits of the open jobs, those first that would have none any more."""
    left = f"; {found.left} more were not looked at" if found.left else ""
    yield heading("Kits of open jobs")
    yield Text(f"{len(found.jobs)} looked at, {len(found.effects)} would change{left}.")
    if found.effects:
        yield table(
            ("job", "total", "becomes", "we pay", "becomes", "what else"),
            (
                (each.job, *(_sum(amount) for amount in _sums(each)), _what_else(each))
                for each in sorted(found.effects, key=lambda each: not each.worse)
            ),
        )


def _sums(each: JobEffect) -> tuple[Decimal | None, ...]:
    return each.old, each.new, each.old_cost, each.new_cost


def _sum(amount: Decimal | None) -> str:
    return "no kit" if amount is None else f"{amount:.2f}"


def _what_else(each: JobEffect) -> str:
    lines = [f"{line.description} {line.part}: {_of_line(line)}" for line in each.lines]
    proofs = [
        f"{proof.title}: {proof.old or 'not made'} becomes {proof.new or 'not made'}" for proof in each.proofs
    ]
    return "; ".join([*([each.said] if each.said else []), *lines, *proofs])


def _of_line(line: LineEffect) -> str:
    bought = f"{line.old} becomes {line.new}, " if line.old != line.new else ""
    return f"{bought}{line.money:+.2f}"


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
