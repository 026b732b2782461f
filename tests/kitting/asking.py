"""Small random shops whose engine is not fully known: the cases of the program, and all by brute force."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from itertools import product
from typing import Any

from tappetry.identification.evidence import World
from tappetry.identification.possibilities import Possibilities, possibilities
from tappetry.kitting.asking.case import Case, Identity
from tappetry.kitting.asking.trials import Trials
from tappetry.knowledge.audit_subject import conditions_of
from tappetry.knowledge.comparisons import comparisons
from tappetry.records.evidence import Value
from tappetry.records.family import AttributeSchema
from tests.kitting.brute_force import Best, best
from tests.kitting.small_shops import ENGINE, SmallShop, slots_of, small_shop

PRICE = Decimal("99.00")
ATTRIBUTES = {
    "hot": AttributeSchema("hot", "hot", "truth", name_in_conditions="hot"),
    "cold": AttributeSchema("cold", "cold", "truth", name_in_conditions="cold"),
    "unseen": AttributeSchema("unseen", "unseen", "truth", name_in_conditions="unseen"),
    "count": AttributeSchema("count", "count", "count", min=0, max=6, name_in_conditions="count"),
    "model": AttributeSchema("model", "model", "choice", values=("X", "Y"), name_in_conditions="model"),
}
#: What is true of the engine where nothing else is said.
KNOWN: Mapping[str, Value] = {**ENGINE, "unseen": False}


@dataclass(frozen=True)
class Doubtful:
    """A shop, and what is unknown of the engine in it."""

    shop: SmallShop
    unknown: tuple[str, ...]

    def with_answers(self, answers: Mapping[str, Value]) -> Doubtful:
        """The same once some of it is known."""
        left = tuple(name for name in self.unknown if name not in answers)
        return Doubtful(replace(self.shop, engine={**self.shop.engine, **answers}), left)

    @property
    def known(self) -> dict[str, Value]:
        """What is known of the engine."""
        return {name: value for name, value in self.shop.engine.items() if name not in self.unknown}

    # ---- as the program sees it ------------------------------------------------------------------------

    @cached_property
    def ways(self) -> Possibilities:
        """The ways in which the engine may be."""
        knowledge = replace(self.shop.knowledge(), attributes=ATTRIBUTES)
        compared = comparisons(condition.expression for condition in conditions_of(knowledge))
        numbers = {name: what.numbers({}) for name, what in compared.items() if name == "count"}
        limits = {name: found for name, found in numbers.items() if found is not None}
        return possibilities([], [self.unknown], World({}, ATTRIBUTES), limits, 500)

    def cases(self, most: int = 1000) -> list[Case]:
        """The cases of the program."""
        request = self.shop.request()
        knowledge = replace(request.knowledge, attributes=ATTRIBUTES)
        trials = Trials(
            knowledge, request.catalogue, lambda bought, _: PRICE * sum(bought.units.values()), most
        )
        cases = []
        for way in self.ways.ways:
            values = {name: fact.value for name, fact in way.taken.items()}
            fixed = {**request.fixed, "engine": {**self.known, **values}}
            outcome = trials.outcome(replace(request, knowledge=knowledge, fixed=fixed))
            cases.append(Case(way.share, values, outcome))
        return cases

    @property
    def tried(self) -> tuple[str, ...]:
        """What differs between the cases."""
        return self.ways.tried

    # ---- by brute force ----------------------------------------------------------------------------------

    def engines(self) -> Iterator[dict[str, Value]]:
        """Every engine that there may be."""
        values = {"hot": (True, False), "cold": (True, False), "unseen": (True, False), "model": ("X", "Y")}
        said = repr(self.shop)
        small, equal = "engine.count <= 2" in said, "engine.count == 3" in said
        counts = {
            (True, True): (0.0, 2.0, 3.0, 4.0),
            (True, False): (0.0, 2.0, 3.0),
            (False, True): (0.0, 3.0, 4.0),
        }
        listed = {**values, "count": counts.get((small, equal), ())}
        names = [name for name in self.unknown if listed[name]]
        for each in product(*(listed[name] for name in names)):
            yield dict(zip(names, each, strict=True))

    def every(self) -> list[Tried]:
        """Each engine with its best purchase."""
        return [
            Tried(values, best(replace(self.shop, engine={**self.known, **values})), self.shop)
            for values in self.engines()
        ]


@dataclass(frozen=True)
class Tried:
    """One engine and its best purchase; None where nothing meets the rules."""

    values: Mapping[str, Value]
    best: Best | None
    shop: SmallShop

    def units(self, part: Identity) -> int:
        return 0 if self.best is None else self.best.units.get(part, 0)

    @property
    def total(self) -> Decimal | None:
        return None if self.best is None else PRICE * sum(self.best.units.values())

    @property
    def days(self) -> int | None:
        if self.best is None:
            return None
        lead = {(part.supplier, part.number): part.lead_days for part in self.shop.parts}
        return max((lead[part] for part in self.best.units), default=0)

    @property
    def open(self) -> frozenset[str]:
        """The needs that stay open, for what a part does not state."""
        if self.best is None:
            return frozenset()
        return frozenset(
            need.id for need, slot in slots_of(self.shop) if self.best.states[slot.root] == "open"
        )

    @property
    def effect(self) -> Any:
        if self.best is None:
            return None
        return frozenset(self.best.units.items()), self.best.landed_cents, self.days, self.open


def doubtful(number: int) -> Doubtful:
    """The shop of a number, with one to three facts unknown."""
    chance = random.Random(number)
    shop = small_shop(number, 4, 3)
    unknown = chance.sample(sorted(ATTRIBUTES), chance.randint(1, 3))
    return Doubtful(replace(shop, engine=KNOWN), tuple(unknown))


# ---- what is settled, by the definitions and nothing else --------------------------------------------------


def parts_of(every: Sequence[Tried]) -> list[Identity]:
    return sorted({part for each in every if each.best for part in each.best.units})


def not_decided(every: Sequence[Tried], parts: Sequence[Identity]) -> int:
    open_needs = {need for each in every for need in each.open}
    return sum(1 for part in parts if len({each.units(part) for each in every}) > 1) + len(open_needs)


def spread(every: Sequence[Tried], of: Callable[[Tried], Any]) -> Fraction:
    known = [of(each) for each in every if of(each) is not None]
    return Fraction(max(known) - min(known)) if known else Fraction(0)


def settles(every: Sequence[Tried], name: str) -> tuple[Fraction, Fraction, Fraction]:
    """Lines, money and days that the answer to one question settles on average, all engines being alike."""
    parts = parts_of(every)
    sizes = (
        lambda those: Fraction(not_decided(those, parts)),
        lambda those: spread(those, lambda each: each.total),
        lambda those: spread(those, lambda each: each.days),
    )
    by_value = [[each for each in every if each.values[name] == v] for v in {e.values[name] for e in every}]
    found = [
        size(every) - sum(Fraction(len(those), len(every)) * size(those) for those in by_value)
        for size in sizes
    ]
    return found[0], found[1], found[2]


def hangs_on(every: Sequence[Tried], name: str, of: Callable[[Tried], Any]) -> bool:
    """Whether two engines that differ in one fact alone differ in something."""
    return any(
        of(one) != of(other)
        for one, other in product(every, every)
        if all(one.values[each] == other.values[each] for each in one.values if each != name)
    )
