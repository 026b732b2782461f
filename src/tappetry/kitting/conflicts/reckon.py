"""The arithmetic of a conflict: a proof in numbers, days until a date."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from itertools import product
from typing import Any

from tappetry.assembly.values import Values
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Named, ProofRule
from tappetry.knowledge.units import SUFFIXES
from tappetry.proofs.margins import ROUNDING, shortfall
from tappetry.quantities.calendar import add_working_days, working_days

Views = Mapping[str, Mapping[str, Any]]
_NAME = re.compile(r"[a-z]\w*(?:\.[a-z]\w*)?")
_PLAIN = re.compile(r"[\w.\s+*/()-]+")


def proof_in_numbers(values: Values, proof: ProofRule, views: Views) -> str:
    """How far a proof is missed: what it is made of, the same in numbers, value, limit and miss."""
    words, found, miss = shortfall(values, proof, views).partition(" = ")
    numbers = _numbers(values, proof.value, views)
    return f"{words}: {numbers} = {miss}" if found and numbers else f"{words}{found}{miss}"


def days_left(today: date, need_by: date, lead_days: int) -> str:
    """Why a part comes too late: working days that are left, its lead time, and when it is here."""
    left = working_days(today, need_by)
    arrives = add_working_days(today, lead_days)
    return (
        f"{_days(left)} from {today} to {need_by}, {_days(lead_days)} to deliver: here on {arrives}, "
        f"{_days(lead_days - left)} late"
    )


def _days(count: int) -> str:
    return f"{count} working day" if count == 1 else f"{count} working days"


# ---- numbers in place of names --------------------------------------------------------------------------


def _numbers(values: Values, expression: Expression, views: Views) -> str:
    """An expression with numbers in place of its names; empty where it is more than plain arithmetic."""
    named = values.knowledge.named.get(expression.text)
    if named is not None:
        if named.expression is not None:
            return _numbers(values, named.expression, views)
        return _sum(values, named, views)
    if not _PLAIN.fullmatch(expression.text) or _NAME.fullmatch(expression.text):
        return ""
    terms = {text: _in_numbers(values, text, views) for text in _NAME.findall(expression.text)}
    return _NAME.sub(lambda name: terms[name.group()], expression.text) if all(terms.values()) else ""


def _in_numbers(values: Values, name: str, views: Views) -> str:
    """A name as its number, or as the sum in brackets that it stands for; empty where it is no number."""
    named = values.knowledge.named.get(name)
    if named is not None and named.expression is not None:
        inner = _numbers(values, named.expression, views)
        if inner:
            return f"({inner})"
    number = _read(values, name, views)
    return _term(number) if isinstance(number, float) else ""


def _read(values: Values, name: str, views: Views) -> Any:
    root, _, member = name.partition(".")
    if root in values.knowledge.named:
        return values.named(root, views)
    return values.fixed.get(root, views.get(root, {})).get(member)


def _sum(values: Values, named: Named, views: Views) -> str:
    """A calculation that adds and takes away, in its inputs that are not nothing; else empty."""
    if named.sweep is not None or any(item.unit != SUFFIXES.get(named.unit) for item in named.inputs):
        return ""
    terms = [values.number(item.expression, views) for item in named.inputs]
    return signed_sum([term for term in terms if term], values.named(named.id, views))


def signed_sum(terms: Sequence[float], total: float) -> str:
    """Terms with the signs that give a total, such as ``1.8 - 1.235 - 0.525``; empty if none do."""
    for signs in product((1, -1), repeat=len(terms)):
        if len(terms) > 1 and abs(sum(s * t for s, t in zip(signs, terms, strict=True)) - total) < ROUNDING:
            first, *rest = zip(signs, terms, strict=True)
            head = _term(first[0] * first[1])
            return head + "".join(f" {'+' if sign > 0 else '-'} {_term(term)}" for sign, term in rest)
    return ""


def _term(number: float) -> str:
    text = f"{number:.4f}".rstrip("0").rstrip(".")
    return f"({text})" if number < 0 else text
