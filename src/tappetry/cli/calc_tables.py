"""Calculations for a person: the list, the card of one, and a result."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from tappetry.cli.tables import heading, table
from tappetry.services.calculate import Calculated, Calculation, Reading
from tappetry.services.calculation_cards import default_text, range_text, unit_text


def names(calculations: Iterable[Calculation]) -> RenderableType:
    """Every name with its title, by chapter."""
    shown: list[RenderableType] = []
    for chapter, group in groupby(calculations, key=lambda each: each.chapter):
        shown.append(heading(chapter))
        shown.append(table(("name", "what it gives"), ((each.name, each.title) for each in group)))
    return Group(*shown)


def card(calculation: Calculation) -> Iterator[RenderableType]:
    """What a calculation is, takes and gives."""
    yield Text(calculation.title, style="bold")
    yield Text(calculation.formula)
    yield table(
        ("input", "what it is", "what it may be", "left out"),
        (
            (each.name, _what(each.description, each.qualifier), range_text(each), default_text(each))
            for each in calculation.inputs
        ),
    )
    yield table(
        ("output", "what it is", "unit"),
        (
            (each.name, _what(each.description, each.qualifier), unit_text(each.display_unit).strip())
            for each in calculation.outputs
        ),
    )
    yield from _said(calculation)


def done(calculated: Calculated) -> Iterator[RenderableType]:
    """The outputs, with the inputs they were made of."""
    yield Text(calculated.calculation.title, style="bold")
    yield Text(calculated.calculation.formula)
    columns, right = ("value", "unit", "what it is"), ("value",)
    yield table(("input", *columns), map(_row, calculated.inputs), right)
    yield table(("output", *columns), map(_row, calculated.outputs), right)
    yield from _said(calculated.calculation)


def _row(given: Reading) -> tuple[str, str, str, str]:
    return given.name, _figure(given.value), unit_text(given.unit).strip(), given.description


def _figure(value: Any) -> str:
    """A value as a person reads it: six significant digits."""
    if isinstance(value, list):
        return "; ".join(map(_figure, value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def _what(description: str, qualifier: str) -> str:
    return f"{description} ({qualifier})" if qualifier else description


def _said(calculation: Calculation) -> Iterator[RenderableType]:
    for source in calculation.sources:
        memory = ", from memory" if source.from_memory else ""
        yield Text(f"source: {source.text} ({source.kind}{memory})", style="dim")
    for caution in calculation.cautions:
        yield Text(f"caution: {caution}", style="yellow")
