"""Calculations for a person: the list, the card of one, and a result."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby, zip_longest
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from tappetry.cli.tables import heading, table
from tappetry.quantities.tolerance import Toleranced
from tappetry.services.bands import CONFIDENCE, Band, Bands, Drawn
from tappetry.services.calculate import Calculated, Calculation, Input, Output, Reading
from tappetry.services.calculation_cards import (
    default_text,
    in_trade_unit,
    range_text,
    unit_text,
    what_it_is,
    width_in_trade_unit,
)


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
        ((each.name, what_it_is(each), range_text(each), default_text(each)) for each in calculation.inputs),
    )
    yield table(
        ("output", "what it is", "unit"),
        ((each.name, what_it_is(each), unit_text(each.display_unit).strip()) for each in calculation.outputs),
    )
    yield from _said(calculation)


def done(calculated: Calculated) -> Iterator[RenderableType]:
    """The outputs, with the inputs they were made of."""
    yield Text(calculated.calculation.title, style="bold")
    yield Text(calculated.calculation.formula)
    columns, right = ("value", "unit", "what it is"), ("value",)
    taken = {each.name: each for each in calculated.calculation.inputs}
    rows = (_row(each, _tolerances(each, taken[each.name])) for each in calculated.inputs)
    yield table(("input", *columns), rows, right)
    yield table(("output", *columns), map(_row, calculated.outputs), right)
    if calculated.bands:
        yield from _bands(calculated, calculated.bands)
    yield from _said(calculated.calculation)


def _bands(calculated: Calculated, bands: Bands) -> Iterator[RenderableType]:
    """The band of every output that has one, what it would be at worst, and what it rests on."""
    outputs = {each.name: each for each in calculated.calculation.outputs}
    yield table(
        ("band", "from", "to", "unit", "at worst"),
        (_band_row(outputs[name], band) for name, band in bands.of.items()),
        ("from", "to"),
    )
    yield Text(
        f"The band holds {CONFIDENCE:.0%}. Tolerances were stated as limits: each value is taken to lie "
        "anywhere alike between them, and each apart from the others.",
        style="dim",
    )
    for name, band in bands.of.items():
        most = max(band.shares, key=lambda each: band.shares[each], default="")
        if len(band.shares) > 1:
            yield Text(f"Most of {name}'s variance comes from {most}: {band.shares[most]:.0%}.", style="dim")
        if band.drawn:
            yield Text(_beside_first_order(outputs[name], band, band.drawn), style="yellow")


def _band_row(output: Output, band: Band) -> tuple[str, ...]:
    low, high, worst_low, worst_high = (
        _figure(in_trade_unit(end, output)) for end in (band.low, band.high, band.worst_low, band.worst_high)
    )
    unit = unit_text(output.display_unit).strip()
    return output.name, low, high, unit, f"{worst_low} to {worst_high}"


def _beside_first_order(output: Output, band: Band, drawn: Drawn) -> str:
    """What the first order would say of a result that is strongly bent."""
    one, other = (
        _figure(width_in_trade_unit(size, band.mean, output)) for size in (band.deviation, drawn.deviation)
    )
    return (
        f"{output.name} is strongly bent within the tolerances: its standard uncertainty is {one} to first "
        f"order and {other} by {drawn.count} draws; the band is that of the draws."
    )


def _row(given: Reading, tolerances: tuple[str, ...] = ()) -> tuple[str, str, str, str]:
    values = given.value if isinstance(given.value, list) else [given.value]
    said = "; ".join(f"{_figure(value)}{off}" for value, off in zip_longest(values, tolerances, fillvalue=""))
    return given.name, said, unit_text(given.unit).strip(), given.description


def _tolerances(given: Reading, taken: Input) -> tuple[str, ...]:
    """The tolerance of each value of an input, as it is written behind it."""

    def text(spread: Toleranced) -> str:
        plus, minus = (
            _figure(width_in_trade_unit(width, spread.nominal, taken))
            for width in (spread.plus, spread.minus)
        )
        return f" ±{plus}" if plus == minus else f" +{plus}/-{minus}"

    return tuple(text(spread) if spread else "" for spread in given.spreads)


def _figure(value: Any) -> str:
    """A value as a person reads it: six significant digits."""
    if isinstance(value, list):
        return "; ".join(map(_figure, value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def _said(calculation: Calculation) -> Iterator[RenderableType]:
    for source in calculation.sources:
        memory = ", from memory" if source.from_memory else ""
        yield Text(f"source: {source.text} ({source.kind}{memory})", style="dim")
    for caution in calculation.cautions:
        yield Text(f"caution: {caution}", style="yellow")
