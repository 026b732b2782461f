"""Read a plain decimal number as people write it: thousands commas in groups of three, a decimal point."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

NUMERAL = re.compile(
    r"(?:[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9])|[0-9]+)(?:\.[0-9]+)?"  # 92,000   1,234.50   0.600   22
    r"|\.[0-9]+"  # .600
)
DECIMAL_COMMA = re.compile(r",[0-9]+(?![0-9.,])")
POWER_OF_TEN = re.compile(r"[eE][+-]?[0-9]")
NOT_FINITE = re.compile(r"nan|inf", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Numeral:
    """A number as written, its value, and where in the text it ends."""

    text: str
    value: Decimal
    end: int


class NumeralError(ValueError):
    """No number can be read: at which position of the text (counted from 0), and the likely cause."""

    def __init__(self, position: int, cause: str) -> None:
        self.position, self.cause = position, cause
        super().__init__(f"at character {position + 1}: {cause}")


def read_numeral(text: str, start: int = 0) -> Numeral:
    """Read the unsigned number that starts at a position, exactly.

    Raises
    ------
    NumeralError
        No number starts there, or what follows shows that it was meant otherwise: a decimal comma,
        misplaced thousands commas, two points, a power of ten.
    """
    found = NUMERAL.match(text, start)
    if not found:
        raise NumeralError(start, _cause_of_no_number(text[start:]))
    written, end = found.group(), found.end()
    cause = _cause_of_what_follows(written, text[end:])
    if cause:
        raise NumeralError(end, cause)
    return Numeral(written, Decimal(written.replace(",", "")), end)


def _cause_of_no_number(rest: str) -> str:
    if not rest:
        return "a number is missing"
    if NOT_FINITE.match(rest):
        return "not a finite number"
    if rest[0] in "¼½¾⅛⅜⅝⅞":
        return "write the fraction with a stroke, as in 7/16"
    if rest[0] in "+-−":
        return "a second sign"
    return "a number has to stand here"


def _cause_of_what_follows(written: str, rest: str) -> str:
    comma = DECIMAL_COMMA.match(rest)
    if comma and "," not in written:
        return f"a decimal comma; write {written.replace('.', '')}.{comma.group()[1:]}"
    if rest.startswith(","):
        return "a comma parts thousands only in groups of three digits, as in 92,000"
    if rest.startswith("."):
        return "two decimal points" if "." in written else "no digit follows the decimal point"
    if POWER_OF_TEN.match(rest):
        return "a power of ten; write the number out"
    return ""
