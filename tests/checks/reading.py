"""The outside checks as they are written: source, what is given, what comes out, and the classic mistakes."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).with_name("external_checks.json")
#: What the conversion of units may cost in the last digits, as a share of the value.
ROUNDING = 1e-12


@dataclass(frozen=True)
class Mistake:
    """A mistake that is often made, the result it spoils, and what comes out."""

    what: str
    key: str
    value: Any


@dataclass(frozen=True)
class Check:
    """One outside check; values stand in the units in which they were written."""

    id: str
    topic: str
    source: str
    kind: str
    from_memory: bool
    derivation: str
    given: dict[str, tuple[Any, str]]
    expected: dict[str, tuple[Any, str]]
    tolerance: dict[str, float]
    published: dict[str, tuple[float, float]] = field(default_factory=dict)
    mistakes: tuple[Mistake, ...] = ()
    note: str = ""
    constants_from_memory: bool = False

    def allowed(self, expected: float) -> float:
        """How far a result may lie from what is expected."""
        stated = self.tolerance.get("abs", 0.0) + self.tolerance.get("rel", 0.0) * abs(expected)
        if expected == 0.0:
            stated = max(stated, self.tolerance.get("absolute_at_zero", 0.0))
        return stated + ROUNDING * abs(expected)

    def agrees(self, key: str, value: Any) -> bool:
        """Whether a value in the check's unit is the expected one within the stated tolerance."""
        return self.near(value, self.expected[key][0])

    def near(self, value: Any, wanted: Any) -> bool:
        """Whether two values agree within the stated tolerance; words agree when they are equal."""
        if isinstance(wanted, str) or isinstance(value, str):
            return bool(value == wanted)
        return abs(value - wanted) <= self.allowed(wanted)

    @property
    def words(self) -> str:
        """All that the check says but its results: where a value of an adapter has to be found."""
        given = " ".join(f"{name} {value}" for name, (value, _) in self.given.items())
        return " ".join((self.source, given, *self.expected, self.note))


def _check(data: dict[str, Any]) -> Check:
    pairs = ("given", "expected", "published")
    return Check(
        **{
            **data,
            **{name: {key: tuple(each) for key, each in data.get(name, {}).items()} for name in pairs},
            "mistakes": tuple(Mistake(*each) for each in data.get("mistakes", ())),
        }
    )


@cache
def checks() -> dict[str, Check]:
    """Every check by its id."""
    read = [_check(data) for data in json.loads(FILE.read_text(encoding="utf-8"))]
    return {check.id: check for check in read}


SPREAD = re.compile(r"(\S+) \+- (\S+)")
EXACT = re.compile(r"(\S+) exact")
INTERVAL = re.compile(r"\[(\S+),(\S+)\]")


def parts(value: Any, unit: str) -> dict[str, tuple[Any, str]]:
    """A given value, or the numbers of one that is written as words: a spread, or the ends of an interval."""
    if not isinstance(value, str):
        return {"": (value, unit)}
    if spread := SPREAD.fullmatch(value):
        return {"": (float(spread[1]), unit), ".spread": (float(spread[2]), unit)}
    if exact := EXACT.fullmatch(value):
        return {"": (float(exact[1]), unit)}
    if unit == "interval" and (ends := INTERVAL.fullmatch(value)):
        return {".low": (float(ends[1]), "-"), ".high": (float(ends[2]), "-")}
    return {"": (value, unit)}
