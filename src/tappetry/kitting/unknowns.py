"""What is not known: the facts that open places, rules, proofs and hours wait for, and what hangs on each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from tappetry.kitting.options import FITTED, RENEWED, Option
from tappetry.kitting.problem import Problem, Views
from tappetry.kitting.standing import obeyed
from tappetry.knowledge.language import Expression, Read
from tappetry.knowledge.language import Unknown as UnknownValue
from tappetry.knowledge.model import Knowledge, Rule
from tappetry.records.kit import Unknown
from tappetry.records.verdict import Proof, Verdict


class Missing:
    """Traces what is unknown in a solved problem down to the facts that nobody has stated."""

    def __init__(self, problem: Problem, chosen: Mapping[str, Option]) -> None:
        self.problem = problem
        self.values = problem.values
        self.knowledge = problem.request.knowledge
        self.chosen = chosen
        self.views = problem.views(chosen)

    def unknowns(self, proofs: Iterable[Proof]) -> list[Unknown]:
        """Each fact that is missing with all that hangs on it, the one that decides most first."""
        hanging: dict[str, list[str]] = {}
        for what, names in self._waiting(proofs):
            # What a part does not state is named only where no fact about the engine is missing.
            for name in [name for name in names if "." not in name] or names:
                hanging.setdefault(name, []).append(what)
        facts = [unknown_fact(self.knowledge, name, waiting) for name, waiting in hanging.items()]
        return sorted(merged(facts), key=lambda fact: (-len(fact.hangs_on_it), fact.attribute))

    def _waiting(self, proofs: Iterable[Proof]) -> Iterator[tuple[str, list[str]]]:
        """What waits for facts, with their names: needs, rules, proofs, operations."""
        for root, option in self.chosen.items():
            need = self.problem.slots[root].need.id
            if option.state == "open":
                yield need, list(dict.fromkeys(self._of_slot(root, set())))
            elif option.state == "new":
                yield need, list(dict.fromkeys(self._of_others(root)))
        for rule in self._rules():
            if obeyed(self.values, rule, self.views) is None:
                yield rule.id, list(self._of([rule.when, rule.that], self.views, set()))
        for proof in proofs:
            if proof.verdict is Verdict.UNKNOWN:
                stated = self.knowledge.proofs[proof.id]
                said = [stated.when, stated.value, stated.at_least, stated.at_most]
                yield proof.id, list(self._of(said, self.views, set()))
        for operation in self.knowledge.operations.values():
            yield operation.code, list(self._of([operation.when], self.views, set()))

    def _rules(self) -> Iterator[Rule]:
        """The rules that speak of what stands there."""
        for root, option in self.chosen.items():
            if option.state in RENEWED:
                yield from self.problem.slots[root].slot.match
        for need in self.knowledge.needs.values():
            yield from need.rules
        yield from self.knowledge.rules

    # ---- down to the facts -----------------------------------------------------------------------------

    def _of_slot(self, root: str, seen: set[str]) -> Iterator[str]:
        """The facts that an open slot waits for, also through other slots that are open."""
        seen.add(root)
        standing = self.problem.standings[root]
        due = standing.question(self.views)
        assert due is not None
        yield from self._that_decide_fit(root)
        for option in (*standing.options, *standing.unsure):
            if option.view["standing"] in due.ways:
                said = list(standing.conditions)
                said += [standing.slot.pieces] if option.state in FITTED else []
                if option.state in RENEWED:
                    said += [e for rule in standing.slot.match for e in (rule.when, rule.that)]
                yield from self._of(said, {**self.views, root: option.view}, seen)

    def _of_others(self, root: str) -> Iterator[str]:
        """The facts for want of which other parts of a slot were left out: they might do as well."""
        standing = self.problem.standings[root]
        if standing.unsure:
            yield from self._that_decide_fit(root)
        left_out = [option for option in standing.options if standing.fits(option, self.views) is None]
        for option in (*standing.unsure, *(option for option in left_out if option.state == "new")):
            views = {**self.views, root: option.view}
            said = [e for rule in standing.slot.match for e in (rule.when, rule.that)]
            yield from self._of(said, views, set())

    def _that_decide_fit(self, root: str) -> Iterator[str]:
        """The facts that decide whether parts of a price list are for this engine."""
        request = self.problem.request
        need = self.problem.slots[root].need.id
        yield from request.catalogue.open_facts(need, request.fixed["engine"])

    def _of(self, said: Iterable[Expression | None], views: Views, seen: set[str]) -> Iterator[str]:
        """The facts for want of which expressions are unknown."""
        for expression in said:
            if expression is not None and self._is_unknown(expression, views):
                for read in expression.reads:
                    yield from self._of_read(read, expression, views, seen)

    def _is_unknown(self, expression: Expression, views: Views) -> bool:
        try:
            self.values.evaluate(expression, views)
        except UnknownValue:
            return True
        return False

    def _of_read(self, read: Read, expression: Expression, views: Views, seen: set[str]) -> Iterator[str]:
        if read.root in self.knowledge.named:
            yield from self._of(self.values.made_of(read.root), views, seen)
        elif read.root in self.values.fixed:
            if read.member not in self.values.fixed[read.root]:
                yield from self._of_fixed(read)
        elif read.root in views and read.member not in views[read.root]:
            if views[read.root]["state"] != "open":
                if read not in expression.asks:
                    yield from self._of_fitted(read.root, read.member)
            elif read.root not in seen:
                yield from self._of_slot(read.root, seen)

    def _of_fixed(self, read: Read) -> Iterator[str]:
        if read.root == "engine":
            yield read.member
        elif read.root.startswith("found_"):
            yield from self._of_fitted(read.root.removeprefix("found_"), read.member)
        else:
            yield f"{read.root}.{read.member}"

    def _of_fitted(self, root: str, member: str) -> Iterator[str]:
        """The facts that would tell what stands in the engine, or what has to be asked of it by name."""
        request = self.problem.request
        need = self.problem.slots[root].need.id
        family = self.knowledge.families.get(request.engine.family)
        fitted = family.fitted.get(need) if family is not None else None
        keys = [attribute for table in fitted.tables for attribute in table.by] if fitted else []
        names = [self.knowledge.attributes[key].name_in_conditions for key in keys]
        missing = [name for name in names if name not in request.fixed["engine"]]
        yield from missing or [f"{root}.{member}"]


def merged(facts: Iterable[Unknown]) -> list[Unknown]:
    """Each fact once, with all that hangs on it."""
    known: dict[str, Unknown] = {}
    for fact in facts:
        also = known[fact.attribute].hangs_on_it if fact.attribute in known else ()
        known[fact.attribute] = replace(fact, hangs_on_it=tuple(dict.fromkeys((*also, *fact.hangs_on_it))))
    return list(known.values())


def unknown_fact(knowledge: Knowledge, name: str, hangs_on_it: Iterable[str]) -> Unknown:
    """A fact that nobody has stated, by the name that conditions use: what to ask and where to look."""
    schema = next((s for s in knowledge.attributes.values() if s.name_in_conditions == name), None)
    return Unknown(
        attribute=schema.id if schema else name,
        question=(schema.ask if schema else "") or f"What is {name}?",
        see=schema.see if schema else "",
        hangs_on_it=tuple(dict.fromkeys(hangs_on_it)),
    )
