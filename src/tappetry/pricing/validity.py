"""How long a price holds: expiry of quotes, age of supplier prices, re-pricing line by line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from tappetry.pricing.policy import MoneyPolicy
from tappetry.pricing.totals import price
from tappetry.records.kit import Kit, Line
from tappetry.records.problems import BadInput, Ground, Refusal, Where

#: A part is known by its supplier's code and its number, never by the number alone.
PartKey = tuple[str, str]


@dataclass(frozen=True, slots=True)
class ListedPrice:
    """What a supplier's list says of one part: list price, net cost, and the day of the list."""

    price: Decimal
    cost: Decimal
    on: date


@dataclass(frozen=True, slots=True)
class StalePrice:
    """A line whose price must be asked again; ``days`` is None when its day is not known."""

    part: str
    supplier: str
    days: int | None
    limit: int

    def show(self) -> str:
        """One line that says what to do."""
        age = "of unknown age" if self.days is None else f"{self.days} days old"
        return f"{self.supplier} {self.part}: the price is {age}, the limit is {self.limit}; ask it again"


@dataclass(frozen=True, slots=True)
class LineChange:
    """A line as it stands in two kits; None where it is not there."""

    old: Line | None
    new: Line | None

    @property
    def either(self) -> Line:
        """The line as it stands now, or as it stood before it went.

        Raises
        ------
        ValueError
            It stands in neither kit.
        """
        line = self.new or self.old
        if line is None:
            raise ValueError("a change of no line")
        return line

    @property
    def part(self) -> str:
        """The number of the part."""
        return self.either.part

    @property
    def supplier(self) -> str:
        """The code of its supplier."""
        return self.either.supplier

    @property
    def description(self) -> str:
        """What it is."""
        return self.either.description

    @property
    def old_quantity(self) -> int:
        """Units before; 0 where the line was not there."""
        return self.old.quantity if self.old else 0

    @property
    def new_quantity(self) -> int:
        """Units now; 0 where the line is not there any more."""
        return self.new.quantity if self.new else 0

    @property
    def old_total(self) -> Decimal:
        """What the line cost before."""
        return self.old.line_total if self.old else Decimal(0)

    @property
    def new_total(self) -> Decimal:
        """What the line costs now."""
        return self.new.line_total if self.new else Decimal(0)

    @property
    def difference(self) -> Decimal:
        """How much more the line costs now."""
        return self.new_total - self.old_total

    @property
    def cost_difference(self) -> Decimal:
        """How much more the line costs the shop now."""
        was = self.old.quantity * self.old.unit_cost if self.old else Decimal(0)
        return (self.new.quantity * self.new.unit_cost if self.new else Decimal(0)) - was

    @property
    def is_another_purchase(self) -> bool:
        """Whether other units are bought, or at another price."""
        return (self.old_quantity, self.old_total) != (self.new_quantity, self.new_total)

    def turned(self) -> LineChange:
        """The same change in the other direction."""
        return LineChange(self.new, self.old)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two priced kits side by side: the lines that differ and the change of the total, tax included."""

    lines: tuple[LineChange, ...]
    old_total: Decimal
    new_total: Decimal

    @property
    def difference(self) -> Decimal:
        """How much more the whole costs now."""
        return self.new_total - self.old_total


def last_day(quoted: date, money: MoneyPolicy) -> date:
    """The last day on which a quote can be accepted as it stands."""
    return quoted + timedelta(days=money.quote_days)


def is_open(quoted: date, today: date, money: MoneyPolicy) -> bool:
    """Whether a quote still holds today; a quote of the future is refused."""
    _not_before("the quote", quoted, today)
    return today <= last_day(quoted, money)


def stale_prices(
    kit: Kit, priced_on: Mapping[PartKey, date], today: date, money: MoneyPolicy
) -> tuple[StalePrice, ...]:
    """The lines whose supplier price is older than the policy allows, or of unknown age."""
    stale = []
    for line in kit.lines:
        day = priced_on.get((line.supplier, line.part))
        if day is None:
            stale.append(StalePrice(line.part, line.supplier, None, money.price_check_days))
            continue
        _not_before(f"the price of {line.part}", day, today)
        days = (today - day).days
        if days > money.price_check_days:
            stale.append(StalePrice(line.part, line.supplier, days, money.price_check_days))
    return tuple(stale)


def reprice(kit: Kit, listed: Mapping[PartKey, ListedPrice], money: MoneyPolicy) -> Kit:
    """The same kit at the prices of today.

    Raises
    ------
    Refusal
        A part that no list carries any more, or a price of zero.
    """
    gone = [line for line in kit.lines if (line.supplier, line.part) not in listed]
    if gone:
        raise Refusal(
            "The kit cannot be priced again as it stands.",
            [
                Ground(
                    f"{line.part} ({line.description}) is on no list any more",
                    f"price list of {line.supplier}",
                )
                for line in gone
            ],
            ["resolve the kit again: another part may fill the need"],
        )
    lines = []
    for line in kit.lines:
        now = listed[line.supplier, line.part]
        lines.append(replace(line, unit_price=now.price, unit_cost=now.cost))
    return price(replace(kit, lines=tuple(lines)), money)


def compare(old: Kit, new: Kit) -> Comparison:
    """Every line that differs between two priced kits, in the order of the old kit, then what is new."""
    if old.totals is None or new.totals is None:
        unpriced = "the old kit" if old.totals is None else "the new kit"
        raise BadInput.at(
            Where(field="kit.totals"), "two kits can only be compared when both are priced", unpriced
        )
    changes = tuple(change for change in line_changes(old, new) if change.is_another_purchase)
    return Comparison(changes, old.totals.total, new.totals.total)


def line_changes(old: Kit, new: Kit) -> tuple[LineChange, ...]:
    """Every line that is not the same in two kits, in the order of the old kit, then what is new."""
    before, after = _by_key(old), _by_key(new)
    pairs = [LineChange(before.get(key), after.get(key)) for key in dict.fromkeys((*before, *after))]
    return tuple(pair for pair in pairs if pair.old != pair.new)


def _by_key(kit: Kit) -> dict[PartKey, Line]:
    return {(line.supplier, line.part): line for line in kit.lines}


def _not_before(what: str, day: date, today: date) -> None:
    if day > today:
        raise BadInput.at(
            Where(field="date"), f"{what} is of {day}, later than today", today, f"{day} or later"
        )
