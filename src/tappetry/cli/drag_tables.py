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
from tappetry.records.problems import Refusal
from tappetry.services.differences import Difference
from tappetry.services.drag import Along, Drag, Dragged, DragLists

#: Whose grounds say why a choice is refused; the others say what was asked for.
SPEAK_AGAINST = ("rule ", "gate ")


def brief(lists: DragLists, teller: Teller) -> Iterator[RenderableType]:
    """One row for each other choice: what it costs, which needs it changes, or why it is refused."""
    yield from _present(lists)
    yield table(
        ("if", "total", "hours", "days", "drags along"),
        (row for drag in lists.drags for row in _rows(drag, teller)),
        right=("total", "hours", "days"),
    )
    if lists.drags:
        first = lists.drags[0]
        yield Text(f"In full: tappetry drag JOB {first.field}={first.other}", style="dim")


def in_full(lists: DragLists, teller: Teller) -> Iterator[RenderableType]:
    """Every change that a choice brings about, by what it hangs on; then the way back."""
    yield from _present(lists)
    for drag in lists.drags:
        now, there = _clauses(drag, teller)
        yield heading(f"If {there}")
        if drag.dragged.side.refusal is not None:
            yield problem(drag.dragged.side.refusal)
        yield from _there_and_back(drag.dragged, now, teller)
        if drag.along is not None:
            before, further = _clauses(drag.along, teller)
            yield heading(f"If {there} and {further}")
            yield from _there_and_back(drag.along.dragged, f"{now} and {before}", teller)


def _there_and_back(dragged: Dragged, now: str, teller: Teller) -> Iterator[RenderableType]:
    """What changes, then what changes back."""
    if dragged.there is not None and dragged.back is not None:
        yield Text(teller.money(dragged.there))
        yield from _groups(dragged.there, teller)
        yield heading(f"And back, if {now}")
        yield Text(teller.money(dragged.back))
        yield from _groups(dragged.back, teller)


def _clauses(each: Drag | Along, teller: Teller) -> tuple[str, str]:
    """What the plan says now, and what it would say."""
    return (
        choice(each.field, each.now, teller.knowledge),
        choice(each.field, each.other, teller.knowledge),
    )


def _present(lists: DragLists) -> Iterator[RenderableType]:
    """What the plan comes to as it is."""
    kit = lists.present.kit
    if kit is None or kit.totals is None:
        yield Text(f"{lists.present.title}: refused as it is planned", style="bold")
        if lists.present.refusal is not None:
            yield problem(lists.present.refusal)
    else:
        yield Text(f"{lists.present.title}: {words.amount(kit.totals.total)} as it is planned", style="bold")


def _rows(drag: Drag, teller: Teller) -> Iterator[tuple[Cell, ...]]:
    """A choice; beneath it, where it is refused alone, the further choice that it drags along."""
    yield _row(_clauses(drag, teller)[1], drag.dragged, teller)
    if drag.along is not None:
        yield _row(f"  and {_clauses(drag.along, teller)[1]}", drag.along.dragged, teller)


def _row(name: str, dragged: Dragged, teller: Teller) -> tuple[Cell, ...]:
    if dragged.there is not None:
        change = dragged.there
        total = f"{'+' if change.total > 0 else ''}{words.amount(change.total)}"
        hours = f"{'+' if change.hours > 0 else ''}{words.hours(change.hours)}"
        return name, total, hours, f"{change.days:+d}" if change.days else "0", _needs(change, teller)
    kit, refusal = dragged.side.kit, dragged.side.refusal
    if kit is not None and kit.totals is not None:
        return name, words.amount(kit.totals.total), "", "", "gives a kit, which the plan as it is does not"
    return name, "refused", "", "", Text(_reason(refusal) if refusal is not None else "", style="red")


def _reason(refusal: Refusal) -> str:
    """A refusal in one phrase: its arithmetic, else the rules and gates that speak against it."""
    rules = [ground.text for ground in refusal.grounds if ground.owner.startswith(SPEAK_AGAINST)]
    said = rules or [ground.text for ground in refusal.grounds[:1]]
    return refusal.arithmetic or "; ".join(dict.fromkeys(text.partition(" (")[0] for text in said))


def _needs(difference: Difference, teller: Teller) -> str:
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
