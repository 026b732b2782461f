"""What conditions do with each attribute: compare it with limits, ask for it, or reckon with it.

A number that is only compared with limits makes a difference only where it passes one of them, so a value
on each side of every limit stands for all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from tappetry.knowledge.language import Expression
from tappetry.knowledge.syntax import (
    COMPARISONS,
    Call,
    Items,
    Literal,
    Name,
    Node,
    NotInGrammar,
    Operation,
    parse,
)

#: The roots under which conditions read a fact of the engine.
FACTS = frozenset({"engine", "stated"})
#: Signs that tell one value from all others; the rest tell more from less.
_EXACT = frozenset({"==", "!=", "in"})


@dataclass(slots=True)
class Compared:
    """What is done with one attribute, by the name that conditions use.

    ``limits`` are what it is held against, numbers or names such as ``limits.x``; ``exact`` those of them
    that it has to be equal to. ``reckoned`` says that its very value is used, ``asked`` that some condition
    asks whether it is stated at all.
    """

    limits: set[float | Name] = field(default_factory=set)
    exact: set[float | Name] = field(default_factory=set)
    reckoned: bool = False
    asked: bool = False

    def numbers(self, known: Mapping[str, object]) -> tuple[frozenset[float], frozenset[float]] | None:
        """Limits and exact values as numbers; None where the value is reckoned with, or a limit is not known.

        Parameters
        ----------
        known : mapping of str to object
            The values of the names that stand for limits, such as ``limits.x`` or ``engine.y``.
        """
        if self.reckoned:
            return None
        found: list[frozenset[float]] = []
        for those in (self.limits, self.exact):
            values = [known.get(str(each)) if isinstance(each, Name) else each for each in those]
            if any(isinstance(value, bool) or not isinstance(value, int | float) for value in values):
                return None
            found.append(frozenset(float(value) for value in values if isinstance(value, int | float)))
        return found[0], found[1]


def comparisons(expressions: Iterable[Expression]) -> dict[str, Compared]:
    """What the expressions do with each attribute that they read, by the name that conditions use."""
    found: dict[str, Compared] = {}
    for expression in expressions:
        try:
            tree = parse(expression.text)
        except NotInGrammar:
            for read in expression.reads:
                if read.root in FACTS and read.member:
                    found.setdefault(read.member, Compared()).reckoned = True
        else:
            _look(tree, found, as_value=True)
    return found


def _look(node: Node, found: dict[str, Compared], as_value: bool) -> None:
    """Note what is done with the attributes below a node; ``as_value`` says that its own value is used."""
    match node:
        case Name():
            if as_value and (name := _attribute(node)):
                found.setdefault(name, Compared()).reckoned = True
        case Operation("!", (operand,)):
            _look(operand, found, False)
        case Operation("&&" | "||", operands):
            for operand in operands:
                _look(operand, found, False)
        case Operation("?", (condition, yes, no)):
            _look(condition, found, False)
            _look(yes, found, as_value)
            _look(no, found, as_value)
        case Operation(sign, (left, right)) if sign in COMPARISONS:
            _compare(sign, left, right, found)
            _compare(sign, right, left, found)
        case Call("has", None, (Name() as name,)):
            if attribute := _attribute(name):
                found.setdefault(attribute, Compared()).asked = True
        case Operation(_, operands) | Items(operands):
            for operand in operands:
                _look(operand, found, True)
        case Call(_, target, arguments):
            for inner in (*arguments, *([target] if target is not None else [])):
                _look(inner, found, True)


def _compare(sign: str, side: Node, other: Node, found: dict[str, Compared]) -> None:
    """Note that one side of a comparison is held against the other."""
    for node in _ways(side, found):
        name = _attribute(node) if isinstance(node, Name) else ""
        if not name:
            if not isinstance(node, Name):
                _look(node, found, True)
            continue
        compared = found.setdefault(name, Compared())
        for limit in _limits(other):
            if limit is None:
                compared.reckoned = True
            else:
                compared.limits.add(limit)
                if sign in _EXACT:
                    compared.exact.add(limit)


def _ways(node: Node, found: dict[str, Compared]) -> Iterator[Node]:
    """What an operand can come to; both sides of a choice count."""
    if isinstance(node, Operation) and node.sign == "?":
        condition, yes, no = node.operands
        _look(condition, found, False)
        yield from _ways(yes, found)
        yield from _ways(no, found)
    else:
        yield node


def _limits(node: Node) -> Iterator[float | Name | None]:
    """The limits that an operand states; None for one that has to be worked out."""
    match node:
        case Literal(bool() | str()):
            return
        case Literal(float(value)):
            yield value
        case Operation("-", (Literal(float(value)),)):
            yield -value
        case Operation("?", (_, yes, no)):
            yield from _limits(yes)
            yield from _limits(no)
        case Items(items):
            for item in items:
                yield from _limits(item)
        case Name():
            yield node
        case _:
            yield None


def _attribute(name: Name) -> str:
    """The attribute that a name reads; empty when it reads something else."""
    return name.path[1] if len(name.path) == 2 and name.path[0] in FACTS else ""
