"""Kits side by side for the terminal: what each comes to, and what changes from one to the other in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from tappetry.cli.tables import heading, table
from tappetry.presentation import words
from tappetry.presentation.differences import Teller, days
from tappetry.presentation.tables import problem
from tappetry.quantities.calendar import add_working_days
from tappetry.records.kit import Kit
from tappetry.services.differences import Difference, latest_arrival
from tappetry.services.front import Front, Point
from tappetry.services.sides import Side

Pair = tuple[tuple[Side, Side], Difference | None]
ROWS = ("lines", "reused", "parts", "services", "hours", "labour", "total", "last part after", "here on")


def pages(sides: Sequence[Side], pairs: Iterable[Pair], teller: Teller) -> Iterator[RenderableType]:
    """What each kit comes to, what stays in the engine, and what changes from kit to kit."""
    yield _sums(sides)
    yield from _reused([side for side in sides if side.kit is not None], teller)
    for side in sides:
        if side.refusal is not None:
            yield heading(side.title)
            yield problem(side.refusal)
    for (before, after), each in pairs:
        if each is not None:
            yield heading(f"From {before.title} to {after.title}: {teller.money(each)}")
            yield changes_table(each, teller)


def _sums(sides: Sequence[Side]) -> Table:
    titles = [side.title for side in sides]
    return table(("", *titles), ((row, *(_cell(side, row) for side in sides)) for row in ROWS), right=titles)


def _cell(side: Side, row: str) -> str:
    kit = side.kit
    if kit is None or kit.totals is None:
        return "refused" if row == "total" else ""
    cells = {
        "lines": str(len(kit.lines)),
        "reused": str(len(_needs_reused(kit))),
        "parts": words.amount(kit.totals.parts),
        "services": words.amount(kit.totals.services),
        "hours": words.hours(kit.totals.hours),
        "labour": words.amount(kit.totals.labour),
        "total": words.amount(kit.totals.total),
        "last part after": days(latest_arrival(kit)),
        "here on": words.day(add_working_days(side.job.date, latest_arrival(kit))),
    }
    return cells[row]


def _needs_reused(kit: Kit) -> tuple[str, ...]:
    return tuple(dict.fromkeys(kept.need for kept in kit.kept if kept.state == "reuse"))


def _reused(sides: Sequence[Side], teller: Teller) -> Iterator[RenderableType]:
    """What stays in the engine in every kit, and what stays only in some."""
    stays = {side.name: _needs_reused(side.kit) for side in sides if side.kit is not None}
    always = [need for need in next(iter(stays.values()), ()) if all(need in each for each in stays.values())]
    if always:
        yield Text(f"Reused in {'each' if len(sides) > 1 else 'it'}: {_titles(always, teller)}.")
    for side in sides:
        here = [need for need in stays[side.name] if need not in always]
        if here:
            yield Text(f"Besides, in {side.title}: {_titles(here, teller)}.")


def _titles(needs: Iterable[str], teller: Teller) -> str:
    return words.listed(teller.titles.get(need, words.title(need)) for need in needs)


def changes_table(difference: Difference, teller: Teller) -> RenderableType:
    """Every change in a sentence, with the money of its lines; then work, checks and gates."""
    rows = [(teller.change(change), signed(change.money)) for change in difference.changes]
    rows += rest(difference, teller)
    return table(("what changes", "lines"), rows, right=("lines",)) if rows else Text("Nothing changes.")


def rest(difference: Difference, teller: Teller) -> Iterator[tuple[str, str]]:
    """Work with its hours, checks that turn or move, gates that say something else."""
    for what, hours in teller.operations(difference):
        yield what, f"{_sign(hours)}{words.hours(hours)} h"
    for said in (*teller.proofs(difference), *teller.findings(difference)):
        yield said, ""


def signed(value: Decimal) -> str:
    """An amount with its sign; nothing where it is nothing."""
    return f"{_sign(value)}{words.amount(value)}" if value else ""


def _sign(value: Decimal) -> str:
    return "+" if value > 0 else ""


# ---- days ------------------------------------------------------------------------------------------------


def days_pages(front: Front, teller: Teller) -> Iterator[RenderableType]:
    """The best kit for each day, what each step costs, and why nothing is here earlier."""
    if front.points:
        yield table(
            ("last part after", "here on", "total", "landed cost", "proved", "waits for"),
            (_point_row(point) for point in front.points),
            right=("total", "landed cost"),
        )
    for point in front.points:
        if point.step is not None:
            yield heading(f"Here after {days(point.days)}: {teller.money(point.step)}")
            yield changes_table(point.step, teller)
            for reason in point.gives_up:
                yield Text(f"This gives up what the house prefers: {reason}.")
    if front.no_earlier is not None:
        yield heading("Why nothing is here earlier")
        yield problem(front.no_earlier)


def _point_row(point: Point) -> tuple[str, ...]:
    assert point.kit.totals is not None
    waits = [line.description for line in point.kit.lines if line.lead_days == point.days]
    return (
        days(point.days),
        words.day(point.day),
        words.amount(point.kit.totals.total),
        words.amount(point.kit.landed_cost),
        "yes" if point.kit.proved_optimal else "no",
        words.listed(waits) if point.days else "",
    )
