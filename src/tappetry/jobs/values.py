"""Reads one value of an attribute as a person typed it: number with unit, choice, truth, list or text."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any

from tappetry.knowledge.units import SUFFIXES
from tappetry.quantities import notation
from tappetry.quantities.tolerance import Origin, Spread, Toleranced
from tappetry.quantities.units import from_si, to_si
from tappetry.records.evidence import Value
from tappetry.records.family import AttributeSchema

Reading = tuple[Value, str, float | None, str]


def read_value(schema: AttributeSchema, raw: Any) -> Reading:
    """The value in the attribute's own unit, the unit, the SI value and the text as typed.

    Raises
    ------
    ValueError
        The value does not suit the attribute; the message says what was expected.
    """
    if schema.type == "truth":
        return _truth(schema, raw), "", None, ""
    if schema.type == "list":
        items = raw if isinstance(raw, list) else [raw]
        return tuple(str(item) for item in items), "", None, ""
    if schema.type in {"quantity", "count"}:
        return _number(schema, raw)
    if schema.type == "choice":
        return _choice(schema, raw), "", None, ""
    if isinstance(raw, list | dict) or raw is None:
        raise ValueError(f"{schema.id} wants a text")
    return str(raw), "", None, ""


def read_tolerance(schema: AttributeSchema, raw: Any, spread: Any = None) -> Toleranced | None:
    """The spread that was stated with a value, in SI units; None where none was.

    Limits stand with the value itself (``12.5 mm ±0.05``); ``spread`` is one standard deviation of readings.

    Raises
    ------
    ValueError
        The spread does not suit the attribute; the message says what was expected.
    """
    is_quantity = schema.type == "quantity" and bool(schema.kind)
    if spread is not None and not is_quantity:
        raise ValueError(f"{schema.id} is no quantity with a kind, and takes no spread")
    if not is_quantity or not isinstance(raw, str | int | float) or isinstance(raw, bool):
        return None
    symbol = SUFFIXES.get(schema.unit, schema.unit)
    value = notation.parse(str(raw), schema.kind, default_unit=symbol)
    if spread is not None:
        if value.tolerance_plus is not None:
            raise ValueError(f"{schema.id} states limits and a standard deviation; one of them is enough")
        width = notation.parse(str(spread), schema.kind, default_unit=symbol).si
        return Toleranced(value.si, width, width, Spread.STANDARD_DEVIATION, Origin.STATED)
    return None if value.tolerance_plus is None else Toleranced.stated(value)


def _truth(schema: AttributeSchema, raw: Any) -> bool:
    if isinstance(raw, bool):
        return raw
    if isinstance(raw, str) and raw.lower() in {"yes", "true", "no", "false"}:
        return raw.lower() in {"yes", "true"}
    raise ValueError(f"{schema.id} wants yes or no")


def _choice(schema: AttributeSchema, raw: Any) -> str:
    text = str(raw)
    if isinstance(raw, bool):
        text = "none" if not raw and "none" in schema.values else str(raw)
    if text in schema.values:
        return text
    close = get_close_matches(text, schema.values, 1)
    hint = f"; did you mean {close[0]}?" if close else ""
    raise ValueError(f"{schema.id} wants one of {', '.join(schema.values)}{hint}")


def _number(schema: AttributeSchema, raw: Any) -> Reading:
    if isinstance(raw, bool) or not isinstance(raw, int | float | str):
        raise ValueError(f"{schema.id} wants a number")
    symbol = SUFFIXES.get(schema.unit, schema.unit)
    if schema.type == "count" or not schema.kind:
        try:
            value = float(raw)
        except ValueError:
            raise ValueError(f"{schema.id} wants a number") from None
        si, as_read = None, ""
    elif isinstance(raw, str):
        quantity = notation.parse(raw, schema.kind, default_unit=symbol)
        si, as_read = quantity.si, quantity.show()
        value = float(from_si(si, symbol, schema.kind))
        if quantity.unit == symbol:
            value = float(quantity.number)
    else:
        value, as_read = float(raw), ""
        si = to_si(value, symbol, schema.kind)
    _in_range(schema, value)
    return value, schema.unit, si, as_read


def _in_range(schema: AttributeSchema, value: float) -> None:
    low, high = schema.min, schema.max
    if value != value or value in {float("inf"), float("-inf")}:
        raise ValueError(f"{schema.id} wants a finite number")
    if (low is not None and value < low) or (high is not None and value > high):
        ends = ["" if end is None else f"{end:g}" for end in (low, high)]
        limits = f"{ends[0]}..{ends[1]} {schema.unit}".strip()
        raise ValueError(f"{schema.id} = {value:g} {schema.unit} is outside {limits}")
