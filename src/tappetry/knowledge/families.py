"""Reads attributes and engine families from their text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tappetry.knowledge import schema as published
from tappetry.knowledge.text import Document, Path_, read_yaml
from tappetry.knowledge.units import suffix_of_unit
from tappetry.records.evidence import Value
from tappetry.records.family import (
    Application,
    AttributeSchema,
    Break,
    Family,
    Fitted,
    Remark,
    Table,
    key_text,
)
from tappetry.records.problems import BadInput, Complaints, Where


def attributes(document: Document) -> dict[str, AttributeSchema]:
    """The shop's list of attributes, by id."""
    complaints = Complaints()
    found: dict[str, AttributeSchema] = {}
    for index, item in enumerate(document.data):
        if item["id"] in found:
            complaints.add(
                document.where((index, "id")), "the attribute stands twice", item["id"], "each id once"
            )
        unit = item.get("unit", "")
        found[item["id"]] = AttributeSchema(
            id=item["id"],
            title=item["title"],
            type=item["type"],
            kind=item.get("kind", ""),
            unit=unit,
            values=tuple(str(value) for value in item.get("values", ())),
            min=item.get("min"),
            max=item.get("max"),
            about=item.get("about", "engine"),
            grade=item.get("grade", ""),
            see=item.get("see", ""),
            ask=item.get("ask", ""),
            drives=item.get("drives", ""),
            name_in_conditions=item["id"].replace("-", "_") + suffix_of_unit(unit),
            photo=item.get("photo", ""),
            tool=item.get("tool", ""),
            shares=item.get("shares", {}),
            renewed=item.get("renewed", False),
        )
        _check_shares(document, index, found[item["id"]], complaints)
    complaints.raise_if_any()
    return found


def _check_shares(document: Document, index: int, schema: AttributeSchema, complaints: Complaints) -> None:
    """Shares are stated of values that the attribute can have; of numbers and lists there are none."""
    listed = {"choice": schema.values, "truth": ("yes", "no"), "text": tuple(schema.shares)}
    for value in schema.shares:
        if value not in listed.get(schema.type, ()):
            expected = " or ".join(listed.get(schema.type, (f"none of a {schema.type}",)))
            complaints.add(document.where((index, "shares", value)), "no such value", value, expected)


def part_attributes(document: Document) -> dict[str, Mapping[str, Any]]:
    """The schema of part attributes, by id."""
    return {item["id"]: item for item in document.data}


def families(folder: Path, known: Mapping[str, AttributeSchema]) -> dict[str, Family]:
    """Every family of the folder ``families``, by id."""
    found: dict[str, Family] = {}
    for file in sorted((folder / "families").glob("*/family.yaml")):
        name = f"families/{file.parent.name}/family.yaml"
        document = read_yaml(file, name)
        published.check(document, "family")
        family = _FamilyReader(document, known).read()
        if family.id in found:
            raise BadInput.at(Where(name, 1, "id"), "the family stands twice", family.id, "each id once")
        found[family.id] = family
    return found


class _FamilyReader:
    """Turns one family's text into data, with every complaint about it."""

    def __init__(self, document: Document, known: Mapping[str, AttributeSchema]) -> None:
        self.document = document
        self.data: dict[str, Any] = document.data
        self.known = known
        self.complaints = Complaints()

    def read(self) -> Family:
        """The family."""
        family = Family(
            id=self.data["id"],
            name=self.data["name"],
            attributes=self._engine_values(("attributes",), self.data.get("attributes", {})),
            tables=tuple(
                self._table(("tables", n), table, engine=True)
                for n, table in enumerate(self.data.get("tables", []))
            ),
            fitted={
                need: self._fitted(("fitted", need), stated)
                for need, stated in self.data.get("fitted", {}).items()
            },
            applications=tuple(self._applications()),
            breaks=tuple(
                Break(
                    b["feature"], b["driver"], str(b.get("from", "")), str(b.get("to", "")), b.get("when", "")
                )
                for b in self.data.get("breaks", [])
            ),
            limits=tuple(self.data.get("limits", ())),
            file=self.document.file,
            identity=self._attributes_named("identity"),
            same_within={
                name: (float(below), float(above))
                for name, (below, above) in self.data.get("same_within", {}).items()
            },
            service_castings=tuple(map(str, self.data.get("service_castings", ()))),
            remarks=tuple(self._remarks()),
            reference=self.data.get("reference", {}),
        )
        self.complaints.raise_if_any()
        return family

    def _fitted(self, path: Path_, stated: Any) -> Fitted:
        """Plain attributes, one table, or a list of both."""
        items = stated if isinstance(stated, list) else [stated]
        tables = []
        for index, item in enumerate(items):
            here = (*path, index) if isinstance(stated, list) else path
            if "by" in item:
                tables.append(self._table(here, item, engine=False))
            else:
                tables.append(Table((), {(): {name: plain(value) for name, value in item.items()}}))
        return Fitted(tuple(tables))

    def _table(self, path: Path_, table: Mapping[str, Any], engine: bool) -> Table:
        by = table["by"] if isinstance(table["by"], list) else [table["by"]]
        for attribute in by:
            self._must_be_known((*path, "by"), attribute)
        rows: dict[tuple[str, ...], Mapping[str, Value]] = {}
        for key, row in table["rows"].items():
            here = (*path, "rows", key)
            parts = tuple(part.strip() for part in str(key).split(" / "))
            if len(parts) != len(by):
                self.complaints.add(
                    self.document.where(here), "the key has another number of parts", key, " / ".join(by)
                )
            for attribute, part in zip(by, parts, strict=False):
                self._check_choice(here, attribute, part)
            rows[parts] = (
                self._engine_values(here, row)
                if engine
                else {name: plain(value) for name, value in row.items()}
            )
        return Table(tuple(by), rows, table.get("source", ""))

    def _applications(self) -> Iterator[Application]:
        for index, item in enumerate(self.data.get("applications", [])):
            path: Path_ = ("applications", index)
            years = item["years"]
            yield Application(
                id=item["id"],
                vehicle=item["vehicle"],
                first_year=int(years[0]),
                last_year=int(years[1]),
                vin={
                    int(place): str(code) for place, code in item.get("vin", {}).get("positions", {}).items()
                },
                attributes=self._engine_values((*path, "attributes"), item.get("attributes", {})),
                castings=tuple(str(casting) for casting in item.get("castings", ())),
                transmissions=tuple(item.get("transmissions", ())),
                maker=str(item.get("vin", {}).get("wmi", "")),
                light=item.get("vin", {}).get("light"),
                serials=tuple(map(str, item.get("serials", ()))),
            )

    def _remarks(self) -> Iterator[Remark]:
        for index, item in enumerate(self.data.get("remarks", [])):
            path: Path_ = ("remarks", index)
            asked, unknown = tuple(item.get("ask", ())), tuple(item.get("unknown", ()))
            for attribute in (*asked, *unknown):
                self._must_be_known(path, attribute)
            when = self._engine_values((*path, "when"), item["when"])
            yield Remark(item["id"], when, item["verdict"], item["text"], unknown, asked)

    def _attributes_named(self, key: str) -> tuple[str, ...]:
        names = tuple(self.data.get(key, ()))
        for index, name in enumerate(names):
            self._must_be_known((key, index), name)
        return names

    def _engine_values(self, path: Path_, stated: Mapping[str, Any]) -> dict[str, Value]:
        values: dict[str, Value] = {}
        for attribute, raw in stated.items():
            here = (*path, attribute)
            self._must_be_known(here, attribute)
            value = plain(raw)
            schema = self.known.get(attribute)
            if schema is not None and schema.type in {"choice", "text"}:
                value = key_text(value)
            if schema is not None and schema.type == "list":
                value = tuple(map(str, raw)) if isinstance(raw, list) else (str(raw),)
            if isinstance(value, str):
                self._check_choice(here, attribute, value)
            values[attribute] = value
        return values

    def _must_be_known(self, path: Path_, attribute: str) -> None:
        if attribute not in self.known:
            self.complaints.add(
                self.document.where(path), "there is no such attribute", attribute, "an id of attributes.yaml"
            )

    def _check_choice(self, path: Path_, attribute: str, value: str) -> None:
        schema = self.known.get(attribute)
        if schema is not None and schema.type == "choice" and value not in schema.values:
            self.complaints.add(
                self.document.where(path), f"{attribute} has no such value", value, " or ".join(schema.values)
            )


def plain(raw: Any) -> Value:
    """A value of the text as data: whole numbers as doubles, lists as tuples of text."""
    if isinstance(raw, bool):
        return raw
    if isinstance(raw, int | float):
        return float(raw)
    if isinstance(raw, list):
        return tuple(str(item) for item in raw)
    return str(raw)
