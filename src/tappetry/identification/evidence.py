"""What follows from the facts: tables of the families, each derived fact with grade and chain of reasons.

Facts are settled best first: the best-graded fact of all is in charge of its attribute, then what follows
from it joins the rest. A derived fact has the lowest grade of the facts it rests on and is never better
than *seen*, because nobody measured it. Of equal grades a stated fact beats a derived one.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import count, product

from tappetry.knowledge.units import SUFFIXES
from tappetry.quantities.units import to_si
from tappetry.records.evidence import Disagreement, Fact, Facts, Grade, Value
from tappetry.records.family import Application, AttributeSchema, Family, Table, key_text

FAMILY = "family"
APPLICATION = "application"
BLOCK_CASTING = "block-casting"
TRANSMISSION = "transmission"

Families = Mapping[str, Family]
Attributes = Mapping[str, AttributeSchema]


@dataclass(frozen=True, slots=True)
class World:
    """The families and attributes that facts are read against."""

    families: Families
    attributes: Attributes
    _built: dict[str, Facts] = field(default_factory=dict, compare=False, repr=False)
    _tables: dict[tuple[str, str], tuple[Table, ...]] = field(default_factory=dict, compare=False, repr=False)
    _rows: dict[tuple[int, Grade, str], tuple[Fact, ...]] = field(
        default_factory=dict, compare=False, repr=False
    )
    _stated: dict[str, dict[str, Value]] = field(default_factory=dict, compare=False, repr=False)

    def built(self, application: str) -> Facts:
        """What an application was built with, worked out once."""
        if application not in self._built:
            self._built[application] = expand(
                [self.fact(APPLICATION, application, Grade.decoded, "application table")], self
            )
        return self._built[application]

    def tables(self, family: Family, attribute: str) -> tuple[Table, ...]:
        """The tables of a family that an attribute selects a row of, all of them for the family itself."""
        key = (family.id, attribute)
        if key not in self._tables:
            self._tables[key] = tuple(
                table for table in family.tables if attribute == FAMILY or attribute in table.by
            )
        return self._tables[key]

    def row(self, row: Mapping[str, Value], grade: Grade, source: str) -> tuple[Fact, ...]:
        """What a row of a family's text says as facts; the rows stay as long as this does."""
        key = (id(row), grade, source)
        if key not in self._rows:
            self._rows[key] = tuple(self.fact(name, value, grade, source) for name, value in row.items())
        return self._rows[key]

    def stated(self, family: Family, application: Application) -> Mapping[str, Value]:
        """All that an application says, worked out once."""
        if application.id not in self._stated:
            self._stated[application.id] = stated_by(family, application)
        return self._stated[application.id]

    def application(self, name: str) -> tuple[Family, Application] | None:
        """The application of an id, with its family; None when there is none."""
        for family in self.families.values():
            for application in family.applications:
                if application.id == name:
                    return family, application
        return None

    def title(self, attribute: str) -> str:
        """The name of an attribute as a person says it."""
        schema = self.attributes.get(attribute)
        return schema.title if schema else attribute

    def about(self, attribute: str) -> str:
        """What an attribute belongs to: engine, vehicle, use, test or finding."""
        schema = self.attributes.get(attribute)
        return schema.about if schema else "engine"

    def fact(self, attribute: str, value: Value, grade: Grade, source: str) -> Fact:
        """A fact in the attribute's own unit."""
        schema = self.attributes.get(attribute)
        si = None
        if schema and schema.kind and isinstance(value, float):
            si = _si(value, SUFFIXES.get(schema.unit, schema.unit or "1"), schema.kind)
        return Fact(attribute, value, grade, source, unit=schema.unit if schema else "", si=si)

    def says(self, fact: Fact) -> str:
        """A fact within a reason: ``variant B56 (decoded, VIN)``."""
        return f"{self.title(fact.attribute)} {fact.show()} ({fact.grade.name}, {fact.source})"


@lru_cache(maxsize=4096)
def _si(value: float, unit: str, kind: str) -> float:
    """Tables say the same few values over and over."""
    return to_si(value, unit, kind)


def stated_by(family: Family, application: Application) -> dict[str, Value]:
    """All that an application says: its attributes, its family, and what it leaves only one choice for."""
    said: dict[str, Value] = {FAMILY: family.id, **application.attributes}
    for attribute, choices in (
        (BLOCK_CASTING, application.castings),
        (TRANSMISSION, application.transmissions),
    ):
        if len(choices) == 1:
            said.setdefault(attribute, choices[0])
    return said


def same(family: Family | None, attribute: str, nominal: Value, read: Value) -> bool:
    """Whether a reading means the nominal value."""
    if isinstance(nominal, float) and isinstance(read, float) and family:
        below, above = family.same_within.get(attribute, (0.0, 0.0))
        return nominal - below - 1e-9 <= read <= nominal + above + 1e-9
    return nominal == read


def expand(facts: Iterable[Fact], world: World) -> Facts:
    """The facts in charge, with all that follows from them; what disagrees is kept.

    Parameters
    ----------
    facts : iterable of Fact
        Stated facts; of equal grades an earlier one is in charge.
    world : World
        The families whose tables and applications are followed.
    """
    return _Expansion(world).run(facts)


@dataclass(slots=True)
class _Expansion:
    """One run: a queue of facts, best first, and what has been settled so far."""

    world: World
    settled: dict[str, Fact] = field(default_factory=dict)
    depth: dict[str, int] = field(default_factory=dict)
    losers: dict[str, list[Fact]] = field(default_factory=dict)
    queue: list[tuple[int, int, int, Fact]] = field(default_factory=list)
    order: Iterator[int] = field(default_factory=count)

    def run(self, facts: Iterable[Fact]) -> Facts:
        """Settle every fact and what follows from it."""
        for fact in facts:
            self._push(fact, 0)
        while self.queue:
            _, depth, _, fact = heapq.heappop(self.queue)
            if fact.attribute in self.settled:
                self.losers.setdefault(fact.attribute, []).append(fact)
                continue
            self.settled[fact.attribute] = fact
            self.depth[fact.attribute] = depth
            self._follow(fact)
        return Facts(self.settled, tuple(self._disagreements()))

    def _push(self, fact: Fact, depth: int) -> None:
        heapq.heappush(self.queue, (-int(fact.grade), depth, next(self.order), fact))

    def _derive(self, row: Mapping[str, Value], keys: Sequence[Fact], source: str) -> None:
        """Queue what a row says, resting on the facts that selected it."""
        grade = min([Grade.seen, *(key.grade for key in keys)])
        depth = 1 + max(self.depth[key.attribute] for key in keys)
        for fact in self.world.row(row, grade, source):
            self._push(fact, depth)

    def _follow(self, fact: Fact) -> None:
        """Queue what a newly settled fact brings."""
        if fact.attribute == APPLICATION and (found := self.world.application(str(fact.value))):
            self._derive(self.world.stated(*found), [fact], f"follows from {self.world.says(fact)}")
        family = self._family()
        if family is None:
            return
        if fact.attribute == FAMILY:
            source = f"true of every {family.name}, which follows from {self.world.says(fact)}"
            self._derive(family.attributes, [fact], source)
        for table in self.world.tables(family, fact.attribute):
            self._look_up(table, family)

    def _family(self) -> Family | None:
        fact = self.settled.get(FAMILY)
        return self.world.families.get(str(fact.value)) if fact else None

    def _look_up(self, table: Table, family: Family) -> None:
        keys = [self.settled[attribute] for attribute in table.by if attribute in self.settled]
        if len(keys) != len(table.by):
            return
        row = row_for(table, keys, family)
        if row:
            because = " and ".join(self.world.says(key) for key in keys)
            self._derive(row, keys, f"follows from {because}")

    def _disagreements(self) -> Iterator[Disagreement]:
        family = self._family()
        for attribute, others in self.losers.items():
            differing = [self.settled[attribute]]
            for fact in others:
                if not any(_agree(family, fact, known) for known in differing):
                    differing.append(fact)
            if len(differing) > 1:
                yield Disagreement(attribute, tuple(differing))


def _agree(family: Family | None, one: Fact, other: Fact) -> bool:
    """Whether two facts about one attribute mean the same, either of them being the nominal one."""
    return same(family, one.attribute, one.value, other.value) or same(
        family, one.attribute, other.value, one.value
    )


def row_for(table: Table, keys: Sequence[Fact], family: Family) -> Mapping[str, Value] | None:
    """The row of a table, a reading near a nominal key counting as that key; None when there is none."""
    choices = [list(_key_texts(table, place, key, family)) for place, key in enumerate(keys)]
    for parts in product(*choices):
        if parts in table.rows:
            return table.rows[parts]
    return None


def _key_texts(table: Table, place: int, fact: Fact, family: Family) -> Iterator[str]:
    """The key as written, then the nominal keys of the table that the reading may mean, nearest first."""
    yield key_text(fact.value)
    read = fact.value
    if fact.attribute in family.same_within and isinstance(read, float):
        nominal = {float(parts[place]): parts[place] for parts in table.rows}
        for value in sorted(nominal, key=lambda known: (abs(known - read), known)):
            if same(family, fact.attribute, value, read):
                yield nominal[value]
