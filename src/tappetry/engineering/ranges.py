"""What a value may be: ranges that are enforced, the error that says so, and unit-bearing type names.

A function of the handbook opens with `require("bore", bore)`: the value comes back as a float or an array
when it lies in the range that the glossary gives the quantity, and `OutOfRange` is raised when it does not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, TypeAlias

import numpy as np
from numpy.typing import NDArray

Real: TypeAlias = float | NDArray[np.float64]
"""A float, or an array of floats; functions broadcast over arrays."""

Pure: TypeAlias = Annotated[Real, "1"]
Metre: TypeAlias = Annotated[Real, "m"]
SquareMetre: TypeAlias = Annotated[Real, "m2"]
CubicMetre: TypeAlias = Annotated[Real, "m3"]
Radian: TypeAlias = Annotated[Real, "rad"]
MetreRadian: TypeAlias = Annotated[Real, "m.rad"]
RadianPerMetre: TypeAlias = Annotated[Real, "rad/m"]
MetrePerRadian: TypeAlias = Annotated[Real, "m/rad"]
MetrePerSquareRadian: TypeAlias = Annotated[Real, "m/rad2"]
MetrePerCubicRadian: TypeAlias = Annotated[Real, "m/rad3"]
MetrePerSecond: TypeAlias = Annotated[Real, "m/s"]
MetrePerSquareSecond: TypeAlias = Annotated[Real, "m/s2"]
MetrePerCubicSecond: TypeAlias = Annotated[Real, "m/s3"]
RadianPerSecond: TypeAlias = Annotated[Real, "rad/s"]
Hertz: TypeAlias = Annotated[Real, "Hz"]
Kilogram: TypeAlias = Annotated[Real, "kg"]
KilogramPerCubicMetre: TypeAlias = Annotated[Real, "kg/m3"]
Newton: TypeAlias = Annotated[Real, "N"]
NewtonPerMetre: TypeAlias = Annotated[Real, "N/m"]
NewtonMetre: TypeAlias = Annotated[Real, "N.m"]
Pascal: TypeAlias = Annotated[Real, "Pa"]
Kelvin: TypeAlias = Annotated[Real, "K"]
Second: TypeAlias = Annotated[Real, "s"]
KilogramPerSecond: TypeAlias = Annotated[Real, "kg/s"]
CubicMetrePerSecond: TypeAlias = Annotated[Real, "m3/s"]
Watt: TypeAlias = Annotated[Real, "W"]
WattPerSquareMetre: TypeAlias = Annotated[Real, "W/m2"]
WattPerSquareMetreKelvin: TypeAlias = Annotated[Real, "W/m2.K"]
WattPerMetreKelvin: TypeAlias = Annotated[Real, "W/m.K"]
Joule: TypeAlias = Annotated[Real, "J"]
JoulePerKilogram: TypeAlias = Annotated[Real, "J/kg"]
JoulePerKilogramKelvin: TypeAlias = Annotated[Real, "J/kg.K"]
KilogramPerMole: TypeAlias = Annotated[Real, "kg/mol"]
KilogramPerJoule: TypeAlias = Annotated[Real, "kg/J"]
PascalSecond: TypeAlias = Annotated[Real, "Pa.s"]
PascalSecondPerMetre: TypeAlias = Annotated[Real, "Pa.s/m"]
PascalSquareSecondPerSquareMetre: TypeAlias = Annotated[Real, "Pa.s2/m2"]
PerKelvin: TypeAlias = Annotated[Real, "1/K"]
SquareMetrePerSecond: TypeAlias = Annotated[Real, "m2/s"]
CubicMetrePerSecondPascal: TypeAlias = Annotated[Real, "m3/s.Pa"]
PerRadian: TypeAlias = Annotated[Real, "1/rad"]


@dataclass(frozen=True, slots=True)
class Range:
    """The values a quantity may take, from `low` to `high`.

    Attributes
    ----------
    low, high : float
        The ends, in the quantity's SI unit. `high` may be infinite.
    low_excluded : bool
        The low end itself is not allowed ("above 0").
    may_be_infinite : bool
        An infinite value is allowed, as for the radius of a flat face.
    """

    low: float
    high: float
    low_excluded: bool = False
    may_be_infinite: bool = False

    def contains(self, value: float) -> bool:
        """Whether one value lies in the range; never true of a value that is not a number."""
        if not self.low <= value <= self.high or (self.low_excluded and value == self.low):
            return False
        return self.may_be_infinite or math.isfinite(value)

    def outside(self, values: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Which values of an array lie outside the range."""
        inside = (values > self.low) if self.low_excluded else (values >= self.low)
        inside &= values <= self.high
        if not self.may_be_infinite:
            inside &= np.isfinite(values)
        return ~inside

    def text(self, unit: str = "") -> str:
        """The range in words, as in `above 0 and at most 1 m`."""
        tail = "" if unit in ("", "1") else f" {unit}"
        if math.isinf(self.low) and math.isinf(self.high):
            return "any number" if self.may_be_infinite else "a finite number"
        if math.isinf(self.high):
            low = f"above {self.low:g}" if self.low_excluded else f"at least {self.low:g}"
            return low + tail
        if self.low_excluded:
            return f"above {self.low:g} and at most {self.high:g}{tail}"
        return f"{self.low:g}..{self.high:g}{tail}"


def above_zero(high: float) -> Range:
    """Above 0, and at most `high`."""
    return Range(0.0, high, low_excluded=True)


def either_way(size: float) -> Range:
    """From minus `size` to `size`."""
    return Range(-size, size)


ANY = Range(-math.inf, math.inf)
"""Any finite number."""


class OutOfRange(ValueError):
    """A value lies outside the range in which the function is true.

    Attributes
    ----------
    quantity : str
        The quantity's one name, as in `wire_diameter`, or the ratio that was checked.
    value : float or None
        The offending value in SI; of an array, the first. None for a word, and for what was not given.
    limit : str
        What it had to be, in words, with its unit.
    unit : str
        The SI unit of `value`.
    source : str
        Why there is a limit.
    advice : str
        The likely cause and what to look at.
    position : tuple of int
        Where in an array the value stands; empty for a single value.
    """

    def __init__(
        self,
        quantity: str,
        value: float | None,
        limit: str,
        *,
        unit: str = "",
        source: str = "",
        advice: str = "",
        position: tuple[int, ...] = (),
    ) -> None:
        self.quantity = quantity
        self.value = value
        self.limit = limit
        self.unit = unit
        self.source = source
        self.advice = advice
        self.position = position
        super().__init__(self._text())

    def _text(self) -> str:
        name = self.quantity.replace("_", " ")
        place = f" at {', '.join(map(str, self.position))}" if self.position else ""
        unit = "" if self.unit in ("", "1") else f" {self.unit}"
        source = f" ({self.source})" if self.source else ""
        advice = f". {self.advice}" if self.advice else ""
        value = "" if self.value is None else f" = {self.value:.6g}{unit}"
        return f"{name}{place}{value} must be {self.limit}{source}{advice}"


def require_between(
    quantity: str, value: Real, limits: Range, unit: str = "", *, source: str = "", advice: str = ""
) -> Real:
    """Return a value as a float or an array of floats if all of it lies in the range.

    Parameters
    ----------
    quantity : str
        Name for the message.
    value : float or array_like
        What is checked.
    limits : Range
        What it may be.
    unit, source, advice : str
        For the message.

    Returns
    -------
    float or ndarray
        The value itself.

    Raises
    ------
    OutOfRange
        A value is not a number, or outside `limits`.

    Examples
    --------
    >>> require_between("spring index D/d", 2.8, Range(3.0, 20.0), source="helical spring theory")
    Traceback (most recent call last):
    tappetry.engineering.ranges.OutOfRange: spring index D/d = 2.8 must be 3..20 (helical spring theory)
    """
    if isinstance(value, float | int):
        if limits.contains(value):
            return float(value)
        raise OutOfRange(quantity, float(value), limits.text(unit), unit=unit, source=source, advice=advice)
    values = np.asarray(value, dtype=np.float64)
    outside = limits.outside(values)
    if outside.any():
        position = tuple(int(index) for index in np.argwhere(outside)[0])
        raise OutOfRange(
            quantity,
            float(values[position]),
            limits.text(unit),
            unit=unit,
            source=source,
            advice=advice,
            position=position,
        )
    return values
