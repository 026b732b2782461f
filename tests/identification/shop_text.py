"""Reads the demo's text files into plain records, independently of the shop's own loader."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from tappetry.jobs.values import read_value
from tappetry.knowledge.text import read_yaml
from tappetry.records.evidence import Fact, Grade, Value
from tappetry.records.family import (
    Application,
    AttributeSchema,
    Break,
    Family,
    Fitted,
    Remark,
    Table,
)

SHOP = Path(__file__).parents[2] / "src/tappetry/demo/shop"


def read(name: str) -> Any:
    return read_yaml(SHOP / name, name).data


@cache
def attributes() -> dict[str, AttributeSchema]:
    return {item["id"]: _attribute(item) for item in read("attributes.yaml")}


@cache
def families() -> dict[str, Family]:
    found = [
        _family(read(f"families/{f.parent.name}/family.yaml")) for f in SHOP.glob("families/*/family.yaml")
    ]
    return {family.id: family for family in found}


@cache
def vehicles() -> list[dict[str, Any]]:
    return list(read("vehicles.yaml"))


def fact(attribute: str, value: Any, grade: str = "seen", source: str = "photo") -> Fact:
    """A fact read as a person typed it."""
    schema = attributes()[attribute]
    read_as, unit, si, as_read = read_value(schema, value)
    return Fact(attribute, read_as, Grade[grade], source, as_read, unit, si)


def facts_of(vehicle: str) -> list[Fact]:
    item = next(v for v in vehicles() if v["id"] == vehicle)
    return [fact(f["attribute"], f["value"], f["grade"], f["source"]) for f in item["facts"]]


def _attribute(item: dict[str, Any]) -> AttributeSchema:
    unit = item.get("unit", "")
    named = item["id"].replace("-", "_") + (f"_{unit}" if unit else "")
    values = tuple(map(str, item.get("values", ())))
    rest = {key: value for key, value in item.items() if key != "values"}
    return AttributeSchema(**rest, values=values, name_in_conditions=named)


def _value(raw: Any) -> Value:
    if isinstance(raw, bool):
        return raw
    if isinstance(raw, list):
        return tuple(map(str, raw))
    return float(raw) if isinstance(raw, int | float) else str(raw)


def _values(row: dict[str, Any]) -> dict[str, Value]:
    return {name: _value(value) for name, value in row.items()}


def _table(item: dict[str, Any]) -> Table:
    if "by" not in item:
        return Table((), {(): _values(item)})
    by = item["by"] if isinstance(item["by"], list) else [item["by"]]
    rows = {tuple(key.split(" / ")): _values(row) for key, row in item["rows"].items()}
    assert all(len(key) == len(by) for key in rows)
    return Table(tuple(by), rows)


def _application(item: dict[str, Any]) -> Application:
    vin = item.get("vin", {})
    return Application(
        id=item["id"],
        vehicle=item["vehicle"],
        first_year=item["years"][0],
        last_year=item["years"][1],
        vin={int(place): code for place, code in vin.get("positions", {}).items()},
        attributes=_values(item["attributes"]),
        castings=tuple(map(str, item.get("castings", ()))),
        transmissions=tuple(map(str, item.get("transmissions", ()))),
        maker=vin.get("wmi", ""),
        light=vin.get("light"),
        serials=tuple(item.get("serials", ())),
    )


def _remark(item: dict[str, Any]) -> Remark:
    when, ask = _values(item["when"]), tuple(item.get("ask", ()))
    return Remark(item["id"], when, item["verdict"], item["text"], tuple(item.get("unknown", ())), ask)


def _family(data: dict[str, Any]) -> Family:
    return Family(
        id=data["id"],
        name=data["name"],
        attributes=_values(data["attributes"]),
        tables=tuple(map(_table, data["tables"])),
        fitted={
            need: Fitted(tuple(map(_table, stated if isinstance(stated, list) else [stated])))
            for need, stated in data["fitted"].items()
        },
        applications=tuple(map(_application, data["applications"])),
        breaks=tuple(
            Break(b["feature"], b["driver"], str(b["from"]), str(b["to"]), b["when"]) for b in data["breaks"]
        ),
        limits=tuple(data["limits"]),
        identity=tuple(data["identity"]),
        same_within={name: (low, high) for name, (low, high) in data["same_within"].items()},
        service_castings=tuple(data["service_castings"]),
        remarks=tuple(map(_remark, data["remarks"])),
        reference=data["reference"],
    )
