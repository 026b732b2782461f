"""Which needs a fact may reach, through what conditions read of it and of one another.

A need follows what its conditions and its number of pieces read. Rules, proofs and preferences tie all that
they read of to each other: what is chosen in one place may change with what is chosen in another.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tappetry.assembly.values import Values
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Knowledge, Package, Preference, Rule


class Influence:
    """The ways of influence between the needs of a shop."""

    def __init__(self, values: Values, knowledge: Knowledge, package: Package) -> None:
        self.values = values
        self.knowledge = knowledge
        self.package = package
        self.need_of = {root: slot.need for root, slot in knowledge.slots().items()}
        self.followers: dict[str, set[str]] = {name: set() for name in knowledge.needs}
        self.read_by: dict[str, set[str]] = {}
        for name in knowledge.needs:
            self._follow(name)
            for said in self._ties(name):
                self._tie({name}, said)
        for rule in knowledge.rules:
            self._tie(set(), _said(rule))

    def of(self, members: Iterable[str]) -> set[str]:
        """The needs that facts may reach, by the names of the facts in conditions."""
        waiting = [need for member in members for need in self.read_by.get(member, ())]
        reached: set[str] = set()
        while waiting:
            need = waiting.pop()
            if need not in reached:
                reached.add(need)
                waiting += self.followers[need]
        return reached

    def _follow(self, name: str) -> None:
        """The need follows what decides whether it is there, renewed, and how many."""
        need = self.knowledge.needs[name]
        said = [need.when, need.renew, self.package.renew.get(name)]
        for slot in need.slots:
            said += [slot.when, slot.pieces]
        for root in self._read({name}, said):
            self.followers[root].add(name)

    def _ties(self, name: str) -> Iterator[list[Expression | None]]:
        """What ties the need to others, one rule, proof or preference at a time."""
        need = self.knowledge.needs[name]
        for rule in (*need.rules, *(rule for slot in need.slots for rule in slot.match)):
            yield _said(rule)
        for proof in (self.knowledge.proofs.get(each) for each in need.proofs):
            if proof is not None:
                yield [proof.when, proof.value, proof.at_least, proof.at_most]
        for preference in (*need.prefer, *(p for owner, p in self.package.prefer if owner == name)):
            yield _wanted(preference)

    def _tie(self, needs: set[str], said: list[Expression | None]) -> None:
        tied = needs | self._read(needs, said)
        for one in tied:
            self.followers[one] |= tied - {one}

    def _read(self, needs: set[str], said: Iterable[Expression | None]) -> set[str]:
        """The needs that expressions read of; notes that these and others read the facts in them."""
        stated = [expression for expression in said if expression is not None]
        roots = self.values.reads(stated)
        read = {self.need_of[root] for root in roots if root in self.need_of}
        for expression in stated:
            for _, member in self.values.reading(expression).fixed:
                self.read_by.setdefault(member, set()).update(needs or read)
        return read


def _said(rule: Rule) -> list[Expression | None]:
    return [rule.when, rule.that]


def _wanted(preference: Preference) -> list[Expression | None]:
    return [preference.when, preference.that, preference.least]
