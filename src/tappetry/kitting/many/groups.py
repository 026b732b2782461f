"""Needs in groups that no rule, proof or preference ties together, with what each reads of a request."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from tappetry.assembly.values import Values
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Knowledge, Need, Package, Preference, Rule

#: A root that is known before any part is chosen, and a member of it.
Fixed = tuple[str, str]
Item = TypeVar("Item", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Reading:
    """What some expressions read of a request.

    ``tests`` read nothing of the slots: their outcome is all that matters. Of the others ``facts`` are the
    members that they read and ``named`` the values that no slot enters. ``all`` is every fact that any of
    them reads, also through named values: whether it is known matters too.
    """

    tests: tuple[Expression, ...]
    facts: tuple[Fixed, ...]
    named: tuple[str, ...]
    all: frozenset[Fixed]


@dataclass(frozen=True, slots=True)
class Part:
    """One need of a group: when it is there at all, what it reads if so, and what its wishes read.

    ``wishes`` are the preferences of the house: they choose among what the rules leave. ``renew`` is the
    text of a package's own word on renewing that hangs on other parts, ``beside`` what is read of other
    slots before anything can be said of this need at all.
    """

    need: Need
    there: Expression | None
    reading: Reading
    wishes: Reading
    renew: str
    beside: Mapping[str, frozenset[str]]


@dataclass(frozen=True, slots=True)
class Tie:
    """A rule between slots of several needs, and what it reads of a request."""

    rule: Rule
    reading: Reading


@dataclass(frozen=True, slots=True)
class Group:
    """Needs that are solved together, and the rules between their slots."""

    needs: tuple[Part, ...]
    ties: tuple[Tie, ...]


def groups_of(values: Values, package: Package) -> list[Group]:
    """The needs of a shop in groups, each in the order of the shop's text, as a package has them."""
    knowledge = values.knowledge
    ties: Ties[str] = Ties()
    for need in knowledge.needs.values():
        ties.join([slot.root for slot in need.slots], values.reads(_expressions(knowledge, need)))
    for rule in knowledge.rules:
        ties.join(values.reads([rule.when, rule.that]))
    rules: dict[str, list[Rule]] = {}
    for rule in knowledge.rules:
        for root in list(values.reads([rule.when, rule.that]))[:1]:
            rules.setdefault(ties.first(root), []).append(rule)
    needs: dict[str, list[Need]] = {}
    for need in knowledge.needs.values():
        needs.setdefault(ties.first(need.root), []).append(need)
    return [
        Group(
            tuple(_part(values, need, package) for need in members),
            tuple(Tie(rule, reading(values, [rule.when, rule.that])) for rule in rules.get(name, ())),
        )
        for name, members in needs.items()
    ]


def in_force(need: Need, package: Package) -> list[Preference]:
    """The preferences that may decide about a need in a package."""
    return [*need.prefer, *(preference for name, preference in package.prefer if name == need.id)]


def _part(values: Values, need: Need, package: Package) -> Part:
    there = need.when if not values.reads([need.when]) else None
    renew = package.renew.get(need.id, need.renew)
    return Part(
        need,
        there,
        reading(values, [renew, *_of_need(values.knowledge, need)]),
        reading(values, _of_preferences(in_force(need, package))),
        renew.text if values.reads([renew]) else "",
        values.reads(_beside(values.knowledge, need)),
    )


class Ties(Generic[Item]):
    """What hangs together."""

    def __init__(self) -> None:
        self._above: dict[Item, Item] = {}

    def first(self, item: Item) -> Item:
        """The one that stands for all that hang together with one."""
        while (above := self._above.get(item, item)) != item:
            item = above
        return item

    def join(self, *items: Iterable[Item]) -> None:
        """Let all these hang together."""
        joined = [item for some in items for item in some]
        for item in joined[1:]:
            self._above[self.first(item)] = self.first(joined[0])


def _expressions(knowledge: Knowledge, need: Need) -> Iterator[Expression | None]:
    """All that is said of a need, in any package."""
    yield need.renew
    yield from _of_need(knowledge, need)
    yield from _of_preferences(need.prefer)
    for package in knowledge.book.packages.values():
        yield package.renew.get(need.id)
        yield from _of_preferences(in_force(need, package))


def _of_need(knowledge: Knowledge, need: Need) -> Iterator[Expression | None]:
    """What is said of a need whatever is preferred."""
    yield need.when
    for slot in need.slots:
        yield from (slot.when, slot.pieces)
        yield from _of_rules(slot.match)
    yield from _of_rules(need.rules)
    if need.one_of_each is not None:
        yield need.one_of_each.only_least
    for proof in (knowledge.proofs[name] for name in need.proofs):
        yield from (proof.when, proof.value, proof.at_least, proof.at_most)


def _beside(knowledge: Knowledge, need: Need) -> Iterator[Expression | None]:
    """What decides of a need by itself: whether and how it stands, what meets it, what is preferred."""
    yield from (need.when, need.renew)
    for slot in need.slots:
        yield from (slot.when, slot.pieces)
        yield from _of_rules(slot.match)
    for package in knowledge.book.packages.values():
        yield package.renew.get(need.id)
        yield from _of_preferences(in_force(need, package))


def _of_rules(rules: Iterable[Rule]) -> Iterator[Expression | None]:
    for rule in rules:
        yield from (rule.when, rule.that)


def _of_preferences(preferences: Iterable[Preference]) -> Iterator[Expression | None]:
    for preference in preferences:
        yield from (preference.when, preference.that, preference.least)


def reading(values: Values, expressions: Iterable[Expression | None]) -> Reading:
    """What expressions read of a request before any part is chosen."""
    tests: dict[str, Expression] = {}
    facts: dict[Fixed, None] = {}
    named: dict[str, None] = {}
    every: dict[Fixed, None] = {}
    for expression in expressions:
        if expression is None:
            continue
        if not values.reads([expression]):
            tests.setdefault(expression.text, expression)
        else:
            _collect(values, expression, facts, named)
        _all_facts(values, expression, every)
    return Reading(tuple(tests.values()), tuple(facts), tuple(named), frozenset(every))


def _collect(
    values: Values, expression: Expression, facts: dict[Fixed, None], named: dict[str, None]
) -> None:
    slots, known = values.knowledge.slots(), values.knowledge.named
    todo, seen = list(expression.reads), set[str]()
    while todo:
        read = todo.pop()
        if read.root in known:
            if read.root in seen:
                continue
            seen.add(read.root)
            reads = values.named_reads(read.root)
            if _reads_slots(values, read.root):
                todo.extend(reads)
            else:
                named[read.root] = None
        elif read.root not in slots:
            facts[read.root, read.member] = None


def _reads_slots(values: Values, name: str) -> bool:
    slots, known = values.knowledge.slots(), values.knowledge.named
    todo, seen = [name], set[str]()
    while todo:
        for read in values.named_reads(todo.pop()):
            if read.root in slots:
                return True
            if read.root in known and read.root not in seen:
                seen.add(read.root)
                todo.append(read.root)
    return False


def _all_facts(values: Values, expression: Expression, every: dict[Fixed, None]) -> None:
    slots, known = values.knowledge.slots(), values.knowledge.named
    todo, seen = list(expression.reads), set[str]()
    while todo:
        read = todo.pop()
        if read.root in known:
            if read.root not in seen:
                seen.add(read.root)
                todo.extend(values.named_reads(read.root))
        elif read.root not in slots:
            every[read.root, read.member] = None


def known_members(view: object) -> dict[str, Hashable]:
    """The known members of a root, as what tells two requests apart."""
    if not isinstance(view, Mapping):
        return {"": repr(view)}
    members = {
        name: value if isinstance(value, str | float | bool) else repr(value) for name, value in view.items()
    }
    return {"": "", **members}
