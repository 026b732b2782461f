"""Needs that must be bought and that no part fills, and parts that state what nobody knows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any

from tappetry.knowledge.audit_finding import AuditFinding, AuditKind, closest, finding, one_of
from tappetry.knowledge.audit_logic import Domain, tree_of, truth_of
from tappetry.knowledge.audit_subject import Subject
from tappetry.knowledge.audit_vocabulary import (
    PLAN,
    TRUTHS,
    Plain,
    Values,
    Vocabulary,
    family_values,
    fits,
    gathered,
    rows_of,
)
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Need
from tappetry.knowledge.syntax import Name
from tappetry.records.family import Family, key_text
from tappetry.records.part import Part

#: What may serve a renewal without a part.
_SERVES = frozenset({"shop stock", "by hand", "outside service"})


def check_parts(subject: Subject, vocabulary: Vocabulary) -> Iterator[AuditFinding]:
    """Needs without a part, family by family, and parts with unknown needs, attributes or values."""
    for family in subject.knowledge.families.values():
        view = FamilyView(subject, vocabulary, family)
        for need in subject.knowledge.needs.values():
            if _must_be_bought(need) and view.renewed(need) is not False and not view.parts_for(need):
                yield finding(
                    AuditKind.NO_PART,
                    subject.where_need(need, "renew" if "renew" in _text_of(subject, need) else "id"),
                    f"{need.title} may have to be bought for {family.name}, and no part fills it",
                    need.id,
                    f"a part that fills {need.id} and fits family={family.id}, or no_part",
                )
    for part in subject.parts:
        yield from _strange_words(subject, part)


def _text_of(subject: Subject, need: Need) -> Mapping[str, Any]:
    items = subject.document(need.file).data
    return next(item for item in items if item["id"] == need.id)


def _must_be_bought(need: Need) -> bool:
    return need.written == "R" and not need.no_part and not need.house and need.otherwise not in _SERVES


class FamilyView:
    """What can be told of the needs of one family, whatever the single engine."""

    def __init__(self, subject: Subject, vocabulary: Vocabulary, family: Family) -> None:
        self.subject = subject
        self.knowledge = subject.knowledge
        self.vocabulary = vocabulary
        self.family = family
        self._open: set[str] = set()

    @cached_property
    def stated(self) -> dict[str, Values]:
        """The values of each engine attribute in this family."""
        return family_values(self.family)

    @cached_property
    def _engine(self) -> dict[str, Values]:
        return {
            self.knowledge.attributes[attribute].name_in_conditions: values
            for attribute, values in self.stated.items()
            if attribute in self.knowledge.attributes
        }

    @cached_property
    def _plan(self) -> dict[str, Values]:
        """The values of each member of the plan that no gate of this family refuses."""
        stops = [gate for gate in self.knowledge.gates if gate.severity == "STOP" and gate.when is None]
        trees = [tree_of(gate.that.text) for gate in stops]
        found: dict[str, Values] = {}
        for member in PLAN:
            name = Name(("plan", member))
            values = self.vocabulary.values(name)
            if values is not None:
                found[member] = frozenset(
                    value
                    for value in values
                    if not any(truth_of(tree, self._with_plan(name, value)) is False for tree in trees)
                )
        return found

    def _with_plan(self, planned: Name, value: Plain) -> Domain:
        """The domain of engines of this family under a plan of which one member is known."""

        def domain(name: Name) -> Values | None:
            if name == planned:
                return frozenset({value})
            in_engine = len(name.path) == 2 and name.path[0] == "engine"
            return self._engine.get(name.path[1]) if in_engine else None

        return domain

    def parts_for(self, need: Need) -> list[Part]:
        """The parts that fill a need and may fit an engine of this family."""
        return [part for part in self.subject.parts_for(need.id) if fits(part, self.stated)]

    def renewed(self, need: Need) -> bool | None:
        """Whether the need is ever renewed in this family: false when that can be told to be never."""
        renewals = [
            need.renew,
            *(p.renew[need.id] for p in self.knowledge.book.packages.values() if need.id in p.renew),
        ]
        needed = self._truth(need.when, f"{need.id} when")
        if needed is False or all(self._truth(r, f"{need.id} renew") is False for r in renewals):
            return False
        return None

    def _truth(self, expression: Expression, key: str) -> bool | None:
        """What can be told of a condition; one that leads back to itself tells nothing."""
        if key in self._open:
            return None
        self._open.add(key)
        try:
            return truth_of(tree_of(expression.text), self.domain)
        finally:
            self._open.discard(key)

    def domain(self, name: Name) -> Values | None:
        """The values that a name can have in this family."""
        root, member = name.path[0], name.path[-1]
        if len(name.path) == 1:
            return self._named(root)
        if root == "engine":
            return self._engine.get(member, self.vocabulary.values(name))
        if root == "plan":
            return self._plan.get(member, self.vocabulary.values(name))
        need = self.knowledge.needs.get(self.vocabulary.need_of(root))
        if need is None:
            return self.vocabulary.values(name)
        if member == "renewed":
            return frozenset({False}) if self.renewed(need) is False else TRUTHS
        if member in self.vocabulary.roots[root]:
            rows = [self.vocabulary.seen(part, need.id) for part in self.parts_for(need)]
            return gathered([*rows, *rows_of(self.family.fitted.get(need.id))]).get(member)
        return None

    def _named(self, name: str) -> Values | None:
        named = self.knowledge.named.get(name)
        if named is None or named.expression is None:
            return None
        truth = self._truth(named.expression, name)
        return None if truth is None else frozenset({truth})


def _strange_words(subject: Subject, part: Part) -> Iterator[AuditFinding]:
    """Needs, attributes and values of a part that the shop's text does not know."""
    knowledge = subject.knowledge
    for fill in part.fills:
        if fill.need not in knowledge.needs:
            yield finding(
                AuditKind.UNKNOWN_ID,
                subject.where_part(part, "fills"),
                f"{part.number} fills a need that does not exist",
                fill.need,
                closest(fill.need, knowledge.needs, "a need of the folder needs"),
            )
    stated = [part.attributes, *(f.attributes for f in part.fills), *(c.attributes for c in part.contents)]
    for attribute in sorted({name for attributes in stated for name in attributes}):
        if attribute not in knowledge.part_attributes:
            yield finding(
                AuditKind.UNKNOWN_NAME,
                subject.where_part(part, "attributes"),
                f"{part.number} states an attribute that part-attributes.yaml does not declare",
                attribute,
                closest(attribute, knowledge.part_attributes, "an id of part-attributes.yaml"),
            )
    for attribute, rows in knowledge.tables.items():
        value = part.attributes.get(attribute)
        if value is not None and key_text(value) not in rows:
            yield finding(
                AuditKind.UNKNOWN_VALUE,
                subject.where_part(part, "attributes"),
                f"{part.number} points into the table of {attribute}, which has no such row",
                value,
                closest(str(value), rows, one_of(rows)),
            )
    for attribute, values in part.fits.items():
        yield from _strange_fit(subject, part, attribute, values)


def _strange_fit(
    subject: Subject, part: Part, attribute: str, values: tuple[str, ...]
) -> Iterator[AuditFinding]:
    knowledge = subject.knowledge
    where = subject.where_part(part, "fits")
    schema = knowledge.attributes.get(attribute)
    if schema is None:
        expected = closest(attribute, knowledge.attributes, "an id of attributes.yaml")
        yield finding(
            AuditKind.UNKNOWN_NAME,
            where,
            f"{part.number} fits by an attribute that does not exist",
            attribute,
            expected,
        )
        return
    known = {
        "truth": ("yes", "no"),
        "choice": schema.values,
    }.get(schema.type, tuple(knowledge.families) if attribute == "family" else ())
    for value in values:
        if known and value not in known:
            yield finding(
                AuditKind.UNKNOWN_VALUE,
                where,
                f"{attribute} has no such value, so {part.number} fits less than it says",
                value,
                closest(value, known, "one of " + ", ".join(known)),
            )
