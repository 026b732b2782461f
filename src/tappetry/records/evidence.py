"""Facts about an engine, each with the evidence it rests on; an unknown fact stays unknown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import IntEnum

from tappetry.quantities.tolerance import Toleranced

Value = bool | float | str | tuple[str, ...]


class Grade(IntEnum):
    """How well a fact is known; a higher grade overrules a lower one."""

    assumed = 0
    told = 1
    decoded = 2
    seen = 3
    measured = 4


@dataclass(frozen=True, slots=True)
class Fact:
    """One attribute of the engine or vehicle, from one source.

    ``value`` is spoken in the attribute's own unit; ``as_read`` keeps the text as it was typed
    and ``si`` the value in SI units where the attribute is a quantity. ``tolerance`` is the spread that was
    stated with it, in SI units.
    """

    attribute: str
    value: Value
    grade: Grade
    source: str
    as_read: str = ""
    unit: str = ""
    si: float | None = None
    tolerance: Toleranced | None = None

    def show(self) -> str:
        """The value as a person wrote it, else in the attribute's own unit."""
        if self.as_read:
            return self.as_read
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        if isinstance(self.value, tuple):
            return ", ".join(self.value)
        text = f"{self.value:g}" if isinstance(self.value, float) else self.value
        return f"{text} {self.unit}".strip()


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Two or more sources that differ on one attribute; the first fact is the one in charge."""

    attribute: str
    facts: tuple[Fact, ...]

    def show(self) -> str:
        """One line: which source says what, and which is in charge."""
        said = "; ".join(f"{f.show()} ({f.grade.name}, {f.source})" for f in self.facts)
        return f"{self.attribute}: {said}; the first is in charge"


@dataclass(frozen=True, slots=True)
class Facts(Mapping[str, Fact]):
    """The facts in charge, by attribute id; what is not in here is unknown."""

    in_charge: Mapping[str, Fact] = field(default_factory=dict)
    disagreements: tuple[Disagreement, ...] = ()

    def __getitem__(self, attribute: str) -> Fact:
        """The fact in charge of an attribute."""
        return self.in_charge[attribute]

    def __iter__(self) -> Iterator[str]:
        """The known attributes."""
        return iter(self.in_charge)

    def __len__(self) -> int:
        """How many attributes are known."""
        return len(self.in_charge)


def settle(facts: Iterable[Fact]) -> Facts:
    """Put the best-graded fact in charge of each attribute and keep what disagrees.

    Of equal grades the earlier one in the given order is in charge. The order of sources is
    the caller's: nearest evidence first.
    """
    by_attribute: dict[str, list[Fact]] = {}
    for fact in facts:
        by_attribute.setdefault(fact.attribute, []).append(fact)
    in_charge: dict[str, Fact] = {}
    disagreements: list[Disagreement] = []
    for attribute, said in by_attribute.items():
        ranked = sorted(said, key=lambda fact: -fact.grade)
        in_charge[attribute] = ranked[0]
        differing = [ranked[0]]
        for fact in ranked[1:]:
            if all(fact.value != other.value for other in differing):
                differing.append(fact)
        if len(differing) > 1:
            disagreements.append(Disagreement(attribute, tuple(differing)))
    return Facts(in_charge, tuple(disagreements))
