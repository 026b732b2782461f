"""What a registered calculation takes, in the units and words of the trade."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from tappetry.calculations.model import TEXT, Input, Output
from tappetry.quantities.unit_table import KINDS
from tappetry.quantities.units import from_si


@dataclass(frozen=True, slots=True)
class Limits:
    """The ends of a range; None where there is none. ``low_excluded``: the low end itself is outside."""

    low: float | None
    high: float | None
    low_excluded: bool


def limits(taken: Input) -> Limits:
    """The ends of an input's range in the trade's unit."""
    if taken.range is None:
        return Limits(None, None, False)
    low, high = (
        in_trade_unit(end, taken) if math.isfinite(end) else None
        for end in (taken.range.low, taken.range.high)
    )
    return Limits(low, high, taken.range.low_excluded)


def range_text(taken: Input) -> str:
    """What an input may be: ``above 0 to 1.1811 in``, or its choices."""
    if taken.kind == TEXT:
        return " | ".join(taken.choices) or "any text"
    ends = limits(taken)
    low = "" if ends.low is None else f"{'above' if ends.low_excluded else 'from'} {ends.low:.6g}"
    high = "" if ends.high is None else f"to {ends.high:.6g}"
    numbers = (" ".join(end for end in (low, high) if end) or "any number") + unit_text(taken.display_unit)
    return f"{numbers}, or flat" if taken.range is not None and taken.range.may_be_infinite else numbers


def default_value(taken: Input) -> Any:
    """What is taken where an input is left out, in the trade's unit; None where nothing is."""
    return in_trade_unit(taken.default, taken)


def default_text(taken: Input) -> str:
    """What is taken where an input is left out, in words."""
    if taken.required:
        return ""
    value = default_value(taken)
    if isinstance(value, float):
        return f"{value:.6g}{unit_text(taken.display_unit)}"
    return str(value) if value is not None else "may be left out"


def in_trade_unit(si: Any, quantity: Input | Output) -> Any:
    """A value, or a list of values, in the trade's unit; texts, truths and nothing stay as they are."""
    if isinstance(si, list):
        return [in_trade_unit(each, quantity) for each in si]
    if isinstance(si, bool) or not isinstance(si, int | float):
        return si
    if quantity.kind not in KINDS or not math.isfinite(si):
        return si
    return from_si(si, quantity.display_unit, quantity.kind)


def width_in_trade_unit(width: float, at: float, quantity: Input | Output) -> float:
    """A distance at a value in SI, in the trade's unit; a temperature's zero does not count in it."""
    return float(in_trade_unit(at + width, quantity) - in_trade_unit(at, quantity))


def what_it_is(quantity: Input | Output) -> str:
    """What a quantity is and what it refers to, as crank or cam, gauge or absolute."""
    return f"{quantity.description} ({quantity.qualifier})" if quantity.qualifier else quantity.description


def unit_text(unit: str) -> str:
    """A unit behind a number; nothing for a number that has none."""
    return "" if unit == "1" else f" {unit}"
