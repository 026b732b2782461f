"""What is audited: knowledge, parts, the names of the calculations, and the text they were read from."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tappetry.knowledge.language import Expression, compile_expression
from tappetry.knowledge.model import Gate, Knowledge, Need, Preference, Rule
from tappetry.knowledge.text import Document, Path_, read_yaml
from tappetry.records.part import Part
from tappetry.records.problems import BadInput, Where


@dataclass(frozen=True, slots=True)
class CalculationNames:
    """What the audit must know of a calculation: the kinds of its inputs and outputs, by name."""

    inputs: Mapping[str, str]
    outputs: Mapping[str, str]
    needed: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Condition:
    """One expression of the knowledge and what it is for.

    ``role`` is when, that, renew, pieces, least, value, limit, input or item; ``need`` is the need that
    it belongs to, if any.
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
        return [part for part in self.parts if part.pieces_for(need)]


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
    found = list(_knowledge_conditions(subject.knowledge))
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


def _knowledge_conditions(knowledge: Knowledge) -> Iterator[Condition]:
    for need in knowledge.needs.values():
        yield from _need_conditions(need)
    for named in knowledge.named.values():
        yield from _some((named.expression, "value"))
        yield from _some(*((item.expression, "input") for item in named.inputs))
        yield from _some((named.sweep.to if named.sweep else None, "input"))
    for proof in knowledge.proofs.values():
        yield from _some(
            (proof.value, "value"), (proof.at_least, "limit"), (proof.at_most, "limit"), (proof.when, "when")
        )
    yield from _rule_conditions((*knowledge.rules, *knowledge.gates), "")
    for operation in knowledge.operations.values():
        yield from _some((operation.when, "when"))
    for package in knowledge.book.packages.values():
        for need_id, expression in package.renew.items():
            yield Condition(expression, "renew", need_id)
        for need_id, preference in package.prefer:
            yield from _preference_conditions([preference], need_id)


def _need_conditions(need: Need) -> Iterator[Condition]:
    yield from _some((need.when, "when"), (need.renew, "renew"), need=need.id)
    for slot in need.slots:
        yield from _some((slot.pieces, "pieces"), (slot.when, "when"), need=need.id)
        yield from _rule_conditions(slot.match, need.id)
    yield from _rule_conditions(need.rules, need.id)
    yield from _preference_conditions(need.prefer, need.id)
    if need.box is not None:
        yield Condition(need.box.item, "item", need.id)
    if need.one_of_each is not None:
        yield from _some((need.one_of_each.only_least, "that"), need=need.id)


def _rule_conditions(rules: Iterable[Rule | Gate], need: str) -> Iterator[Condition]:
    for rule in rules:
        yield from _some((rule.when, "when"), (rule.that, "that"), need=need)


def _preference_conditions(preferences: Iterable[Preference], need: str) -> Iterator[Condition]:
    for preference in preferences:
        yield from _some(
            (preference.when, "when"), (preference.that, "that"), (preference.least, "least"), need=need
        )


def _some(*stated: tuple[Expression | None, str], need: str = "") -> Iterator[Condition]:
    for expression, role in stated:
        if expression is not None:
            yield Condition(expression, role, need)
