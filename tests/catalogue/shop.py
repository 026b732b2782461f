"""A little shop for tests: a few attributes and needs, and lists of parts made from rows."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
import yaml

from tappetry.catalogue.attributes import PartAttribute, part_attributes
from tappetry.catalogue.catalogue import Catalogue
from tappetry.catalogue.columns import COLUMNS
from tappetry.catalogue.reader import Known, parse_parts, read_parts, read_suppliers
from tappetry.records.part import Part, Supplier
from tappetry.records.problems import BadInput, Complaint

DEMO = Path(__file__).resolve().parents[2] / "src" / "tappetry" / "demo"
SHOP = DEMO / "shop"
PRICE_FILES = DEMO / "price-files"

ATTRIBUTES = {
    item.id: item
    for item in (
        PartAttribute("bore_mm", "bore", "quantity", "length", "mm"),
        PartAttribute("length_mm", "length", "quantity", "length", "mm"),
        PartAttribute("seat_lb", "seat load", "quantity", "force", "lb"),
        PartAttribute("ratio", "ratio", "quantity", "dimensionless"),
        PartAttribute("teeth", "teeth", "count"),
        PartAttribute("type", "type", "text"),
        PartAttribute("single_use", "single use", "truth"),
        PartAttribute("springs", "springs", "list"),
        PartAttribute("mount", "mount", "choice", values=("pedestal", "stud")),
        PartAttribute("return_class", "return class", "text", technical=False),
        PartAttribute("section_mm", "section", "quantity", "length", "mm"),
        PartAttribute("grind", "grind", "text"),
    )
}
KNOWN = Known(
    attributes=ATTRIBUTES,
    needs=frozenset({"bolt", "gasket", "seal", "camshaft"}),
    engine=frozenset({"family", "era", "turbo"}),
    tax_classes=frozenset({"parts", "services"}),
)
SUPPLIERS = {code: Supplier(code, f"{code} Works") for code in ("ABC", "DEF")}
ROW = {
    "number": "A-1",
    "supplier": "ABC",
    "fills": "bolt:1",
    "description": "Bolt",
    "fits": "",
    "attributes": "",
    "contents": "",
    "unit": "each",
    "pieces": "1",
    "cost": "2.00",
    "price": "3.00",
    "lead_days": "2",
    "core_charge": "0.00",
    "returnable": "yes",
    "tax_class": "parts",
    "status": "active",
    "superseded_by": "",
    "note": "",
}


def text_of(*rows: dict[str, str]) -> str:
    """A list of parts: each row says only how it differs from a plain bolt."""
    lines = [",".join(COLUMNS)]
    for row in rows:
        cells = {**ROW, **row}
        lines.append(",".join(f'"{cells[name]}"' if "," in cells[name] else cells[name] for name in COLUMNS))
    return "\n".join(lines) + "\n"


def parts_of(*rows: dict[str, str]) -> tuple[Part, ...]:
    """The parts of such rows."""
    return parse_parts(text_of(*rows), "parts.csv", KNOWN, SUPPLIERS)


def catalogue_of(*rows: dict[str, str]) -> Catalogue:
    """The catalogue of such rows."""
    return Catalogue(parts_of(*rows), SUPPLIERS, ATTRIBUTES)


def complaints_about(text: str) -> list[Complaint]:
    """What is complained of when a text is read as a list of parts."""
    with pytest.raises(BadInput) as caught:
        parse_parts(text, "parts.csv", KNOWN, SUPPLIERS)
    return caught.value.complaints


def complaint(**cells: str) -> str:
    """The only complaint about one row that differs so from a plain bolt."""
    complaints = complaints_about(text_of(cells))
    assert len(complaints) == 1, [str(item) for item in complaints]
    return str(complaints[0])


@cache
def demo_known() -> Known:
    """What the invented shop's lists may speak of, as its files say."""
    stated = yaml.safe_load((SHOP / "part-attributes.yaml").read_text(encoding="utf-8"))
    needs = [
        need for file in (SHOP / "needs").glob("*.yaml") for need in yaml.safe_load(file.read_text("utf-8"))
    ]
    engine = yaml.safe_load((SHOP / "attributes.yaml").read_text(encoding="utf-8"))
    return Known(
        attributes=part_attributes({item["id"]: item for item in stated}),
        needs=frozenset(need["id"] for need in needs),
        engine=frozenset(item["id"] for item in engine if item["type"] != "quantity"),
        tax_classes=frozenset({"parts", "services", "labour", "supplies"}),
    )


@cache
def demo_catalogue() -> Catalogue:
    """The invented shop's catalogue, without its tables."""
    known = demo_known()
    suppliers = read_suppliers(SHOP / "suppliers.yaml")
    return Catalogue(read_parts(SHOP / "parts.csv", known, suppliers), suppliers, known.attributes)
