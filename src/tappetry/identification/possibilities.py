"""What an engine may still be: every combination of what nobody knows that the tables leave.

The unknown attributes are taken one after the other, those that decide most others first; each possible
value is put among the facts, and what follows from it is followed. A value that brings a contradiction with
what is known, or with a value taken before, is none.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from tappetry.identification.choices import Choice, Limits, choices
from tappetry.identification.evidence import APPLICATION, BLOCK_CASTING, FAMILY, TRANSMISSION, World
from tappetry.identification.resolve import VIN, weigh
from tappetry.identification.verdict import Case
from tappetry.records.engine import EngineAsFound
from tappetry.records.evidence import Disagreement, Fact, Facts, Grade
from tappetry.records.family import Application, AttributeSchema, key_text

#: Who says what is only tried.
SUPPOSED = "supposed"


@dataclass(frozen=True, slots=True)
class Possibility:
    """One way in which the engine may be.

    ``taken`` are the facts that were supposed, ``engine`` is what follows; ``share`` is how much it counts
    among all ways, 1 together.
    """

    taken: Mapping[str, Fact]
    engine: EngineAsFound
    share: Fraction


@dataclass(frozen=True, slots=True)
class Possibilities:
    """All ways that were looked at.

    ``tried`` are the attributes that may differ among them, ``choices`` the values that were taken.
    ``listless`` have no values that could be listed, ``at_odds`` none that fits what is known, and
    ``left_out`` would have made too many; all these stay unknown in every way.
    """

    ways: tuple[Possibility, ...]
    tried: tuple[str, ...]
    choices: Mapping[tuple[str, object], Choice]
    listless: tuple[str, ...] = ()
    at_odds: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


def answer_grade(schema: AttributeSchema) -> Grade:
    """How well a fact must be known to answer the question for it: as well as any purchase demands."""
    return Grade[schema.grade] if schema.grade else Grade.measured


def answered(schema: AttributeSchema, choice: Choice, world: World) -> Fact:
    """A value as a fact that is known well enough to buy on."""
    return world.fact(schema.id, choice.value, answer_grade(schema), SUPPOSED)


def possibilities(
    facts: Sequence[Fact],
    asked: Sequence[Iterable[str]],
    world: World,
    limits: Mapping[str, Limits],
    most: int,
) -> Possibilities:
    """Every way in which the engine may be.

    Parameters
    ----------
    facts : sequence of Fact
        What is known well enough.
    asked : sequence of iterable of str
        Attributes that nobody knows, in tiers, what matters most first; the attributes that decide them are
        taken too.
    limits : mapping of str to (frozenset of float, frozenset of float)
        The limits of numbers that are only compared.
    most : int
        An attribute that would make more ways than this is left out.
    """
    return _Search(facts, world, limits, most).run(asked)


@dataclass(frozen=True, slots=True)
class _Way:
    taken: tuple[Fact, ...]
    case: Case
    facts: Facts
    weight: Fraction


class _Search:
    """One search: all ways so far, and what became of each attribute."""

    def __init__(self, facts: Sequence[Fact], world: World, limits: Mapping[str, Limits], most: int) -> None:
        self.stated = tuple(facts)
        self.world = world
        self.limits = limits
        self.most = most
        self.known = weigh(self.stated, world)
        self.family = self.known.family
        self.said = {each.attribute: _values(each) for each in self.known.found.disagreements}
        self.choices: dict[tuple[str, object], Choice] = {}
        self.tied: dict[str, bool] = {}

    def run(self, asked: Sequence[Iterable[str]]) -> Possibilities:
        """Take one attribute after the other."""
        ways = [_Way((), self.known, self.known.found, Fraction(1))]
        fate: dict[str, list[str]] = {"tried": [], "listless": [], "at_odds": [], "left_out": []}
        for attribute in self._in_order(asked):
            became, ways = self._take(self.world.attributes[attribute], ways)
            fate[became].append(attribute)
        whole = sum((way.weight for way in ways), Fraction(0))
        return Possibilities(
            tuple(
                Possibility(
                    {fact.attribute: fact for fact in way.taken},
                    self._engine(way),
                    way.weight / whole if whole else Fraction(1, len(ways)),
                )
                for way in ways
            ),
            choices=self.choices,
            **{name: tuple(attributes) for name, attributes in fate.items()},
        )

    # ---- one attribute -----------------------------------------------------------------------------

    def _take(self, schema: AttributeSchema, ways: list[_Way]) -> tuple[str, list[_Way]]:
        """What becomes of an attribute, and the ways once it is taken.

        A way in which no value of it fits is none, unless that leaves no way at all.
        """
        grown: list[_Way] = []
        is_tried = False
        for way in ways:
            if schema.id in way.facts:
                is_tried = True
                grown.append(way)
                continue
            listed = choices(schema, self.family, self._application(way), self.limits.get(schema.id))
            fitting = [new for choice in listed if (new := self._with(way, schema, choice)) is not None]
            is_tried = is_tried or bool(fitting)
            grown += fitting if listed else [way]
            if len(grown) > self.most:
                return "left_out", ways
        if not grown:
            return "at_odds", ways
        return "tried" if is_tried else "listless", grown

    def _with(self, way: _Way, schema: AttributeSchema, choice: Choice) -> _Way | None:
        """A way with one more fact; None where that contradicts what is known or was taken."""
        fact = answered(schema, choice, self.world)
        self.choices[schema.id, fact.value] = choice
        taken = (*way.taken, fact)
        weight = way.weight * _share(schema, choice)
        if not self._is_tied(schema.id):
            facts = Facts({**way.facts, schema.id: fact}, way.facts.disagreements)
            return _Way(taken, way.case, facts, weight)
        case = weigh((*self.stated, *taken), self.world)
        agreed = all(
            _values(each) <= self.said.get(each.attribute, frozenset()) for each in case.found.disagreements
        )
        stands = all(case.found[each.attribute].value == each.value for each in taken)
        if not agreed or not stands or bool(case.swaps) != bool(self.known.swaps):
            return None
        return _Way(taken, case, case.found, weight)

    def _engine(self, way: _Way) -> EngineAsFound:
        family = way.facts.get(FAMILY)
        return EngineAsFound(str(family.value) if family else "", way.case.engine, way.facts)

    def _application(self, way: _Way) -> Application | None:
        """The application that the engine is known or supposed to be."""
        found = self.world.application(way.case.engine) if way.case.engine else None
        return found[1] if found else None

    # ---- which attributes ----------------------------------------------------------------------------

    def _in_order(self, asked: Sequence[Iterable[str]]) -> list[str]:
        """The attributes with those that decide them, tier by tier, in each what decides most first."""
        tiers = [list(self._with_drivers(tier)) for tier in asked]
        place = {name: n for n, tier in reversed(list(enumerate(tiers))) for name in tier}
        every = list(dict.fromkeys(name for tier in tiers for name in tier))
        decides = {name: len(self._decided_by(name).intersection(every)) for name in every}
        return sorted(
            every,
            key=lambda name: (place[name], not self._is_tied(name), -decides[name], every.index(name)),
        )

    def _with_drivers(self, asked: Iterable[str]) -> Iterator[str]:
        waiting = [name for name in asked if name in self.world.attributes]
        seen = set[str]()
        while waiting:
            name = waiting.pop(0)
            if name in seen or name in self.known.found or name == FAMILY:
                continue
            seen.add(name)
            yield name
            waiting += self._drivers(name)

    def _drivers(self, name: str) -> Iterator[str]:
        if self.family is None:
            return
        for table in self.family.tables:
            if any(name in row for row in table.rows.values()):
                yield from table.by
        if any(name in _told(application) for application in self.family.applications):
            yield APPLICATION

    def _decided_by(self, name: str) -> set[str]:
        """What a value of an attribute may decide, also through others."""
        reached = {name}
        grew = self.family is not None
        while grew and self.family is not None:
            before = len(reached)
            for table in self.family.tables:
                if reached.intersection(table.by):
                    reached.update(*table.rows.values())
            if APPLICATION in reached:
                reached.update(*map(_told, self.family.applications))
            grew = len(reached) > before
        return reached - {name}

    def _is_tied(self, name: str) -> bool:
        """Whether a family's text ties an attribute to others."""
        if name not in self.tied:
            self.tied[name] = self._ties(name)
        return self.tied[name]

    def _ties(self, name: str) -> bool:
        if self.family is None or name in {APPLICATION, VIN}:
            return True
        rows = [row for table in self.family.tables for row in table.rows.values()]
        told = [self.family.attributes, *rows, *map(_told, self.family.applications)]
        return any(name in each for each in told) or any(name in table.by for table in self.family.tables)


def _told(application: Application) -> set[str]:
    """What an application says, or lists."""
    listed = {BLOCK_CASTING: application.castings, TRANSMISSION: application.transmissions}
    return {*application.attributes, *(name for name, values in listed.items() if values)}


def _values(each: Disagreement) -> frozenset[object]:
    return frozenset(fact.value for fact in each.facts)


def _share(schema: AttributeSchema, choice: Choice) -> Fraction:
    """How much a value weighs beside the others: alike, unless the shop states shares."""
    if not schema.shares:
        return Fraction(1)
    shares = {value: Fraction(str(share)) for value, share in schema.shares.items()}
    return shares.get(key_text(choice.value), Fraction(0)) * len(shares) / sum(shares.values())
