"""What a measurement changes, for the terminal: the proofs of the parts as ordered, then the lines."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from tappetry.cli.compare_tables import changes_table
from tappetry.cli.tables import heading, table
from tappetry.presentation import words
from tappetry.presentation.differences import Teller
from tappetry.presentation.tables import doubt_note, problem
from tappetry.records.verdict import Proof
from tappetry.services.measured import Measured


def measured_pages(found: Measured, teller: Teller) -> Iterator[RenderableType]:
    """The proofs that a measurement moves, and the lines that become others for it."""
    moved = list(found.moved())
    yield heading("The parts as ordered, before and after the measurement")
    if moved:
        rows = ((after.title, _told(before), _told(after)) for before, after in moved)
        yield table(("proof", "as stated", "as measured"), rows)
        yield doubt_note(tuple(after for _, after in moved))
    else:
        yield Text("No proof hangs on it.")
    if found.after.refusal is not None:
        yield heading("There is no kit any more")
        yield problem(found.after.refusal)
    elif found.difference is not None and found.difference.bought:
        yield heading(f"Lines change: {teller.money(found.difference)}")
        yield changes_table(found.difference, teller)
    else:
        yield Text("No line changes.", style="bold")


def _told(proof: Proof | None) -> str:
    """Margin, band, verdict and chance in a few lines."""
    if proof is None:
        return "not asked"
    margin = words.signed_figure(proof.margin, proof.unit)
    said = [" ".join(filter(None, (margin, words.band(proof)))), words.OUTCOMES[words.outcome(proof)]]
    if proof.chance_of_failing is not None:
        said.append(f"fails {words.chance(proof.chance_of_failing)}")
    return "\n".join(said)
