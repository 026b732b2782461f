"""Drag lists for the terminal: all choices in brief, or some in full, there and back."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from tappetry.cli.compare_tables import rest, signed
from tappetry.cli.tables import Cell, heading, table
from tappetry.presentation import words
from tappetry.presentation.differences import Teller, choice, grouped
from tappetry.presentation.tables import problem
from tappetry.services.differences import Difference
from tappetry.services.drag import Drag, DragLists

#: So many reasons of a refusal stand in the brief list.
FEW = 1


def brief(lists: DragLists, teller: Teller) -> Iterator[RenderableType]:
    """One row for each other choice: what it costs, how much it drags along, or why it is refused."""
    yield from _present(lists)
    yield table(
        ("if", "total", "hours", "days", "drags along"),
        (_row(drag, teller) for drag in lists.drags),
        right=("total", "hours", "days"),
    )
    if lists.drags:
        first = lists.drags[0]
        yield Text(f"In full: tappetry drag JOB {first.field}={first.other}", style="dim")


def in_full(lists: DragLists, teller: Teller) -> Iterator[RenderableType]:
    """Every change that a choice brings about, by what it hangs on; then the way back."""
    yield from _present(lists)
    for drag in lists.drags:
        there = choice(drag.field, drag.other, teller.knowledge)
        yield heading(f"If {there}")
        if drag.side.refusal is not None:
            yield problem(drag.side.refusal)
        if drag.there is not None and drag.back is not None:
            yield Text(teller.money(drag.there))
            yield from _groups(drag.there, teller)
            yield heading(f"And back, if {choice(drag.field, drag.now, teller.knowledge)}")
            yield Text(teller.money(drag.back))
            yield from _groups(drag.back, teller)


def _present(lists: DragLists) -> Iterator[RenderableType]:
    """What the plan comes to as it is."""
    kit = lists.present.kit
    if kit is None or kit.totals is None:
        yield Text(f"{lists.present.title}: refused as it is planned", style="bold")
        if lists.present.refusal is not None:
            yield problem(lists.present.refusal)
    else:
        yield Text(f"{lists.present.title}: {words.amount(kit.totals.total)} as it is planned", style="bold")


def _row(drag: Drag, teller: Teller) -> tuple[Cell, ...]:
    name = choice(drag.field, drag.other, teller.knowledge)
    if drag.there is not None:
        change = drag.there
        total = f"{'+' if change.total > 0 else ''}{words.amount(change.total)}"
        hours = f"{'+' if change.hours > 0 else ''}{words.hours(change.hours)}"
        return name, total, hours, f"{change.days:+d}" if change.days else "0", _dragged(change, teller)
    kit, refusal = drag.side.kit, drag.side.refusal
    if kit is not None and kit.totals is not None:
        return name, words.amount(kit.totals.total), "", "", "gives a kit, which the plan as it is does not"
    reasons = [ground.text for ground in refusal.grounds[:FEW]] if refusal is not None else []
    return name, "refused", "", "", Text("; ".join(reasons), style="red")


def _dragged(difference: Difference, teller: Teller) -> str:
    """The needs that are met otherwise."""
    needs = [need for change in difference.changes for need in change.needs]
    return words.listed(teller.titles.get(need, words.title(need)) for need in needs) if needs else "nothing"


def _groups(difference: Difference, teller: Teller) -> Iterator[RenderableType]:
    """The changes by what they hang on, then work, checks and gates."""
    rows: list[tuple[Cell, ...]] = []
    for cause, changes in grouped(difference.changes).items():
        rows.append((Text(teller.origin(cause), style="bold"), ""))
        for change in changes:
            reason = teller.reason(change)
            said = f"  {teller.what(change)}"
            repeated = reason == teller.cause(change.origin)
            rows.append((said if repeated or not reason else f"{said}: {reason}", signed(change.money)))
    rows += list(rest(difference, teller))
    if rows:
        yield table(("what it drags along", "lines"), rows, right=("lines",))
    else:
        yield Text("Nothing changes.")
