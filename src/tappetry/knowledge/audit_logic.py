"""What can be told of a condition without an engine: always true, never true, or at odds with another."""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import product
from math import inf

from tappetry.knowledge.audit_vocabulary import TRUTHS, Plain, Values
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
    show,
)

#: Tells the values that a name can have; None when they are not known to be few.
Domain = Callable[[Name], Values | None]

_ORDER: Mapping[str, Callable[[float, float], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}
_TEXT_TESTS: Mapping[str, Callable[[str, str], bool]] = {
    "startsWith": str.startswith,
    "endsWith": str.endswith,
    "contains": str.__contains__,
}
_SWAPPED = {"<": ">", "<=": ">=", ">": "<", ">=": "<=", "==": "==", "!=": "!="}
_OPPOSITE = {"==": "!=", "!=": "==", "<": ">=", ">=": "<", ">": "<=", "<=": ">"}
_MANY = 10_000


def anything(_name: Name) -> Values | None:
    """The domain of one who knows nothing."""
    return None


def tree_of(text: str) -> Node | None:
    """The tree of a condition; None when it lies outside of the grammar that the audit reads."""
    try:
        return parse(text)
    except NotInGrammar:
        return None


# ---- always or never ---------------------------------------------------------------------------------------


def truth_of(node: Node | None, domain: Domain = anything) -> bool | None:
    """True or false when the condition has no other outcome over the values of the domain, else None."""
    match node:
        case Literal(bool(value)):
            return value
        case Operation("!", (operand,)):
            inner = truth_of(operand, domain)
            return None if inner is None else not inner
        case Operation("&&" | "||" as sign, (left, right)):
            decisive = sign == "||"
            sides = truth_of(left, domain), truth_of(right, domain)
            return decisive if decisive in sides else (None if None in sides else not decisive)
        case Operation("?", (condition, yes, no)):
            chosen = truth_of(condition, domain)
            if chosen is not None:
                return truth_of(yes if chosen else no, domain)
            either = {truth_of(yes, domain), truth_of(no, domain)}
            return either.pop() if len(either) == 1 else None
        case Operation("in", (left, Name() as right)):
            outcomes = _compared("in", values_of(left, domain), values_of(right, domain))
            return False if outcomes == frozenset({False}) else None
        case Operation(sign, (left, right)) if sign in COMPARISONS:
            return _same(_compared(sign, values_of(left, domain), values_of(right, domain)))
        case Call(test, target, (argument,)) if test in _TEXT_TESTS and target is not None:
            return _same(_compared(test, values_of(target, domain), values_of(argument, domain)))
        case Name():
            return _same(values_of(node, domain))
    return None


def values_of(node: Node, domain: Domain) -> Values | None:
    """The values that an operand can have, if they are known."""
    match node:
        case Literal(value):
            return frozenset({value})
        case Name():
            return domain(node)
        case Items(items):
            inner = [values_of(item, domain) for item in items]
            return frozenset().union(*(v for v in inner if v is not None)) if None not in inner else None
        case Operation("-", (Literal(float(value)),)):
            return frozenset({-value})
        case Operation("?", (condition, yes, no)):
            chosen = truth_of(condition, domain)
            if chosen is not None:
                return values_of(yes if chosen else no, domain)
            sides = values_of(yes, domain), values_of(no, domain)
            return None if sides[0] is None or sides[1] is None else sides[0] | sides[1]
    if _is_truth(node):
        outcome = truth_of(node, domain)
        return TRUTHS if outcome is None else frozenset({outcome})
    return None


def _is_truth(node: Node) -> bool:
    match node:
        case Operation(sign, _):
            return sign in COMPARISONS or sign in {"!", "&&", "||"}
        case Call(function, _, _):
            return function in _TEXT_TESTS or function == "has"
    return False


def _compared(sign: str, left: Values | None, right: Values | None) -> frozenset[bool] | None:
    """Every outcome of a comparison between two sets of values; a list on the right counts as one value."""
    if left is None or right is None or len(left) * len(right) > _MANY:
        return None
    if sign == "in":
        return frozenset(any(equal(a, b) for b in right) for a in left)
    return frozenset(_outcome(sign, a, b) for a, b in product(left, right))


def _outcome(sign: str, left: Plain, right: Plain) -> bool:
    if sign in _TEXT_TESTS:
        return isinstance(left, str) and isinstance(right, str) and _TEXT_TESTS[sign](left, right)
    if sign in {"==", "!="}:
        return equal(left, right) == (sign == "==")
    if isinstance(left, str) or isinstance(right, str):
        return False
    return _ORDER[sign](left, right)


def equal(left: Plain, right: Plain) -> bool:
    """Equal in kind and value: a truth is no number."""
    return isinstance(left, bool) == isinstance(right, bool) and left == right


def _same(outcomes: Iterable[Plain] | None) -> bool | None:
    found = list(outcomes or ())
    return found[0] if len(found) == 1 and isinstance(found[0], bool) else None


# ---- at odds -----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Span:
    """What conditions leave open of one name: the values allowed (None: any), those barred, and a range."""

    allowed: Values | None = None
    barred: Values = frozenset()
    low: float = -inf
    high: float = inf
    low_open: bool = False
    high_open: bool = False

    def __and__(self, other: Span) -> Span:
        """What both leave open."""
        if self.allowed is None or other.allowed is None:
            allowed = other.allowed if self.allowed is None else self.allowed
        else:
            allowed = frozenset(
                value for value in self.allowed if any(equal(value, o) for o in other.allowed)
            )
        low, low_open = max((self.low, self.low_open), (other.low, other.low_open))
        high = min(self.high, other.high)
        high_open = any(span.high_open for span in (self, other) if span.high == high)
        return Span(allowed, self.barred | other.barred, low, high, low_open, high_open)

    @property
    def is_empty(self) -> bool:
        """Whether nothing is left."""
        if self.allowed is not None and not any(self._holds(value) for value in self.allowed):
            return True
        return self.low > self.high or (self.low == self.high and (self.low_open or self.high_open))

    def _holds(self, value: Plain) -> bool:
        if any(equal(value, barred) for barred in self.barred):
            return False
        if isinstance(value, str):
            return True
        above = value > self.low or (value == self.low and not self.low_open)
        return above and (value < self.high or (value == self.high and not self.high_open))


Spans = dict[str, Span]


def spans_of(node: Node | None, domain: Domain = anything) -> Spans:
    """What must be so of single names for the condition to hold; what cannot be told is left out."""
    return {} if node is None else _spans(node, domain, True)


def together(*all_spans: Spans) -> Spans:
    """What several conditions leave open together."""
    found: Spans = {}
    for spans in all_spans:
        for name, span in spans.items():
            found[name] = found[name] & span if name in found else span
    return found


def odds(spans: Spans) -> str:
    """The first name for which nothing is left; empty when there is none."""
    return next((name for name, span in spans.items() if span.is_empty), "")


def _spans(node: Node, domain: Domain, wanted: bool) -> Spans:
    match node:
        case Operation("!", (operand,)):
            return _spans(operand, domain, not wanted)
        case Operation("&&" | "||" as sign, (left, right)):
            sides = _spans(left, domain, wanted), _spans(right, domain, wanted)
            return together(*sides) if (sign == "&&") == wanted else _either(*sides)
        case Operation(sign, (Literal(value), Name() as name)) if sign in _SWAPPED:
            return _compared_span(_SWAPPED[sign], name, value, domain, wanted)
        case Operation(sign, (Name() as name, Literal(value))) if sign in _SWAPPED:
            return _compared_span(sign, name, value, domain, wanted)
        case Operation("in", (Name() as name, Items(items))) if all(isinstance(i, Literal) for i in items):
            listed = frozenset(item.value for item in items if isinstance(item, Literal))
            return {str(name): Span(allowed=listed) if wanted else Span(barred=listed)}
        case Call(test, Name() as name, (Literal(str(text)),)) if test in _TEXT_TESTS:
            held = frozenset(v for v in domain(name) or () if _outcome(test, v, text) == wanted)
            if held:
                return {str(name): Span(allowed=held)}
    return {show(node): Span(allowed=frozenset({wanted}))} if not isinstance(node, Literal) else {}


def _compared_span(sign: str, name: Name, value: Plain, domain: Domain, wanted: bool) -> Spans:
    sign = sign if wanted else _OPPOSITE[sign]
    if sign == "==":
        return {str(name): Span(allowed=frozenset({value}))}
    if sign == "!=":
        values = domain(name)
        return {str(name): Span(allowed=values, barred=frozenset({value}))}
    if isinstance(value, str):
        return {}
    number = float(value)
    if sign in {">", ">="}:
        return {str(name): Span(low=number, low_open=sign == ">")}
    return {str(name): Span(high=number, high_open=sign == "<")}


def _either(left: Spans, right: Spans) -> Spans:
    """What holds when one of two conditions does: only names of which both list the values."""
    found: Spans = {}
    for name in left.keys() & right.keys():
        one, other = left[name], right[name]
        if one.allowed is not None and other.allowed is not None:
            found[name] = Span(allowed=one.allowed | other.allowed)
    return found
