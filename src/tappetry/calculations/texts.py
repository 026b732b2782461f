"""Functions of the registry that take words, where a binary number would lose what was written."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from tappetry.quantities import units
from tappetry.quantities.money import Money, MoneyError, Rounding, allocate
from tappetry.quantities.money import price_for_margin as money_for_margin

ROUNDINGS = tuple(str(each) for each in Rounding)
_CURRENCY = "USD"  # any one that has cents; it is not shown


def _decimal(text: str) -> Decimal:
    try:
        return Decimal(text.strip())
    except InvalidOperation:
        raise MoneyError(f"{text!r} is no plain decimal number such as 12.50") from None


def _amount(text: str) -> Money:
    return Money.of(_decimal(text), _CURRENCY)


def round_money(amount: str, rounding: str = ROUNDINGS[0]) -> str:
    """An amount rounded once to whole cents; `half up` is away from zero, `half even` to the even cent.

    Raises
    ------
    MoneyError
        The amount is no plain decimal number.

    Examples
    --------
    >>> round_money("2.675"), round_money("2.665", "half even")
    ('2.68', '2.66')
    """
    return str(Money.of(_decimal(amount), _CURRENCY, Rounding(rounding)).amount)


def share_of_money(amount: str, rate: str, rounding: str = ROUNDINGS[0]) -> str:
    """An amount of whole cents times a rate, rounded once: tax, deposit or discount.

    Raises
    ------
    MoneyError
        Either is no plain decimal number, or the amount holds a fraction of a cent.

    Examples
    --------
    >>> share_of_money("199.99", "0.0725")
    '14.50'
    """
    return str(_amount(amount).times(_decimal(rate), Rounding(rounding)).amount)


def split_money(amount: str, weights: str) -> str:
    """An amount of whole cents parted by weights, so that the parts add up to it to the cent.

    Raises
    ------
    MoneyError
        A text is no plain decimal number, the amount holds a fraction of a cent, a weight is negative, or
        all are 0.

    Examples
    --------
    >>> split_money("100.00", "1 1 1")
    '33.34 33.33 33.33'
    """
    parts = allocate(_amount(amount), [_decimal(each) for each in weights.replace(",", " ").split()])
    return " ".join(str(part.amount) for part in parts)


def price_for_margin(cost: str, margin: str) -> str:
    """The price at which a margin, as a share of the price, is earned: cost / (1 - margin), in cents.

    Raises
    ------
    MoneyError
        Either is no plain decimal number, the cost holds a fraction of a cent, or the margin is not a share.

    Examples
    --------
    >>> price_for_margin("60.00", "0.40")
    '100.00'
    """
    return str(money_for_margin(_amount(cost), _decimal(margin)).amount)


def convert_units(number: str, unit: str, target_unit: str) -> float:
    """A number in another unit of the same kind.

    Raises
    ------
    MoneyError
        It is no plain decimal number.
    UnitError
        No kind of quantity has both units.

    Examples
    --------
    >>> convert_units("1", "lbf.ft", "N.m")
    1.3558179483314003
    """
    return units.convert(_decimal(number), unit, target_unit)
