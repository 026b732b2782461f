"""What is odd about a price file as a whole: rows seen against each other and against the catalogue."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from datetime import date
from decimal import Decimal
from itertools import combinations
from typing import TypeVar

from tappetry.catalogue.catalogue import Catalogue
from tappetry.catalogue.identity import Identity, identity, normal
from tappetry.catalogue.price_columns import PriceColumns
from tappetry.catalogue.price_rows import PriceRow, lines_of
from tappetry.records.part import Part

Key = TypeVar("Key", bound=Hashable)


def grouped(rows: Iterable[PriceRow], keys: Iterable[Key]) -> dict[Key, list[PriceRow]]:
    """Rows by a key each, in the order of the file."""
    groups: dict[Key, list[PriceRow]] = {}
    for row, key in zip(rows, keys, strict=True):
        groups.setdefault(key, []).append(row)
    return groups


def remark_on_rows(rows: Sequence[PriceRow], catalogue: Catalogue, how: PriceColumns, today: date) -> None:
    """Add every remark that one row alone does not show."""
    by_identity = grouped(rows, (row.identity for row in rows))
    for same in by_identity.values():
        if len(same) > 1:
            _twice(same)
    _dates(rows, today)
    _leading_zeros(rows, catalogue, how)
    _numbers_of_others(rows, catalogue)
    _packs(rows)
    _successors(rows, by_identity, catalogue)
    _sets(rows, catalogue)


def _twice(rows: list[PriceRow]) -> None:
    """One part in several rows: the newest stands; of equal date none does, until a person says."""
    dates = [row.date or date.min for row in rows]
    newest = max(dates)
    tie = dates.count(newest) > 1
    printed = ", ".join(f"{row.number} at line {row.line}" for row in rows)
    for row, dated in zip(rows, dates, strict=True):
        row.stands = dated == newest and not tie
        if tie:
            row.ask("twice-same-date", f"the part stands in several rows of {row.date}: {printed}")
        elif row.stands:
            row.ask(
                "twice", f"the part stands in several rows: {printed}; this one, of {row.date}, is the newest"
            )
        else:
            row.ask(
                "twice-older",
                f"the part stands in several rows: {printed}; this one, of {row.date}, is older",
            )
    for one, other in combinations(rows, 2):
        if one.cost is not None and other.cost is not None and one.cost != other.cost:
            for row, twin in ((one, other), (other, one)):
                row.ask("two-net-prices", f"net {row.cost:.2f} here, {twin.cost:.2f} at line {twin.line}")
        if (one.core_charge is None) != (other.core_charge is None):
            holder = one if one.core_charge is not None else other
            for row in (one, other):
                row.ask(
                    "core-on-one-row",
                    f"the core charge {holder.core_charge:.2f} stands only at line {holder.line}",
                )


def _dates(rows: Sequence[PriceRow], today: date) -> None:
    for row in rows:
        if row.date is not None and row.date > today:
            row.ask("not-in-force", f"the price is of {row.date}; today is {today}")


def _leading_zeros(rows: Sequence[PriceRow], catalogue: Catalogue, how: PriceColumns) -> None:
    """Numbers of one supplier that differ only by zeros in front: a spreadsheet may have eaten them."""
    suppliers = {row.supplier for row in rows}
    known: dict[tuple[str, str], dict[Identity, str]] = {}
    for part in catalogue.parts:
        if part.supplier in suppliers:
            key = (part.supplier, how.bare(part.supplier, part.number))
            known.setdefault(key, {}).setdefault(identity(part.supplier, part.number), part.number)
    for row in rows:
        known.setdefault((row.supplier, how.bare(row.supplier, row.number)), {})[row.identity] = row.number
    for row in rows:
        alike = known[row.supplier, how.bare(row.supplier, row.number)]
        others = [number for key, number in alike.items() if key != row.identity]
        longer = [number for key, number in alike.items() if len(key.number) > len(row.identity.number)]
        if longer:
            row.ask("leading-zero", f"{row.number} may be {', '.join(longer)} with its leading zero lost")
        elif others:
            row.note("leading-zero", f"{', '.join(others)} may be this part with its leading zero lost")


def _numbers_of_others(rows: Sequence[PriceRow], catalogue: Catalogue) -> None:
    """Numbers that another supplier uses too: never the same part, but piece prices can be compared."""
    for alike in grouped(rows, (normal(row.number) for row in rows)).values():
        for row in alike:
            others = [other for other in alike if other.supplier != row.supplier]
            if others:
                texts = "; ".join(_against(row, other) for other in others)
                row.note(
                    "number-of-another", f"{row.number} is also a number of {texts}; they stay two parts"
                )
    in_file = {row.supplier for row in rows}
    for row in rows:
        for part in catalogue.numbered(row.number):
            if part.supplier not in in_file:
                row.note(
                    "number-of-another",
                    f"{row.number} is also a number of {part.supplier}; they stay two parts",
                )


def _against(row: PriceRow, other: PriceRow) -> str:
    text = f"{other.supplier} (line {other.line}: {other.unit} of {other.pieces}"
    mine, theirs = row.cost_per_piece, other.cost_per_piece
    if mine is None or not theirs:
        return text + ")"
    percent = (mine / theirs - 1) * 100
    compared = "dearer" if percent > 0 else "cheaper"
    return f"{text}, {theirs:.2f} a piece against {mine:.2f} here, {abs(percent):.1f} % {compared} here)"


def _packs(rows: Sequence[PriceRow]) -> None:
    """The same goods in several packs: a number that ends with the pieces of its pack."""
    for alike in grouped(rows, ((row.supplier, _stem(row)) for row in rows)).values():
        packs = {row.pieces: row for row in alike}
        if len(packs) > 1 and alike[0].identity.number != _stem(alike[0]):
            prices = ", ".join(
                f"{row.unit} of {pieces} at {_piece_price(row)} a piece"
                for pieces, row in sorted(packs.items())
            )
            for row in alike:
                row.note("pack-variants", f"the same goods in several packs: {prices}")


def _stem(row: PriceRow) -> str:
    number = row.identity.number
    ending = f"{row.pieces:02d}"
    return number.removesuffix(ending)


def _piece_price(row: PriceRow) -> str:
    price = row.cost_per_piece
    return (
        "an unknown price"
        if price is None
        else f"{price.normalize():f}"
        if price % Decimal("0.01")
        else f"{price:.2f}"
    )


def _successors(
    rows: Sequence[PriceRow], by_identity: dict[Identity, list[PriceRow]], catalogue: Catalogue
) -> None:
    for row in rows:
        if not row.superseded_by:
            if row.status == "superseded":
                row.refuse("no-successor", "superseded, and the row names no successor")
            continue
        key = identity(row.supplier, row.superseded_by)
        if key not in by_identity and catalogue.find(row.supplier, row.superseded_by) is None:
            row.refuse(
                "no-successor",
                f"the successor {row.superseded_by} is neither in the file nor in the catalogue",
            )
        elif row.status == "superseded":
            row.note("superseded", f"replaced by {row.superseded_by}; stock on the shelf stays usable")


def _sets(rows: Sequence[PriceRow], catalogue: Catalogue) -> None:
    """Sets that hold what another row sells loose: both on one order are supplied twice."""
    sold = [(row, part) for row in rows if (part := catalogue.find(row.supplier, row.our_number)) is not None]
    boxes = [(row, part) for row, part in sold if len(part.fills) > 1]
    loose = [(row, part) for row, part in sold if len(part.fills) == 1]
    for box_row, box in boxes:
        for loose_row, part in loose:
            if _holds(catalogue, box, part):
                need = part.fills[0].need
                box_row.note(
                    "set-holds-part", f"the set holds {part.number} of {lines_of([loose_row])} ({need})"
                )
                loose_row.note(
                    "set-holds-part",
                    f"the set {box.number} of {lines_of([box_row])} holds this part ({need})",
                )


def _holds(catalogue: Catalogue, box: Part, part: Part) -> bool:
    need = part.fills[0].need
    fits = all(set(values) & set(box.fits.get(name, values)) for name, values in part.fits.items())
    return (
        box.pieces_for(need) > 0
        and fits
        and catalogue.seen_attributes(box, need) == catalogue.seen_attributes(part, need)
    )
