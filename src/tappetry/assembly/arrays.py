"""The same named values over many engines at once, that differ in some of their values.

An expression of the shop's language is read as a tree and worked out on arrays, one entry for each engine.
What reads nothing that differs is taken from the scalar values as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tappetry.assembly.values import Slots, Values, factor_of
from tappetry.calculations import registry
from tappetry.knowledge.language import Expression, Unknown
from tappetry.knowledge.model import Named
from tappetry.knowledge.syntax import Call, Items, Literal, Name, Node, NotInGrammar, Operation, parse
from tappetry.knowledge.units import SUFFIXES

Many = NDArray[np.float64]

#: The functions of the language, on arrays.
_FUNCTIONS: Mapping[str, Callable[[Any], Any]] = {
    "ceil": lambda value: np.ceil(value - 1e-9),
    "floor": lambda value: np.floor(value + 1e-9),
    "round": lambda value: np.floor(value + 0.5),
    "abs": np.abs,
    "cos": lambda degrees: np.cos(np.radians(degrees)),
    "double": lambda value: value,
}
_METHODS: Mapping[str, Callable[[str, str], bool]] = {
    "startsWith": str.startswith,
    "endsWith": str.endswith,
    "contains": lambda text, piece: piece in text,
}
_ARITHMETIC: Mapping[str, Callable[[Any, Any], Any]] = {
    "+": lambda one, other: one + other,
    "-": lambda one, other: one - other,
    "*": lambda one, other: one * other,
    "/": lambda one, other: one / other,
    "<": lambda one, other: one < other,
    "<=": lambda one, other: one <= other,
    ">": lambda one, other: one > other,
    ">=": lambda one, other: one >= other,
    "==": lambda one, other: one == other,
    "!=": lambda one, other: one != other,
}
#: Calculations over a range are worked out for so many engines at a time, lest they take too much room.
AT_ONCE = 256


class Arrays:
    """Expressions and named values for many engines at once.

    Parameters
    ----------
    values : Values
        The engine that they are all alike to.
    slots : mapping
        What stands in each place.
    many : mapping
        The values that differ, by name (``engine.bore_mm``), in their own units: arrays of one length. Where
        no calculation over a range is asked for, any arrays that broadcast together.
    rows : mapping, optional
        Where only some engines differ in a value, which: then a calculation is worked out for those alone,
        and for the first, which has to be the engine itself.
    given : callable, optional
        A named value that is known beforehand, by its name; None for one that has to be worked out.
    """

    def __init__(
        self,
        values: Values,
        slots: Slots,
        many: Mapping[str, Many],
        rows: Mapping[str, NDArray[np.intp]] | None = None,
        given: Callable[[str], Many | None] | None = None,
    ) -> None:
        self.values = values
        self.slots = slots
        self.many = many
        self.rows = rows
        self.given = given
        self._named: dict[str, Any] = {}
        self._leaves: dict[int, frozenset[str]] = {}

    # ---- what hangs on what --------------------------------------------------------------------------

    def leaves(self, of: Expression | Named) -> frozenset[str]:
        """The values that differ and that an expression or a named value hangs on."""
        if id(of) not in self._leaves:
            names = self.values.reading(of).names
            self._leaves[id(of)] = names & self.many.keys()
        return self._leaves[id(of)]

    def calculated(self) -> dict[str, Many]:
        """The named values that a registered calculation has given so far, and that differ."""
        named = self.values.knowledge.named
        return {
            name: found
            for name, found in self._named.items()
            if named[name].calculation and isinstance(found, np.ndarray)
        }

    # ---- evaluation ----------------------------------------------------------------------------------

    def number(self, expression: Expression) -> Many | float:
        """The value of an expression for every engine; a float where it is the same for all.

        Raises
        ------
        Unknown
            A value that it needs has not been stated.
        NotInGrammar
            The expression uses a word that is not known on arrays.
        """
        if not self.leaves(expression):
            return self.values.number(expression, self.slots)
        found: Many = self._of(parse(expression.text))
        return found

    def named(self, name: str) -> Any:
        """A named value for every engine, worked out once."""
        if name not in self._named:
            named = self.values.knowledge.named[name]
            if not self.leaves(named):
                self._named[name] = self.values.named(name, self.slots)
            elif named.expression is not None:
                self._named[name] = self._of(parse(named.expression.text))
            else:
                known = None if self.given is None else self.given(name)
                self._named[name] = self._calculated(named) if known is None else known
        return self._named[name]

    def _of(self, node: Node) -> Any:
        match node:
            case Literal(value):
                return value
            case Name(path):
                return self._read(path)
            case Operation("?", (condition, yes, no)):
                return self._chosen(self._of(condition), yes, no)
            case Operation("&&" | "||" as sign, (left, right)):
                return self._both(left, right, shortcut=sign == "||")
            case Operation("!", (operand,)):
                return np.logical_not(self._of(operand))
            case Operation("-", (operand,)):
                return -self._of(operand)
            case Operation("in", (item, listed)):
                one = self._of(item)
                return np.any([one == each for each in self._of(listed)], axis=0)
            case Items(items):
                return [self._of(each) for each in items]
            case Operation(sign, (left, right)) if sign in _ARITHMETIC:
                return _ARITHMETIC[sign](self._of(left), self._of(right))
            case Call("has", None, (Name((root, member)),)):
                return member in self._view(root)
            case Call(function, None, (argument,)) if function in _FUNCTIONS:
                return _FUNCTIONS[function](self._of(argument))
            case Call(method, target, (argument,)) if target is not None and method in _METHODS:
                return _METHODS[method](self._of(target), self._of(argument))
        raise NotInGrammar(f"{node} is not known of many engines at once")

    def _view(self, root: str) -> Mapping[str, Any]:
        view = self.values.fixed.get(root, self.slots.get(root, {}))
        return view if isinstance(view, Mapping) else {}

    def _read(self, path: tuple[str, ...]) -> Any:
        root, *members = path
        if root in self.values.knowledge.named:
            return self.named(root)
        if ".".join(path) in self.many:
            return self.many[".".join(path)]
        if len(members) != 1 or members[0] not in self._view(root):
            raise Unknown(root, ".".join(members))
        return self._view(root)[members[0]]

    def _chosen(self, condition: Any, yes: Node, no: Node) -> Any:
        """One of two branches; both only where some engines take the one and some the other."""
        if np.all(condition):
            return self._of(yes)
        if not np.any(condition):
            return self._of(no)
        return np.where(condition, self._of(yes), self._of(no))

    def _both(self, left: Node, right: Node, *, shortcut: bool) -> Any:
        """And, or; a side that decides by itself leaves the other unread, whichever side it is."""
        try:
            first = self._of(left)
        except Unknown:
            second = self._of(right)
            if np.all(np.equal(second, shortcut)):
                return second
            raise
        if np.all(np.equal(first, shortcut)):
            return first
        both = np.logical_or if shortcut else np.logical_and
        return both(first, self._of(right))

    # ---- calculations --------------------------------------------------------------------------------

    def _calculated(self, named: Named) -> Any:
        """A registered calculation, for the engines that differ in what it reads."""
        kinds = self.values.ports(named.calculation)
        inputs = {
            item.name: self.number(item.expression) * factor_of(item.unit, kinds[item.name])
            for item in named.inputs
        }
        end = None if named.sweep is None else self.number(named.sweep.to)
        count = max(
            (len(each) for each in (*inputs.values(), end) if isinstance(each, np.ndarray)), default=0
        )
        if self.rows is None:
            found = self._run(named, inputs, end, count)
        else:
            differing = [self.rows[name] for name in self.leaves(named)]
            some = np.unique(np.concatenate([np.zeros(1, dtype=np.intp), *differing]))
            few = {name: _piece(each, some) for name, each in inputs.items()}
            less = np.broadcast_to(self._run(named, few, _piece(end, some), len(some)), some.shape)
            found = np.full(count, less[0])
            found[some] = less
        return found / factor_of(SUFFIXES.get(named.unit, ""), kinds[named.output])

    def _run(self, named: Named, inputs: Mapping[str, Any], end: Any, count: int) -> Many:
        if named.sweep is None:
            return np.asarray(registry.run(named.calculation, inputs)[named.output])
        unit = factor_of(named.sweep.unit, self.values.ports(named.calculation)[named.sweep.input])
        pieces = []
        for at in range(0, count, AT_ONCE):
            some = slice(at, at + AT_ONCE)
            few = {name: _piece(each, some) for name, each in inputs.items()}
            pieces.append(self._least(named, few, _piece(end, some), unit))
        return np.concatenate(pieces)

    def _least(self, named: Named, inputs: Mapping[str, Any], end: Any, unit: float) -> Many:
        """The least over the whole range of the swept input: one step a unit, both ends included."""
        assert named.sweep is not None
        steps = np.append(np.arange(0.0, np.max(end), 1.0), np.inf)
        swept = np.minimum(steps, np.asarray(end)[..., np.newaxis]) * unit
        deep = {
            name: each[:, np.newaxis] if isinstance(each, np.ndarray) else each
            for name, each in inputs.items()
        }
        found = registry.run(named.calculation, {**deep, named.sweep.input: swept})[named.output]
        least: Many = np.min(found, axis=-1)
        return least


def _piece(each: Any, some: Any) -> Any:
    """The part of a value that belongs to some of the engines."""
    return each[some] if isinstance(each, np.ndarray) else each
