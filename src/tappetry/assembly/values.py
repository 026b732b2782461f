"""Named values over an engine, a plan and the parts chosen so far: computed once, remembered, traceable.

A named value is an expression or a registered calculation, as the shop's text says. What it depends
on is known beforehand, so that it is computed once for all parts that are equal in what it reads.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from tappetry.assembly.memory import Fixed, Flat, Memory, Reading, Results
from tappetry.calculations import registry
from tappetry.engineering.ranges import OutOfRange
from tappetry.knowledge.language import BadExpression, Expression, Read, Unknown
from tappetry.knowledge.model import Knowledge, Named
from tappetry.knowledge.units import SUFFIXES
from tappetry.quantities.units import find_unit
from tappetry.records.problems import BadInput, Where

Slots = Mapping[str, Mapping[str, Any]]
#: Where the view of an open slot names the members that its possible answers do not have alike: whether
#: one of them is stated is not known either.
UNDECIDED = "?"


@dataclass(frozen=True, slots=True)
class Trace:
    """How a named value came about: formula, inputs with values, and the source of the formula."""

    id: str
    title: str
    value: Any
    unit: str
    formula: str
    inputs: tuple[tuple[str, Any], ...]
    source: str


class Values:
    """Evaluates expressions over fixed roots (engine, plan, limits) and the options of the slots.

    With a memory, what another request found out is found out: as far as it is equal in what is read.
    """

    def __init__(self, knowledge: Knowledge, fixed: Mapping[str, Any], memory: Memory | None = None) -> None:
        self.knowledge = knowledge
        self.fixed = fixed
        self.memory = Memory() if memory is None else memory
        self.memory.tidy()
        self._slot_roots = frozenset(knowledge.slots())
        self._reads: dict[str, dict[str, frozenset[str]]] = {}
        self._kinds: dict[str, dict[str, str]] = {}
        self._made_by: dict[str, tuple[str, tuple[str, ...]]] = {}
        self._remembered: dict[int, Results] = {}
        self._named_results: dict[str, tuple[Flat, dict[tuple[Any, ...], Any]]] = {}

    # ---- what depends on what ----------------------------------------------------------------------

    def reads(self, expressions: Iterable[Expression | None]) -> dict[str, frozenset[str]]:
        """Slot roots and their members that the expressions depend on, through named values."""
        said = [expression for expression in expressions if expression is not None]
        if len(said) == 1:
            return dict(self.reading(said[0]).slots)
        key = tuple(map(id, said))
        known = self.memory.reads.get(key)
        if known is None:
            found: dict[str, set[str]] = {}
            for expression in said:
                for root, members in self.reading(expression).slots.items():
                    found.setdefault(root, set()).update(members)
            known = self.memory.reads[key] = {root: frozenset(members) for root, members in found.items()}
        return dict(known)

    def reading(self, of: Expression | Named) -> Reading:
        """What an expression or a named value reads, through named values."""
        known = self.memory.readings.get(id(of))
        if known is None:
            found: dict[str, set[str]] = {}
            reads = of.reads if isinstance(of, Expression) else tuple(self.named_reads(of.id))
            self._collect(reads, found)
            slots = {root: frozenset(members) for root, members in found.items()}
            known = Reading(of, slots, flat(slots), tuple(self._fixed_reads(reads)))
            self.memory.readings[id(of)] = known
        return known

    def _fixed_reads(self, reads: Iterable[Read]) -> dict[Fixed, None]:
        """What is read of the fixed roots, through named values."""
        found: dict[Fixed, None] = {}
        todo, visited = list(reads), set[Read]()
        while todo:
            read = todo.pop()
            if read in visited:
                continue
            visited.add(read)
            if read.root in self.knowledge.named:
                todo.extend(self.named_reads(read.root))
            elif read.root in self.fixed or read.root not in self._slot_roots:
                found[read.root, read.member] = None
        return found

    def _collect(self, reads: Iterable[Read], found: dict[str, set[str]]) -> None:
        for read in reads:
            if read.root in self._slot_roots and read.root not in self.fixed:
                found.setdefault(read.root, set()).add(read.member)
            elif read.root in self.knowledge.named:
                for root, members in self._named_reads(read.root).items():
                    found.setdefault(root, set()).update(members)

    def _named_reads(self, name: str, path: tuple[str, ...] = ()) -> dict[str, frozenset[str]]:
        if name in path:
            chain = " -> ".join((*path, name))
            where = self.knowledge.named[name].where
            raise BadInput.at(
                Where(where), "named values go round in a circle", chain, "values that end somewhere"
            )
        if name not in self._reads:
            found: dict[str, set[str]] = {}
            for read in self.named_reads(name):
                if read.root in self.knowledge.named:
                    for root, members in self._named_reads(read.root, (*path, name)).items():
                        found.setdefault(root, set()).update(members)
                elif read.root in self._slot_roots:
                    found.setdefault(read.root, set()).add(read.member)
            self._reads[name] = {root: frozenset(members) for root, members in found.items()}
        return self._reads[name]

    def lacks_a_fact(self, expression: Expression) -> bool:
        """Whether a fact that an expression reads, through named values, has not been stated."""
        return any(
            member and root in self.fixed and member not in self.fixed[root]
            for root, member in self.reading(expression).fixed
        )

    def facts(self, expressions: Iterable[Expression]) -> tuple[tuple[str, Any], ...]:
        """The facts and limits that expressions read, through named values, each with its value."""
        return tuple(
            (f"{read.root}.{read.member}", self.fixed[read.root][read.member])
            for read in self.facts_read(expressions)
            if read.member in self.fixed[read.root]
        )

    def facts_read(self, expressions: Iterable[Expression]) -> Iterator[Read]:
        """What expressions read that does not hang on the choice of parts, each once."""
        todo = [read for expression in expressions for read in expression.reads]
        visited = set[Read]()
        while todo:
            read = todo.pop(0)
            if read in visited:
                continue
            visited.add(read)
            if read.root in self.knowledge.named:
                todo.extend(self.named_reads(read.root))
            elif read.root in self.fixed and read.member:
                yield read

    def named_reads(self, name: str) -> list[Read]:
        """What a named value reads directly."""
        return [read for expression in self.made_of(name) for read in expression.reads]

    def made_of(self, name: str) -> list[Expression]:
        """The expressions that a named value is made of."""
        named = self.knowledge.named[name]
        expressions = [named.expression] if named.expression else [item.expression for item in named.inputs]
        if named.sweep is not None:
            expressions.append(named.sweep.to)
        return expressions

    def needed(self, expressions: Iterable[Expression]) -> dict[str, frozenset[str]]:
        """The members that expressions read of slots without asking for them, through named values."""
        found: dict[str, set[str]] = {}
        todo, visited = list(expressions), set[str]()
        while todo:
            expression = todo.pop()
            for read in expression.reads:
                if read.root in self._slot_roots and read not in expression.asks:
                    found.setdefault(read.root, set()).update([read.member] if read.member else [])
                elif read.root in self.knowledge.named and read.root not in visited:
                    visited.add(read.root)
                    todo.extend(self.made_of(read.root))
        return {root: frozenset(members) for root, members in found.items()}

    # ---- evaluation ---------------------------------------------------------------------------------

    def evaluate(self, expression: Expression, slots: Slots) -> Any:
        """The value of an expression.

        Raises
        ------
        Unknown
            A value that it needs has not been stated.
        """
        remembered = self._remembered.get(id(expression)) or self._remember(expression)
        key = memory_key(remembered.reads, slots)
        results = remembered.results
        if key not in results:
            results[key] = self._fresh(remembered, slots)
        result = results[key]
        if isinstance(result, Unknown):
            raise result.with_traceback(None)
        return result

    def _remember(self, expression: Expression) -> Results:
        reading = self.reading(expression)
        key = (id(expression), *self._seen(reading.fixed))
        results = self.memory.expressions.get(key)
        if results is None:
            results = self.memory.expressions[key] = Results(expression, reading.flat)
        self._remembered[id(expression)] = results
        return results

    def _seen(self, reads: Iterable[Fixed]) -> Iterator[Any]:
        """What is read of the fixed roots, as what tells two requests apart."""
        for root, member in reads:
            view = self.fixed.get(root, _ABSENT)
            value = view.get(member, _ABSENT) if member and isinstance(view, Mapping) else view
            yield value if isinstance(value, str | float | bool) else repr(value)

    def _fresh(self, remembered: Results, slots: Slots) -> Any:
        """Evaluate, and remember an unknown as a result like any other.

        Choices of parts that come to the same values of what the expression names are evaluated once.
        """
        expression = remembered.expression
        missing: Unknown | None = None
        roots: dict[str, Any] = {}
        seen: list[Any] = []
        for read in expression.reads:
            if read.root in self.fixed:
                roots[read.root] = self.fixed[read.root]
            elif read.root in slots:
                view = slots[read.root]
                undecided = view.get(UNDECIDED, ())
                seen.append(view.get(read.member or "key", undecided or _ABSENT))
                if not any(Read(read.root, member) in expression.asks for member in undecided):
                    roots[read.root] = view
            elif read.root in self.knowledge.named:
                try:
                    roots[read.root] = value = self.named(read.root, slots)
                    seen.append(repr(value) if isinstance(value, list) else value)
                except Unknown as unknown:
                    missing = missing or unknown
                    seen.append(unknown)
        named = roots.get(expression.text)
        if isinstance(named, float) and math.isfinite(named):
            return named
        key = tuple(seen)
        if key not in remembered.by_values:
            try:
                remembered.by_values[key] = expression.evaluate(roots)
            except Unknown as unknown:
                is_named = missing is not None and not unknown.key
                remembered.by_values[key] = missing if is_named else unknown
        return remembered.by_values[key]

    def of_item(self, expression: Expression, slots: Slots, item: Mapping[str, Any]) -> Any:
        """The value of an expression about one ``item`` of a box."""
        result = self._fresh(Results(expression, ()), {**slots, "item": item})
        if isinstance(result, Unknown):
            raise result.with_traceback(None)
        return result

    def evaluate_item(self, expression: Expression, slots: Slots, item: Mapping[str, Any]) -> bool:
        """A condition about one ``item`` of a box; anything but true is false."""
        return self.of_item(expression, slots, item) is True

    def truth(self, expression: Expression, slots: Slots) -> bool:
        """The value of a condition; anything but true or false is an error."""
        value = self.evaluate(expression, slots)
        if not isinstance(value, bool):
            raise BadExpression.at(
                expression.where, f"a condition must be true or false, this gives {value!r}", expression.text
            )
        return value

    def maybe(self, expression: Expression | None, slots: Slots) -> bool | None:
        """True, false, or None for unknown; a condition that is not there is true."""
        if expression is None:
            return True
        try:
            return self.truth(expression, slots)
        except Unknown:
            return None

    def number(self, expression: Expression, slots: Slots) -> float:
        """The value of a number; anything else is an error."""
        value = self.evaluate(expression, slots)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise BadExpression.at(
                expression.where, f"a number is wanted, this gives {value!r}", expression.text
            )
        return float(value)

    def named(self, name: str, slots: Slots) -> Any:
        """A named value, remembered for all parts that are equal in what it reads."""
        reads, memory = self._named_results.get(name) or self._remember_named(name)
        key = memory_key(reads, slots)
        if key not in memory:
            try:
                memory[key] = self._compute(self.knowledge.named[name], slots)
            except Unknown as unknown:
                memory[key] = unknown
        result = memory[key]
        if isinstance(result, Unknown):
            raise result.with_traceback(None)
        return result

    def _remember_named(self, name: str) -> tuple[Flat, dict[tuple[Any, ...], Any]]:
        named = self.knowledge.named[name]
        reading = self.reading(named)
        results = self.memory.named.setdefault((id(named), *self._seen(reading.fixed)), {})
        self._named_results[name] = reading.flat, results
        return reading.flat, results

    def _compute(self, named: Named, slots: Slots) -> Any:
        if named.expression is not None:
            return self.evaluate(named.expression, slots)
        inputs = self._si_inputs(named, slots)
        if named.sweep is not None:
            end = self.number(named.sweep.to, slots)
            inputs[named.sweep.input] = self._swept(named, end)
        try:
            output = registry.run(named.calculation, inputs)[named.output]
        except OutOfRange as error:
            raise BadInput.at(
                Where("the engine with its parts"),
                f"{named.title} cannot be worked out: {error}",
                expected=f"facts and parts for which {named.calculation} holds; look at what was measured",
            ) from error
        least = float(output.min()) if named.sweep is not None else float(output)
        factor = factor_of(SUFFIXES.get(named.unit, ""), self.ports(named.calculation)[named.output])
        return least / factor

    def _si_inputs(self, named: Named, slots: Slots) -> dict[str, Any]:
        """The inputs of a calculation in SI, converted from the unit that each is spoken in."""
        kinds = self.ports(named.calculation)
        return {
            item.name: self.number(item.expression, slots) * factor_of(item.unit, kinds[item.name])
            for item in named.inputs
        }

    def inputs_of(self, name: str, slots: Slots) -> dict[str, Any]:
        """The inputs of a calculated value in SI; of one that is swept, its end.

        Raises
        ------
        Unknown
            One of them has not been stated.
        """
        named = self.knowledge.named[name]
        inputs = self._si_inputs(named, slots)
        if named.sweep is not None:
            factor = factor_of(named.sweep.unit, self.ports(named.calculation)[named.sweep.input])
            inputs[named.sweep.input] = self.number(named.sweep.to, slots) * factor
        return inputs

    def made_through(self, expression: Expression) -> Iterator[str]:
        """The named values that an expression is made of, the nearest first."""
        todo = [read.root for read in expression.reads if read.root in self.knowledge.named]
        visited = set[str]()
        while todo:
            name = todo.pop(0)
            if name not in visited:
                visited.add(name)
                yield name
                todo += [read.root for read in self.named_reads(name) if read.root in self.knowledge.named]

    def _swept(self, named: Named, end: float) -> Any:
        """The swept input over its whole range, in SI: one step a unit, both ends included."""
        import numpy as np

        assert named.sweep is not None
        factor = factor_of(named.sweep.unit, self.ports(named.calculation)[named.sweep.input])
        return np.append(np.arange(0.0, end, 1.0), end) * factor

    def ports(self, calculation: str) -> dict[str, str]:
        """The kind of quantity of every input and output of a calculation."""
        if calculation not in self._kinds:
            found = registry.get(calculation)
            self._kinds[calculation] = {
                **{item.name: item.kind for item in found.inputs},
                **{item.name: item.kind for item in found.outputs},
            }
        return self._kinds[calculation]

    # ---- where a value comes from --------------------------------------------------------------------

    def made_by(self, name: str) -> tuple[str, tuple[str, ...]]:
        """The formula of a named value, and the names of what it reads."""
        if name not in self._made_by:
            named = self.knowledge.named[name]
            formula = registry.get(named.calculation).formula if named.expression is None else ""
            texts = tuple(dict.fromkeys(_texts(self.named_reads(name))))
            self._made_by[name] = formula or (named.expression.text if named.expression else ""), texts
        return self._made_by[name]

    def trace(self, name: str, slots: Slots) -> Trace:
        """The formula, the values read and the source of a named value."""
        named = self.knowledge.named[name]
        value = self.named(name, slots)
        formula, texts = self.made_by(name)
        inputs = tuple((text, self._value_of(text, slots)) for text in texts)
        source = named.where
        if named.expression is None:
            source = "; ".join(source.text for source in registry.get(named.calculation).sources)
        return Trace(name, named.title, value, named.unit, formula, inputs, source)

    def _value_of(self, text: str, slots: Slots) -> Any:
        root, _, member = text.partition(".")
        if root in self.knowledge.named:
            try:
                return self.named(root, slots)
            except Unknown:
                return None
        view = self.fixed.get(root, slots.get(root, {}))
        return view.get(member) if isinstance(view, Mapping) else view


_ABSENT = "\0absent"


@lru_cache(maxsize=256)
def factor_of(unit: str, kind: str) -> float:
    """SI value of one of a unit; a number without a unit stands for itself."""
    return float(find_unit(unit, kind).factor) if unit else 1.0


def flat(reads: Mapping[str, frozenset[str]]) -> Flat:
    """Reads as pairs of root and member; a whole root is told apart by its key."""
    return tuple((root, member or "key") for root, members in reads.items() for member in members)


def memory_key(reads: Flat, slots: Slots) -> tuple[Any, ...]:
    """What distinguishes these slots for a value that reads only some members of them."""
    return tuple(
        [
            None
            if (view := slots.get(root)) is None
            else view[member]
            if member in view
            else view.get(UNDECIDED, _ABSENT)
            for root, member in reads
        ]
    )


def _texts(reads: Iterable[Read]) -> list[str]:
    return [f"{read.root}.{read.member}" if read.member else read.root for read in reads]
