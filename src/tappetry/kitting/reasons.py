"""Why a line stands in the kit: need <- rule <- fact <- who said so, as data."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from tappetry.assembly.sentences import show
from tappetry.kitting.options import Option
from tappetry.kitting.problem import Problem
from tappetry.knowledge.language import Expression, Unknown
from tappetry.knowledge.model import Need, Preference, Rule, Slot
from tappetry.records.evidence import Fact
from tappetry.records.kit import Because

Views = Mapping[str, Mapping[str, Any]]


class Reasons:
    """Builds reasons over one solved problem."""

    def __init__(self, problem: Problem, views: Views, facts_by_name: Mapping[str, Fact]) -> None:
        self.problem = problem
        self.values = problem.values
        self.views = views
        self.facts_by_name = facts_by_name

    def for_slot(
        self, slot: Slot, need: Need, option: Option, preferences: Iterable[Preference]
    ) -> Iterator[Because]:
        """The reasons of one slot: the need, the renewal, the matches, the preferences, the facts."""
        renew = self.problem.request.package.renew.get(need.id, need.renew)
        yield Because("need", need.id, need.title, need.source, self._stated(need.when))
        why = need.why if option.state in {"new", "own"} or option.view.get("renewed") else need.otherwise_why
        yield Because("rule", f"{need.id}-renew", why or need.title, need.source, self._stated(renew))
        if option.state in {"new", "own"}:
            yield from self._matches(slot.match, "match")
            yield from self._matches(need.rules, "match")
            yield from self._preferences(preferences)
        yield from self._facts([need.when, renew, *(rule.that for rule in slot.match)])

    def _matches(self, rules: Iterable[Rule], kind: str) -> Iterator[Because]:
        for rule in rules:
            if self.values.maybe(rule.when, self.views) is not False:
                yield Because(kind, rule.id, rule.why, rule.source, self._stated(rule.that))

    def _preferences(self, preferences: Iterable[Preference]) -> Iterator[Because]:
        for preference in preferences:
            if self.values.maybe(preference.when, self.views) is not True:
                continue
            followed = preference.that is None or self.values.maybe(preference.that, self.views) is True
            text = preference.why if followed else f"not followed: {preference.why}"
            yield Because("choice", preference.id, text, preference.source)

    def _stated(self, expression: Expression) -> tuple[str, ...]:
        """Each value that an expression reads, as ``name = value``."""
        stated = []
        for read in expression.reads:
            name = f"{read.root}.{read.member}" if read.member else read.root
            value = self._value(read.root, read.member)
            if value is not None and not isinstance(value, Mapping):
                stated.append(f"{name} = {show(value)}")
        return tuple(stated)

    def _value(self, root: str, member: str) -> Any:
        if root in self.values.knowledge.named:
            try:
                return self.values.named(root, self.views)
            except Unknown:
                return "unknown"
        view = self.values.fixed.get(root, self.views.get(root, {}))
        return view.get(member) if isinstance(view, Mapping) else view

    def _facts(self, expressions: Iterable[Expression]) -> Iterator[Because]:
        """The facts about the engine that the rules read, with grade and who said so."""
        seen: set[str] = set()
        for name in self.engine_names(expressions):
            fact = self.facts_by_name.get(name)
            if fact is not None and fact.attribute not in seen:
                seen.add(fact.attribute)
                yield Because("fact", fact.attribute, fact.show(), f"{fact.grade.name}: {fact.source}")

    def engine_names(self, expressions: Iterable[Expression | None]) -> Iterator[str]:
        """Names of engine attributes that expressions read, through named values."""
        todo = [read for expression in expressions if expression is not None for read in expression.reads]
        engine: set[str] = set()
        named: set[str] = set()
        while todo:
            read = todo.pop(0)
            if read.root == "engine" and read.member not in engine:
                engine.add(read.member)
                yield read.member
            elif read.root in self.values.knowledge.named and read.root not in named:
                named.add(read.root)
                todo.extend(self.values.named_reads(read.root))
