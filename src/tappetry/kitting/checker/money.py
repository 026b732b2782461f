"""The kit's money reckoned anew, from its lines, its operations and the house book alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from decimal import ROUND_HALF_UP, Decimal

from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.layout import Layout
from tappetry.records.kit import Totals

CENT = Decimal("0.01")
TENTH = Decimal("0.1")
PERCENT = Decimal("0.01")
NOTHING = Decimal(0)


def check_money(layout: Layout) -> Iterator[CheckComplaint]:
    """Every figure of the totals."""
    said = layout.kit.totals
    if said is None:
        yield CheckComplaint("totals", "the kit has no totals")
        return
    due = _totals(layout)
    for field in fields(Totals):
        ours, theirs = getattr(due, field.name), getattr(said, field.name)
        if ours != theirs:
            yield CheckComplaint("totals", f"{field.name} is {ours}, the kit says {theirs}", field.name)


def _totals(layout: Layout) -> Totals:
    lines, policy = layout.kit.lines, layout.knowledge.book.money
    outside = set(policy.get("service_classes", ("services",)))
    sold = {id(line): _cents(line.unit_price * line.quantity) for line in lines}
    stock = sum(
        (sold[id(line)] for line in lines if line.tax_class not in outside and line.returnable), NOTHING
    )
    special = sum(
        (sold[id(line)] for line in lines if line.tax_class not in outside and not line.returnable), NOTHING
    )
    parts = stock + special
    services = sum((sold[id(line)] for line in lines if line.tax_class in outside), NOTHING)
    cost = sum((line.unit_cost * line.quantity for line in lines if line.tax_class not in outside), NOTHING)
    hours = sum((operation.hours for operation in layout.kit.operations), NOTHING)
    labour = _cents(hours * Decimal(policy["labour_rate"]))
    supplies = min(_share(labour, policy["supplies_percent_of_labour"]), Decimal(policy["supplies_cap"]))

    taxed = {"labour": labour, "supplies": supplies}
    for line in lines:
        taxed[line.tax_class] = taxed.get(line.tax_class, NOTHING) + sold[id(line)]
    tax = sum((_share(amount, policy["tax"].get(name, 0)) for name, amount in taxed.items()), NOTHING)

    deposit = (
        _share(special, policy["deposit_special_percent"])
        + _share(stock, policy["deposit_stock_percent"])
        + _share(labour, policy["deposit_labour_percent"])
    )
    return Totals(
        parts=parts,
        services=services,
        labour=labour,
        supplies=supplies,
        tax=tax,
        total=parts + services + labour + supplies + tax,
        hours=hours,
        parts_cost=cost,
        margin_percent=_percent_of(parts - cost, parts),
        markup_percent=_percent_of(parts - cost, cost),
        deposit=deposit,
        core_charges=sum((line.core_charge * line.quantity for line in lines), NOTHING),
        currency=str(policy["currency"]),
    )


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)


def _share(amount: Decimal, percent: object) -> Decimal:
    return _cents(amount * Decimal(str(percent)) * PERCENT)


def _percent_of(amount: Decimal, whole: Decimal) -> Decimal:
    return (100 * amount / whole).quantize(TENTH, ROUND_HALF_UP) if whole > 0 else NOTHING
