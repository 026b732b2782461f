"""From a kit to its money: line totals, subtotals, tax, deposit and margin, exact to the cent."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from tappetry.pricing.labour import hours
from tappetry.pricing.margin import earned
from tappetry.pricing.policy import HUNDRED, LABOUR, SUPPLIES, MoneyPolicy, cents
from tappetry.records.kit import Kit, Line, Totals
from tappetry.records.problems import BadInput, Complaints, Ground, Refusal, Where


@dataclass(frozen=True, slots=True)
class Deposit:
    """What is paid before anything is ordered, by kind."""

    special: Decimal
    stock: Decimal
    labour: Decimal

    @property
    def total(self) -> Decimal:
        """The whole deposit."""
        return self.special + self.stock + self.labour


def price(kit: Kit, money: MoneyPolicy) -> Kit:
    """The same kit with every line total and the totals filled.

    Each line is rounded half-up to the cent, labour once, and tax once per tax class on that
    class's subtotal. Supplies are ``min(percent of labour, cap)``. Core charges are deposits and
    stand outside the total; freight is the shop's landed cost and on no line.

    Parameters
    ----------
    kit : Kit
        Lines with list price and net cost per unit, and the labour operations.
    money : MoneyPolicy
        The shop's rates, taxes and deposits.

    Raises
    ------
    Refusal
        A line has no price: nothing is sold for nothing.
    BadInput
        A quantity below one, a negative cost, or a tax class that the policy does not name.
    """
    lines = tuple(replace(line, line_total=cents(line.quantity * line.unit_price)) for line in kit.lines)
    _refuse_unsound(lines)
    services = [line for line in lines if line.tax_class in money.service_classes]
    parts = [line for line in lines if line.tax_class not in money.service_classes]
    parts_total, services_total = _total(parts), _total(services)
    parts_cost = sum((cents(line.quantity * line.unit_cost) for line in parts), Decimal(0))
    book_hours = hours(kit.operations)
    labour = cents(book_hours * money.labour_rate)
    supplies = min(cents(labour * money.supplies_percent_of_labour / HUNDRED), cents(money.supplies_cap))
    tax = _tax(lines, labour, supplies, money)
    margin = earned(parts_cost, parts_total)
    return replace(
        kit,
        lines=lines,
        totals=Totals(
            parts=parts_total,
            services=services_total,
            labour=labour,
            supplies=supplies,
            tax=tax,
            total=parts_total + services_total + labour + supplies + tax,
            hours=book_hours,
            parts_cost=parts_cost,
            margin_percent=margin.margin_percent,
            markup_percent=margin.markup_percent,
            deposit=_deposit(parts, labour, money).total,
            core_charges=sum((cents(line.quantity * line.core_charge) for line in lines), Decimal(0)),
            currency=money.currency,
        ),
    )


def deposit(kit: Kit, money: MoneyPolicy) -> Deposit:
    """The deposit on a priced kit by kind: parts that cannot be returned, other parts, labour."""
    if kit.totals is None:
        raise BadInput.at(
            Where(field="kit.totals"), "a deposit is asked of a kit that is not priced", kit.job
        )
    parts = [line for line in kit.lines if line.tax_class not in money.service_classes]
    return _deposit(parts, kit.totals.labour, money)


def card_fee(amount: Decimal, money: MoneyPolicy) -> Decimal:
    """What a payment by card costs the shop; it is never added to the customer's total."""
    return cents(amount * money.card_fee_percent / HUNDRED)


def _deposit(parts: Iterable[Line], labour: Decimal, money: MoneyPolicy) -> Deposit:
    parts = tuple(parts)
    special = _total(line for line in parts if not line.returnable)
    stock = _total(line for line in parts if line.returnable)
    return Deposit(
        special=cents(special * money.deposit_special_percent / HUNDRED),
        stock=cents(stock * money.deposit_stock_percent / HUNDRED),
        labour=cents(labour * money.deposit_labour_percent / HUNDRED),
    )


def _tax(lines: Iterable[Line], labour: Decimal, supplies: Decimal, money: MoneyPolicy) -> Decimal:
    """Tax once per class on the class's subtotal, each rounded once."""
    subtotals: dict[str, Decimal] = {LABOUR: labour, SUPPLIES: supplies}
    for line in lines:
        subtotals[line.tax_class] = subtotals.get(line.tax_class, Decimal(0)) + line.line_total
    taxes = (
        cents(subtotal * money.tax_percent(tax_class) / HUNDRED)
        for tax_class, subtotal in subtotals.items()
        if subtotal
    )
    return sum(taxes, Decimal("0.00"))


def _total(lines: Iterable[Line]) -> Decimal:
    return sum((line.line_total for line in lines), Decimal("0.00"))


def _refuse_unsound(lines: Iterable[Line]) -> None:
    """Refuse what would be sold for nothing, or cannot be reckoned at all."""
    complaints, worthless = Complaints(), []
    for line in lines:
        where = Where(field=f"line {line.part}")
        if line.quantity < 1:
            complaints.add(where, "the quantity is not sound", line.quantity, "1 or more")
        if line.unit_cost < 0 or line.core_charge < 0:
            complaints.add(where, "a cost is negative", min(line.unit_cost, line.core_charge), "0 or more")
        if not line.unit_price > 0:
            worthless.append(line)
    complaints.raise_if_any()
    if worthless:
        raise Refusal(
            "The kit cannot be priced: nothing is sold for nothing.",
            [
                Ground(
                    f"{line.part} ({line.description}) stands at {line.unit_price}; a price is more than 0",
                    f"price list of {line.supplier}",
                )
                for line in worthless
            ],
            ["ask the supplier for the price of today, or take the part that replaced it"],
        )
