"""Exact money: whole cents of one currency, rounded only where a rounding is named.

No floating-point number is accepted anywhere. A rate is a `Decimal` (7.25 % is ``Decimal("0.0725")``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Context, Decimal
from enum import StrEnum
from fractions import Fraction
from functools import total_ordering

from tappetry.quantities.numerals import NumeralError, read_numeral

SYMBOLS = {"USD": "$", "EUR": "€", "GBP": "£"}
NOT_IN_CENTS = (  # currencies of ISO 4217 with other than two decimals; from memory
    "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF BHD IQD JOD KWD LYD OMR TND CLF UYW"
)
RATIO = Context(prec=28)


class Rounding(StrEnum):
    """How an amount between two cents is rounded when it lies exactly half way."""

    HALF_UP = "half up"
    """Commercial rounding: away from zero."""
    HALF_EVEN = "half even"
    """To the even cent."""


class MoneyError(ValueError):
    """An amount, currency or rate that cannot be worked with, and its values."""


@total_ordering
@dataclass(frozen=True, slots=True)
class Money:
    """An amount of whole cents in one currency.

    Parameters
    ----------
    cents : int
        May be negative.
    currency : str
        Three capital letters of ISO 4217, of a currency with two decimals.

    Raises
    ------
    MoneyError
        Cents are no whole number, or the currency is no such code. Adding, subtracting or comparing two
        currencies, or multiplying by anything but a whole number, raises it too.

    Examples
    --------
    >>> str(Money.parse("1,234.5", "USD") * 3)
    '$3,703.50'
    """

    cents: int
    currency: str

    def __post_init__(self) -> None:
        """Refuse what is not whole cents of a currency that has cents."""
        if type(self.cents) is not int:
            raise MoneyError(f"{self.cents!r} is no whole number of cents")
        code = self.currency
        if not (len(code) == 3 and code.isascii() and code.isalpha() and code.isupper()):
            raise MoneyError(f"{code!r} is no currency code; write three capital letters, as in USD")
        if code in NOT_IN_CENTS:
            raise MoneyError(f"{code} does not have two decimals; only currencies with cents are kept")

    @classmethod
    def of(cls, amount: Decimal | int, currency: str, rounding: Rounding | None = None) -> Money:
        """Take an exact amount; a fraction of a cent is refused unless a rounding is named."""
        exact = _exact(amount) * 100
        if rounding is not None:
            return cls(_round(exact, rounding), currency)
        if exact.denominator != 1:
            raise MoneyError(f"{amount} {currency} holds a fraction of a cent; name a rounding")
        return cls(exact.numerator, currency)

    @classmethod
    def parse(cls, text: str, currency: str) -> Money:
        """Read money text of a known currency: 1,234.50 or 1234.5 or -$12.00 or USD 3; nothing else.

        Raises
        ------
        MoneyError
            The text is anything else (a decimal comma, another currency, more than two decimals), with the
            position and the likely cause.
        """
        stripped = text.rstrip()
        at = len(text) - len(text.lstrip())
        negative = text.startswith("-", at)
        at += negative
        for mark in (f"{currency} ", SYMBOLS.get(currency)):
            if mark and text.startswith(mark, at):
                at += len(mark)
        try:
            numeral = read_numeral(stripped, at)
            if numeral.end < len(stripped):
                raise NumeralError(numeral.end, f"{stripped[numeral.end :]!r} is no part of an amount")
        except NumeralError as error:
            raise MoneyError(f"cannot read {text!r} as money in {currency}, {error}") from None
        return cls.of(-numeral.value if negative else numeral.value, currency)

    @property
    def amount(self) -> Decimal:
        """The amount with two decimals, such as ``Decimal("1234.50")``."""
        return Decimal(f"{self.cents}E-2")

    def times(self, rate: Decimal | int, rounding: Rounding = Rounding.HALF_UP) -> Money:
        """Multiply by a rate and round once to whole cents."""
        return Money(_round(self.cents * _exact(rate), rounding), self.currency)

    def __add__(self, other: Money) -> Money:
        """Add an amount of the same currency."""
        return Money(self.cents + self._cents_of(other, "add"), self.currency)

    def __sub__(self, other: Money) -> Money:
        """Subtract an amount of the same currency."""
        return Money(self.cents - self._cents_of(other, "subtract"), self.currency)

    def __neg__(self) -> Money:
        """Turn a charge into a credit, and back."""
        return Money(-self.cents, self.currency)

    def __mul__(self, quantity: int) -> Money:
        """Multiply by a whole number of pieces."""
        if type(quantity) is not int:
            raise MoneyError(f"{self} times {quantity!r}: no whole number; for a Decimal rate use times()")
        return Money(self.cents * quantity, self.currency)

    __rmul__ = __mul__

    def __lt__(self, other: Money) -> bool:
        """Compare with an amount of the same currency."""
        return self.cents < self._cents_of(other, "compare")

    def __str__(self) -> str:
        """Write the amount for people: $1,234.50, -$3.00, CHF 12.00."""
        mark = SYMBOLS.get(self.currency, f"{self.currency} ")
        return f"{'-' if self.cents < 0 else ''}{mark}{abs(self.amount):,.2f}"

    def _cents_of(self, other: Money, act: str) -> int:
        if type(other) is not Money or other.currency != self.currency:
            raise MoneyError(f"cannot {act} {self} ({self.currency}) and {other!s}: not the same currency")
        return other.cents


def total(amounts: Iterable[Money], currency: str) -> Money:
    """Add amounts of one currency; nothing adds up to zero."""
    return sum(amounts, start=Money(0, currency))


def tax(
    subtotal_by_class: Mapping[str, Money],
    rates: Mapping[str, Decimal],
    rounding: Rounding = Rounding.HALF_UP,
) -> dict[str, Money]:
    """Compute the tax of each tax class once, on its subtotal, and round it once.

    Parameters
    ----------
    subtotal_by_class : mapping of str to Money
        Sum of the lines of each tax class; negative for a credit.
    rates : mapping of str to Decimal
        Rate of each class, 0 to 1.

    Raises
    ------
    MoneyError
        A class has no rate, or a rate is outside 0 to 1.
    """
    taxes = {}
    for tax_class, subtotal in subtotal_by_class.items():
        if tax_class not in rates:
            raise MoneyError(f"no tax rate for class {tax_class!r}; there are rates for {', '.join(rates)}")
        taxes[tax_class] = subtotal.times(_share(rates[tax_class], f"tax rate of {tax_class!r}"), rounding)
    return taxes


def allocate(amount: Money, weights: Sequence[Decimal | int]) -> tuple[Money, ...]:
    """Part an amount by weights so that the shares add up to it to the cent.

    Each share is first rounded down to whole cents; the cents left over go one each to the shares with the
    largest remainders, of equal ones to the earlier (the largest-remainder, or Hamilton, method). A credit
    is parted as the charge would be.

    Raises
    ------
    MoneyError
        A weight is negative, or all are zero.
    """
    exact = [_exact(weight) for weight in weights]
    whole = sum(exact)
    if whole <= 0 or min(exact) < 0:
        shown = ", ".join(map(str, weights))
        raise MoneyError(f"cannot part {amount} by ({shown}): weights are 0 or more, and not all 0")
    due = [abs(amount.cents) * weight / whole for weight in exact]
    cents = [int(share) for share in due]
    by_remainder = sorted(range(len(due)), key=lambda place: cents[place] - due[place])
    for place in by_remainder[: abs(amount.cents) - sum(cents)]:
        cents[place] += 1
    sign = -1 if amount.cents < 0 else 1
    return tuple(Money(sign * share, amount.currency) for share in cents)


def price_for_margin(cost: Money, margin: Decimal, rounding: Rounding = Rounding.HALF_UP) -> Money:
    """Price at which a margin (share of the price, 0 to below 1) is earned: cost / (1 - margin)."""
    share = _share(margin, "margin")
    if share == 1:
        raise MoneyError("margin of 1 would need an endless price; it has to be below 1")
    return Money(_round(cost.cents / (1 - Fraction(share)), rounding), cost.currency)


def price_for_markup(cost: Money, markup: Decimal, rounding: Rounding = Rounding.HALF_UP) -> Money:
    """Price with a markup (share of the cost, 0 or more) put on: cost * (1 + markup)."""
    share = _exact(markup)
    if share < 0:
        raise MoneyError(f"markup of {markup} is below 0")
    return Money(_round(cost.cents * (1 + share), rounding), cost.currency)


def margin(cost: Money, price: Money) -> Decimal:
    """Give the profit as a share of the price: (price - cost) / price, to 28 digits."""
    return _ratio(price - cost, price, "margin")


def markup(cost: Money, price: Money) -> Decimal:
    """Give the profit as a share of the cost: (price - cost) / cost, to 28 digits."""
    return _ratio(price - cost, cost, "markup")


def _ratio(profit: Money, base: Money, name: str) -> Decimal:
    if base.cents <= 0:
        raise MoneyError(f"no {name} on {base}: it has to be above zero")
    return RATIO.divide(Decimal(profit.cents), Decimal(base.cents))


def _share(rate: Decimal, name: str) -> Decimal:
    if not 0 <= _exact(rate) <= 1:
        raise MoneyError(f"{name} is {rate}, outside 0 to 1; write 7.25 % as 0.0725")
    return rate


def _exact(value: Decimal | int) -> Fraction:
    if type(value) not in (Decimal, int):
        raise MoneyError(f"{value!r} is a {type(value).__name__}; money takes Decimal and int only")
    try:
        return Fraction(value)
    except (ValueError, OverflowError):
        raise MoneyError(f"{value} is not a finite number") from None


def _round(exact: Fraction, rounding: Rounding) -> int:
    if rounding is Rounding.HALF_EVEN:
        return round(exact)
    size = int(abs(exact) + Fraction(1, 2))
    return -size if exact < 0 else size
