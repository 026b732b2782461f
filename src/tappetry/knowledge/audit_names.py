"""Names that a condition reads and nobody states, with the closest spelling."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from tappetry.knowledge.audit_finding import AuditFinding, AuditKind, closest, finding
from tappetry.knowledge.audit_logic import tree_of
from tappetry.knowledge.audit_subject import Condition, Subject
from tappetry.knowledge.audit_vocabulary import Vocabulary
from tappetry.knowledge.model import Change, Named
from tappetry.knowledge.syntax import LOOPS, Call, Name, Node, children, walk

#: The root of the one piece that a box's condition is about, and what of a box speaks of it.
PIECE_ROOT = "item"
OF_A_PIECE = frozenset({"item", "says"})


def check_names(
    subject: Subject, vocabulary: Vocabulary, all_conditions: Iterable[Condition]
) -> Iterator[AuditFinding]:
    """Every root and member that no condition can read."""
    for condition in all_conditions:
        yield from _reads(vocabulary, condition)
        yield from _pieces(vocabulary, condition)
    for named in subject.knowledge.named.values():
        if named.calculation:
            yield from _calculation(subject, named)
    for proof in subject.knowledge.proofs.values():
        for remedy in proof.remedies:
            for change in remedy.changes:
                yield from _change(vocabulary, change)


def _reads(vocabulary: Vocabulary, condition: Condition) -> Iterator[AuditFinding]:
    expression = condition.expression
    asked = _asked_for(expression.text)
    for read in expression.reads:
        written = f"{read.root}.{read.member}" if read.member else read.root
        if condition.role in OF_A_PIECE and condition.need and read.root == PIECE_ROOT:
            continue
        if read.root not in vocabulary.roots:
            expected = closest(
                read.root, vocabulary.roots, "engine, plan, job, limits, a need or a named value"
            )
            message = "the condition reads a name that nothing has"
        elif read.member and read.member not in vocabulary.roots[read.root]:
            if written in asked and read.member in vocabulary.knowledge.part_attributes:
                yield finding(
                    AuditKind.NOTE,
                    expression.where,
                    "no part states this yet, so what asks for it is never met",
                    written,
                    "a part, or a row of a table, that states it",
                )
                continue
            members = vocabulary.roots[read.root]
            near = closest(read.member, members, f"a member of {read.root}")
            expected = near.replace("did you mean ", f"did you mean {read.root}.")
            message = f"{read.root} has no member of this name"
        else:
            continue
        yield finding(AuditKind.UNKNOWN_NAME, expression.where, message, written, expected)


def _change(vocabulary: Vocabulary, change: Change) -> Iterator[AuditFinding]:
    """A value that a remedy would change and that nothing has."""
    name = f"{change.root}.{change.member}"
    members = vocabulary.roots.get(change.root, frozenset())
    if change.member not in members:
        known = members or vocabulary.roots
        near = closest(change.member if members else change.root, known, "engine, or a need, and its member")
        message = "a remedy changes a value that nothing has"
        yield finding(AuditKind.UNKNOWN_NAME, change.value.where, message, name, near)


def _asked_for(text: str) -> set[str]:
    """The names whose presence a condition asks for before it reads them."""
    tree = tree_of(text)
    calls = [node for node in walk(tree) if isinstance(node, Call)] if tree is not None else []
    return {str(argument) for call in calls if call.function == "has" for argument in call.arguments}


def _pieces(vocabulary: Vocabulary, condition: Condition) -> Iterator[AuditFinding]:
    """Members of the pieces of a box, in a loop over its contents or in the condition for the one to use."""
    tree = tree_of(condition.expression.text)
    if tree is None:
        return
    known = {PIECE_ROOT: vocabulary.pieces_of(condition.need)} if condition.role in OF_A_PIECE else {}
    for name, members in _bound_names(vocabulary, tree, known):
        if len(name.path) > 1 and name.path[1] not in members:
            near = closest(name.path[1], members, "an attribute of a piece in the box")
            yield finding(
                AuditKind.UNKNOWN_NAME,
                condition.expression.where,
                "no piece of a box states this",
                name,
                near.replace("did you mean ", f"did you mean {name.path[0]}."),
            )


def _bound_names(
    vocabulary: Vocabulary, node: Node, known: Mapping[str, frozenset[str]]
) -> Iterator[tuple[Name, frozenset[str]]]:
    """Every name that stands for a piece of a box, with the members that such a piece has."""
    match node:
        case Call(loop, Name((root, "contents")), (Name((variable,)), *body)) if loop in LOOPS:
            inner = {**known, variable: vocabulary.pieces_of(vocabulary.need_of(root))}
            for part in body:
                yield from _bound_names(vocabulary, part, inner)
        case Name(path) if path[0] in known:
            yield node, known[path[0]]
        case _:
            for child in children(node):
                yield from _bound_names(vocabulary, child, known)


def _calculation(subject: Subject, named: Named) -> Iterator[AuditFinding]:
    """A calculation that is not registered, and inputs or outputs that it has not."""
    place = ("quantities.yaml", "id", named.id)
    names = subject.calculations.get(named.calculation)
    if names is None:
        yield finding(
            AuditKind.UNKNOWN_NAME,
            subject.where_item(*place, "calculation"),
            "there is no such calculation",
            named.calculation,
            closest(named.calculation, subject.calculations, "a registered calculation"),
        )
        return
    stated = {item.name: item.expression.where for item in named.inputs}
    if named.sweep is not None:
        stated[named.sweep.input] = subject.where_item(*place, "sweep", "input")
    for name, where in stated.items():
        if name not in names.inputs:
            yield finding(
                AuditKind.UNKNOWN_NAME,
                where,
                f"{named.calculation} takes no such input",
                name,
                closest(name, names.inputs, "one of " + ", ".join(names.inputs)),
            )
    for name in sorted(names.needed - stated.keys()):
        yield finding(
            AuditKind.UNKNOWN_NAME,
            subject.where_item(*place, "inputs"),
            f"{named.calculation} needs an input that is not stated",
            ", ".join(sorted(stated)),
            name,
        )
    if named.output not in names.outputs:
        yield finding(
            AuditKind.UNKNOWN_NAME,
            subject.where_item(*place, "output"),
            f"{named.calculation} gives no such output",
            named.output,
            closest(named.output, names.outputs, "one of " + ", ".join(names.outputs)),
        )
