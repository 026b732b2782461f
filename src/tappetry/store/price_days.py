"""Keeps the days on which suppliers' prices were known to be as they are listed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from tappetry.store.price_models import PriceDay

#: So many days are read at once.
AT_ONCE = 4


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
    found: dict[tuple[str, str], date] = {}
    for supplier, left in wanted.items():
        latest_first = select(PriceDay).where(PriceDay.supplier == supplier)
        latest_first = latest_first.order_by(PriceDay.on.desc(), PriceDay.id.desc())
        # A few at a time: the last list most often names all that is asked for.
        with session.scalars(latest_first.execution_options(yield_per=AT_ONCE)) as rows:
            for row in rows:
                known = Known(supplier, row.on, frozenset(row.document["parts"]), row.document["whole"])
                covered = {part for part in left if known.covers(part)}
                found.update({(supplier, part): row.on for part in covered})
                left -= covered
                if not left:
                    break
    return found
