"""Contradictions: rules that cannot both hold, operations charged together, values in a circle."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from tappetry.knowledge.audit_finding import AuditFinding, AuditKind, finding
from tappetry.knowledge.audit_logic import Spans, odds, spans_of, together, tree_of
from tappetry.knowledge.audit_subject import Subject
from tappetry.knowledge.audit_vocabulary import Vocabulary
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Need, Operation, Package, Rule
from tappetry.records.problems import Where


def check_contradictions(subject: Subject, vocabulary: Vocabulary) -> Iterator[AuditFinding]:
    """Whatever in the text cannot be so at one time."""
    checks = _Contradictions(subject, vocabulary)
    for need in subject.knowledge.needs.values():
        yield from checks.rules_of(need)
    for package in subject.knowledge.book.packages.values():
        yield from checks.preferences_of(package)
    yield from checks.operations()
    yield from checks.circles()


class _Contradictions:
    """Looks for conditions that leave nothing open together."""

    def __init__(self, subject: Subject, vocabulary: Vocabulary) -> None:
        self.subject = subject
        self.knowledge = subject.knowledge
        self.vocabulary = vocabulary
        self._sound: set[str] = set()

    def spans(self, *expressions: Expression | None) -> Spans:
        """What several conditions leave open together."""
        return together(
            *(spans_of(tree_of(e.text), self.vocabulary.values) for e in expressions if e is not None)
        )

    def rules_of(self, need: Need) -> Iterator[AuditFinding]:
        """Two rules of a need that are asked for in the same case and cannot both hold."""
        for one, other in combinations(rules_of(need), 2):
            if _text(one.when) != _text(other.when):
                continue
            name = odds(together(self.spans(one.that), self.spans(other.that)))
            if name and not odds(self.spans(one.that)) and not odds(self.spans(other.that)):
                yield finding(
                    AuditKind.CONTRADICTION,
                    other.that.where,
                    f"{other.id} cannot hold together with {one.id}: they ask different things of {name}",
                    other.that.text,
                    f"a rule that can hold together with {one.that.text}",
                )

    def preferences_of(self, package: Package) -> Iterator[AuditFinding]:
        """A preference of a package that a rule of the need rules out."""
        for need_id, preference in package.prefer:
            need = self.knowledge.needs.get(need_id)
            if need is None or preference.that is None:
                continue
            wanted = self.spans(preference.when, preference.that)
            for rule in rules_of(need):
                if rule.when is not None and _text(rule.when) != _text(preference.when):
                    continue
                name = odds(together(wanted, self.spans(rule.that)))
                if name and not odds(wanted):
                    yield finding(
                        AuditKind.CONTRADICTION,
                        preference.that.where,
                        f"package {package.id} prefers ({preference.id}) what the rule {rule.id} rules out: "
                        f"they ask different things of {name}",
                        preference.that.text,
                        f"a preference that can hold together with {rule.that.text}",
                    )

    # ---- labour ----------------------------------------------------------------------------------------

    def operations(self) -> Iterator[AuditFinding]:
        """Operations that exclude each other and are charged together, or are excluded and required."""
        operations = self.knowledge.operations
        told: set[frozenset[str]] = set()
        for operation in operations.values():
            for code in operation.excludes:
                other = operations.get(code)
                pair = frozenset({operation.code, code})
                if (
                    other is not None
                    and pair not in told
                    and not odds(self.spans(operation.when, other.when))
                ):
                    told.add(pair)
                    yield self._charged_together(operation, other)
                if code in operation.requires:
                    yield finding(
                        AuditKind.CONTRADICTION,
                        self._where(operation, "requires"),
                        f"{operation.code} requires and excludes {code}",
                        code,
                        "one of the two",
                    )

    def _charged_together(self, operation: Operation, other: Operation) -> AuditFinding:
        return finding(
            AuditKind.CONTRADICTION,
            self._where(operation, "excludes"),
            f"{operation.code} excludes {other.code}, and nothing keeps them from being charged together",
            f"{operation.when.text} | {other.when.text}",
            "conditions that are never true together",
        )

    def _where(self, operation: Operation, key: str) -> Where:
        return self.subject.where_item("operations.yaml", "code", operation.code, key)

    # ---- circles -----------------------------------------------------------------------------------------

    def circles(self) -> Iterator[AuditFinding]:
        """Named values that need themselves; each circle is told once."""
        told: set[frozenset[str]] = set()
        for name in self.knowledge.named:
            circle = self._circle((name,))
            if circle and frozenset(circle) not in told:
                told.add(frozenset(circle))
                named = self.knowledge.named[circle[0]]
                first = named.expression or named.inputs[0].expression
                yield finding(
                    AuditKind.CONTRADICTION,
                    first.where,
                    "named values go round in a circle",
                    " -> ".join((*circle, circle[0])),
                    "values that end somewhere",
                )

    def _circle(self, path: tuple[str, ...]) -> tuple[str, ...]:
        """The circle that the path's last name leads into; empty when there is none."""
        for read in self._named_reads(path[-1]):
            if read in path:
                return path[path.index(read) :]
            circle = () if read in self._sound else self._circle((*path, read))
            if circle:
                return circle
        self._sound.add(path[-1])
        return ()

    def _named_reads(self, name: str) -> list[str]:
        named = self.knowledge.named[name]
        expressions = [named.expression] if named.expression else [item.expression for item in named.inputs]
        return [r.root for e in expressions for r in e.reads if r.root in self.knowledge.named]


def rules_of(need: Need) -> list[Rule]:
    """Every hard rule of a need, those of its slots first."""
    return [*(rule for slot in need.slots for rule in slot.match), *need.rules]


def _text(expression: Expression | None) -> str:
    return "" if expression is None else expression.text
