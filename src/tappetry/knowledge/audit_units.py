"""Units that do not suit each other: compared, added, handed to a calculation or named wrongly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tappetry.knowledge.audit_finding import AuditFinding, AuditKind, finding
from tappetry.knowledge.audit_logic import tree_of
from tappetry.knowledge.audit_subject import Condition, Subject
from tappetry.knowledge.model import Named, ProofRule
from tappetry.knowledge.syntax import Call, Literal, Name, Node, Operation, walk
from tappetry.knowledge.units import SUFFIXES, unit_of_name
from tappetry.quantities.unit_table import KINDS
from tappetry.quantities.units import UnitError, find_kind, find_unit
from tappetry.records.problems import Where

#: Functions that give back the unit they are given.
_KEEP_UNIT = frozenset({"abs", "ceil", "floor", "round", "min", "max"})
_SAME_UNIT = frozenset({"+", "-", "==", "!=", "<", "<=", ">", ">=", "?"})
#: Kinds of quantity that are plain numbers.
_NUMBERS = frozenset({"", "text"})


def check_units(subject: Subject, all_conditions: Iterable[Condition]) -> Iterator[AuditFinding]:
    """Comparisons and sums of unlike units, and calculations given what does not suit them."""
    units = _Units(subject)
    for condition in all_conditions:
        yield from units.mixed(condition.expression.text, condition.expression.where)
    for named in subject.knowledge.named.values():
        yield from units.of_named(named)
    for proof in subject.knowledge.proofs.values():
        yield from units.of_proof(proof)


class _Units:
    """The units of names, and of what is reckoned from them."""

    def __init__(self, subject: Subject) -> None:
        self.subject = subject
        self.named = subject.knowledge.named

    def mixed(self, text: str, where: Where) -> Iterator[AuditFinding]:
        """Every comparison or sum in an expression whose sides have different units."""
        tree = tree_of(text)
        for node in walk(tree) if tree is not None else ():
            if not isinstance(node, Operation) or node.sign not in _SAME_UNIT or len(node.operands) == 1:
                continue
            left, right = node.operands[-2:]
            one, other = self.unit(left), self.unit(right)
            if one and other and one != other:
                verb = {"+": "added", "-": "subtracted", "?": "taken for one another"}.get(
                    node.sign, "compared"
                )
                yield finding(
                    AuditKind.UNIT_MISMATCH,
                    where,
                    f"{_name_in(left, self)} in {one} and {_name_in(right, self)} in {other} are {verb}",
                    text,
                    "one unit; multiply or divide by the number between them, such as 25.4",
                )

    def unit(self, node: Node) -> str:
        """The unit of an expression; empty when it has none or a number has changed it."""
        match node:
            case Name((root,)) if root in self.named:
                return SUFFIXES.get(self.named[root].unit, "") or unit_of_name(root)
            case Name():
                return unit_of_name(str(node))
            case Operation("+" | "-" | "?", operands):
                return next((unit for operand in operands[-2:] if (unit := self.unit(operand))), "")
            case Operation("*" | "/", (left, right)) if not _has_number(left) and not _has_number(right):
                return self._product(node.sign, left, right)
            case Call(function, None, arguments) if function in _KEEP_UNIT:
                return next((unit for argument in arguments if (unit := self.unit(argument))), "")
        return ""

    def _product(self, sign: str, left: Node, right: Node) -> str:
        """A unit times a count keeps it; of two units, or of a quotient, nothing is said."""
        one, other = self.unit(left), self.unit(right)
        return "" if sign == "/" or (one and other) else one or other

    # ---- named quantities and proofs -----------------------------------------------------------------

    def of_named(self, named: Named) -> Iterator[AuditFinding]:
        """A name, its unit and what it is reckoned from must agree."""
        where = self.subject.where_item("quantities.yaml", "id", named.id, "unit")
        unit = SUFFIXES.get(named.unit, "")
        in_name = unit_of_name(named.id)
        if in_name and in_name != unit:
            yield finding(
                AuditKind.UNIT_MISMATCH,
                where,
                f"{named.id} ends in {in_name}, and its unit is {named.unit or 'not stated'}",
                named.unit,
                in_name,
            )
        if named.expression is not None:
            tree = tree_of(named.expression.text)
            reckoned = self.unit(tree) if tree is not None else ""
            if reckoned and unit and reckoned != unit:
                yield finding(
                    AuditKind.UNIT_MISMATCH,
                    named.expression.where,
                    f"{named.id} is stated in {named.unit}, and comes out in {reckoned}",
                    named.expression.text,
                    f"a value in {named.unit}",
                )
        yield from self._of_calculation(named, where)

    def _of_calculation(self, named: Named, where: Where) -> Iterator[AuditFinding]:
        names = self.subject.calculations.get(named.calculation)
        if names is None:
            return
        handed = [(item.name, item.unit, item.expression.where) for item in named.inputs]
        if named.sweep is not None:
            handed.append((named.sweep.input, named.sweep.unit, named.sweep.to.where))
        for name, unit, place in handed:
            if name in names.inputs:
                yield from _suits(unit, names.inputs[name], place, name)
        if named.output in names.outputs:
            yield from _suits(
                SUFFIXES.get(named.unit, named.unit), names.outputs[named.output], where, named.id
            )

    def of_proof(self, proof: ProofRule) -> Iterator[AuditFinding]:
        """Value, limits and unit of a proof must agree."""
        unit = SUFFIXES.get(proof.unit, proof.unit)
        for expression in (proof.value, proof.at_least, proof.at_most):
            tree = tree_of(expression.text) if expression is not None else None
            if expression is None or tree is None:
                continue
            reckoned = self.unit(tree)
            if reckoned and reckoned != unit:
                yield finding(
                    AuditKind.UNIT_MISMATCH,
                    expression.where,
                    f"the proof {proof.id} is in {unit}, and this is in {reckoned}",
                    expression.text,
                    f"a value in {unit}",
                )


def _suits(unit: str, kind: str, where: Where, name: str) -> Iterator[AuditFinding]:
    """Whether a unit belongs to the kind of quantity that a calculation takes or gives."""
    if kind in _NUMBERS:
        return
    if kind not in KINDS:  # a quantity that no shop writes down: it is handed on in SI, without a unit
        if unit:
            message = f"{name} is a {kind}, which is handed on in SI"
            yield finding(AuditKind.UNIT_MISMATCH, where, message, unit, "no unit")
        return
    try:
        si_unit = find_kind(kind).si_unit
        if unit or si_unit != "1":
            find_unit(unit, kind)
    except UnitError as error:
        units = ", ".join(known.symbol for known in find_kind(kind).units)
        message = f"{name} is a {kind}: {error.reason}" if unit else f"{name} is a {kind} and states no unit"
        yield finding(AuditKind.UNIT_MISMATCH, where, message, unit, f"one of {units}")


def _has_number(node: Node) -> bool:
    """Whether a number is written in a side: such a factor may turn one unit into another."""
    return any(isinstance(n, Literal) and type(n.value) is float for n in walk(node))


def _name_in(node: Node, units: _Units) -> str:
    """The name that brings the unit into one side."""
    return next((str(n) for n in walk(node) if isinstance(n, Name) and units.unit(n)), "a value")
