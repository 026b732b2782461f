"""Margin and markup: two words for two numbers, never to be confused."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from tappetry.pricing.policy import HUNDRED, cents
from tappetry.records.problems import BadInput, Where


@dataclass(frozen=True, slots=True)
class Earned:
    """What a sale leaves over its cost: the amount, and both percents to one decimal."""

    amount: Decimal
    margin_percent: Decimal
    markup_percent: Decimal


def margin_price(cost: Decimal, margin_percent: Decimal) -> Decimal:
    """The price that leaves a margin: ``price = cost / (1 - margin)``, rounded half-up to the cent.

    Parameters
    ----------
    cost : Decimal
        What the shop pays, inbound freight included; more than 0.
    margin_percent : Decimal
        Wanted share of the *price*, in percent, from 0 up to but not including 100.

    Raises
    ------
    BadInput
        The cost is not positive or the margin lies outside 0..100.

    Examples
    --------
    >>> margin_price(Decimal("1500"), Decimal("35"))
    Decimal('2307.69')
    """
    _positive("cost", cost)
    if not 0 <= margin_percent < HUNDRED:
        raise BadInput.at(
            Where(field="margin_percent"),
            "a margin is a share of the price; for a share of the cost ask for a markup",
            margin_percent,
            "0 or more and less than 100",
        )
    return cents(cost * HUNDRED / (HUNDRED - margin_percent))


def markup_price(cost: Decimal, markup_percent: Decimal) -> Decimal:
    """The price with a markup: ``price = cost x (1 + markup)``, rounded half-up to the cent.

    Examples
    --------
    >>> markup_price(Decimal("1500"), Decimal("35"))
    Decimal('2025.00')
    """
    _positive("cost", cost)
    if markup_percent < 0:
        raise BadInput.at(
            Where(field="markup_percent"), "the markup is negative", markup_percent, "0 or more"
        )
    return cents(cost * (HUNDRED + markup_percent) / HUNDRED)


def earned(cost: Decimal, price: Decimal) -> Earned:
    """What a price leaves over a cost; both percents are 0 when there is nothing to divide by.

    Examples
    --------
    >>> earned(Decimal("1500"), Decimal("2025"))
    Earned(amount=Decimal('525'), margin_percent=Decimal('25.9'), markup_percent=Decimal('35.0'))
    """
    amount = price - cost
    return Earned(amount, _percent(amount, price), _percent(amount, cost))


def _percent(part: Decimal, whole: Decimal) -> Decimal:
    share = part / whole * HUNDRED if whole else Decimal(0)
    return share.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)


def _positive(name: str, amount: Decimal) -> None:
    if not amount > 0:
        raise BadInput.at(
            Where(field=name), f"the {name} must be known before it is priced", amount, "more than 0"
        )
