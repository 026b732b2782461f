"""Runs the outside checks against the registry, as the adapters say: rename and convert, and nothing else.

An adapter says for each check which calculations are run, which given value is which input, and which output
is which result. A value of its own has to stand in the check's words; `adapters/README.md` says it all.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import yaml

from tappetry.calculations.model import Calculation, Input, Output
from tappetry.calculations.registry import get
from tests.checks.reading import Check, checks, parts
from tests.checks.units import CRANK, TEXT, UNITS, in_turns_of

FOLDER = Path(__file__).with_name("adapters")
ONLY = "only"  # the name of a run that stands alone
OF_THE_WHOLE = ("outputs", "mistakes", "output", "plain")  # what is said of an adapter and not of a run

#: One thing said in two ways: a radius for a diameter, a pitch for threads to the inch, a size for a sign.
SAID_AS: dict[str, Callable[[Any], Any]] = {
    "radius": lambda value: value / 2.0,
    "diameter": lambda value: value * 2.0,
    "pitch": lambda value: 1.0 / value,
    "magnitude": np.abs,
    "opposite": lambda value: -value,
    "from bottom": lambda value: math.pi - value,
    "from end": lambda value: 1.0 - value,
}
#: What an identity says of several results.
TOGETHER: dict[str, Callable[..., Any]] = {
    "ratio": lambda first, second: first / second,
    "sum": lambda *values: math.fsum(values),
    "difference": lambda first, second: first - second,
}


class AdapterError(Exception):
    """An adapter that does more than it may, or that does not fit its check."""


@dataclass(frozen=True)
class Value:
    """A number with its SI unit and, of an angle, whose degrees it counts; or words."""

    value: Any
    si: str = ""
    turns: str = ""


#: What a check says by a word and a calculation by a number.
NAMED = {
    "tdc": Value(0.0, "rad", CRANK),
    "bdc": Value(math.pi, "rad", CRANK),
    "flat": Value(math.inf, "m"),
    "mid": Value(0.5, "1"),
    "345": Value("3-4-5"),
    "4567": Value("4-5-6-7"),
}


@dataclass(frozen=True)
class Adapter:
    """How one check is put to the registry."""

    check: Check
    runs: Mapping[str, Mapping[str, Any]]
    outputs: Mapping[str, Any]
    mistakes: Mapping[str, Mapping[str, Any]]
    plain: bool = False  # the check is written without units, and so in any one system of them

    def given(self, changed: Mapping[str, Any] | None = None) -> dict[str, Value]:
        """What the check gives, in SI; a mistake may change values in the check's own units."""
        values = {}
        for name, (value, unit) in self.check.given.items():
            for suffix, (part, part_unit) in parts(value, unit).items():
                part = (changed or {}).get(name + suffix, part)
                values[name + suffix] = self._value(part, part_unit)
        return values

    def own_units(self) -> dict[str, Any]:
        """What the check gives in its own units, under names that a formula can spell."""
        return {
            re.sub(r"\W", "_", name + suffix): part
            for name, (value, unit) in self.check.given.items()
            for suffix, (part, _) in parts(value, unit).items()
        }

    def results(self, changed: Mapping[str, Any] | None = None) -> dict[str, Any]:
        """The results that are bound, by the check's keys and in its units."""
        known = self._all_values(changed)
        return {
            key: self._in_check_unit(key, self._result(source, known)) for key, source in self.outputs.items()
        }

    def _all_values(self, changed: Mapping[str, Any] | None = None) -> dict[str, Value]:
        """What is given, and every output of every run as `run.output`."""
        known = self.given(changed)
        for name, run in self.runs.items():
            for output, value in self._run(run, known).items():
                known[f"{name}.{output}"] = value
        return known

    def mistaken(self, what: str) -> Any:
        """What comes out of a listed mistake, in the check's unit."""
        (mistake,) = (each for each in self.check.mistakes if each.what == what)
        how = self.mistakes[what]
        if "formula" in how:
            results = {name.replace(".", "_"): each.value for name, each in self._all_values().items()}
            return _reckon(how["formula"], {**results, **self.own_units()})
        if "with" in how:
            names = self.own_units()
            return self.results({name: _reckon(text, names) for name, text in how["with"].items()})[
                mistake.key
            ]
        other = Adapter(
            self.check,
            {**self.runs, **_runs(how)},
            {mistake.key: _outputs(how, mistake.key)},
            {},
            self.plain,
        )
        return other.results()[mistake.key]

    def _run(self, run: Mapping[str, Any], known: Mapping[str, Value]) -> dict[str, Value]:
        unknown = run.keys() - {"calculation", "inputs", "example", "times"}
        if unknown:
            raise AdapterError(f"{self.check.id}: a run takes no {', '.join(sorted(unknown))}")
        calculation = get(run["calculation"])
        inputs: dict[str, Any] = dict(calculation.example) if run.get("example") else {}
        for name, factor in run.get("times", {}).items():
            inputs[name] = inputs[name] * known[factor].value
        units = {"1"}  # of a calculation that takes any unit, that of its inputs
        for name, source in run.get("inputs", {}).items():
            taken = self._taken(calculation, name)
            values = [self._take(each, known) for each in (source if isinstance(source, list) else [source])]
            units |= {value.si for value in values} if _any_unit(taken) else set()
            fitted = [self._fit(taken, value) for value in values]
            inputs[name] = fitted if isinstance(source, list) else fitted[0]
        unit = self._one_of(units)
        outputs = {each.name: each for each in calculation.outputs}
        return {
            name: Value(
                value, unit if _any_unit(outputs[name]) else outputs[name].unit, outputs[name].qualifier
            )
            for name, value in calculation.evaluate(inputs).items()
        }

    def _taken(self, calculation: Calculation, name: str) -> Input:
        for taken in calculation.inputs:
            if taken.name == name:
                return taken
        raise AdapterError(f"{self.check.id}: {calculation.name} takes no {name}")

    def _one_of(self, units: set[str]) -> str:
        """The unit that all inputs are in; a plain number goes with any."""
        named = units - {"1"}
        if len(named) > 1:
            raise AdapterError(
                f"{self.check.id}: all inputs are in one unit, not in {', '.join(sorted(named))}"
            )
        return named.pop() if named else "1"

    def _take(self, source: Any, known: Mapping[str, Value]) -> Value:
        """A given value, an output of an earlier run, or a value that stands in the check's words."""
        if isinstance(source, str):
            if source not in known:
                raise AdapterError(f"{self.check.id}: nothing is called {source!r}")
            return known[source]
        if "literal" in source:
            return self._literal(source)
        if source.keys() != {"from", "as"}:
            raise AdapterError(f"{self.check.id}: {source} is no given value, output or literal")
        return self._said_as(source, known)

    def _result(self, source: Any, known: Mapping[str, Value]) -> Value:
        """An output of a run, or what an identity says of several."""
        if isinstance(source, str):
            alone = f"{ONLY}.{source}"
            return self._take(alone if alone in known else source, known)
        if "from" in source:
            return self._take(source, known)
        ((how, sources),) = source.items()
        values = [self._take(each, known) for each in sources]
        if how not in TOGETHER or len({value.si for value in values}) != 1:
            raise AdapterError(f"{self.check.id}: {how} of {', '.join(map(str, sources))} is no identity")
        si = "1" if how == "ratio" else values[0].si
        return Value(TOGETHER[how](*(value.value for value in values)), si, values[0].turns)

    def _said_as(self, source: Mapping[str, Any], known: Mapping[str, Value]) -> Value:
        taken = self._take(source["from"], known)
        si = {"1/m": "m"}[taken.si] if source["as"] == "pitch" else taken.si
        return Value(SAID_AS[source["as"]](taken.value), si, taken.turns)

    def _literal(self, source: Mapping[str, Any]) -> Value:
        literal = source["literal"]
        alone = rf"(?<![\d.]){re.escape(str(literal))}(?!\d)"
        words = f"{self.check.words} {self.check.words.replace('-', ' ')}"
        if literal not in (0, 1) and not re.search(alone, words):
            raise AdapterError(f"{self.check.id}: {literal!r} stands nowhere in the check's words")
        if literal in NAMED:
            return NAMED[literal]
        if "unit" not in source:
            return self._value(literal, TEXT if isinstance(literal, str) else "-")
        return self._value(float(Fraction(literal)), source["unit"])

    def _value(self, value: Any, unit: str) -> Value:
        if unit == TEXT or isinstance(value, str):
            return Value(value)
        known = UNITS[unit]
        return Value(known.to_si(value), known.si, known.turns)

    def _fit(self, taken: Input, value: Value) -> Any:
        """A value as an input takes it; the unit has to be the input's own."""
        without_unit = self.plain and value.si == "1"
        if value.si != taken.unit and not without_unit and not _any_unit(taken):
            raise AdapterError(
                f"{self.check.id}: {taken.name} is in {taken.unit or 'words'}, not in {value.si or 'words'}"
            )
        return in_turns_of(value.value, value.turns, taken.qualifier)

    def _in_check_unit(self, key: str, value: Value) -> Any:
        expected, unit = self.check.expected[key]
        if isinstance(value.value, str) or isinstance(expected, str):
            return value.value
        wanted = UNITS.get(unit, UNITS["-"])  # a unit of the check's own, as `half widths`, is a plain number
        if self.plain and wanted.si == "1":
            return float(value.value)
        if value.si == "1" and wanted.si != "1":
            return float(value.value)  # a number that is in the check's unit already
        if wanted.si != value.si:
            raise AdapterError(f"{self.check.id}: {key} is in {unit}, the result in {value.si}")
        return float(wanted.from_si(in_turns_of(value.value, value.turns, wanted.turns)))


def _any_unit(quantity: Input | Output) -> bool:
    """Whether a quantity takes any unit, as long as all numbers of the calculation are in the same."""
    return "one unit" in quantity.qualifier


def _reckon(formula: str, names: Mapping[str, Any]) -> Any:
    """The value of a formula that is written out in an adapter."""
    functions = {name: value for name, value in vars(math).items() if not name.startswith("_")}
    plain = {"abs": abs, "min": min, "range": range, "round": round, "str": str}
    return eval(str(formula), {"__builtins__": plain, **functions, **names})


def _runs(data: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    if "runs" in data:
        return dict(data["runs"])
    return {ONLY: {key: value for key, value in data.items() if key not in OF_THE_WHOLE}}


def _outputs(data: Mapping[str, Any], key: str) -> Any:
    return data["output"] if "output" in data else data["outputs"][key]


@cache
def adapters() -> dict[str, Adapter]:
    """The adapter of every check that has one, by the check's id."""
    found: dict[str, Adapter] = {}
    for file in sorted(FOLDER.glob("*.yaml")):
        for name, data in yaml.safe_load(file.read_text(encoding="utf-8")).items():
            if name in found or name not in checks():
                raise AdapterError(f"{file.name}: {name} stands there twice, or is no check")
            found[name] = Adapter(
                checks()[name],
                _runs(data),
                data["outputs"],
                data.get("mistakes", {}),
                data.get("plain", False),
            )
    return found
