"""The rows of a price file, each with what it says and what is odd about it."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import TypeVar

from tappetry.catalogue.attributes import ValueProblem, closest
from tappetry.catalogue.columns import SOLD
from tappetry.catalogue.identity import Identity, identity
from tappetry.catalogue.numbers import read_amount, read_whole
from tappetry.catalogue.price_columns import PriceColumns
from tappetry.catalogue.rows import Row, Unreadable, read_table
from tappetry.records.problems import BadInput

DECIMAL_COMMA = re.compile(r"(?P<whole>[0-9]+),(?P<part>[0-9]{1,2})")
CENT = Decimal("0.01")
#: The unit of a part of which nobody says how it is sold.
EACH = "each"
Read = TypeVar("Read")


class Weight(StrEnum):
    """How much a remark weighs: to know, to be decided by a person, or not to be taken at all."""

    NOTE = "note"
    ASK = "ask"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing that is odd about a row, with its values."""

    id: str
    weight: Weight
    text: str


@dataclass(slots=True)
class PriceRow:
    """One row of a price file: as it was read, and as it is understood.

    ``cost`` is None when the row states no net price and none follows from a discount, ``core_charge`` when
    the row states none. ``stands`` is false for a row that another of the same part outdates.
    """

    line: int
    as_read: dict[str, str]
    supplier: str
    number: str
    our_number: str
    description: str
    unit: str
    pieces: int
    price: Decimal
    cost: Decimal | None
    discount_percent: Decimal | None
    core_charge: Decimal | None
    status: str
    superseded_by: str
    date: date | None
    stands: bool = True
    remarks: list[Remark] = field(default_factory=list)

    @property
    def identity(self) -> Identity:
        """The part that the row speaks of."""
        return identity(self.supplier, self.our_number)

    @property
    def cost_per_piece(self) -> Decimal | None:
        """The net price of one piece."""
        return None if self.cost is None else self.cost / self.pieces

    @property
    def weight(self) -> Weight:
        """The heaviest of its remarks."""
        weights = {remark.weight for remark in self.remarks}
        return next((weight for weight in (Weight.REFUSED, Weight.ASK) if weight in weights), Weight.NOTE)

    def note(self, id: str, text: str) -> None:
        """Say something that a person may want to know."""
        self.remarks.append(Remark(id, Weight.NOTE, text))

    def ask(self, id: str, text: str) -> None:
        """Say something that a person must decide."""
        self.remarks.append(Remark(id, Weight.ASK, text))

    def refuse(self, id: str, text: str) -> None:
        """Say why the row cannot be taken."""
        self.remarks.append(Remark(id, Weight.REFUSED, text))


def read_price_rows(
    text: str, file: str, how: PriceColumns, suppliers: Collection[str]
) -> tuple[list[PriceRow], list[Unreadable]]:
    """The rows of a price file: those that are understood, and those of which nobody knows what they say.

    Raises
    ------
    BadInput
        The file as a whole cannot be read: its header, or every one of its rows.
    """
    columns = (*how.columns.values(), *how.ignored)
    table = read_table(text, file, columns, how.parted_by, optional=how.ignored)
    if table.unreadable and not table.rows:
        raise BadInput([complaint for row in table.unreadable for complaint in row.complaints])
    return [_RowReader(row, how, suppliers).read() for row in table.rows], table.unreadable


class _RowReader:
    """Understands one row; what it cannot read becomes a remark, so that the other rows still show."""

    def __init__(self, row: Row, how: PriceColumns, suppliers: Collection[str]) -> None:
        self.row = row
        self.how = how
        self.suppliers = suppliers
        self.remarks: list[Remark] = []

    def read(self) -> PriceRow:
        """The row."""
        supplier, number = self._cell("supplier") or self.how.supplier, self._cell("number")
        if supplier not in self.suppliers:
            near = closest(supplier, self.suppliers)
            self._refuse(
                "unknown-supplier", f"there is no supplier {supplier!r}{f'; {near}?' if near else ''}"
            )
        if not number:
            self._refuse("no-number", "the row names no part")
        price = self._read("price", read_amount)
        if price is None:
            self._refuse("no-price", "the row states no list price")
        row = PriceRow(
            line=self.row.line,
            as_read=self.row.cells,
            supplier=supplier,
            number=number,
            our_number=self.how.our_number(supplier, number),
            description=self._cell("description"),
            unit=self._unit(),
            pieces=self._read("pieces", lambda text: read_whole(text, 1)) or 1,
            price=price or Decimal(0),
            cost=self._read("cost", read_amount),
            discount_percent=self._read("discount_percent", read_amount),
            core_charge=self._read("core_charge", read_amount),
            status=self._status(),
            superseded_by=self._successor(supplier),
            date=self._read("date", _date),
            remarks=self.remarks,
        )
        self._money(row)
        return row

    def _cell(self, name: str) -> str:
        column = self.how.columns.get(name)
        return self.row.cells[column] if column else ""

    def _refuse(self, id: str, text: str) -> None:
        self.remarks.append(Remark(id, Weight.REFUSED, text))

    def _read(self, name: str, read: Callable[[str], Read]) -> Read | None:
        """A cell as a number or date; None when it is empty or cannot be read."""
        text = self._cell(name)
        if not text:
            if name == "pieces" and self.how.tells_pack:
                self._refuse("unreadable", "pieces is empty")
            return None
        comma = DECIMAL_COMMA.fullmatch(text)
        if comma:
            meant = f"{comma['whole']}.{comma['part']}"
            self.remarks.append(
                Remark(
                    "decimal-comma",
                    Weight.ASK,
                    f"{self.how.columns[name]} {text} has a decimal comma: taken as {meant}",
                )
            )
            text = meant
        try:
            return read(text)
        except ValueProblem as problem:
            self._refuse("unreadable", f"{self.how.columns[name]} {text!r}: {problem}")
            return None

    def _unit(self) -> str:
        if not self.how.tells_pack:
            return EACH
        word = self._cell("unit")
        if word in self.how.units:
            return self.how.units[word]
        self.remarks.append(
            Remark(
                "unknown-unit",
                Weight.ASK,
                f"nobody has said what the unit {word!r} means; kept as it is written",
            )
        )
        return word

    def _status(self) -> str:
        word = self._cell("status")
        if "status" not in self.how.columns:
            return SOLD[0]
        if word not in self.how.statuses:
            self._refuse("unknown-status", f"nobody has said what the status {word!r} means")
        return self.how.statuses.get(word, SOLD[0])

    def _successor(self, supplier: str) -> str:
        number = self._cell("superseded_by")
        return self.how.our_number(supplier, number) if number else ""

    def _money(self, row: PriceRow) -> None:
        """Net from list and discount; prices of nothing; a net price over the list price."""
        if row.discount_percent is not None:
            net = (row.price * (100 - row.discount_percent) / 100).quantize(CENT, ROUND_HALF_UP)
            text = f"{row.discount_percent:f} % off {row.price:.2f} is {net}"
            if row.cost is None:
                row.cost = net
                row.ask("net-missing", f"the row states no net price; {text}")
            elif row.cost != net:
                row.ask(
                    "discount-conflict",
                    f"{text}, and the row says net {row.cost:.2f}: one discount may be taken twice",
                )
        elif row.cost is None:
            row.ask("net-missing", "the row states no net price and no discount")
        if row.price == 0 or row.cost == 0:
            if row.status in SOLD:
                row.refuse(
                    "price-of-nothing", f"list {row.price:.2f}, net {row.cost}: it would be sold for nothing"
                )
            else:
                row.ask(
                    "price-of-nothing",
                    f"{row.status} at {row.price:.2f}: orders are blocked, the price is not taken",
                )
        elif row.cost is not None and row.cost > row.price:
            row.ask("net-over-list", f"net {row.cost:.2f} is over list {row.price:.2f}")


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ValueProblem("the date cannot be read", "year-month-day, as in 2024-03-01") from None


def lines_of(rows: Iterable[PriceRow]) -> str:
    """The lines of rows, in words."""
    numbers = [str(row.line) for row in rows]
    return f"line {numbers[0]}" if len(numbers) == 1 else f"lines {', '.join(numbers)}"
