"""Conditions in the Common Expression Language: compile once, evaluate many times, three outcomes.

A condition is true, false or unknown. It is unknown when it needs a value that nobody has stated:
the language itself lets ``true || unknown`` be true and ``false && unknown`` be false, so a fact
that does not matter does not block.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from tappetry.records.problems import BadInput, Where

if TYPE_CHECKING:
    import cel
else:
    from tappetry.knowledge.evaluator import cel

#: A condition longer than this, or with more nested loops, is refused: it could not be read, nor end in time.
MAX_LENGTH = 2000
MAX_LOOPS = 2

_LOOP = re.compile(r"\.\s*(all|exists|exists_one|map|filter)\s*\(")
_STRING = re.compile(r"'(?:[^'\\]|\\.)*'|\"(?:[^\"\\]|\\.)*\"")
_MEMBER = re.compile(r"(?<![\w.\"'])([a-zA-Z_]\w*)\s*((?:\.\s*[a-zA-Z_]\w*(?!\s*\())*)")
_ASKS = re.compile(r"\bhas\(\s*([a-zA-Z_]\w*)\s*\.\s*([a-zA-Z_]\w*)")
_INTEGER = re.compile(r"(?<![\w.])(?<![\d.][eE][+-])(\d+)(?![\w.])")
#: The few functions that conditions may use beside the language's own.
FUNCTIONS: dict[str, Callable[[float], float]] = {
    "ceil": lambda value: float(math.ceil(value - 1e-9)),
    "floor": lambda value: float(math.floor(value + 1e-9)),
    "round": lambda value: float(math.floor(value + 0.5)),
    "abs": abs,
    "cos": lambda degrees: math.cos(math.radians(degrees)),
}
_WORDS = {
    "true",
    "false",
    "null",
    "in",
    "has",
    "size",
    "int",
    "double",
    "string",
    "bool",
    "uint",
    "max",
    "min",
}


class Unknown(Exception):
    """A value that the condition needs has not been stated."""

    def __init__(self, root: str, key: str) -> None:
        self.root = root
        self.key = key
        super().__init__(f"{root}.{key} is not known" if key else f"{root} is not known")


class BadExpression(BadInput):
    """A condition cannot be compiled, or fails for a reason other than a missing value."""


@dataclass(frozen=True, slots=True)
class Read:
    """One value that a condition reads: the root name and the member after it (empty for the root alone)."""

    root: str
    member: str


@dataclass(frozen=True, slots=True)
class Expression:
    """A compiled expression with what it reads and where it stands.

    ``asks`` are the reads of which it asks whether they are stated at all.
    """

    text: str
    where: Where
    reads: tuple[Read, ...]
    program: Any
    divisors: tuple[Any, ...] = ()
    asks: frozenset[Read] = frozenset()

    def evaluate(self, roots: Mapping[str, Any]) -> Any:
        """The value over the given roots.

        Raises
        ------
        Unknown
            A root or member that the expression needs is not there.
        BadExpression
            The expression divides by zero, mixes types, or is not finite.
        """
        needed = cel.Context(variables=self.project(roots), functions=FUNCTIONS)
        try:
            if any(_is_zero(divisor, needed) for divisor in self.divisors):
                raise self._bad("division by zero")
            value = self.program.execute(needed)
        except KeyError as missing:
            key = str(missing.args[0]) if missing.args else ""
            raise Unknown(self._root_of(key), key) from None
        except RuntimeError as error:
            name = re.search(r"function: '(\w+)'", str(error))
            if name and name.group(1) in {read.root for read in self.reads}:
                raise Unknown(name.group(1), "") from None
            raise self._bad(str(error)) from None
        except (TypeError, ValueError, ZeroDivisionError, OverflowError) as error:
            raise self._bad(str(error)) from None
        if isinstance(value, float) and not math.isfinite(value):
            raise self._bad("the result is not finite")
        return value

    def project(self, roots: Mapping[str, Any]) -> dict[str, Any]:
        """Only the values that the expression reads: small, so quick to hand over, and a key for memory."""
        needed: dict[str, Any] = {}
        for read in self.reads:
            if read.root not in roots:
                continue
            value = roots[read.root]
            if not read.member or not isinstance(value, Mapping):
                needed[read.root] = value
                continue
            members = needed.setdefault(read.root, {})
            if read.member in value:
                members[read.member] = value[read.member]
        return needed

    def truth(self, roots: Mapping[str, Any]) -> bool:
        """The value as a truth; a value of another type is an error."""
        value = self.evaluate(roots)
        if not isinstance(value, bool):
            raise self._bad(f"a condition must be true or false, this gives {value!r}")
        return value

    def number(self, roots: Mapping[str, Any]) -> float:
        """The value as a number; a value of another type is an error."""
        value = self.evaluate(roots)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self._bad(f"a number is wanted, this gives {value!r}")
        return float(value)

    def _root_of(self, key: str) -> str:
        return next((read.root for read in self.reads if read.member == key), "")

    def _bad(self, reason: str) -> BadExpression:
        return BadExpression.at(self.where, f"the condition fails: {reason}", self.text)


def _is_zero(divisor: Any, needed: Any) -> bool:
    """Whether a divisor is zero; one that is not known may stand in a branch that is not taken."""
    try:
        return bool(divisor.execute(needed) == 0)
    except KeyError:
        return False


def compile_expression(text: object, where: Where) -> Expression:
    """Compile an expression; whole numbers in it become doubles, so that no types are mixed.

    Raises
    ------
    BadExpression
        Not an expression, too long, or with loops nested too deep to end in time.
    """
    if isinstance(text, bool):
        text = "true" if text else "false"
    if isinstance(text, int | float):
        text = repr(float(text))
    if not isinstance(text, str) or not text.strip():
        raise BadExpression.at(
            where, "a condition is wanted", text, "an expression such as plan.heads == 'off'"
        )
    return _compile(text.strip(), where)


@lru_cache(maxsize=8192)
def _compile(text: str, where: Where) -> Expression:
    if len(text) > MAX_LENGTH:
        raise BadExpression.at(
            where, f"the condition is {len(text)} characters long", text[:60], f"at most {MAX_LENGTH}"
        )
    loops = len(_LOOP.findall(text))
    if loops > MAX_LOOPS:
        raise BadExpression.at(where, f"the condition has {loops} loops", text, f"at most {MAX_LOOPS}")
    try:
        program = cel.compile(_doubles(text))
        divisors = tuple(cel.compile(_doubles(divisor)) for divisor in _divisors(text))
    except ValueError as error:
        raise BadExpression.at(where, f"the condition cannot be read: {error}", text) from None
    asks = frozenset(Read(*found) for found in _ASKS.findall(_STRING.sub("''", text)))
    return Expression(text, where, tuple(dict.fromkeys(_reads(text))), program, divisors, asks)


def _divisors(text: str) -> Iterator[str]:
    """Every divisor in the text, so that a division by zero is told and not turned into infinity.

    Divisors inside a loop name the loop's variable and cannot be tried outside of it; they are
    left to the test of a finite result.
    """
    bare = _STRING.sub(lambda string: " " * len(string.group()), text)
    if _LOOP.search(bare):
        return
    for slash in re.finditer("/", bare):
        start = slash.end() + len(bare[slash.end() :]) - len(bare[slash.end() :].lstrip())
        if start < len(bare) and bare[start] == "(":
            yield text[start : _closing(bare, start) + 1]
        else:
            simple = re.match(r"[\w.]+", bare[start:])
            if simple:
                yield text[start : start + simple.end()]


def _closing(text: str, opening: int) -> int:
    """The place of the bracket that closes the one at ``opening``."""
    depth = 0
    for place in range(opening, len(text)):
        depth += {"(": 1, ")": -1}.get(text[place], 0)
        if depth == 0:
            return place
    return len(text) - 1


def _doubles(text: str) -> str:
    """Write every whole number as a double, outside of strings."""
    pieces: list[str] = []
    last = 0
    for string in _STRING.finditer(text):
        pieces.append(_INTEGER.sub(r"\1.0", text[last : string.start()]))
        pieces.append(string.group())
        last = string.end()
    pieces.append(_INTEGER.sub(r"\1.0", text[last:]))
    return "".join(pieces)


def _reads(text: str) -> Iterator[Read]:
    """Every root and first member that the text reads, loop variables left out."""
    bare = _STRING.sub("''", text)
    loop_names = set(re.findall(r"\.\s*(?:all|exists|exists_one|map|filter)\s*\(\s*(\w+)\s*,", bare))
    for match in _MEMBER.finditer(bare):
        root, members = match.group(1), match.group(2)
        followed_by_call = bare[match.end() :].lstrip().startswith("(")
        if root in _WORDS or root in loop_names or (followed_by_call and not members):
            continue
        first = members.replace(" ", "").strip(".").split(".")[0] if members.strip() else ""
        yield Read(root, first)
