"""Assumed spreads: how far a value may lie from what is stated of it, where nobody says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from tappetry.knowledge.text import Document, Path_
from tappetry.knowledge.units import SUFFIXES
from tappetry.quantities.notation import NotationError, parse
from tappetry.quantities.tolerance import Spread
from tappetry.quantities.units import from_si
from tappetry.records.family import AttributeSchema
from tappetry.records.problems import Complaints

#: What a spread is of: an attribute of the engine, or an attribute of a part.
ENGINE, PART = "engine", "part"


@dataclass(frozen=True, slots=True)
class Width:
    """How far a value may lie to either side: a distance in its own unit, or a share of its size."""

    distance: float = 0.0
    share: float = 0.0

    def of(self, value: float) -> float:
        """The distance for a value, in its own unit."""
        return self.distance + self.share * abs(value)


@dataclass(frozen=True, slots=True)
class SpreadRule:
    """The spread of a value that is stated without one.

    ``unmeasured`` is what lists and papers are off by; ``measured`` what is left when it is measured as well
    as the shop can, with ``tool``. None: it is taken as exact, or cannot be measured.
    """

    id: str
    unmeasured: Width | None
    measured: Width | None
    means: Spread
    why: str
    source: str
    tool: str


@dataclass(frozen=True, slots=True)
class Spreads:
    """The spreads of a shop's text: by what they are of, and by the name in conditions."""

    rules: Mapping[tuple[str, str], SpreadRule] = field(default_factory=dict)

    def rule(self, of: str, name: str) -> SpreadRule | None:
        """The rule for a name; None where the shop assumes nothing."""
        return self.rules.get((of, name))


@dataclass(frozen=True, slots=True)
class _Number:
    """A number that may have a spread: its name in conditions, its kind of quantity, its unit."""

    name: str
    kind: str
    unit: str

    @property
    def symbol(self) -> str:
        """The unit as people write it."""
        return SUFFIXES.get(self.unit, self.unit) or "1"


def read_spreads(
    document: Document,
    attributes: Mapping[str, AttributeSchema],
    part_attributes: Mapping[str, Mapping[str, Any]],
) -> Spreads:
    """The spreads of a file; those for a name stand before those for all of a kind.

    Raises
    ------
    BadInput
        With every complaint: a name that nothing has, or that stands twice; a spread that cannot be read.
    """
    known = {
        ENGINE: {
            each.id: _Number(each.name_in_conditions, each.kind or "dimensionless", each.unit)
            for each in attributes.values()
            if each.type == "quantity"
        },
        PART: {
            name: _Number(name, each["kind"], each.get("unit", ""))
            for name, each in part_attributes.items()
            if each["type"] == "quantity"
        },
    }
    return _Reader(document, known).read()


class _Reader:
    """Turns one checked document into spreads."""

    def __init__(self, document: Document, known: Mapping[str, Mapping[str, _Number]]) -> None:
        self.document = document
        self.known = known
        self.complaints = Complaints()

    def read(self) -> Spreads:
        rules: dict[tuple[str, str], SpreadRule] = {}
        for at, of, name, item in self._by_name():
            if name not in self.known[of]:
                what = "an engine" if of == ENGINE else "a part"
                expected = f"a quantity among the attributes of {what}"
                self.complaints.add(self.document.where(at), "nothing has this name", name, expected)
                continue
            number = self.known[of][name]
            if (of, number.name) in rules:
                self.complaints.add(self.document.where(at), "the name stands twice", name, "each name once")
            rules[of, number.name] = self._rule(at[0], item, number)
        for index, item in enumerate(self.document.data):
            for of, numbers in self.known.items():
                for number in numbers.values():
                    if number.kind == item.get("kind"):
                        rules.setdefault((of, number.name), self._rule(index, item, number))
        self.complaints.raise_if_any()
        return Spreads(rules)

    def _by_name(self) -> Iterator[tuple[Path_, str, str, Mapping[str, Any]]]:
        for index, item in enumerate(self.document.data):
            for of in (ENGINE, PART):
                for place, name in enumerate(item.get(of, ())):
                    yield (index, of, place), of, name, item

    def _rule(self, index: Any, item: Mapping[str, Any], number: _Number) -> SpreadRule:
        return SpreadRule(
            id=item["id"],
            unmeasured=self._width(index, item, "unmeasured", number),
            measured=self._width(index, item, "measured", number),
            means=Spread(item.get("means", Spread.LIMITS.value)),
            why=item["why"],
            source=item["source"],
            tool=item.get("tool", ""),
        )

    def _width(self, index: Any, item: Mapping[str, Any], name: str, number: _Number) -> Width | None:
        text: str | None = item.get(name)
        if text is None:
            return None
        if text.endswith("%"):
            return Width(share=float(text.removesuffix("%")) / 100)
        try:
            quantity = parse(text, number.kind, number.symbol)
        except NotationError as error:
            self.complaints.add(self.document.where((index, name)), str(error), text)
            return None
        return Width(distance=from_si(quantity.si, number.symbol, number.kind))
