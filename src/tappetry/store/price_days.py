"""Keeps the days on which suppliers' prices were known to be as they are listed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from tappetry.store.price_models import PriceDay


@dataclass(frozen=True, slots=True)
class Known:
    """Whose prices were known on a day: of some parts, or, where it is ``whole``, of all but these."""

    supplier: str
    on: date
    parts: frozenset[str]
    whole: bool = False

    def covers(self, part: str) -> bool:
        """Whether the price of a part of his was known then."""
        return (part in self.parts) != self.whole


def keep_day(session: Session, known: Known, entry: int) -> None:
    """Keep such a day, with the number of the line of the audit trail that says of it."""
    document = {"whole": known.whole, "parts": sorted(known.parts)}
    session.add(PriceDay(supplier=known.supplier, on=known.on, document=document, entry_id=entry))
    session.flush()


def days_of(session: Session, parts: Iterable[tuple[str, str]]) -> dict[tuple[str, str], date]:
    """The last day on which the price of each part was known, by supplier and number."""
    wanted: dict[str, set[str]] = {}
    for supplier, part in parts:
        wanted.setdefault(supplier, set()).add(part)
    latest = PriceDay.on.desc(), PriceDay.id.desc()
    rows = select(PriceDay).where(PriceDay.supplier.in_(wanted)).order_by(*latest)
    found: dict[tuple[str, str], date] = {}
    for row in session.scalars(rows):
        left = wanted[row.supplier]
        if left:
            known = Known(row.supplier, row.on, frozenset(row.document["parts"]), row.document["whole"])
            covered = {part for part in left if known.covers(part)}
            found.update({(row.supplier, part): row.on for part in covered})
            left -= covered
    return found
