"""What is settled and what is not, over all ways in which the engine may be; and what an answer settles.

Definitions, over a set W of cases:

- A line, a part with its units, is *decided* where every case of W buys the same number of it.
- It is *settled* where it is decided and what it rests on is known as well as its purchase demands.
- D(W) counts what is not: parts that are not decided, lines that are not settled for want of evidence,
  needs and operations that stay open in some case.
- The spread of a sum over W is its largest less its least value; a refused case has none.
- An answer splits W. A question settles D(W) less the mean of D over its answers, by their shares; and so
  for the spread of the customer's total, and for that of the day on which the last part arrives.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from tappetry.kitting.asking.case import Case, Identity
from tappetry.records.evidence import Grade, Value

#: Values of attributes that have become known.
Answers = tuple[tuple[str, Value], ...]
#: How well each attribute is known once some have become known; of () as it is now.
Known = Callable[[Answers], Mapping[str, Grade]]


@dataclass(frozen=True, slots=True)
class Range:
    """The least and the largest of a sum over some cases."""

    least: Decimal
    most: Decimal

    @property
    def spread(self) -> Decimal:
        """How far they lie apart."""
        return self.most - self.least


@dataclass(frozen=True, slots=True)
class Worth:
    """What an answer to a question settles on average: lines, money, days."""

    lines: Fraction = Fraction(0)
    money: Fraction = Fraction(0)
    days: Fraction = Fraction(0)


def parts_of(cases: Iterable[Case]) -> list[Identity]:
    """Every part that some case buys, in order of supplier and number."""
    return sorted({identity for case in cases if case.outcome for identity in case.outcome.lines})


def is_decided(cases: Sequence[Case], identity: Identity) -> bool:
    """Whether every case buys the same number of a part."""
    first = cases[0].units(identity)
    return first is not None and all(case.units(identity) == first for case in cases)


def doubts(cases: Iterable[Case], identity: Identity, known: Mapping[str, Grade]) -> dict[str, Grade]:
    """What a part rests on and is known less well than its purchase demands, each with the grade wanted.

    What is not known now counts as it would be known in the case.
    """
    found: dict[str, Grade] = {}
    for case in cases:
        bought = case.outcome.lines.get(identity) if case.outcome is not None else None
        if bought is None:
            continue
        for name, least in bought.demands.items():
            if known.get(name, case.grades.get(name, least)) < least:
                found[name] = max(least, found.get(name, least))
    return found


def open_in(cases: Iterable[Case]) -> list[str]:
    """The needs and operations that stay open in some case."""
    return sorted({name for case in cases if case.outcome for name in case.outcome.open})


def unsettled(cases: Sequence[Case], parts: Iterable[Identity], known: Mapping[str, Grade]) -> int:
    """D: of these parts those that are not decided or held back, and what is open."""
    unlike = _unlike(cases)
    lines = sum(1 for part in parts if not is_decided(unlike, part) or doubts(unlike, part, known))
    return lines + len(open_in(cases))


def _unlike(cases: Iterable[Case]) -> list[Case]:
    """The first of all cases that share their lines and how well facts are known in them."""
    found: dict[tuple[int, int], Case] = {}
    for case in cases:
        lines = None if case.outcome is None else case.outcome.lines
        found.setdefault((id(lines), id(case.grades)), case)
    return list(found.values())


def range_of(cases: Iterable[Case], name: str) -> Range | None:
    """The range of a sum of the outcome, by its name; None where no case has a kit."""
    sums = [getattr(case.outcome, name) for case in cases if case.outcome is not None]
    known = [Decimal(each) for each in sums if each is not None]
    return Range(min(known), max(known)) if known else None


def split(cases: Iterable[Case], attributes: Sequence[str]) -> dict[Answers, list[Case]]:
    """The cases by the values that attributes have in them, in the order in which these come."""
    found: dict[Answers, list[Case]] = {}
    for case in cases:
        answers = tuple((name, case.values[name]) for name in attributes if name in case.values)
        found.setdefault(answers, []).append(case)
    return found


def share_of(cases: Iterable[Case]) -> Fraction:
    """The share of some cases."""
    return sum((case.share for case in cases), Fraction(0))


def worth(cases: Sequence[Case], attributes: Sequence[str], parts: Sequence[Identity], known: Known) -> Worth:
    """What it settles on average to learn some attributes together, over the parts that any case buys."""
    whole = share_of(cases)
    lines = Fraction(unsettled(cases, parts, known(())))
    money, days = _spread(cases, "total"), _spread(cases, "days")
    for answers, those in split(cases, attributes).items():
        weight = share_of(those) / whole
        lines -= weight * unsettled(those, parts, known(answers))
        money -= weight * _spread(those, "total")
        days -= weight * _spread(those, "days")
    return Worth(lines, money, days)


def _spread(cases: Iterable[Case], name: str) -> Fraction:
    found = range_of(cases, name)
    return Fraction(found.spread) if found is not None else Fraction(0)


class Telling:
    """Which attributes change or tell something, among those that were tried.

    An attribute does where what is possible differs with its value, or where two cases that differ in
    nothing else differ.
    """

    def __init__(self, cases: Sequence[Case], tried: Sequence[str]) -> None:
        self.cases = cases
        self.tried = tried
        self._effects = [case.effect for case in cases]
        self._by_value = {name: _classes(len(cases), self._value_of(name)) for name in tried}
        self._alone = {
            name: [those for those in _classes(len(cases), self._others_than(name)) if len(those) > 1]
            for name in tried
        }

    def matters(self, attribute: str) -> bool:
        """Whether an attribute changes or tells anything of a kit."""
        return self._tells(attribute, self._effects)

    def waits_for(self, identity: Identity) -> tuple[str, ...]:
        """The attributes that a part waits for; none where it is decided."""
        if is_decided(self.cases, identity):
            return ()
        units = [case.units(identity) for case in self.cases]
        return tuple(name for name in self.tried if self._tells(name, units))

    def _value_of(self, name: str) -> Callable[[int], object]:
        return lambda case: self.cases[case].values.get(name)

    def _others_than(self, name: str) -> Callable[[int], object]:
        """The values of all attributes but one."""
        others = [other for other in self.tried if other != name]
        return lambda case: tuple(map(self.cases[case].values.get, others))

    def _tells(self, attribute: str, seen: Sequence[object]) -> bool:
        possible = [{seen[case] for case in those} for those in self._by_value[attribute]]
        if any(each != possible[0] for each in possible):
            return True
        return any(seen[case] != seen[those[0]] for those in self._alone[attribute] for case in those)


def _classes(count: int, key: Callable[[int], object]) -> list[list[int]]:
    """The places of so many cases, those together that are alike."""
    found: dict[object, list[int]] = {}
    for case in range(count):
        found.setdefault(key(case), []).append(case)
    return list(found.values())
