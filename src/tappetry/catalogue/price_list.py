"""A supplier's price file as a proposal: what is new, changed, gone or odd; a person takes it, row by row."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum

from tappetry.catalogue.catalogue import Catalogue
from tappetry.catalogue.checks import check_parts
from tappetry.catalogue.identity import Identity, identity
from tappetry.catalogue.price_columns import PriceColumns
from tappetry.catalogue.price_remarks import grouped, remark_on_rows
from tappetry.catalogue.price_rows import PriceRow, Remark, Weight, read_price_rows
from tappetry.catalogue.rows import Unreadable
from tappetry.records.part import Part
from tappetry.records.problems import BadInput, Complaints, Ground, Refusal, Where

#: Fields of a part that a price file speaks of.
COMPARED = ("unit", "pieces", "cost", "price", "core_charge", "status", "superseded_by")


class RowKind(StrEnum):
    """What a row would do to the catalogue."""

    NEW = "new"
    CHANGED = "changed"
    SAME = "same"


@dataclass(frozen=True, slots=True)
class Change:
    """One field that a row would change; ``percent`` of the old value where it is money."""

    field: str
    before: str
    after: str
    percent: Decimal | None = None


@dataclass(frozen=True, slots=True)
class ProposedRow:
    """One row of the file: what it would do, and what is odd about it.

    ``stands`` is false for a row that another of the same part outdates, and for rows of which nobody knows
    which one counts.
    """

    line: int
    kind: RowKind
    part: Part
    before: Part | None
    changes: tuple[Change, ...]
    remarks: tuple[Remark, ...]
    weight: Weight
    stands: bool

    @property
    def suspicious(self) -> bool:
        """Whether a person must decide about the row."""
        return self.weight is Weight.ASK

    @property
    def refused(self) -> bool:
        """Whether the row cannot be taken at all."""
        return self.weight is Weight.REFUSED

    def remark(self, id: str) -> Remark:
        """The first remark of a kind."""
        return next(remark for remark in self.remarks if remark.id == id)


@dataclass(frozen=True, slots=True)
class Collision:
    """One printed number in several rows: read by number alone, all but the last would be lost."""

    number: str
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Proposal:
    """A price file against the catalogue it was read for; nothing has been changed yet.

    Of a row that is ``unreadable`` nobody knows what it says; a part that it may name is not gone.
    """

    file: str
    catalogue_version: str
    rows: tuple[ProposedRow, ...]
    unreadable: tuple[Unreadable, ...]
    gone: tuple[Part, ...]
    collisions: tuple[Collision, ...]

    def of_kind(self, kind: RowKind) -> tuple[ProposedRow, ...]:
        """The rows that would do one thing."""
        return tuple(row for row in self.rows if row.kind is kind)

    @property
    def count(self) -> int:
        """How many rows the file has."""
        return len(self.rows) + len(self.unreadable)

    @property
    def suspicious(self) -> tuple[ProposedRow, ...]:
        """The rows that a person must decide about."""
        return tuple(row for row in self.rows if row.suspicious)

    @property
    def refused(self) -> tuple[ProposedRow, ...]:
        """The rows that cannot be taken."""
        return tuple(row for row in self.rows if row.refused)

    @property
    def lost_by_number(self) -> int:
        """How many rows a list that goes by the printed number alone would lose without a word."""
        return sum(len(collision.lines) - 1 for collision in self.collisions)

    def apply(self, catalogue: Catalogue, lines: Collection[int] | None = None) -> Catalogue:
        """The catalogue with rows of the file taken into it; the old one stays as it is.

        Parameters
        ----------
        lines : collection of int, optional
            The rows that a person has decided to take, by line of the file. Without it every row is taken,
            and none may be suspicious or refused.

        Raises
        ------
        Refusal
            Rows that nobody has decided about, a refused row, or two rows of one part among those to take;
            or another catalogue than the one the file was read for. Nothing is then taken.
        BadInput
            The parts would not hold together: a successor that is in no row, supersessions in a circle.
        """
        if catalogue.version != self.catalogue_version:
            raise Refusal(
                f"{self.file} was read for another catalogue.",
                [Ground(f"read for {self.catalogue_version}, this is {catalogue.version}", "price file")],
                ["read the file again"],
            )
        taken = self._undoubted() if lines is None else self._chosen(lines)
        changed = {identity(row.part.supplier, row.part.number): row.part for row in taken}
        parts = tuple(changed.pop(identity(part.supplier, part.number), part) for part in catalogue.parts)
        parts += tuple(changed.values())
        complaints = Complaints()
        check_parts(parts, [Where(self.file)] * len(parts), complaints)
        complaints.raise_if_any()
        return replace(catalogue, parts=parts)

    def _undoubted(self) -> list[ProposedRow]:
        doubtful = [row for row in self.rows if row.suspicious or row.refused]
        open_rows = len(doubtful) + len(self.unreadable)
        if open_rows:
            clean = ", ".join(str(row.line) for row in self.rows if row not in doubtful)
            ways = [f"take the rows without doubts: {clean}"] if clean else []
            raise Refusal(
                f"{open_rows} of {self.count} rows of {self.file} need a decision.",
                [*_grounds(doubtful), *_unreadable_grounds(self.unreadable)],
                [*ways, "name the lines to take, after a look at each"],
            )
        return list(self.rows)

    def _chosen(self, lines: Collection[int]) -> list[ProposedRow]:
        by_line = {row.line: row for row in self.rows}
        unreadable = [row for row in self.unreadable if row.line in lines]
        if unreadable:
            raise Refusal(
                f"{len(unreadable)} of the chosen rows of {self.file} cannot be read.",
                list(_unreadable_grounds(unreadable)),
                ["leave them out", "ask the supplier for a corrected file"],
            )
        missing = sorted(set(lines) - set(by_line))
        if missing:
            raise BadInput.at(
                Where(self.file, missing[0]), "no row begins at this line", missing[0], "a line with a row"
            )
        chosen = [by_line[line] for line in sorted(set(lines))]
        refused = [row for row in chosen if row.refused]
        if refused:
            ways = ["leave them out", "ask the supplier for a corrected file"]
            raise Refusal(
                f"{len(refused)} of the chosen rows of {self.file} cannot be taken.",
                list(_grounds(refused)),
                ways,
            )
        seen: dict[Identity, int] = {}
        for row in chosen:
            key = identity(row.part.supplier, row.part.number)
            if key in seen:
                raise Refusal(
                    f"Two of the chosen rows of {self.file} are one part.",
                    [Ground(f"lines {seen[key]} and {row.line} are both {row.part.number}", "price file")],
                    [f"leave out line {seen[key]}", f"leave out line {row.line}"],
                )
            seen[key] = row.line
        return chosen


def _grounds(rows: Sequence[ProposedRow]) -> Iterator[Ground]:
    for row in rows:
        for remark in row.remarks:
            if remark.weight is not Weight.NOTE:
                yield Ground(f"line {row.line}, {row.part.number}: {remark.text}", "price file", remark.id)


def _unreadable_grounds(rows: Iterable[Unreadable]) -> Iterator[Ground]:
    for row in rows:
        for complaint in row.complaints:
            yield Ground(str(complaint), "price file", "unreadable-row")


def propose(text: str, file: str, catalogue: Catalogue, how: PriceColumns, today: date) -> Proposal:
    """The text of a price file as a proposal.

    Parameters
    ----------
    file : str
        The name that remarks and errors show.
    today : date
        Prices of a later date are asked about.

    Raises
    ------
    BadInput
        The file as a whole cannot be read.
    """
    rows, unreadable = read_price_rows(text, file, how, catalogue.suppliers)
    remark_on_rows(rows, catalogue, how, today)
    proposed = tuple(_proposed(row, file, catalogue, how) for row in rows)
    numbers = grouped(rows, (row.number for row in rows))
    return Proposal(
        file=file,
        catalogue_version=catalogue.version,
        rows=proposed,
        unreadable=tuple(unreadable),
        gone=_gone(rows, unreadable, catalogue, how) if how.complete else (),
        collisions=tuple(
            Collision(number, tuple(row.line for row in same))
            for number, same in numbers.items()
            if len(same) > 1
        ),
    )


def _gone(
    rows: Sequence[PriceRow], unreadable: Sequence[Unreadable], catalogue: Catalogue, how: PriceColumns
) -> tuple[Part, ...]:
    """What the file's suppliers no longer list; it stays in the catalogue until a person says otherwise."""
    listed = {row.identity for row in rows}
    suppliers = {row.supplier for row in rows}
    cells = {cell.strip() for row in unreadable for cell in row.cells}
    listed |= {identity(supplier, how.our_number(supplier, cell)) for supplier in suppliers for cell in cells}
    return tuple(
        part
        for part in catalogue.parts
        if part.supplier in suppliers and identity(part.supplier, part.number) not in listed
    )


def _proposed(row: PriceRow, file: str, catalogue: Catalogue, how: PriceColumns) -> ProposedRow:
    before = catalogue.find(row.supplier, row.our_number)
    part = _new_part(row, file, how) if before is None else _changed_part(row, before, how)
    if before is None and not how.tells_pack:
        row.ask("pack-not-told", "the file does not say in which packs it is sold; taken as one, each")
    changes = () if before is None else tuple(_changes(before, part))
    for change in changes:
        _remark_on_change(row, change, how)
    kind = RowKind.NEW if before is None else RowKind.CHANGED if changes else RowKind.SAME
    return ProposedRow(row.line, kind, part, before, changes, tuple(row.remarks), row.weight, row.stands)


def _new_part(row: PriceRow, file: str, how: PriceColumns) -> Part:
    """A part that fills no need yet: what it is for, a person says."""
    return Part(
        number=row.our_number,
        supplier=row.supplier,
        description=row.description or row.number,
        fills=(),
        unit=row.unit,
        pieces=row.pieces,
        cost=row.cost or Decimal(0),
        price=row.price,
        lead_days=how.new_lead_days,
        core_charge=row.core_charge or Decimal(0),
        returnable=how.new_returnable,
        tax_class=how.new_tax_class,
        status=row.status,
        superseded_by=row.superseded_by,
        note=f"from {file}",
        as_read=row.number,
    )


def _changed_part(row: PriceRow, before: Part, how: PriceColumns) -> Part:
    """The part with what the row says; a price of nothing and what the row leaves out are not taken."""
    same_unit = before.unit.split("/")[0].lower() == row.unit.lower()
    return replace(
        before,
        unit=row.unit if how.tells_pack and not same_unit else before.unit,
        pieces=row.pieces if how.tells_pack else before.pieces,
        cost=row.cost or before.cost,
        price=row.price or before.price,
        core_charge=before.core_charge if row.core_charge is None else row.core_charge,
        status=before.status if before.status == "by hand" else row.status,
        superseded_by=row.superseded_by,
    )


def _changes(before: Part, after: Part) -> Iterator[Change]:
    for name in COMPARED:
        old, new = getattr(before, name), getattr(after, name)
        if old == new:
            continue
        percent = None
        if isinstance(old, Decimal):
            percent = ((new - old) / old * 100).quantize(Decimal("0.1")) if old else None
            old, new = f"{old:.2f}", f"{new:.2f}"
        yield Change(name, str(old), str(new), percent)


def _remark_on_change(row: PriceRow, change: Change, how: PriceColumns) -> None:
    if change.field in {"unit", "pieces"}:
        row.ask(f"{change.field}-changed", f"{change.field} {change.before} becomes {change.after}")
    elif change.percent is not None and abs(change.percent) > how.suspicious_change_percent:
        limit = f"{how.suspicious_change_percent:f} %"
        row.ask(
            "large-change",
            f"{change.field} {change.before} becomes {change.after}: {change.percent:+} %, over {limit}",
        )
