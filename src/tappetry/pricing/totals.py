"""From a kit to its money: line totals, subtotals, tax, deposit and margin, exact to the cent."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from tappetry.pricing.labour import hours
from tappetry.pricing.margin import earned
from tappetry.pricing.policy import HUNDRED, LABOUR, SUPPLIES, MoneyPolicy
from tappetry.quantities.money import Money, tax, total
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
    _refuse_unsound(kit.lines)
    lines = tuple(_with_total(line, money) for line in kit.lines)
    parts, services = _parted(lines, money)
    parts_total, services_total = _subtotal(parts, money), _subtotal(services, money)
    parts_cost = total((money.money(line.quantity * line.unit_cost) for line in parts), money.currency)
    book_hours = hours(kit.operations)
    labour = money.money(book_hours * money.labour_rate)
    supplies = min(labour.times(money.supplies_percent_of_labour / HUNDRED), money.money(money.supplies_cap))
    taxed = _tax(lines, labour, supplies, money)
    left = earned(parts_cost, parts_total)
    core_charges = total((money.money(line.quantity * line.core_charge) for line in lines), money.currency)
    return replace(
        kit,
        lines=lines,
        totals=Totals(
            parts=parts_total.amount,
            services=services_total.amount,
            labour=labour.amount,
            supplies=supplies.amount,
            tax=taxed.amount,
            total=(parts_total + services_total + labour + supplies + taxed).amount,
            hours=book_hours,
            parts_cost=parts_cost.amount,
            margin_percent=left.margin_percent,
            markup_percent=left.markup_percent,
            deposit=_deposit(parts, labour, money).total,
            core_charges=core_charges.amount,
            currency=money.currency,
        ),
    )


def deposit(kit: Kit, money: MoneyPolicy) -> Deposit:
    """The deposit on a priced kit by kind: parts that cannot be returned, other parts, labour."""
    if kit.totals is None:
        raise BadInput.at(
            Where(field="kit.totals"), "a deposit is asked of a kit that is not priced", kit.job
        )
    parts, _services = _parted(kit.lines, money)
    return _deposit(parts, money.money(kit.totals.labour), money)


def card_fee(amount: Decimal, money: MoneyPolicy) -> Decimal:
    """What a payment by card costs the shop; it is never added to the customer's total."""
    return money.money(amount * money.card_fee_percent / HUNDRED).amount


def _with_total(line: Line, money: MoneyPolicy) -> Line:
    return replace(line, line_total=money.money(line.quantity * line.unit_price).amount)


def _parted(lines: Iterable[Line], money: MoneyPolicy) -> tuple[list[Line], list[Line]]:
    """Parts and services apart."""
    parts: list[Line] = []
    services: list[Line] = []
    for line in lines:
        (services if line.tax_class in money.service_classes else parts).append(line)
    return parts, services


def _deposit(parts: Iterable[Line], labour: Money, money: MoneyPolicy) -> Deposit:
    parts = tuple(parts)
    special = _subtotal((line for line in parts if not line.returnable), money)
    stock = _subtotal((line for line in parts if line.returnable), money)
    return Deposit(
        special=special.times(money.deposit_special_percent / HUNDRED).amount,
        stock=stock.times(money.deposit_stock_percent / HUNDRED).amount,
        labour=labour.times(money.deposit_labour_percent / HUNDRED).amount,
    )


def _tax(lines: Iterable[Line], labour: Money, supplies: Money, money: MoneyPolicy) -> Money:
    """Tax once per class on the class's subtotal, each rounded once."""
    subtotals = {LABOUR: labour, SUPPLIES: supplies}
    for line in lines:
        before = subtotals.get(line.tax_class, money.money(Decimal(0)))
        subtotals[line.tax_class] = before + money.money(line.line_total)
    charged = {tax_class: subtotal for tax_class, subtotal in subtotals.items() if subtotal.cents}
    rates = {tax_class: money.tax_percent(tax_class) / HUNDRED for tax_class in charged}
    return total(tax(charged, rates).values(), money.currency)


def _subtotal(lines: Iterable[Line], money: MoneyPolicy) -> Money:
    return total((money.money(line.line_total) for line in lines), money.currency)


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
