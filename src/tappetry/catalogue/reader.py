"""Reads the list of parts and the suppliers of a shop, strictly; every complaint says where and what."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import MISSING, dataclass, fields
from decimal import Decimal
from pathlib import Path
from typing import Any

from tappetry.catalogue.attributes import PartAttribute, ValueProblem, closest, part_attributes
from tappetry.catalogue.catalogue import Catalogue
from tappetry.catalogue.cells import Cells, Fault
from tappetry.catalogue.checks import check_parts
from tappetry.catalogue.columns import COLUMNS, SOLD, STATUSES
from tappetry.catalogue.numbers import read_amount, read_whole
from tappetry.catalogue.rows import Row, read_rows, read_text
from tappetry.knowledge.model import Knowledge
from tappetry.knowledge.text import Document, read_yaml
from tappetry.records.part import Part, Supplier
from tappetry.records.problems import Complaints, Where

SUPPLIER_FIELDS = {field.name: field for field in fields(Supplier)}


@dataclass(frozen=True, slots=True)
class Known:
    """What a list of parts may speak of: part attributes, needs, engine attributes, tax classes."""

    attributes: Mapping[str, PartAttribute]
    needs: frozenset[str]
    engine: frozenset[str]
    tax_classes: frozenset[str]


def known_to(knowledge: Knowledge) -> Known:
    """What the lists of a shop may speak of; engine quantities fit nothing, so they are not among it."""
    return Known(
        attributes=part_attributes(knowledge.part_attributes),
        needs=frozenset(knowledge.needs),
        engine=frozenset(s.id for s in knowledge.attributes.values() if s.type != "quantity"),
        tax_classes=frozenset(knowledge.book.money["tax"]),
    )


def read_catalogue(folder: Path, knowledge: Knowledge) -> Catalogue:
    """The catalogue of a shop's folder.

    Raises
    ------
    BadInput
        With every complaint about ``suppliers.yaml`` or ``parts.csv``; nothing is read in part.
    """
    known = known_to(knowledge)
    suppliers = read_suppliers(folder / "suppliers.yaml")
    parts = read_parts(folder / "parts.csv", known, suppliers)
    return Catalogue(parts, suppliers, known.attributes, knowledge.tables)


def read_parts(path: Path, known: Known, suppliers: Collection[str]) -> tuple[Part, ...]:
    """The parts of a file.

    Raises
    ------
    BadInput
        With every complaint: file, line, field, the value read and what was expected.
    """
    return parse_parts(read_text(path), path.name, known, suppliers)


def parse_parts(text: str, file: str, known: Known, suppliers: Collection[str]) -> tuple[Part, ...]:
    """The parts of a text; ``file`` is the name that complaints show."""
    reader = _PartReader(file, known, suppliers)
    rows = read_rows(text, file, COLUMNS)
    before = len(reader.complaints.items)
    parts = [reader.part(row) for row in rows]
    if len(reader.complaints.items) == before:
        check_parts(parts, [Where(file, row.line) for row in rows], reader.complaints)
    reader.complaints.raise_if_any()
    return tuple(parts)


class _PartReader:
    """Turns rows into parts and collects complaints; a cell that was read once is not read again."""

    def __init__(self, file: str, known: Known, suppliers: Collection[str]) -> None:
        self.file = file
        self.known = known
        self.suppliers = suppliers
        self.complaints = Complaints()
        self._cells = Cells(known.attributes, known.needs, known.engine)
        self._seen: dict[tuple[str, str], tuple[Any, tuple[Fault, ...]]] = {}

    def part(self, row: Row) -> Part:
        """One row as a part; what cannot be read is complained of and left empty."""
        cell = row.cells
        part = Part(
            number=self._named(row, "number"),
            supplier=self._one_of(row, "supplier", self.suppliers),
            description=self._named(row, "description"),
            fills=self._several(row, "fills", self._cells.fill_cell),
            fits=self._several(row, "fits", self._cells.fits_cell),
            attributes=self._several(row, "attributes", self._cells.attribute_cell),
            contents=self._several(row, "contents", self._cells.content_cell),
            unit=self._named(row, "unit"),
            pieces=self._whole(row, "pieces", 1),
            cost=self._amount(row, "cost"),
            price=self._amount(row, "price"),
            lead_days=self._whole(row, "lead_days", 0),
            core_charge=self._amount(row, "core_charge"),
            returnable=self._one_of(row, "returnable", ("yes", "no")) == "yes",
            tax_class=self._one_of(row, "tax_class", self.known.tax_classes),
            status=self._one_of(row, "status", STATUSES),
            superseded_by=cell["superseded_by"],
            note=cell["note"],
            spreads=self._spreads(cell["attributes"]),
        )
        self._check_money(row, part)
        self._check_successor(row, part)
        return part

    def _complain(self, row: Row, field: str, message: str, value: object, expected: str) -> None:
        self.complaints.add(Where(self.file, row.line, field), message, value, expected)

    def _named(self, row: Row, column: str) -> str:
        if not row.cells[column]:
            self._complain(row, column, f"the {column} is missing", "", "a text")
        return row.cells[column]

    def _one_of(self, row: Row, column: str, values: Collection[str]) -> str:
        text = row.cells[column]
        if text not in values:
            near = closest(text, values)
            expected = f"did you mean {near}?" if near else "one of " + ", ".join(sorted(values))
            self._complain(row, column, f"there is no such {column.replace('_', ' ')}", text, expected)
        return text

    def _several(self, row: Row, column: str, read: Callable[[str], tuple[Any, tuple[Fault, ...]]]) -> Any:
        text = row.cells[column]
        if (column, text) not in self._seen:
            self._seen[column, text] = read(text)
        value, faults = self._seen[column, text]
        for fault in faults:
            self._complain(row, fault.field, fault.message, fault.value, fault.expected)
        return value

    def _spreads(self, text: str) -> Mapping[str, tuple[float, float]]:
        """The tolerances of the attributes; a cell with a fault has been complained of already."""
        if "\u00b1" not in text and "+" not in text:
            return {}
        _, faults = self._seen["attributes", text]
        return {} if faults else self._cells.spreads(text)

    def _whole(self, row: Row, column: str, least: int) -> int:
        try:
            return read_whole(row.cells[column], least)
        except ValueProblem as problem:
            self._complain(row, column, problem.message, row.cells[column], problem.expected)
            return least

    def _amount(self, row: Row, column: str) -> Decimal:
        try:
            return read_amount(row.cells[column])
        except ValueProblem as problem:
            self._complain(row, column, problem.message, row.cells[column], problem.expected)
            return Decimal("NaN")

    def _check_money(self, row: Row, part: Part) -> None:
        if part.status not in SOLD or part.cost.is_nan() or part.price.is_nan():
            return
        for column, amount in (("cost", part.cost), ("price", part.price)):
            if not amount:
                expected = "an amount above 0, or the status discontinued"
                self._complain(
                    row, column, f"a part that is sold has no {column}", row.cells[column], expected
                )
        if part.cost > part.price > 0:
            expected = f"at most the price {part.price}"
            self._complain(row, "cost", "the cost is over the price", row.cells["cost"], expected)

    def _check_successor(self, row: Row, part: Part) -> None:
        if part.status == "superseded" and not part.superseded_by:
            self._complain(
                row,
                "superseded_by",
                "a superseded part names no successor",
                "",
                "the number that replaces it",
            )
        if part.status in SOLD and part.superseded_by:
            expected = "superseded or discontinued"
            self._complain(
                row,
                "status",
                f"a part with the successor {part.superseded_by} is still sold",
                part.status,
                expected,
            )


# ---- suppliers ------------------------------------------------------------------------------------------


def read_suppliers(path: Path) -> dict[str, Supplier]:
    """The suppliers by code.

    Raises
    ------
    BadInput
        With every complaint: an unknown or missing field, a code twice, an amount that cannot be read.
    """
    document = read_yaml(path)
    complaints = Complaints()
    if not isinstance(document.data, list):
        complaints.add(
            document.where(()), "the suppliers are no list", type(document.data).__name__, "- code: ..."
        )
        complaints.raise_if_any()
    suppliers: dict[str, Supplier] = {}
    for index, item in enumerate(document.data):
        supplier = _supplier(document, index, item, complaints)
        if supplier.code in suppliers:
            complaints.add(
                document.where((index, "code")), "the supplier stands twice", supplier.code, "each code once"
            )
        suppliers[supplier.code] = supplier
    complaints.raise_if_any()
    return suppliers


def _supplier(document: Document, index: int, item: Any, complaints: Complaints) -> Supplier:
    """One supplier; a field that is left out has its default, an amount is exact."""
    if not isinstance(item, dict):
        complaints.add(
            document.where((index,)), "a supplier is no list of fields", item, "code: ..., name: ..."
        )
        return Supplier("", "")
    for name in item:
        if name not in SUPPLIER_FIELDS:
            near = closest(str(name), SUPPLIER_FIELDS)
            expected = f"did you mean {near}?" if near else ", ".join(SUPPLIER_FIELDS)
            complaints.add(document.where((index, str(name))), "there is no such field", name, expected)
    stated: dict[str, Any] = {}
    for name, supplier_field in SUPPLIER_FIELDS.items():
        value, where = item.get(name), document.where((index, name))
        if value is None or value == "":
            if supplier_field.default is MISSING:
                complaints.add(where, f"the {name} is missing", "", "a text")
                stated[name] = ""
        elif supplier_field.default == "" or supplier_field.default is MISSING:
            stated[name] = str(value)
        else:
            try:
                stated[name] = read_amount(str(value))
            except ValueProblem as problem:
                complaints.add(where, problem.message, value, problem.expected)
    return Supplier(**stated)
