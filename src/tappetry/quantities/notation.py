"""Read quantities as the shop writes them, strictly, and keep them as they were read.

::

    0.600 in   .600"   1 7/16 in   1-7/16"   7/16 in   60 thou   92,000 km   10.5:1   8 %   22 ft-lbf
    12.5 mm ±0.05   12.5 +/- 0.05 mm   1.800 in +0.005/-0.015

A unit may stand after the number or after the tolerance and holds for both. Fractions are read of inches
and of turns, with a denominator of 2 to 64. Thousands commas are read in groups of three digits, but not
in a length, where 1,800 may be meant as 1.800. Everything else is refused.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from tappetry.quantities.numerals import NumeralError, read_numeral
from tappetry.quantities.units import UnitError, exact_si, find_kind, find_unit, span_to_si, to_si

SPACES = " \t\u00a0\u2009\u202f"  # also the fixed and thin spaces of printed papers
SIGN = re.compile(r"[+−-]")
FRACTION = re.compile(r"(?:(?P<whole>[0-9]{1,6})[ \u00a0-])?(?P<top>[0-9]{1,6})/(?P<bottom>[0-9]{1,6})")
UNIT = re.compile(r"[^\s0-9.,±+−-][^±+−]*?(?=\s*(?:[±+]|-[0-9.]|$))")
PLUS_MINUS = re.compile(r"±|\+/[−-]")
PLUS = re.compile(r"\+")
THEN_MINUS = re.compile(r"/[ \u00a0]?[−-]")
DENOMINATORS = (2, 4, 8, 16, 32, 64)
UNITS_WITH_FRACTIONS = ("in", "rev")
WRITTEN_CLOSE = {"1": "", ":1": ":1", '"': '"', "°": "°"}  # after the number, without a space


class NotationError(ValueError):
    """A text that is no quantity of the kind asked for.

    Attributes
    ----------
    text, kind : str
        What was read, and as what.
    position : int
        Where in the text it goes wrong, counted from 0.
    cause : str
        What is likely meant or missing.
    """

    def __init__(self, text: str, kind: str, position: int, cause: str) -> None:
        self.text, self.kind, self.position, self.cause = text, kind, position, cause
        super().__init__(f"cannot read {text!r} as {kind}, at character {position + 1}: {cause}")


@dataclass(frozen=True, slots=True)
class AsRead:
    """What was written: the whole text, and the numbers and unit in it.

    ``unit`` is spelt as written, or is the caller's default; ``plus`` and ``minus`` are `None` where no
    tolerance was written.
    """

    text: str
    number: Decimal
    unit: str
    plus: Decimal | None = None
    minus: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity as it was read, with its value and tolerances in the SI unit of its kind.

    The tolerances are distances from the value, not negative, and `None` where none was written.
    """

    kind: str
    as_read: AsRead
    si: float
    tolerance_plus: float | None = None
    tolerance_minus: float | None = None

    @property
    def number(self) -> Decimal:
        """The number as it was read."""
        return self.as_read.number

    @property
    def unit(self) -> str:
        """The symbol of the unit, however it was spelt."""
        return find_unit(self.as_read.unit, self.kind).symbol

    def show(self) -> str:
        """Give the text back exactly as it was typed."""
        return self.as_read.text

    def in_unit(self, unit: str, digits: int | None = None) -> str:
        """Write the quantity in another unit, rounded half to even from the exact value.

        Parameters
        ----------
        unit : str
            A unit of the same kind.
        digits : int, optional
            Decimals, at least 0. Without it, as few as show every step of the typed reading.

        Raises
        ------
        UnitError
            The unit is not of this kind.

        Examples
        --------
        >>> parse("1.800 in +0.005/-0.015", "length").in_unit("mm")
        '45.72 mm +0.13/-0.38'
        >>> parse("22 ft-lbf", "torque").in_unit("N.m", digits=1)
        '29.8 N.m'
        """
        read = self.as_read
        wanted = find_unit(unit, self.kind)
        ratio = find_unit(read.unit, self.kind).factor / wanted.factor
        if digits is None:
            digits = _digits_for(ratio * _step(read))
        value = exact_si(read.number, read.unit, self.kind) / wanted.factor - wanted.zero
        text = f"{_fixed(value, digits)}{WRITTEN_CLOSE.get(unit, f' {unit}')}"
        if read.plus is None or read.minus is None:
            return text
        plus, minus = (_fixed(Fraction(part) * ratio, digits) for part in (read.plus, read.minus))
        return f"{text} ±{plus}" if plus == minus else f"{text} +{plus}/-{minus}"


def parse(text: str, kind: str, default_unit: str | None = None) -> Quantity:
    """Read a quantity in shop notation.

    Parameters
    ----------
    text : str
        See the head of this module.
    kind : str
        Kind of quantity; it decides what ``lb`` means.
    default_unit : str, optional
        Unit of a number that is written without one; without it such a number is refused.

    Raises
    ------
    NotationError
        The text is anything else, with the position and the likely cause.
    UnitError
        The kind, or the default unit, is unknown.

    Examples
    --------
    >>> parse('1-7/16"', "length").si
    0.0365125
    >>> parse("350 lbf/in", "stiffness").show()
    '350 lbf/in'
    """
    find_kind(kind)
    if default_unit is not None:
        find_unit(default_unit, kind)
    as_read = _Reader(text, kind).read(default_unit)
    spans = (as_read.plus, as_read.minus)
    try:
        si = to_si(as_read.number, as_read.unit, kind)
        plus, minus = (None if span is None else span_to_si(span, as_read.unit, kind) for span in spans)
    except UnitError as error:
        raise NotationError(text, kind, 0, error.reason) from error
    return Quantity(kind, as_read, si, plus, minus)


def _step(read: AsRead) -> Fraction:
    """Give the last decimal place of a reading, the finest of its numbers."""
    numbers = (number for number in (read.number, read.plus, read.minus) if number is not None)
    return min(Fraction(10) ** int(number.as_tuple().exponent) for number in numbers)


def _digits_for(step: Fraction) -> int:
    """Give the fewest decimals that are as fine as a step."""
    digits = 0
    while Fraction(1, 10**digits) > step:
        digits += 1
    return digits


def _fixed(value: Fraction, digits: int) -> str:
    """Write a fraction with a fixed number of decimals, rounded half to even."""
    scaled = round(value * 10**digits)
    whole, part = divmod(abs(scaled), 10**digits)
    point = f".{part:0{digits}d}" if digits else ""
    return f"{'-' if scaled < 0 else ''}{whole}{point}"


class _Reader:
    """Walks once through a text, from left to right."""

    def __init__(self, text: str, kind: str) -> None:
        self.text, self.kind, self.at = text, kind, 0
        self.plus: Decimal | None = None
        self.minus: Decimal | None = None
        self.fraction_at: int | None = None

    def read(self, default_unit: str | None) -> AsRead:
        """Read number, unit, tolerance and unit, and refuse anything that is left."""
        if not self.text.strip():
            raise self.fault("nothing is written here")
        number = self.signed_number()
        unit = self.unit()
        if self.tolerance():
            self.skip_space()
            late_at = self.at
            late = self.unit()
            if unit and late and find_unit(unit, self.kind) is not find_unit(late, self.kind):
                raise self.fault(f"two units, {unit} and {late}; write both numbers in one", late_at)
            unit = unit or late
        self.skip_space()
        if self.at < len(self.text):
            raise self.fault(self.cause_of_leftover())
        unit = unit or default_unit or ""
        if not unit:
            allowed = ", ".join(known.symbol for known in find_kind(self.kind).units)
            raise self.fault(f"no unit; write one of {allowed}")
        if self.fraction_at is not None and find_unit(unit, self.kind).symbol not in UNITS_WITH_FRACTIONS:
            raise self.fault(f"fractions are read of inches and turns only, not of {unit}", self.fraction_at)
        return AsRead(self.text, number, unit, self.plus, self.minus)

    def signed_number(self) -> Decimal:
        """Read a number with or without a sign."""
        sign = self.take(SIGN)
        number = self.number()
        return number if sign in ("", "+") else number.copy_negate()

    def number(self) -> Decimal:
        """Read an unsigned number, with or without a fraction."""
        self.skip_space()
        start = self.at
        fraction = FRACTION.match(self.text, start)
        if fraction:
            self.at, self.fraction_at = fraction.end(), start
            return self.value_of(fraction)
        try:
            numeral = read_numeral(self.text, start)
        except NumeralError as error:
            raise self.fault(error.cause, error.position) from None
        if self.kind == "length" and "," in numeral.text:
            ways = f"{numeral.text.replace(',', '.', 1)} or {numeral.text.replace(',', '')}"
            raise self.fault(f"in a length a comma may be a decimal comma; write {ways}", start)
        self.at = numeral.end
        return numeral.value

    def value_of(self, fraction: re.Match[str]) -> Decimal:
        """Give the exact value of a fraction such as 1 7/16."""
        whole, top, bottom = (int(part or 0) for part in fraction.group("whole", "top", "bottom"))
        if bottom not in DENOMINATORS:
            raise self.fault(
                f"{top}/{bottom} is no fraction of a rule; the lower number is one of 2, 4, 8, 16, 32, 64",
                fraction.start("top"),
            )
        if not 0 < top < bottom:
            raise self.fault(f"{top}/{bottom} is not between 0 and 1", fraction.start("top"))
        places = bottom.bit_length() - 1  # bottom is 2**places, so this many decimals are exact
        return Decimal(f"{(whole * bottom + top) * 5**places}E-{places}")

    def unit(self) -> str:
        """Read a unit if one stands here; refuse one that is not of this kind."""
        self.skip_space()
        start = self.at
        unit = self.take(UNIT)
        if unit:
            try:
                find_unit(unit, self.kind)
            except UnitError as error:
                raise self.fault(error.reason, start) from error
        return unit

    def tolerance(self) -> bool:
        """Read ±0.05, +/- 0.05 or +0.005/-0.015 if it stands here; say whether it does."""
        if self.take(PLUS_MINUS):
            self.plus = self.minus = self.number()
        elif self.take(PLUS):
            self.plus = self.number()
            if not self.take(THEN_MINUS):
                raise self.fault("plus stands without its minus; write both, as in +0.005/-0")
            self.minus = self.number()
        return self.plus is not None

    def take(self, pattern: re.Pattern[str]) -> str:
        """Step over what a pattern matches here, after space, and give it; else give nothing."""
        self.skip_space()
        found = pattern.match(self.text, self.at)
        if not found:
            return ""
        self.at = found.end()
        return found.group()

    def skip_space(self) -> None:
        """Step over spaces and tabs."""
        while self.at < len(self.text) and self.text[self.at] in SPACES:
            self.at += 1

    def cause_of_leftover(self) -> str:
        """Guess why something is left that fits nowhere."""
        rest = self.text[self.at :]
        if rest[0].isdigit():
            return "a second number; thousands are parted by a comma, a fraction is written 1 7/16"
        if SIGN.match(rest):
            return "a range or an incomplete tolerance; write 12.5 ±0.05 mm or 1.800 in +0.005/-0.015"
        return f"{rest!r} fits nowhere in a quantity"

    def fault(self, cause: str, at: int | None = None) -> NotationError:
        """Make the error of a cause at a position, here if none is given."""
        return NotationError(self.text, self.kind, self.at if at is None else at, cause)
