"""Convert between the units of the shop and SI; every factor is exact until the last step.

A unit is only understood for the kind of quantity that is asked for: ``lb`` is a force where a force is
wanted and a mass where a mass is wanted, and nowhere else. The units stand in `unit_table`.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from tappetry.quantities.unit_table import KINDS, Kind, Unit

Number = int | float | Decimal | Fraction

AMBIGUOUS = {
    "mil": "say thou (0.001 in) or mm",
    "mils": "say thou (0.001 in) or mm",
    "'": "feet are not used for sizes; an inch mark is one double stroke",
    "''": "an inch mark is one double stroke, not two single ones",
    "C": "say degC",
    "F": "say degF",
    "oz": "weigh in g",
    "qt": "quarts differ between countries; say L",
    "gal": "gallons differ between countries; say L",
    "psig": "say psi, and gauge or absolute where the form asks for it",
    "psia": "say psi, and gauge or absolute where the form asks for it",
}


class UnitError(ValueError):
    """A value that cannot be converted: which value, unit and kind, why, and what is allowed.

    Attributes
    ----------
    value, unit, kind
        As they were given; no value where only a unit or kind was asked for.
    reason : str
        Why, without the value.
    allowed : tuple of str
        The units (or, for an unknown kind, the kinds) that are allowed.
    closest : str
        The allowed spelling nearest to the one given; empty where none is near.
    """

    def __init__(
        self,
        value: Number | None,
        unit: str,
        kind: str,
        reason: str,
        allowed: Iterable[str] = (),
        closest: str = "",
    ) -> None:
        self.value, self.unit, self.kind = value, unit, kind
        self.allowed, self.closest = tuple(allowed), closest
        self.reason = reason
        if self.allowed:
            self.reason += f"; allowed: {', '.join(self.allowed)}"
        if closest:
            self.reason += f"; closest spelling: {closest}"
        given = unit if value is None else f"{value} {unit}"
        super().__init__(f"{given} ({kind}): {self.reason}".lstrip())


def to_si(value: Number, unit: str, kind: str) -> float:
    """Give a value in the SI unit of its kind.

    Parameters
    ----------
    value : int, float, Decimal or Fraction
        Finite; a temperature not below absolute zero.
    unit : str
        A spelling of a unit of this kind; capitals matter.
    kind : str
        A name in `KINDS`, such as ``length``.

    Returns
    -------
    float
        (value + zero) * factor, correctly rounded once.

    Raises
    ------
    UnitError
        The kind or unit is unknown, the value is not finite, too large for a float or below absolute zero.

    Examples
    --------
    >>> to_si(Decimal("0.600"), "in", "length")
    0.01524
    >>> to_si(22, "ft-lbf", "torque")
    29.827994863290808
    """
    return _as_float(exact_si(value, unit, kind), value, unit, kind)


def from_si(value: Number, unit: str, kind: str) -> float:
    """Give a value, which is in the SI unit of its kind, in another unit of that kind.

    Takes and refuses what `to_si` does; the result is value / factor - zero, correctly rounded once.

    Examples
    --------
    >>> from_si(0.01524, "in", "length")
    0.6
    """
    found = find_unit(unit, kind, value)
    si = exact_si(value, find_kind(kind).si_unit, kind)
    return _as_float(si / found.factor - found.zero, value, unit, kind)


def span_to_si(span: Number, unit: str, kind: str) -> float:
    """Give a difference of two values, such as a tolerance, in the SI unit: span * factor.

    Takes and refuses what `to_si` does, but a span of temperature has no absolute zero.

    Examples
    --------
    >>> span_to_si(9, "degF", "temperature")
    5.0
    """
    factor = find_unit(unit, kind, span).factor
    return _as_float(_finite(span, unit, kind) * factor, span, unit, kind)


def convert(value: Number, unit: str, target_unit: str) -> float:
    """Give a value in another unit of the same kind; a temperature is a point on its scale.

    Raises
    ------
    UnitError
        No kind of quantity has both units.

    Examples
    --------
    >>> convert(400, "lbf/in", "N/mm")
    70.05073409859055
    >>> convert(41, "degF", "degC")
    5.0
    """
    points = [kind for kind in KINDS.values() if kind.name != "temperature-difference"]
    for kind in points:
        for target in points:
            if (
                kind.si_unit == target.si_unit
                and unit in kind.by_spelling
                and target_unit in target.by_spelling
            ):
                si = exact_si(value, unit, kind.name)
                return from_si(si, target_unit, target.name)
    raise UnitError(value, unit, "any kind", f"no kind of quantity has both {unit!r} and {target_unit!r}")


def exact_si(value: Number, unit: str, kind: str) -> Fraction:
    """Give what `to_si` does as an exact fraction."""
    found = find_unit(unit, kind, value)
    si = (_finite(value, unit, kind) + found.zero) * found.factor
    if find_kind(kind).absolute and si < 0:
        raise UnitError(value, unit, kind, f"below absolute zero, which is {float(-found.zero):g} {unit}")
    return si


def find_kind(kind: str, value: Number | None = None, unit: str = "") -> Kind:
    """Give the kind of a name; refuse an unknown one. Value and unit are only for the message."""
    if kind in KINDS:
        return KINDS[kind]
    raise UnitError(value, unit, kind, "no such kind of quantity", KINDS, _closest(kind, KINDS))


def find_unit(unit: str, kind: str, value: Number | None = None) -> Unit:
    """Give the unit behind a spelling; refuse one that is no unit of this kind.

    Its ``factor`` (SI per unit) and ``zero`` are exact, and their floats convert whole arrays. The value
    is only for the message.
    """
    wanted = find_kind(kind, value, unit)
    if unit in wanted.by_spelling:
        return wanted.by_spelling[unit]
    owners = [other.name for other in KINDS.values() if unit in other.by_spelling]
    reason, closest = f"{unit!r} is no unit of {kind}", ""
    if owners:
        reason += f", but of {' or '.join(owners)}"
    elif unit in AMBIGUOUS:
        reason += f": {AMBIGUOUS[unit]}"
    else:
        closest = _closest(unit, wanted.by_spelling)
    raise UnitError(value, unit, kind, reason, (known.symbol for known in wanted.units), closest)


def _finite(value: Number, unit: str, kind: str) -> Fraction:
    try:
        return Fraction(value)
    except (ValueError, OverflowError):
        raise UnitError(value, unit, kind, "not a finite number") from None


def _as_float(exact: Fraction, value: Number, unit: str, kind: str) -> float:
    try:
        return float(exact)
    except OverflowError:
        raise UnitError(value, unit, kind, "too large to calculate with") from None


def _closest(word: str, words: Iterable[str]) -> str:
    from difflib import get_close_matches

    by_folded = {known.casefold(): known for known in words if known.isascii()}  # what a keyboard has
    found = get_close_matches(word.casefold(), by_folded, n=1, cutoff=0.5)
    return by_folded[found[0]] if found else ""
