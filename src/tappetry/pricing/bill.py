"""What an invoice comes to: its lines, and net and tax of each tax class, the same to the cent as agreed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from tappetry.pricing.policy import HUNDRED, LABOUR, SUPPLIES, MoneyPolicy
from tappetry.records.kit import Kit
from tappetry.records.problems import BadInput, Complaints, Ground, Refusal, Where

NOTHING = Decimal("0.00")
CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class BillLine:
    """One line of an invoice, without tax: so many units at a price; work and supplies have no unit."""

    text: str
    quantity: int
    unit: str
    each: Decimal
    net: Decimal
    tax_class: str


@dataclass(frozen=True, slots=True)
class TaxClass:
    """What is taxed alike: its net, the percent, and the tax, rounded once."""

    name: str
    net: Decimal
    percent: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True)
class TaxRate:
    """What is taxed at one rate: the names of its classes, their net, the percent, and their taxes."""

    names: tuple[str, ...]
    net: Decimal
    percent: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True)
class Bill:
    """The lines of an invoice and its sums by tax class.

    A credit on it has the same lines, each with the net that is credited.
    """

    lines: tuple[BillLine, ...]
    classes: tuple[TaxClass, ...]

    @property
    def net(self) -> Decimal:
        """All classes without tax."""
        return sum((each.net for each in self.classes), NOTHING)

    @property
    def rates(self) -> tuple[TaxRate, ...]:
        """Net and tax of each rate, the highest one first; a class that comes to nothing is left out."""
        made = []
        for percent in sorted({each.percent for each in self.classes if each.net}, reverse=True):
            alike = [each for each in self.classes if each.net and each.percent == percent]
            net, tax = (sum((getattr(each, name) for each in alike), NOTHING) for name in ("net", "tax"))
            made.append(TaxRate(tuple(each.name for each in alike), net, percent, tax))
        return tuple(made)

    @property
    def tax(self) -> Decimal:
        """The tax of all classes."""
        return sum((each.tax for each in self.classes), NOTHING)

    @property
    def total(self) -> Decimal:
        """Net and tax."""
        return self.net + self.tax


def bill(kit: Kit, money: MoneyPolicy) -> Bill:
    """The bill of a priced kit: parts, work done outside, our work, supplies.

    Raises
    ------
    BadInput
        The kit is not priced, or a class has no tax in the policy.
    Refusal
        It does not come to what was agreed, because the shop's taxes changed since.
    """
    if kit.totals is None:
        raise BadInput.at(Where(field="kit.totals"), "a bill is made of a kit that is not priced", kit.job)
    goods = [
        BillLine(
            line.told,
            line.quantity,
            line.unit,
            line.unit_price,
            line.line_total,
            line.tax_class,
        )
        for line in sorted(kit.lines, key=lambda line: line.tax_class in money.service_classes)
    ]
    own = [
        BillLine(text, 1, "", amount, amount, name)
        for text, amount, name in (
            (f"our work, {kit.totals.hours.normalize():f} hours", kit.totals.labour, LABOUR),
            ("shop supplies", kit.totals.supplies, SUPPLIES),
        )
        if amount
    ]
    made = _taxed((*goods, *own), money)
    if made.total != kit.totals.total:
        raise Refusal(
            f"The invoice of job {kit.job} would come to {made.total}, and {kit.totals.total} was agreed.",
            [Ground(f"tax of {made.tax} in place of {kit.totals.tax}", "the shop's money policy")],
            ["agree on the new sum by a change order"],
        )
    return made


def _taxed(lines: Iterable[BillLine], money: MoneyPolicy) -> Bill:
    """Some lines with the tax of each class, rounded once."""
    lines = tuple(lines)
    classes = []
    for name, net in _nets(lines).items():
        percent = money.tax_percent(name)
        classes.append(TaxClass(name, net, percent, _tax(net, percent)))
    return Bill(lines, tuple(classes))


def _nets(lines: Iterable[BillLine]) -> dict[str, Decimal]:
    nets: dict[str, Decimal] = {}
    for line in lines:
        nets[line.tax_class] = nets.get(line.tax_class, NOTHING) + line.net
    return nets


def _tax(net: Decimal, percent: Decimal) -> Decimal:
    return (net * percent / HUNDRED).quantize(CENT, rounding=ROUND_HALF_UP)


def left_of(whole: Bill, credits: Iterable[Bill]) -> Bill:
    """What is left of a bill after credits on it, line by line and class by class."""
    credits = tuple(credits)
    lines = [
        replace(line, net=line.net - sum((each.lines[place].net for each in credits), NOTHING))
        for place, line in enumerate(whole.lines)
    ]
    gone = [part for each in credits for part in each.classes]
    classes = [
        replace(
            each,
            net=each.net - sum((part.net for part in gone if part.name == each.name), NOTHING),
            tax=each.tax - sum((part.tax for part in gone if part.name == each.name), NOTHING),
        )
        for each in whole.classes
    ]
    return Bill(tuple(lines), tuple(classes))


def credit_of(whole: Bill, credits: Iterable[Bill], amounts: Mapping[int, Decimal]) -> Bill:
    """A credit on a bill: some net of some lines, and the tax that goes back with it.

    The tax that was credited of a class is always that on the net that was credited of it, rounded once, so
    that nothing of it is left when the last line is credited.

    Parameters
    ----------
    whole : Bill
    credits : iterable of Bill
        What was credited before.
    amounts : mapping of int to Decimal
        Net to credit by the place of the line, 0 the first one.

    Raises
    ------
    BadInput
        Nothing is credited, there is no such line, or it has not so much left.
    """
    left = left_of(whole, credits)
    complaints = Complaints()
    if not amounts:
        complaints.add(Where(field="amount"), "a credit note credits something", "", "an amount at a line")
    for place, amount in amounts.items():
        where = Where(field=f"line {place + 1}")
        most = left.lines[place].net if 0 <= place < len(left.lines) else NOTHING
        if not 0 < amount <= most:
            complaints.add(where, "more than is left of it, or nothing", amount, f"up to {most}")
    complaints.raise_if_any()
    lines = tuple(replace(line, net=amounts.get(place, NOTHING)) for place, line in enumerate(whole.lines))
    nets = _nets(lines)
    then = {
        each.name: _tax(each.net - before.net + nets[each.name], each.percent) - (each.tax - before.tax)
        for each, before in zip(whole.classes, left.classes, strict=True)
    }
    return Bill(
        lines,
        tuple(
            TaxClass(each.name, nets[each.name], each.percent, then[each.name])
            for each in whole.classes
            if nets[each.name]
        ),
    )


def bill_data(made: Bill) -> dict[str, Any]:
    """A bill as plain data; money is decimal text."""
    return {
        "lines": [
            {
                "text": line.text,
                "quantity": line.quantity,
                "unit": line.unit,
                "each": f"{line.each:.2f}",
                "net": f"{line.net:.2f}",
                "tax_class": line.tax_class,
            }
            for line in made.lines
        ],
        "classes": [
            {
                "name": each.name,
                "net": f"{each.net:.2f}",
                "percent": str(each.percent),
                "tax": f"{each.tax:.2f}",
            }
            for each in made.classes
        ],
    }


def bill_from_data(data: Mapping[str, Any]) -> Bill:
    """The bill that was written down as data."""
    return Bill(
        tuple(
            BillLine(
                line["text"],
                line["quantity"],
                line["unit"],
                Decimal(line["each"]),
                Decimal(line["net"]),
                line["tax_class"],
            )
            for line in data["lines"]
        ),
        tuple(
            TaxClass(each["name"], Decimal(each["net"]), Decimal(each["percent"]), Decimal(each["tax"]))
            for each in data["classes"]
        ),
    )
