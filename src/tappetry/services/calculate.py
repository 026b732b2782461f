"""Runs a registered calculation from values as a person writes them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from math import inf
from typing import Any

from tappetry.calculations.model import TEXT, Calculation, Input, Output, closest
from tappetry.calculations.registry import UnknownCalculation, registry
from tappetry.engineering.ranges import OutOfRange
from tappetry.quantities.marks import MarkError
from tappetry.quantities.money import MoneyError
from tappetry.quantities.notation import NotationError, parse
from tappetry.quantities.tolerance import Origin, Spread, Toleranced
from tappetry.quantities.unit_table import KINDS
from tappetry.quantities.units import UnitError, exact_si, find_unit
from tappetry.records.problems import BadInput, Complaints, Where
from tappetry.services.bands import Bands, Varied, bands
from tappetry.services.calculation_cards import default_value, in_trade_unit, range_text, what_it_is
from tappetry.services.references import without_reference

__all__ = [
    "Calculated",
    "Calculation",
    "Input",
    "Output",
    "Reading",
    "calculate",
    "calculations",
    "find_calculation",
]

INFINITE = ("flat", "infinite", "inf")
"""How a size without end is written, as the radius of a flat face."""
PLUS_MINUS = re.compile(r"±|\+/[-−]")


@dataclass(frozen=True, slots=True)
class Reading:
    """One value of a calculation: in the trade's unit, as it was typed, and in the SI unit.

    An input that was not typed but taken by default has an empty ``as_read``. ``spreads`` holds the tolerance
    of each value of an input, in the SI unit, and None for one that was stated without.
    """

    name: str
    value: Any
    unit: str
    si: Any
    si_unit: str
    description: str
    as_read: str = ""
    spreads: tuple[Toleranced | None, ...] = ()


@dataclass(frozen=True, slots=True)
class Calculated:
    """A calculation with its inputs and outputs, and their bands where a tolerance was stated."""

    calculation: Calculation
    inputs: tuple[Reading, ...]
    outputs: tuple[Reading, ...]
    bands: Bands | None = None


def calculations() -> tuple[Calculation, ...]:
    """Every registered calculation, in the order of their chapters."""
    return registry().calculations


def find_calculation(name: str) -> Calculation:
    """The calculation of a name.

    Raises
    ------
    BadInput
        There is none; the closest is named.
    """
    try:
        return registry().get(name)
    except UnknownCalculation as error:
        hint = f"; did you mean {error.closest}?" if error.closest else ""
        raise BadInput.at(
            Where(field="calculation"),
            f"there is no such calculation{hint}",
            name,
            "" if hint else "a name from `tappetry calc --list`",
        ) from None


def calculate(name: str, words: Iterable[str]) -> Calculated:
    """Run a calculation.

    Parameters
    ----------
    name : str
        Its name in the registry.
    words : iterable of str
        Each ``input=value``, the value with or without a unit; without one the trade's unit is meant. An
        input that takes several values is stated several times. A value may carry a tolerance, as
        ``12.5 mm ±0.05``; the results then have bands.

    Raises
    ------
    BadInput
        No such calculation or input, an input missing, a value that cannot be read or is out of its range,
        alone or with its tolerance.
    """
    calculation = find_calculation(name)
    texts = _texts(calculation, words)
    readings = _readings(calculation, texts)
    try:
        results = calculation.evaluate({name: each.si for name, each in readings.items()})
    except OutOfRange as error:
        raise _out_of_range(calculation, error, readings) from None
    except (MarkError, MoneyError, UnitError) as error:
        raise BadInput.at(Where(field=calculation.name), str(error)) from None
    return Calculated(
        calculation,
        tuple(
            readings.get(each.name) or _reading(each, default_value(each), each.default)
            for each in calculation.inputs
            if each.name in readings or each.default is not None
        ),
        tuple(_result(each, results[each.name]) for each in calculation.outputs),
        _bands(calculation, readings),
    )


def _bands(calculation: Calculation, readings: Mapping[str, Reading]) -> Bands | None:
    """The bands of the results, where an input was stated with a tolerance."""
    varied = [
        Varied(name, spread, place if isinstance(each.si, list) else None)
        for name, each in readings.items()
        for place, spread in enumerate(each.spreads)
        if spread is not None and spread.plus + spread.minus > 0.0
    ]
    if not varied:
        return None
    kinds = {each.name: each for each in calculation.inputs}
    complaints = Complaints()
    for each in varied:
        taken, read = kinds[each.name], readings[each.name]
        ends = (each.spread.nominal - each.spread.minus, each.spread.nominal + each.spread.plus)
        if taken.range is not None and not all(map(taken.range.contains, ends)):
            where = Where(field=f"{calculation.name}, {each.label}")
            message = f"with its tolerance the value is out of range: {taken.description}"
            complaints.add(where, message, read.as_read, range_text(taken))
    complaints.raise_if_any()
    inputs = {name: each.si for name, each in readings.items()}
    lists = any(each.place is not None for each in varied)
    words = any(each.kind == TEXT for each in calculation.inputs)
    try:
        return bands(calculation.evaluate, inputs, varied, singly=lists or words)
    except OutOfRange as error:
        message = f"within the tolerances the calculation does not hold: {error}"
        said = ", ".join(f"{name}={readings[name].as_read}" for name in dict.fromkeys(e.name for e in varied))
        raise BadInput.at(
            Where(field=calculation.name),
            message,
            said,
            "smaller tolerances, or a value farther from the limit",
        ) from None


def _texts(calculation: Calculation, words: Iterable[str]) -> dict[str, list[str]]:
    """The texts of each input; only one that takes several values may be stated several times."""
    several = {each.name for each in calculation.inputs if each.several}
    complaints = Complaints()
    texts: dict[str, list[str]] = {}
    for word in words:
        name, equals, text = word.partition("=")
        name = name.strip().replace("-", "_")
        if not equals or not name:
            complaints.add(Where(field=calculation.name), "an input cannot be read", word, "input=value")
        elif name in texts and name not in several:
            where = Where(field=f"{calculation.name}, {name}")
            complaints.add(where, "the input is stated twice", word, "each input once")
        else:
            texts.setdefault(name, []).append(text.strip())
    complaints.raise_if_any()
    return texts


def _readings(calculation: Calculation, texts: Mapping[str, list[str]]) -> dict[str, Reading]:
    """The inputs as they were typed, all complaints at once."""
    inputs = {each.name: each for each in calculation.inputs}
    complaints = _misfits(calculation, texts)
    readings: dict[str, Reading] = {}
    for name, stated in texts.items():
        if name not in inputs:
            continue
        taken = inputs[name]
        where = Where(field=f"{calculation.name}, {name}")
        if taken.kind == TEXT:
            if taken.choices and stated[0] not in taken.choices:
                complaints.add(where, "there is no such choice", stated[0], range_text(taken))
            readings[name] = _reading(taken, stated[0], stated[0], stated[0])
            continue
        try:
            read = [_number(taken, text) for text in stated]
        except NotationError as error:
            complaints.add(where, error.cause, error.text, range_text(taken))
            continue
        readings[name] = read[0]
        if taken.several:
            values, si = [each.value for each in read], [each.si for each in read]
            spreads = tuple(spread for each in read for spread in each.spreads)
            readings[name] = replace(_reading(taken, values, si, "; ".join(stated)), spreads=spreads)
    complaints.raise_if_any()
    return readings


def _misfits(calculation: Calculation, names: Collection[str]) -> Complaints:
    """Inputs that the calculation does not take, and inputs that it needs."""
    inputs = {each.name: each for each in calculation.inputs}
    complaints = Complaints()
    for name in names:
        if name not in inputs:
            near = closest(name, tuple(inputs))
            hint, expected = (f"; did you mean {near}?", "") if near else ("", "one of " + ", ".join(inputs))
            complaints.add(Where(field=calculation.name), f"it takes no such input{hint}", name, expected)
    for taken in calculation.inputs:
        if taken.required and taken.name not in names:
            needed = f"it needs {taken.name}: {taken.description}"
            complaints.add(Where(field=calculation.name), needed, "", range_text(taken))
    return complaints


def _number(taken: Input, text: str) -> Reading:
    """One number as typed; it is exact in the trade's unit when it was typed in it."""
    if taken.range is not None and taken.range.may_be_infinite and text.lower() in INFINITE:
        return _reading(taken, inf, inf, text)
    if taken.kind not in KINDS:  # a kind that is written in the SI unit only
        return _plain_number(taken, text)
    quantity = parse(without_reference(taken, text), taken.kind, default_unit=taken.display_unit)
    trade = find_unit(taken.display_unit, taken.kind)
    value = exact_si(quantity.number, quantity.unit, taken.kind) / trade.factor - trade.zero
    spread = None if quantity.tolerance_plus is None else Toleranced.stated(quantity)
    return replace(_reading(taken, float(value), quantity.si, text), spreads=(spread,))


def _plain_number(taken: Input, text: str) -> Reading:
    """A number in a SI unit that no shop writes, with or without a tolerance."""
    parts = [part.replace(taken.unit, "").strip() for part in PLUS_MINUS.split(text, maxsplit=1)]
    try:
        number, *off = (float(Decimal(part)) for part in parts)
    except InvalidOperation:
        raise NotationError(text, taken.kind, 0, f"this is no number in {taken.unit}") from None
    spread = Toleranced(number, off[0], off[0], Spread.LIMITS, Origin.STATED) if off else None
    return replace(_reading(taken, number, number, text), spreads=(spread,))


def _out_of_range(calculation: Calculation, error: OutOfRange, readings: Mapping[str, Reading]) -> BadInput:
    """A value that is out of range: as it was typed if it is an input, else in the handbook's words."""
    for taken in calculation.inputs:
        if taken.name == error.quantity and taken.name in readings:
            where = Where(field=f"{calculation.name}, {taken.name}")
            as_read = readings[taken.name].as_read
            if error.limit != (taken.range and taken.range.text(taken.unit)):  # narrower than the registry's
                return BadInput.at(where, str(error), as_read)
            message = f"the value is out of range: {taken.description}"
            return BadInput.at(where, message, as_read, range_text(taken))
    return BadInput.at(Where(field=calculation.name), str(error))


def _result(output: Output, si: Any) -> Reading:
    """An output as plain Python: a number, a truth, a text, or a list of them."""
    plain = si.tolist() if hasattr(si, "tolist") else si
    return _reading(output, in_trade_unit(plain, output), plain)


def _reading(quantity: Input | Output, value: Any, si: Any, as_read: str = "") -> Reading:
    return Reading(
        quantity.name, value, quantity.display_unit, si, quantity.unit, what_it_is(quantity), as_read
    )
