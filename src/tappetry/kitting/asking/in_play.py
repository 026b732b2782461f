"""The part of a shop's text that has a say about a job, whatever the facts that are missing come to.

Of a choice (``condition ? this : that``) whose condition is decided, only what is chosen has a say.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from tappetry.knowledge.audit_logic import tree_of, truth_of
from tappetry.knowledge.audit_vocabulary import Values
from tappetry.knowledge.language import Expression, compile_expression
from tappetry.knowledge.model import Gate, Knowledge, Named, Need, Package, Preference, ProofRule, Rule
from tappetry.knowledge.syntax import Name, Operation, show

Said = TypeVar("Said", Rule, Gate, Preference, ProofRule)
#: What conditions see of a place that is not there.
NOT_THERE: Mapping[str, Values] = {"renewed": frozenset({False}), "fitted": frozenset({False})}


def in_play(knowledge: Knowledge, package: Package, fixed: Mapping[str, Any]) -> Knowledge:
    """The knowledge without all that cannot apply, and without the other packages.

    A condition that asks whether a missing fact is stated counts as undecided: it may be stated later.

    Parameters
    ----------
    fixed : mapping of str to Any
        The roots that do not hang on the choice of parts, with the facts that are known.
    """
    return _Sifting(knowledge, package, fixed).sifted()


class _Sifting:
    """Sifts one knowledge."""

    def __init__(self, knowledge: Knowledge, package: Package, fixed: Mapping[str, Any]) -> None:
        self.knowledge = knowledge
        self.package = package
        self.fixed = fixed
        self.absent: set[str] = set()

    def sifted(self) -> Knowledge:
        """All that may apply."""
        for need in self.knowledge.needs.values():
            for slot in need.slots:
                if self._never(need.when) or self._never(slot.when):
                    self.absent.add(slot.root)
        needs = {
            name: self._need(need)
            for name, need in self.knowledge.needs.items()
            if any(slot.root not in self.absent for slot in need.slots)
        }
        package = replace(
            self.package,
            renew={name: said for name, said in self.package.renew.items() if name in needs},
            prefer=tuple(
                (name, each) for name, each in self.package.prefer if name in needs and self._may(each)
            ),
        )
        return replace(
            self.knowledge,
            needs=needs,
            book=replace(self.knowledge.book, packages={package.id: package}),
            rules=self._those(self.knowledge.rules),
            gates=self._those(self.knowledge.gates),
            proofs={name: each for name, each in self.knowledge.proofs.items() if self._may(each)},
            named={name: self._named(each) for name, each in self.knowledge.named.items()},
            operations={
                name: each for name, each in self.knowledge.operations.items() if not self._never(each.when)
            },
        )

    def _need(self, need: Need) -> Need:
        slots = tuple(
            replace(slot, match=self._those(slot.match))
            for slot in need.slots
            if slot.root not in self.absent
        )
        return replace(
            need,
            renew=self._chosen(need.renew),
            slots=slots,
            rules=self._those(need.rules),
            prefer=self._those(need.prefer),
        )

    def _named(self, each: Named) -> Named:
        if each.expression is None:
            return each
        chosen = self._chosen(each.expression)
        return each if chosen is each.expression else replace(each, expression=chosen)

    def _chosen(self, expression: Expression) -> Expression:
        """What is left of an expression where what it chooses is decided."""
        tree = left = tree_of(expression.text)
        while isinstance(left, Operation) and left.sign == "?":
            condition, yes, no = left.operands
            holds = truth_of(condition, self._values)
            if holds is None:
                break
            left = yes if holds else no
        if left is tree or left is None:
            return expression
        return compile_expression(show(left), expression.where)

    def _those(self, each: Iterable[Said]) -> tuple[Said, ...]:
        return tuple(said for said in each if self._may(said))

    def _may(self, said: Rule | Gate | Preference | ProofRule) -> bool:
        return not self._never(said.when)

    def _never(self, condition: Expression | None) -> bool:
        """Whether a condition cannot hold."""
        return condition is not None and truth_of(tree_of(condition.text), self._values) is False

    def _values(self, name: Name) -> Values | None:
        """The values that a name can have, as far as that is known."""
        if len(name.path) != 2:
            return None
        root, member = name.path
        if root in self.absent:
            return NOT_THERE.get(member)
        value = self.fixed.get(root, {}).get(member)
        return frozenset({value}) if isinstance(value, bool | int | float | str) else None
