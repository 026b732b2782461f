"""The money policy of a shop: rates, taxes, deposits and days, checked when it is made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from tappetry.quantities.money import Money, MoneyError, Rounding
from tappetry.records.problems import BadInput, Complaints, Where

HUNDRED = Decimal(100)

#: Classes of tax that are no line's: the shop says for them too what its local rule is.
LABOUR = "labour"
SUPPLIES = "supplies"


@dataclass(frozen=True, slots=True)
class MoneyPolicy:
    """How a shop reckons. Percents are in percent (``7.25`` is 7.25 %), money in ``currency``.

    Parameters
    ----------
    currency : str
        Three capital letters of ISO 4217, of a currency with cents.
    labour_rate : Decimal
        Price of one book hour.
    tax : mapping of str to Decimal
        Percent by tax class. Every class that a priced line carries must be here, and so must
        ``labour`` and ``supplies``: untaxed is 0, not left out.
    supplies_percent_of_labour, supplies_cap : Decimal
        Shop supplies are this share of labour, and never more than the cap.
    quote_days, price_check_days : int
        How long a quote holds; how old a supplier's price may be when the quote is accepted.
    deposit_special_percent, deposit_stock_percent, deposit_labour_percent : Decimal
        Deposit on parts that cannot be returned, on all other parts, and on labour.
    card_fee_percent : Decimal
        What a card payment costs the shop; not passed on.
    service_classes : tuple of str
        Tax classes of work bought outside: counted as services, not as parts.

    Raises
    ------
    BadInput
        A percent outside 0..100, a negative amount, no days, or a currency that is not three capitals.
    """

    currency: str
    labour_rate: Decimal
    tax: Mapping[str, Decimal]
    supplies_percent_of_labour: Decimal
    supplies_cap: Decimal
    quote_days: int
    price_check_days: int
    deposit_special_percent: Decimal
    deposit_stock_percent: Decimal
    deposit_labour_percent: Decimal
    card_fee_percent: Decimal = Decimal(0)
    service_classes: tuple[str, ...] = ("services",)

    def __post_init__(self) -> None:
        """Check every figure."""
        complaints = Complaints()
        try:
            Money(0, self.currency)
        except MoneyError as error:
            complaints.add(_field("currency"), str(error))
        for name in ("labour_rate", "supplies_cap"):
            amount: Decimal = getattr(self, name)
            if not (amount.is_finite() and amount >= 0):
                complaints.add(_field(name), "the amount is not sound", amount, "0 or more")
        percents = {f"tax.{name}": percent for name, percent in self.tax.items()}
        percents |= {name: getattr(self, name) for name in _PERCENTS}
        for name, percent in percents.items():
            if not (percent.is_finite() and 0 <= percent <= HUNDRED):
                complaints.add(_field(name), "the percent is not sound", percent, "0 to 100")
        for name in ("quote_days", "price_check_days"):
            days: int = getattr(self, name)
            if days < 1:
                complaints.add(_field(name), "the number of days is not sound", days, "1 or more")
        complaints.raise_if_any()

    def money(self, amount: Decimal) -> Money:
        """An amount in the shop's currency, rounded half-up to the cent."""
        return Money.of(amount, self.currency, Rounding.HALF_UP)

    def tax_percent(self, tax_class: str) -> Decimal:
        """The tax on one class, in percent; a class that the policy does not name is refused."""
        if tax_class not in self.tax:
            raise BadInput.at(
                _field("tax"),
                "the money policy states no tax for a class in use; write 0 if it is untaxed",
                tax_class,
                "one of " + ", ".join(sorted(self.tax)),
            )
        return self.tax[tax_class]


_PERCENTS = (
    "supplies_percent_of_labour",
    "deposit_special_percent",
    "deposit_stock_percent",
    "deposit_labour_percent",
    "card_fee_percent",
)


def read_policy(money: Mapping[str, Any]) -> MoneyPolicy:
    """The policy from the ``money`` part of the house book, where figures are written as text.

    Keys that only other rooms need are left alone. A missing key or a figure that cannot be read
    is told by name, all of them at once.
    """
    complaints = Complaints()

    def figure(name: str, value: object) -> Decimal:
        try:
            return Decimal(str(value))
        except InvalidOperation:
            complaints.add(_field(name), "the figure cannot be read", value, "a number such as 7.25")
            return Decimal(0)

    wanted = ("currency", "labour_rate", "tax", "supplies_cap", "quote_days", "price_check_days")
    for name in (*wanted, *_PERCENTS):
        if name not in money:
            complaints.add(_field(name), "the money policy does not state it")
    complaints.raise_if_any()
    figures = {name: figure(name, money[name]) for name in ("labour_rate", "supplies_cap", *_PERCENTS)}
    days = {name: int(figure(name, money[name])) for name in ("quote_days", "price_check_days")}
    tax = {str(name): figure(f"tax.{name}", percent) for name, percent in money["tax"].items()}
    complaints.raise_if_any()
    return MoneyPolicy(
        currency=str(money["currency"]),
        labour_rate=figures["labour_rate"],
        tax=tax,
        supplies_percent_of_labour=figures["supplies_percent_of_labour"],
        supplies_cap=figures["supplies_cap"],
        quote_days=days["quote_days"],
        price_check_days=days["price_check_days"],
        deposit_special_percent=figures["deposit_special_percent"],
        deposit_stock_percent=figures["deposit_stock_percent"],
        deposit_labour_percent=figures["deposit_labour_percent"],
        card_fee_percent=figures["card_fee_percent"],
        service_classes=tuple(money.get("service_classes", ("services",))),
    )


def _field(name: str) -> Where:
    return Where(field=f"money.{name}")
