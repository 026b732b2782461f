"""The order to each supplier: numbers, units and pieces, cost, dates, holds, and boxes to tick."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from tappetry.presentation import render, words
from tappetry.presentation.letterhead import Letterhead
from tappetry.quantities.calendar import add_working_days
from tappetry.records.kit import Kit, Line, Note
from tappetry.records.part import Part, Supplier
from tappetry.records.problems import BadInput, Where

Data = dict[str, Any]


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of an order, with what is in one unit of it."""

    line: Line
    pieces_per_unit: int
    contents: tuple[str, ...] = ()

    @property
    def pieces(self) -> int:
        """How many pieces must arrive."""
        return self.line.quantity * self.pieces_per_unit

    @property
    def extended(self) -> Decimal:
        """What the line costs the shop."""
        return self.line.quantity * self.line.unit_cost


@dataclass(frozen=True, slots=True)
class Order:
    """All lines of one job that go to one supplier."""

    supplier: Supplier
    job: str
    on: date
    shop: Letterhead
    currency: str
    lines: tuple[OrderLine, ...]
    notes: tuple[Note, ...] = ()
    knowledge_version: str = ""
    catalogue_version: str = ""

    @property
    def goods(self) -> Decimal:
        """The goods at net cost, lines on hold included."""
        return sum((line.extended for line in self.lines), Decimal(0))

    @property
    def on_hold(self) -> Decimal:
        """The goods that are not to be ordered yet."""
        return sum((line.extended for line in self.lines if line.line.holds), Decimal(0))

    @property
    def freight(self) -> Decimal:
        """Freight and surcharge on the whole order at the supplier's terms."""
        free = self.supplier.free_over is not None and self.goods >= self.supplier.free_over
        surcharge = self.supplier.under_minimum if self.goods < self.supplier.minimum else Decimal(0)
        return surcharge + (Decimal(0) if free else self.supplier.freight)


def orders(
    kit: Kit,
    parts: Iterable[Part],
    suppliers: Mapping[str, Supplier],
    shop: Letterhead,
    on: date,
    currency: str,
) -> tuple[Order, ...]:
    """One order per supplier, suppliers and lines in the order of the kit, each with its notes.

    Raises
    ------
    BadInput
        A line whose part is not in the catalogue: pieces could not be counted when it arrives.
    """
    known = {(part.supplier, part.number): part for part in parts}
    by_supplier: dict[str, list[OrderLine]] = {}
    for line in kit.lines:
        part = known.get((line.supplier, line.part))
        if part is None:
            raise BadInput.at(
                Where(field=f"line {line.part}"),
                "the part is not in the catalogue",
                f"{line.supplier} {line.part}",
            )
        contents = tuple(f"{content.pieces} x {content.item}" for content in part.contents)
        by_supplier.setdefault(line.supplier, []).append(OrderLine(line, part.pieces, contents))
    return tuple(
        Order(
            suppliers.get(code, Supplier(code, code)),
            kit.job,
            on,
            shop,
            currency,
            tuple(lines),
            tuple(note for note in kit.notes if any(note.need in needs_of(each) for each in lines)),
            kit.knowledge_version,
            kit.catalogue_version,
        )
        for code, lines in by_supplier.items()
    )


def needs_of(ordered: OrderLine) -> tuple[str, ...]:
    """The needs that a line fills."""
    return tuple(filled.need for filled in ordered.line.needs)


def order_pdf(order: Order) -> bytes:
    """The order as a PDF, the same bytes for the same order."""
    return render.pdf("order", order_data(order), order.on, order.shop.paper)


def order_data(order: Order) -> Data:
    """Everything on the paper, in words; money as it is printed."""
    return {
        "shop": order.shop.data(),
        "supplier": {"code": order.supplier.code, "name": order.supplier.name, "terms": order.supplier.terms},
        "job": order.job,
        "date": words.day(order.on),
        "currency": order.currency,
        "lines": [_line(line, order.on) for line in order.lines],
        "goods": words.amount(order.goods),
        "on_hold": words.amount(order.on_hold) if order.on_hold else "",
        "order_now": words.amount(order.goods - order.on_hold),
        "freight_and_surcharge": words.amount(order.freight),
        "freight_note": freight_note(order),
        "landed": words.amount(order.goods + order.freight),
        "notes": [{"to": note.to, "text": note.text, "why": note.why} for note in order.notes],
        "knowledge_version": order.knowledge_version,
        "catalogue_version": order.catalogue_version,
    }


def freight_note(order: Order) -> str:
    """Why the freight is what it is."""
    supplier, goods = order.supplier, order.goods
    notes = []
    if not supplier.freight:
        notes.append("no freight")
    elif supplier.free_over is None:
        notes.append(f"freight {words.amount(supplier.freight)} per order")
    elif goods >= supplier.free_over:
        notes.append(f"free of freight: {words.amount(goods)} reaches {words.amount(supplier.free_over)}")
    else:
        short = words.amount(supplier.free_over - goods)
        notes.append(
            f"freight {words.amount(supplier.freight)}; {short} short of free freight from "
            f"{words.amount(supplier.free_over)}"
        )
    if goods < supplier.minimum:
        notes.append(
            f"{words.amount(supplier.under_minimum)} surcharge: {words.amount(goods)} is under "
            f"the minimum of {words.amount(supplier.minimum)}"
        )
    return "; ".join(notes)


def _line(ordered: OrderLine, on: date) -> Data:
    line = ordered.line
    expected = add_working_days(on, line.lead_days)
    return {
        "part": line.part,
        "description": line.description,
        "units": str(line.quantity),
        "unit": words.sold(line.unit),
        "pieces_per_unit": str(ordered.pieces_per_unit),
        "pieces": str(ordered.pieces),
        "cost": words.amount(line.unit_cost),
        "extended": words.amount(ordered.extended),
        "expected": "" if line.holds else f"{expected.day} {expected:%b}",
        "holds": list(line.holds),
        "contents": words.listed(ordered.contents),
        "core": words.amount(line.quantity * line.core_charge) if line.core_charge else "",
        "returnable": line.returnable,
        "use_from_box": line.use_from_box,
    }
