"""Rules that can never fire: conditions without another outcome, and values that nothing ever has."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tappetry.knowledge.audit_finding import AuditFinding, AuditKind, closest, finding, one_of, show_value
from tappetry.knowledge.audit_logic import equal, odds, spans_of, tree_of, truth_of
from tappetry.knowledge.audit_subject import Condition
from tappetry.knowledge.audit_vocabulary import Plain, Values, Vocabulary
from tappetry.knowledge.syntax import Call, Items, Literal, Name, Node, Operation, walk


def check_never(vocabulary: Vocabulary, all_conditions: Iterable[Condition]) -> Iterator[AuditFinding]:
    """Conditions that cannot become true, rules that cannot refuse, and values that nothing ever has."""
    for condition in all_conditions:
        tree = tree_of(condition.expression.text)
        if tree is None:
            yield finding(
                AuditKind.NOTE,
                condition.expression.where,
                "the audit cannot look into this condition",
                condition.expression.text,
                "names, numbers, texts, lists, comparisons, and, or, not",
            )
            continue
        yield from _one_outcome(vocabulary, condition, tree)
        yield from _strange_values(vocabulary, condition, tree)


def _one_outcome(vocabulary: Vocabulary, condition: Condition, tree: Node) -> Iterator[AuditFinding]:
    text, where = condition.expression.text, condition.expression.where
    truth = truth_of(tree)
    at_odds = odds(spans_of(tree, vocabulary.values))
    if condition.role == "when" and truth is False:
        yield finding(
            AuditKind.NEVER_FIRES, where, "the condition is never true", text, "a condition, or none"
        )
    elif condition.role == "that" and truth is True:
        yield finding(
            AuditKind.NEVER_FIRES, where, "the rule always holds", text, "a condition that can fail"
        )
    elif condition.role in {"when", "that", "renew", "item"} and at_odds:
        message = f"the condition asks two different things of {at_odds}, so it is never true"
        yield finding(AuditKind.NEVER_FIRES, where, message, text, "conditions that can hold together")


def _strange_values(vocabulary: Vocabulary, condition: Condition, tree: Node) -> Iterator[AuditFinding]:
    """Literals that are compared with a name and are not among its values."""
    for name, test, literals in _comparisons(tree):
        values = vocabulary.values(name)
        if not values:
            continue
        strange = [literal for literal in literals if not _matches(test, values, literal)]
        if vocabulary.need_of(name.path[0]) and len(strange) < len(literals):
            continue  # a list of what would do: the catalogue need not carry all of it
        for literal in strange:
            yield _strange(condition, name, test, literal, values)


def _strange(condition: Condition, name: Name, test: str, literal: Plain, values: Values) -> AuditFinding:
    how = {"startsWith": "starts with", "endsWith": "ends with", "contains": "contains"}.get(test, "is")
    near = closest(str(literal), [v for v in values if isinstance(v, str)], "")
    return finding(
        AuditKind.NEVER_FIRES,
        condition.expression.where,
        f"{name} never {how} {show_value(literal)}",
        show_value(literal),
        f"{one_of(values)}; {near}" if near else one_of(values),
    )


def _matches(test: str, values: Values, literal: Plain) -> bool:
    if test in {"startsWith", "endsWith", "contains"}:
        return any(
            truth_of(Call(test, Literal(value), (Literal(literal),)))
            for value in values
            if isinstance(value, str)
        )
    return any(equal(value, literal) for value in values)


def _comparisons(tree: Node) -> Iterator[tuple[Name, str, list[Plain]]]:
    """Every name that is compared with literals, the test, and the literals."""
    for node in walk(tree):
        match node:
            case Operation("==" | "!=", (Name() as name, other)) | Operation(
                "==" | "!=", (other, Name() as name)
            ):
                for literal in _literals(other):
                    yield name, "is", [literal]
            case Operation("in", (Name() as name, Items(items))):
                yield name, "is", [literal for item in items for literal in _literals(item)]
            case Operation("in", (Literal(literal), Name() as name)):
                yield name, "is", [literal]
            case Call(test, Name() as name, (Literal(literal),)) if test != "has":
                yield name, test, [literal]


def _literals(node: Node) -> Iterator[Plain]:
    """The literals that an operand can come to; both sides of a choice count."""
    match node:
        case Literal(value):
            yield value
        case Operation("-", (Literal(float(value)),)):
            yield -value
        case Operation("?", (_, yes, no)):
            yield from _literals(yes)
            yield from _literals(no)
