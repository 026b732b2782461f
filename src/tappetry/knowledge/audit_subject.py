"""What is audited: knowledge, parts, the names of the calculations, and the text they were read from."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from tappetry.knowledge.language import Expression, compile_expression
from tappetry.knowledge.model import Knowledge, Need
from tappetry.knowledge.sentences import Blank, Sentence
from tappetry.knowledge.text import Document, Path_, read_yaml
from tappetry.records.part import Part
from tappetry.records.problems import BadInput, Where

#: What of the knowledge holds no compiled expression, or is looked into apart.
_WITHOUT_EXPRESSIONS = frozenset(
    {"needs", "attributes", "part_attributes", "families", "tables", "legal", "cautions"}
)


@dataclass(frozen=True, slots=True)
class CalculationNames:
    """What the audit must know of a calculation: the kinds of its inputs and outputs, by name."""

    inputs: Mapping[str, str]
    outputs: Mapping[str, str]
    needed: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Condition:
    """One expression of the knowledge and what it is for.

    ``role`` is the field that holds it, such as when, that, renew or item; ``need`` is the need that it
    belongs to, if any.
    """

    expression: Expression
    role: str
    need: str = ""


@dataclass(frozen=True)
class Subject:
    """A shop's folder as it was read, with the text at hand for the line of every finding."""

    folder: Path
    knowledge: Knowledge
    parts: tuple[Part, ...]
    calculations: Mapping[str, CalculationNames]
    _documents: dict[str, Document] = field(default_factory=dict)
    _part_lines: dict[str, int] = field(default_factory=dict)

    def document(self, file: str) -> Document:
        """One text file of the folder."""
        if file not in self._documents:
            self._documents[file] = read_yaml(self.folder / file, file)
        return self._documents[file]

    def where(self, file: str, *path: str | int) -> Where:
        """The place of a value."""
        return self.document(file).where(path)

    def where_item(self, file: str, key: str, name: str, *path: str | int, under: Path_ = ()) -> Where:
        """The place of a value in the item of a list whose ``key`` is ``name``."""
        data = self.document(file).data
        for step in under:
            data = data[step]
        index = next(n for n, item in enumerate(data) if str(item.get(key)) == name)
        return self.where(file, *under, index, *path)

    def where_need(self, need: Need, *path: str | int) -> Where:
        """The place of a value of a need."""
        return self.where_item(need.file, "id", need.id, *path)

    def where_part(self, part: Part, column: str) -> Where:
        """The place of a part in the price list."""
        if not self._part_lines:
            self._part_lines.update(_lines_of_parts(self.folder / "parts.csv"))
        return Where("parts.csv", self._part_lines.get(part.number, 0), column)

    def parts_for(self, need: str) -> list[Part]:
        """The parts that fill a need."""
        return self._by_need.get(need, [])

    @cached_property
    def _by_need(self) -> dict[str, list[Part]]:
        found: dict[str, list[Part]] = {}
        for part in self.parts:
            for need in dict.fromkeys(fill.need for fill in part.fills):
                found.setdefault(need, []).append(part)
        return found


def _lines_of_parts(file: Path) -> dict[str, int]:
    """The line of each part number."""
    if not file.is_file():
        return {}
    with file.open(encoding="utf-8-sig", newline="") as stream:
        reader = csv.DictReader(stream)
        return {row["number"]: reader.line_num for row in reader if row.get("number")}


# ---- every expression of the knowledge ---------------------------------------------------------------------


def conditions(subject: Subject) -> tuple[list[Condition], list[BadInput]]:
    """Every expression, and the errors of those legal notes and cautions that cannot be read."""
    found = list(conditions_of(subject.knowledge))
    errors: list[BadInput] = []
    for file, items in (
        ("legal.yaml", subject.knowledge.legal),
        ("cautions.yaml", subject.knowledge.cautions),
    ):
        for index, item in enumerate(items):
            try:
                expression = compile_expression(_when_of(item), subject.where(file, index, "when"))
            except BadInput as error:
                errors.append(error)
            else:
                found.append(Condition(expression, "when"))
    return found, errors


def _when_of(item: Any) -> Any:
    return item.get("when", True) if isinstance(item, Mapping) else True


def conditions_of(knowledge: Knowledge) -> Iterator[Condition]:
    """Every expression of the knowledge but those of legal notes and cautions."""
    for need in knowledge.needs.values():
        yield from _expressions(need, "", need.id)
    for name in (each.name for each in fields(knowledge) if each.name not in _WITHOUT_EXPRESSIONS):
        yield from _expressions(getattr(knowledge, name), "", "")


def expressions_in(thing: Any) -> Iterator[Expression]:
    """Every expression in a piece of the knowledge, however deep."""
    return (condition.expression for condition in _expressions(thing, "", ""))


def _expressions(thing: Any, role: str, need: str) -> Iterator[Condition]:
    """Every expression in a piece of the knowledge, however deep; its role is the field that holds it."""
    if isinstance(thing, Expression):
        yield Condition(thing, role, need)
    elif isinstance(thing, Mapping):
        for value in thing.values():
            yield from _expressions(value, role, need)
    elif isinstance(thing, tuple):
        for value in thing:
            yield from _expressions(value, role, need)
    elif isinstance(thing, Blank):
        yield Condition(thing.expression, role, need)
    elif isinstance(thing, Sentence):
        yield from _expressions(thing.blanks, role, need)
    elif is_dataclass(thing):
        for field_ in fields(thing):
            yield from _expressions(getattr(thing, field_.name), field_.name, need)
