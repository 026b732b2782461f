"""A value with its spread: how far it may lie from nominal, in which sense, and who said so."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import isfinite, sqrt

from tappetry.quantities.notation import Quantity


class Spread(StrEnum):
    """What plus and minus mean: outer limits, or one standard deviation."""

    LIMITS = "limits"
    STANDARD_DEVIATION = "standard deviation"


class Origin(StrEnum):
    """Whether a spread was stated with the value, or assumed for want of one."""

    STATED = "stated"
    ASSUMED = "assumed"


class ToleranceError(ValueError):
    """A spread that makes no sense, with its values."""


@dataclass(frozen=True, slots=True)
class Toleranced:
    """A value with its spread, all in the SI unit of the quantity.

    Parameters
    ----------
    nominal : float
        The value as stated; finite.
    plus, minus : float
        How far the true value may lie above and below; finite, not negative, and equal to each other
        where they are a standard deviation.
    spread : Spread
        Outer limits or one standard deviation.
    origin : Origin
        Stated with the value, or assumed.

    Raises
    ------
    ToleranceError
        A number is outside the range given above.
    """

    nominal: float
    plus: float
    minus: float
    spread: Spread
    origin: Origin

    def __post_init__(self) -> None:
        """Refuse a spread that makes no sense."""
        if not all(map(isfinite, (self.nominal, self.plus, self.minus))):
            raise ToleranceError(f"{self}: each of the three numbers has to be finite")
        if self.plus < 0 or self.minus < 0:
            raise ToleranceError(f"{self}: plus and minus are distances and cannot be negative")
        if self.spread is Spread.STANDARD_DEVIATION and self.plus != self.minus:
            raise ToleranceError(f"{self}: a standard deviation is the same above and below")

    def __str__(self) -> str:
        """Nominal, spread and what kind it is."""
        return f"{self.nominal:g} +{self.plus:g}/-{self.minus:g} ({self.spread}, {self.origin})"

    @classmethod
    def stated(cls, quantity: Quantity) -> Toleranced:
        """Take the limits that were written with a quantity; refuse one that was written without."""
        if quantity.tolerance_plus is None or quantity.tolerance_minus is None:
            raise ToleranceError(f"{quantity.show()!r} states no tolerance; assume one and say so")
        plus, minus = quantity.tolerance_plus, quantity.tolerance_minus
        return cls(quantity.si, plus, minus, Spread.LIMITS, Origin.STATED)

    @property
    def mean(self) -> float:
        """Expected value; for limits their middle, which is not nominal where they are lopsided."""
        return self.nominal + (self.plus - self.minus) / 2

    @property
    def standard_deviation(self) -> float:
        r"""One standard deviation; for limits that of an even spread between them.

        .. math:: u = (a_+ + a_-) / \sqrt{12}

        References
        ----------
        .. [1] JCGM 100:2008, Guide to the expression of uncertainty in measurement, equations (7), (8)
        """
        if self.spread is Spread.STANDARD_DEVIATION:
            return self.plus
        return (self.plus + self.minus) / sqrt(12)
