"""An old quote opened again: whether it still stands, and what its lines cost today."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from tappetry.pricing.policy import read_policy
from tappetry.pricing.validity import (
    LineChange,
    ListedPrice,
    PartKey,
    is_open,
    last_day,
    line_changes,
    reprice,
)
from tappetry.records.kit import Filled, Kit, Line, OperationLine, Totals
from tappetry.records.part import Part
from tappetry.records.problems import BadInput, Refusal, Where
from tappetry.services.files import unread
from tappetry.services.shop import Shop

WANTED = "what `tappetry kit JOB --json` printed on the day of the quote"


@dataclass(frozen=True, slots=True)
class Repriced:
    """A quote and the same lines at the prices of another day; ``stands`` until its last day is over."""

    quoted: date
    last: date
    today: date
    stands: bool
    old: Kit
    new: Kit
    changes: tuple[LineChange, ...]

    @property
    def then(self) -> Totals:
        """The sums of the quote."""
        return _totals(self.old)

    @property
    def now(self) -> Totals:
        """The sums at the prices of today."""
        return _totals(self.new)


def reprice_file(shop: Shop, file: Path, today: date) -> Repriced:
    """The kit that a quote was made of, at the prices and rates of today.

    Raises
    ------
    BadInput
        The file is not a kit as the program prints it, or is of a later day.
    Refusal
        A part is on no list any more: with what replaces it.
    """
    quoted, old = read_kit(file)
    money = read_policy(shop.knowledge.book.money)
    stands = is_open(quoted, today, money)
    now = {(line.supplier, line.part): shop.catalogue.find(line.supplier, line.part) for line in old.lines}
    listed: dict[PartKey, ListedPrice] = {}
    for key, part in now.items():
        if part is not None and shop.catalogue.orderable(part) is part:
            listed[key] = ListedPrice(part.price, part.cost, today)
    try:
        new = reprice(old, listed, money)
    except Refusal as refusal:
        raise _with_successors(refusal, shop, now) from None
    return Repriced(quoted, last_day(quoted, money), today, stands, old, new, line_changes(old, new))


def _with_successors(refusal: Refusal, shop: Shop, now: Mapping[PartKey, Part | None]) -> Refusal:
    """The refusal with the numbers that replace what is gone."""
    ways = []
    for part in now.values():
        following = None if part is None else shop.catalogue.orderable(part)
        if part is not None and following is not None and following is not part:
            ways.append(f"{following.number} at {following.price:.2f} takes the place of {part.number}")
    return Refusal(refusal.message, refusal.grounds, [*ways, *refusal.ways_out])


def read_kit(file: Path) -> tuple[date, Kit]:
    """The day and the kit of a file that holds one as the program prints it.

    Raises
    ------
    BadInput
        There is no such file, or it holds something else.
    """
    where = Where(file.name)
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise BadInput.at(where, f"the file cannot be read: {error.strerror}", file.name, WANTED) from error
    except ValueError as error:
        raise BadInput.at(where, "the file is not JSON", file.name, WANTED) from error
    try:
        return date.fromisoformat(data["date"]), kit_from_data(data)
    except (KeyError, TypeError, ValueError, InvalidOperation) as error:
        raise BadInput.at(where, "the file holds no kit", unread(error), WANTED) from error


def kit_from_data(data: Mapping[str, Any]) -> Kit:
    """Lines, work and sums of a kit that was printed as data; its proofs and reasons are not read back."""
    versions = data["versions"]
    return Kit(
        job=data["job"],
        lines=tuple(_line(line) for line in data["lines"]),
        operations=tuple(
            OperationLine(each["code"], each["what"], Decimal(str(each["hours"])))
            for each in data["operations"]
        ),
        totals=_read_totals(data["totals"]),
        knowledge_version=versions["knowledge"],
        catalogue_version=versions["catalogue"],
    )


def _line(data: Mapping[str, Any]) -> Line:
    return Line(
        part=data["part"],
        supplier=data["supplier"],
        description=data["description"],
        quantity=int(data["quantity"]),
        unit=data["unit"],
        unit_price=Decimal(data["unit_price"]),
        line_total=Decimal(data["line_total"]),
        unit_cost=Decimal(data["unit_cost"]),
        tax_class=data["tax_class"],
        importance=data["importance"],
        needs=tuple(Filled(f["need"], f["slot"], f["required"], f["given"]) for f in data["needs"]),
        why=(),
        lead_days=data["lead_days"],
        returnable=data["returnable"],
        core_charge=Decimal(data["core_charge"]),
    )


def _read_totals(data: Mapping[str, Any]) -> Totals:
    figures = {name: Decimal(str(value)) for name, value in data.items() if name != "currency"}
    return Totals(**figures, currency=data["currency"])


def _totals(kit: Kit) -> Totals:
    assert kit.totals is not None
    return kit.totals
