"""What can be said of each line alone: the row behind it, its money, its number, the plan's own words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.fitting import arrives_in_time, misfit, unsure, why_not_orderable
from tappetry.kitting.checker.layout import Layout, contents
from tappetry.knowledge.language import Unknown
from tappetry.records.kit import Kit, Line
from tappetry.records.part import Part


def check_quantities(kit: Kit) -> Iterator[CheckComplaint]:
    """Every line orders a whole number of units."""
    for line in kit.lines:
        if type(line.quantity) is not int or line.quantity < 1:
            yield CheckComplaint(
                "quantity", f"{line.quantity!r} x {line.part}: a line orders 1 unit or more", line.part
            )


def check_lines(layout: Layout) -> Iterator[CheckComplaint]:
    """Every line by itself, and the pins of the plan."""
    for line in layout.kit.lines:
        yield from _reason(line)
        part = layout.part_of(line)
        if part is None:
            yield CheckComplaint("in-catalogue", f"{line.supplier} lists no {line.part}", line.part)
            continue
        yield from _orderable(layout, line, part)
        yield from _money(line, part)
        yield from _copied(line, part)
        yield from _on_time(layout, line, part)
        yield from _box(layout, line, part)
    yield from _once(layout)
    yield from _plan(layout)


def _reason(line: Line) -> Iterator[CheckComplaint]:
    if not any(because.kind == "need" for because in line.why):
        yield CheckComplaint("reason", f"{line.part} names no need as its reason", line.part)


def _orderable(layout: Layout, line: Line, part: Part) -> Iterator[CheckComplaint]:
    why = why_not_orderable(part)
    if why:
        yield CheckComplaint("orderable", f"{part.number} cannot be ordered: {why}", line.part)
    why = misfit(layout, part.fits.items())
    if why:
        yield CheckComplaint("fits-engine", f"{part.number} does not fit this engine: {why}", line.part)
    elif attribute := unsure(layout, part.fits.items()):
        yield CheckComplaint(
            "fits-engine", f"{part.number} fits only some, and {attribute} is not known", line.part
        )


def _money(line: Line, part: Part) -> Iterator[CheckComplaint]:
    if line.unit_price != part.price:
        yield CheckComplaint(
            "price", f"{line.part} stands at {line.unit_price}, listed at {part.price}", line.part
        )
    if line.unit_cost != part.cost:
        yield CheckComplaint("cost", f"{line.part} costs {line.unit_cost}, listed at {part.cost}", line.part)
    total = Decimal(line.quantity) * part.price
    if line.line_total != total:
        yield CheckComplaint(
            "line-total",
            f"{line.quantity} x {part.price} = {total}, the line says {line.line_total}",
            line.part,
        )


def _copied(line: Line, part: Part) -> Iterator[CheckComplaint]:
    """What deposits, taxes and dates are reckoned from must be what the price list says."""
    copied: tuple[tuple[str, Any, Any], ...] = (
        ("number", line.part, part.number),
        ("unit", line.unit, part.unit),
        ("tax class", line.tax_class, part.tax_class),
        ("lead time in days", line.lead_days, part.lead_days),
        ("core charge", line.core_charge, part.core_charge),
        ("returnable", line.returnable, part.returnable),
    )
    for name, said, listed in copied:
        if said != listed:
            yield CheckComplaint(
                "as-listed",
                f"{line.part}: {name} is {said} on the line, {listed} in the price list",
                line.part,
            )


def _on_time(layout: Layout, line: Line, part: Part) -> Iterator[CheckComplaint]:
    need_by = layout.plan.need_by
    if need_by is None:
        return
    if layout.today is None:
        yield CheckComplaint(
            "lead-time", f"{line.part} is wanted by {need_by}, and no date of order is stated", line.part
        )
    elif not arrives_in_time(part, layout.today, need_by):
        yield CheckComplaint(
            "lead-time",
            f"{line.part} takes {part.lead_days} working days from {layout.today}, wanted by {need_by}",
            line.part,
        )


def _box(layout: Layout, line: Line, part: Part) -> Iterator[CheckComplaint]:
    """Of a box with several pieces the line names one that the rule of its need allows.

    Where that hangs on a place that is open, the line names none yet.
    """
    for need_id in {filled.need for filled in line.needs}:
        need = layout.knowledge.needs.get(need_id)
        if need is None or need.box is None:
            continue
        right = []
        is_open = False
        for item in contents(part):
            try:
                if layout.values.evaluate_item(need.box.item, layout.views, item):
                    right.append(str(item["item"]))
            except Unknown:
                is_open = True
        if is_open and not right and not line.use_from_box:
            continue
        if not any(line.use_from_box.startswith(f"{item}:") for item in right):
            wanted = " or ".join(right) or "no piece of this box"
            said = line.use_from_box.partition(":")[0] or "nothing"
            yield CheckComplaint(
                "use-from-box", f"{line.part}: use {wanted}, the line says {said}", line.part
            )


def _once(layout: Layout) -> Iterator[CheckComplaint]:
    rows = Counter((line.supplier, line.part) for line in layout.kit.lines)
    for (supplier, number), lines in rows.items():
        if lines > 1:
            yield CheckComplaint(
                "double-line",
                f"{number} of {supplier} stands on {lines} lines; one line states its units",
                number,
            )


def _plan(layout: Layout) -> Iterator[CheckComplaint]:
    """Pins and refusals are hard."""
    numbers = {line.part for line in layout.kit.lines}
    for number in layout.plan.refused_parts:
        if number in numbers:
            yield CheckComplaint("refused", f"the plan refuses {number}, and the kit orders it", number)
    for number in layout.plan.pins:
        if number not in numbers:
            yield CheckComplaint("pinned", f"the plan pins {number}, and the kit does not order it", number)
