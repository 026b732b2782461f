"""A kit as pages of tables, from the engine to what stays over."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rich.console import RenderableType
from rich.text import Text

from tappetry.cli.identification import findings_tables, identification_tables
from tappetry.cli.tables import heading, table
from tappetry.presentation import words
from tappetry.presentation.tables import (
    doubt_note,
    kit_tables,
    operations_table,
    proofs_table,
    remedies_table,
    totals_table,
)
from tappetry.records.kit import Kit
from tappetry.services.kits import KitResult


def kit_pages(result: KitResult, titles: Mapping[str, str]) -> Iterator[RenderableType]:
    """All that is known of a job: engine, gates, order, labour, proofs, money, what is open."""
    kit, job = result.kit, result.job
    yield Text(f"{job.id}  {job.title}", style="bold")
    yield from identification_tables(result.identification)
    yield from findings_tables("Gates and findings", kit.findings)
    yield heading("The order, what stays, what is left out, what is not known")
    yield kit_tables(kit, titles)
    if kit.left_over:
        yield heading("Left over")
        yield table(
            ("pieces", "what", "out of", "why"),
            ((str(each.pieces), each.item, each.part, each.reason) for each in kit.left_over),
            right=("pieces",),
        )
    yield heading("Labour")
    yield operations_table(kit)
    yield heading("Proofs")
    yield proofs_table(kit.proofs)
    yield doubt_note(kit.proofs)
    tried = remedies_table(kit.proofs)
    if tried is not None:
        yield heading("What was tried for the proofs that do not hold")
        yield tried
    yield from _open(kit)
    if kit.totals is not None:
        yield heading("Money")
        yield totals_table(kit.totals)
    if kit.unknowns or any(line.holds for line in kit.lines):
        yield heading("Ask next")
        yield Text("What to find out first, and what each answer decides: tappetry ask JOB")
    yield from _notes(kit)


def _open(kit: Kit) -> Iterator[RenderableType]:
    """What may not be ordered yet, and what the price does not hold."""
    holds = [(line.part, line.description, "\n".join(line.holds)) for line in kit.lines if line.holds]
    if holds:
        yield heading("On hold")
        yield table(("part", "what", "do not order before"), holds)
    for allowance in kit.allowances:
        yield Text(f"allowance: {allowance}")


def _notes(kit: Kit) -> Iterator[RenderableType]:
    """What goes to others in writing, the law, the cautions, and how far the kit is proved."""
    if kit.notes:
        yield heading("Told in writing")
        yield table(("to", "what", "or else"), ((note.to, note.text, note.why) for note in kit.notes))
    if kit.legal_note:
        yield heading("Law")
        yield Text(kit.legal_note)
    if kit.cautions:
        yield heading("Cautions")
        for caution in kit.cautions:
            yield Text(f"- {caution}", style="yellow")
    proved = "Proved optimal: by the shop's order of preferences there is no better kit."
    if not kit.proved_optimal:
        open_stages = words.listed(name for name, _, done in kit.stages if not done)
        proved = f"Not proved optimal: a better kit may exist (open: {open_stages or 'all stages'})."
    yield Text(f"\n{proved}", style="bold")
    yield Text(f"knowledge {kit.knowledge_version}, catalogue {kit.catalogue_version}", style="dim")
