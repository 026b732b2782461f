"""Missing reasons and sources, ids used twice, and ids that name nothing."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from tappetry.knowledge.audit_contradictions import rules_of
from tappetry.knowledge.audit_finding import AuditFinding, AuditKind, closest, finding
from tappetry.knowledge.audit_logic import tree_of, truth_of
from tappetry.knowledge.audit_subject import Subject
from tappetry.knowledge.model import Gate, Need, Preference, ProofRule, Rule
from tappetry.records.problems import Where

Reasoned = Rule | Gate | Preference | ProofRule


def check_reasons(subject: Subject) -> Iterator[AuditFinding]:
    """Everything that is said has a reason and a source, and every id stands for one thing that is there."""
    for need in subject.knowledge.needs.values():
        yield from _need_reasons(subject, need)
        yield from _need_ids(subject, need)
    yield from _loose_reasons(subject)
    yield from _operations(subject)
    yield from _packages(subject)
    yield from _notes(subject)


# ---- needs -----------------------------------------------------------------------------------------------


def _need_reasons(subject: Subject, need: Need) -> Iterator[AuditFinding]:
    renewable = truth_of(tree_of(need.renew.text)) is not False
    if renewable and not need.why.strip():
        yield _no_reason(subject.where_need(need, "why"), f"{need.id} may be renewed and says no why")
    if need.otherwise != "none" and not need.otherwise_why.strip():
        yield _no_reason(
            subject.where_need(need, "otherwise_why"),
            f"{need.id} may be met by {need.otherwise} and says no otherwise_why",
        )
    if need.box is not None and not need.box.why.strip():
        yield _no_reason(subject.where_need(need, "box", "why"), f"the box of {need.id} says no why")
    yield from _reasons(f"{need.id}: ", [*rules_of(need), *need.prefer])


def _need_ids(subject: Subject, need: Need) -> Iterator[AuditFinding]:
    packaged = [
        preference
        for package in subject.knowledge.book.packages.values()
        for need_id, preference in package.prefer
        if need_id == need.id
    ]
    yield from _twice([*rules_of(need), *need.prefer, *packaged], f"rules and preferences of {need.id}")
    for index, proof in enumerate(need.proofs):
        if proof not in subject.knowledge.proofs:
            yield _no_such(
                "proof", proof, subject.knowledge.proofs, subject.where_need(need, "proofs", index), need.id
            )


# ---- gates, rules and proofs -----------------------------------------------------------------------------


def _loose_reasons(subject: Subject) -> Iterator[AuditFinding]:
    knowledge = subject.knowledge
    stated: list[Reasoned] = [*knowledge.rules, *knowledge.gates, *knowledge.proofs.values()]
    stated += [preference for p in knowledge.book.packages.values() for _, preference in p.prefer]
    yield from _reasons("", stated)
    yield from _twice(
        [*knowledge.rules, *knowledge.gates, *knowledge.proofs.values()], "rules, gates and proofs"
    )


def _reasons(prefix: str, stated: Iterable[Reasoned]) -> Iterator[AuditFinding]:
    for item in stated:
        if not item.why.strip():
            yield _no_reason(_sibling(_where(item), "why"), f"{prefix}{item.id} says no why")
        if not item.source.strip():
            yield _no_source(_sibling(_where(item), "source"), f"{prefix}{item.id} names no source")


def _twice(items: Iterable[Reasoned], among: str) -> Iterator[AuditFinding]:
    seen: dict[str, Where] = {}
    for item in items:
        where = _sibling(_where(item), "id")
        if item.id in seen:
            message = f"the id stands twice among the {among}; the other stands at {seen[item.id]}"
            yield finding(AuditKind.USED_TWICE, where, message, item.id, "each id once")
        seen.setdefault(item.id, where)


def _where(item: Reasoned) -> Where:
    if isinstance(item, ProofRule):
        return item.value.where
    expression = item.that if not isinstance(item, Preference) else item.that or item.least
    return expression.where if expression is not None else Where()


def _sibling(where: Where, key: str) -> Where:
    """The place of another key of the same item."""
    return Where(where.file, where.line, f"{where.field.rpartition('.')[0]}.{key}")


# ---- labour and packages ---------------------------------------------------------------------------------


def _operations(subject: Subject) -> Iterator[AuditFinding]:
    file, knowledge = "operations.yaml", subject.knowledge
    served: set[str] = set()
    for operation in knowledge.operations.values():
        served.update(operation.needs)
        for key, known in (
            ("needs", knowledge.needs),
            ("excludes", knowledge.operations),
            ("requires", knowledge.operations),
        ):
            for index, name in enumerate(getattr(operation, key)):
                if name not in known:
                    where = subject.where_item(file, "code", operation.code, key, index)
                    kind = "need" if key == "needs" else "operation"
                    yield _no_such(kind, name, known, where, operation.code)
    for need in knowledge.needs.values():
        if need.id not in served:
            yield finding(
                AuditKind.NOTE,
                subject.where_need(need, "id"),
                f"no labour operation serves {need.title}: its work is in no book hours",
                need.id,
                "the need in the list of an operation, where it takes time of its own",
            )


def _packages(subject: Subject) -> Iterator[AuditFinding]:
    needs = subject.knowledge.needs
    for package in subject.knowledge.book.packages.values():
        for need_id in package.renew:
            if need_id not in needs:
                where = subject.where("shop.yaml", "packages", package.id, "renew", need_id)
                yield _no_such("need", need_id, needs, where, f"package {package.id}")
        for index, (need_id, _) in enumerate(package.prefer):
            if need_id not in needs:
                where = subject.where("shop.yaml", "packages", package.id, "prefer", index, "need")
                yield _no_such("need", need_id, needs, where, f"package {package.id}")
    for need_id in subject.knowledge.book.advice:
        if need_id not in needs:
            yield _no_such("need", need_id, needs, subject.where("shop.yaml", "advice", need_id), "advice")


# ---- legal notes and cautions ----------------------------------------------------------------------------


def _notes(subject: Subject) -> Iterator[AuditFinding]:
    operations = subject.knowledge.operations
    for file, items, sources in (
        ("legal.yaml", subject.knowledge.legal, "sources"),
        ("cautions.yaml", subject.knowledge.cautions, "source"),
    ):
        seen: set[str] = set()
        for index, item in enumerate(items):
            name = str(item.get("id", ""))
            if name in seen:
                where = subject.where(file, index, "id")
                yield finding(
                    AuditKind.USED_TWICE, where, f"the id stands twice in {file}", name, "each id once"
                )
            seen.add(name)
            if not _said(item.get("text")):
                yield _no_reason(subject.where(file, index, "text"), f"{name} says no text")
            if not _said(item.get(sources)):
                yield _no_source(subject.where(file, index, sources), f"{name} names no source")
            for place, code in enumerate(item.get("operations", ())):
                if code not in operations:
                    where = subject.where(file, index, "operations", place)
                    yield _no_such("operation", str(code), operations, where, name)


def _said(value: Any) -> bool:
    return any(str(item).strip() for item in (value if isinstance(value, list) else [value or ""]))


# ---- findings --------------------------------------------------------------------------------------------


def _no_reason(where: Where, message: str) -> AuditFinding:
    return finding(AuditKind.MISSING_REASON, where, message, "", "a reason in plain words")


def _no_source(where: Where, message: str) -> AuditFinding:
    return finding(AuditKind.MISSING_SOURCE, where, message, "", "where it comes from")


def _no_such(kind: str, name: str, known: Collection[str], where: Where, who: str) -> AuditFinding:
    return finding(
        AuditKind.UNKNOWN_ID,
        where,
        f"{who} names {'an' if kind[0] in 'aeiou' else 'a'} {kind} that does not exist",
        name,
        closest(name, known, f"a known {kind}"),
    )
