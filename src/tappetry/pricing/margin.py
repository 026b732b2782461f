"""Margin and markup: two words for two numbers, never to be confused; percents at this edge."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from tappetry.pricing.policy import HUNDRED
from tappetry.quantities.money import Money, margin, markup, price_for_margin, price_for_markup
from tappetry.records.problems import BadInput, Where

NOTHING = Decimal("0.0")


@dataclass(frozen=True, slots=True)
class Earned:
    """What a sale leaves over its cost: the amount, and both percents to one decimal."""

    amount: Money
    margin_percent: Decimal
    markup_percent: Decimal


def margin_price(cost: Money, margin_percent: Decimal) -> Money:
    """The price that leaves a margin: ``price = cost / (1 - margin)``, rounded half-up to the cent.

    Parameters
    ----------
    cost : Money
        What the shop pays, inbound freight included; more than 0.
    margin_percent : Decimal
        Wanted share of the *price*, in percent, from 0 up to but not including 100.

    Raises
    ------
    BadInput
        The cost is not positive or the margin lies outside 0..100.

    Examples
    --------
    >>> str(margin_price(Money.parse("1,500.00", "USD"), Decimal(35)))
    '$2,307.69'
    """
    _positive(cost)
    if not 0 <= margin_percent < HUNDRED:
        raise BadInput.at(
            Where(field="margin_percent"),
            "a margin is a share of the price; for a share of the cost ask for a markup",
            margin_percent,
            "0 or more and less than 100",
        )
    return price_for_margin(cost, margin_percent / HUNDRED)


def markup_price(cost: Money, markup_percent: Decimal) -> Money:
    """The price with a markup: ``price = cost x (1 + markup)``, rounded half-up to the cent.

    Examples
    --------
    >>> str(markup_price(Money.parse("1,500.00", "USD"), Decimal(35)))
    '$2,025.00'
    """
    _positive(cost)
    if not markup_percent >= 0:
        raise BadInput.at(
            Where(field="markup_percent"), "the markup is negative", markup_percent, "0 or more"
        )
    return price_for_markup(cost, markup_percent / HUNDRED)


def earned(cost: Money, price: Money) -> Earned:
    """What a price leaves over a cost; a percent is 0 when there is nothing to divide by."""
    return Earned(
        amount=price - cost,
        margin_percent=_percent(margin(cost, price)) if price.cents > 0 else NOTHING,
        markup_percent=_percent(markup(cost, price)) if cost.cents > 0 else NOTHING,
    )


def _percent(share: Decimal) -> Decimal:
    return (share * HUNDRED).quantize(NOTHING, rounding=ROUND_HALF_UP)


def _positive(cost: Money) -> None:
    if cost.cents <= 0:
        raise BadInput.at(
            Where(field="cost"), "the cost must be known before it is priced", cost, "more than 0"
        )
