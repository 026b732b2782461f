"""What a part may state about itself: the attribute's type and unit, and its values as text."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from typing import Any

from tappetry.knowledge.units import SUFFIXES
from tappetry.quantities.notation import NotationError, parse
from tappetry.quantities.units import from_si
from tappetry.records.evidence import Value

TRUTHS = {"yes": True, "no": False}
PLAIN_NUMBER = re.compile(r"-?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)")
#: Digits kept of a value that was written in another unit than the attribute's own.
CONVERTED_DIGITS = 12
#: Signs that part one value from the next, so that no text may hold them.
PARTING_SIGNS = ";|()="


class ValueProblem(ValueError):
    """A text that is no value of an attribute: what is wrong, and what was expected."""

    def __init__(self, message: str, expected: str) -> None:
        self.message, self.expected = message, expected
        super().__init__(f"{message}; expected {expected}")


@dataclass(frozen=True, slots=True)
class PartAttribute:
    """One attribute of parts.

    ``type`` is quantity, count, text, truth, list or choice. A quantity is kept in ``unit``, the one its name
    ends in. An attribute that is not ``technical`` does not tell parts apart.
    """

    id: str
    title: str
    type: str
    kind: str = ""
    unit: str = ""
    values: tuple[str, ...] = ()
    technical: bool = True

    @property
    def symbol(self) -> str:
        """The unit as people write it: ``lb_in`` is lbf/in; a number without unit has 1."""
        return SUFFIXES.get(self.unit, self.unit) or "1"

    def read(self, text: str) -> Value:
        """The value of a text.

        Raises
        ------
        ValueProblem
            The text is no value of this attribute.
        """
        if not text:
            raise ValueProblem(f"{self.id} has no value", self._expected())
        if self.type == "quantity":
            return self._quantity(text)
        if self.type == "count":
            if not re.fullmatch(r"[0-9]+", text):
                raise ValueProblem(f"{self.id} is a count", "a whole number, not negative")
            return float(text)
        if self.type == "truth":
            if text not in TRUTHS:
                raise ValueProblem(f"{self.id} is true or not", "yes or no")
            return TRUTHS[text]
        if self.type == "list":
            return tuple(item.strip() for item in text.split("|"))
        if "|" in text:
            raise ValueProblem(f"{self.id} takes one value, not a list", self._expected())
        if self.type == "choice" and text not in self.values:
            near = closest(text, self.values)
            raise ValueProblem(
                f"{self.id} has no value {text}{f', closest is {near}' if near else ''}", self._expected()
            )
        return text

    def spread(self, text: str) -> tuple[float, float] | None:
        """How far a value may lie above and below, in its own unit; None where the text does not say."""
        if self.type != "quantity" or PLAIN_NUMBER.fullmatch(text):
            return None
        read = parse(text, self.kind, self.symbol)
        if read.tolerance_plus is None or read.tolerance_minus is None:
            return None
        plus, minus = (
            float(f"{from_si(each, self.symbol, self.kind):.{CONVERTED_DIGITS}g}")
            for each in (read.tolerance_plus, read.tolerance_minus)
        )
        return plus, minus

    def _quantity(self, text: str) -> float:
        if PLAIN_NUMBER.fullmatch(text):
            return float(text)
        try:
            quantity = parse(text, self.kind, self.symbol)
        except NotationError as error:
            raise ValueProblem(f"{self.id} cannot be read: {error}", self._expected()) from None
        if quantity.as_read.unit in {"", self.symbol}:
            return float(quantity.as_read.number)
        return float(f"{from_si(quantity.si, self.symbol, self.kind):.{CONVERTED_DIGITS}g}")

    def _expected(self) -> str:
        if self.type == "choice":
            return "one of " + ", ".join(self.values)
        if self.type == "quantity":
            return f"a {self.kind} in {self.symbol}, or with its unit"
        return {"count": "a whole number", "truth": "yes or no", "list": "values parted by |"}.get(
            self.type, "a text"
        )


def part_attributes(stated: Mapping[str, Mapping[str, Any]]) -> dict[str, PartAttribute]:
    """The attributes as the shop's text states them, by id."""
    return {
        name: PartAttribute(
            id=name,
            title=str(item.get("title", name)),
            type=str(item["type"]),
            kind=str(item.get("kind", "")),
            unit=str(item.get("unit", "")),
            values=tuple(str(value) for value in item.get("values", ())),
            technical=bool(item.get("technical", True)),
        )
        for name, item in stated.items()
    }


def value_text(value: Value) -> str:
    """A value as it is written in a list of parts; reading it gives the same value.

    Raises
    ------
    ValueError
        A text that would be read as something else: it is empty, holds a parting sign, or begins or ends
        with space.
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return number_text(float(value))
    if isinstance(value, tuple):
        return "|".join(plain_text(item) for item in value)
    return plain_text(value)


def spread_text(spread: tuple[float, float] | None) -> str:
    """A spread as it is written behind a value; empty where there is none."""
    if spread is None:
        return ""
    plus, minus = map(number_text, spread)
    return f" ±{plus}" if plus == minus else f" +{plus}/-{minus}"


def number_text(number: float) -> str:
    """A number without an exponent, with as many digits as give the same number back."""
    return f"{number:.0f}" if number == int(number) and abs(number) < 1e15 else f"{Decimal(repr(number)):f}"


def plain_text(text: str, forbidden: str = PARTING_SIGNS) -> str:
    """A text that may stand between parting signs."""
    if not text or text != text.strip() or not text.isprintable():
        raise ValueError(
            f"the text {text!r} cannot stand in a list of parts: it is empty or has space or unseen signs"
        )
    for sign in forbidden:
        if sign in text:
            raise ValueError(f"the text {text!r} cannot stand in a list of parts: {sign} parts values there")
    return text


def closest(word: str, words: Iterable[str]) -> str:
    """The known word that is nearest to one that is not known; empty when none is near."""
    near = get_close_matches(word, list(words), n=1, cutoff=0.6)
    return near[0] if near else ""
