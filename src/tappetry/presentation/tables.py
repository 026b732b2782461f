"""Tables for the terminal: the kit, its proofs, labour, totals and refusals, readable without colour."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, TextIO

from rich import box
from rich.console import Console, Group, RenderableType
from rich.table import Column, Table
from rich.text import Text

from tappetry.presentation import words
from tappetry.presentation.bars import drawn
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Proof, Verdict

if TYPE_CHECKING:
    from tappetry.records.kit import Kit, Line, Totals

#: Narrower the tables do not fit, wider the eye loses the line.
NARROWEST, WIDEST = 80, 120

STYLES: dict[str, str] = {
    Verdict.PASS: "green",
    Verdict.NOTE: "cyan",
    words.DOUBT: "yellow",
    Verdict.WARN: "yellow",
    Verdict.SIGN: "yellow",
    Verdict.STOP: "bold red",
    Verdict.UNKNOWN: "dim",
}


def console(file: TextIO | None = None, width: int | None = None) -> Console:
    """A console between 80 and 120 wide; plain text when it is no terminal or NO_COLOR is set."""
    wanted = width if width is not None else shutil.get_terminal_size((NARROWEST, 24)).columns
    held = min(WIDEST, max(NARROWEST, wanted))
    return Console(file=file or sys.stdout, width=held, highlight=False, soft_wrap=False)


def kit_tables(kit: Kit, titles: Mapping[str, str] | None = None) -> RenderableType:
    """The lines of the order; what is met without buying; what is left out; what is not known."""
    named = titles or {}
    shown = [lines_table(kit, named)]
    if kit.kept:
        table = _table("need", "how it is met", "why")
        told = words.told_once(kit.kept)
        for kept in told:
            title = words.kept(kept, told, _title(kept.need, named))
            _row(table, title, words.state(kept.state), kept.text)
        shown.append(table)
    if kit.declined:
        table = _table("left out", "reason to buy", "reason to leave it", "by")
        for offer in kit.declined:
            _row(table, offer.offer, offer.reason_to_buy, offer.reason_to_decline, words.by(offer.by))
        shown.append(table)
    if kit.unknowns:
        table = _table("not known", "how to find out", "hangs on it")
        for unknown in kit.unknowns:
            hangs = words.listed(_title(need, named) for need in unknown.hangs_on_it)
            _row(table, unknown.question, unknown.see, hangs)
        shown.append(table)
    return Group(*shown)


def lines_table(kit: Kit, titles: Mapping[str, str]) -> Table:
    """Every line of the order with what it is for."""
    table = _table("units", "part", "from", "what, and what for", "each", "line")
    for name in ("units", "part", "from", "each", "line"):
        _column(table, name).no_wrap = True
    for name in ("each", "line"):
        _column(table, name).justify = "right"
    for line in kit.lines:
        _row(
            table,
            f"{line.quantity} {line.unit}",
            line.part,
            line.supplier,
            _what(line, titles),
            words.amount(line.unit_price),
            words.amount(line.line_total),
        )
    return table


def operations_table(kit: Kit) -> Table:
    """The labour, each operation once, with its hours."""
    table = _table("code", "operation", "hours")
    _column(table, "hours").justify = "right"
    for operation in kit.operations:
        _row(table, operation.code, operation.what, words.hours(operation.hours))
    if kit.totals is not None:
        table.add_section()
        _row(table, "", Text("all", style="bold"), Text(words.hours(kit.totals.hours), style="bold"))
    return table


def proofs_table(proofs: tuple[Proof, ...]) -> Table:
    """Every proof as a bar: ``|`` the limit, the safe side to its right, ``o`` the value."""
    table = _table("proof", "", "value", "limit", "margin", "verdict")
    for name in ("value", "limit", "margin"):
        _column(table, name).justify = "right"
        _column(table, name).no_wrap = True
    for proof in proofs:
        style = STYLES[words.outcome(proof)]
        _row(
            table,
            "\n".join(filter(None, [proof.title, *_helps(proof), words.worth_measuring(proof)])),
            Text(drawn(proof, 12), style=style, no_wrap=True),
            words.figure(proof.value, proof.unit),
            words.figure(proof.limit, proof.unit),
            "\n".join(filter(None, (words.signed_figure(proof.margin, proof.unit), words.band(proof)))),
            Text("\n".join(filter(None, (_verdict(proof), _chance(proof)))), style=style),
        )
    return table


def doubt_note(proofs: tuple[Proof, ...]) -> Text:
    """What bands and chances mean, and what they rest on; empty where there are none."""
    if all(proof.doubt is None for proof in proofs):
        return Text()
    said = "±: at least 95 in 100 lie so near. Below the verdict: how many such engines would miss the limit."
    return Text(" ".join(filter(None, (said, words.doubt_note(proofs)))), style="dim")


def remedies_table(proofs: tuple[Proof, ...]) -> Table | None:
    """What was tried to mend the proofs that do not hold, what it gives, and what it does to the others."""
    table = _table("for", "what was tried", "gives", "of", "and then", "good")
    for name in ("gives", "of"):
        _column(table, name).justify = "right"
        _column(table, name).no_wrap = True
    for proof in proofs:
        for tried in proof.remedies:
            _row(
                table,
                proof.title,
                tried.text,
                words.figure(tried.value, tried.unit),
                words.figure(tried.limit, tried.unit),
                "\n".join(words.effects(tried)),
                "yes" if tried.good else "not by itself",
            )
    return table if table.row_count else None


def totals_table(totals: Totals) -> Table:
    """The money, the shop's own side last."""
    table = Table(box=None, show_header=False, pad_edge=False)
    table.add_column("what")
    table.add_column(totals.currency, justify="right", no_wrap=True)
    for name in ("parts", "services", "labour", "supplies", "tax"):
        _row(table, name, words.amount(getattr(totals, name)))
    _row(
        table, Text(f"total {totals.currency}", style="bold"), Text(words.amount(totals.total), style="bold")
    )
    _row(table, "deposit to begin", words.amount(totals.deposit))
    if totals.core_charges:
        _row(table, "core deposits, outside the total", words.amount(totals.core_charges))
    _row(table, Text("cost of parts", style="dim"), Text(words.amount(totals.parts_cost), style="dim"))
    _row(table, Text("margin on parts", style="dim"), Text(f"{totals.margin_percent} %", style="dim"))
    _row(table, Text("markup on parts", style="dim"), Text(f"{totals.markup_percent} %", style="dim"))
    return table


def problem(error: Refusal) -> RenderableType:
    """A refusal with its grounds, whose they are, and the ways out."""
    shown: list[RenderableType] = [Text(error.message, style="bold red")]
    if error.grounds:
        grounds = _table("", "because", "says who")
        for number, ground in enumerate(error.grounds, 1):
            _row(grounds, f"{number}.", ground.text, ground.owner)
        shown.append(grounds)
    if error.arithmetic:
        shown.append(Text(error.arithmetic))
    tried, others = error.ways_out[: len(error.tried)], error.ways_out[len(error.tried) :]
    for heading, ways in (("Any one of these gives a kit:", tried), ("What may help:", others)):
        if ways:
            shown.append(Text(heading))
            shown += [Text(f"  - {way}") for way in ways]
    return Group(*shown)


def _table(*columns: str) -> Table:
    table = Table(
        box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0), header_style="bold", expand=False
    )
    for column in columns:
        table.add_column(column, overflow="fold")
    return table


def _row(table: Table, *cells: str | Text) -> None:
    """Add a row; a text is shown as it is, whatever brackets it holds."""
    table.add_row(*(cell if isinstance(cell, Text) else Text(cell) for cell in cells))


def _column(table: Table, name: str) -> Column:
    return next(column for column in table.columns if column.header == name)


def _what(line: Line, titles: Mapping[str, str]) -> Text:
    unsaid = [
        name
        for name in (_title(filled.need, titles) for filled in line.needs)
        if name.lower() not in line.description.lower()
    ]
    text = Text(f"{words.listed(unsaid)}: ", style="dim") if unsaid else Text()
    text.append(line.description, style="not dim")
    if line.use_from_box:
        text.append(f"\n{line.use_from_box}", style="italic")
    for hold in line.holds:
        text.append(f"\nHOLD: {hold}", style="yellow")
    if line.importance != "must":
        text.append(f" ({words.IMPORTANCE.get(line.importance, line.importance)})", style="dim")
    return text


def _verdict(proof: Proof) -> str:
    name = words.OUTCOMES[words.outcome(proof)] if proof.verdict is Verdict.PASS else proof.verdict.value
    return f"{name}, signed" if proof.signed else name


def _helps(proof: Proof) -> list[str]:
    """Further figures and advice on a proof that does not hold."""
    return [text for text in (proof.said, proof.advice) if text and proof.verdict is not Verdict.PASS]


def _chance(proof: Proof) -> str:
    """The chance of failing, in few signs: ``<1/1000``, ``1/6``, ``83 %``."""
    share = proof.chance_of_failing
    if share is None or proof.doubt is None:
        return ""
    if share < words.SMALL:
        return "<1/1000"
    return (
        f"1/{1 / share:.0f}" if share < 0.4 else ">99 %" if share > words.CERTAIN else f"{share * 100:.0f} %"
    )


def _title(need: str, titles: Mapping[str, str]) -> str:
    return titles.get(need, words.title(need))
