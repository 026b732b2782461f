"""Margins of a proof over a choice of parts: what the solver obeys and what the person reads."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tappetry.assembly.sentences import tell
from tappetry.assembly.values import Values
from tappetry.knowledge.language import Expression, Unknown
from tappetry.knowledge.model import ProofRule
from tappetry.knowledge.units import unit_of_name
from tappetry.records.verdict import Input, Proof, Verdict

Views = Mapping[str, Mapping[str, Any]]
#: A verdict follows the unrounded value; this much is lost in binary arithmetic, not in the engine.
ROUNDING = 1e-9


def margin(values: Values, proof: ProofRule, views: Views) -> float | None:
    """How far the value keeps inside its limits (negative: short); None when something is unknown."""
    try:
        value = values.number(proof.value, views)
        room = []
        if proof.at_least is not None:
            room.append(value - values.number(proof.at_least, views))
        if proof.at_most is not None:
            room.append(values.number(proof.at_most, views) - value)
    except Unknown:
        return None
    least = min(room)
    return 0.0 if abs(least) < ROUNDING else least


def shortfall(values: Values, proof: ProofRule, views: Views) -> str:
    """The arithmetic of a proof that fails: formula, value, limit, and by how much it is missed.

    Raises
    ------
    Unknown
        A value that the proof needs has not been stated.
    """
    value = values.number(proof.value, views)
    least = None if proof.at_least is None else values.number(proof.at_least, views)
    most = None if proof.at_most is None else values.number(proof.at_most, views)
    below = least is not None and value < least
    limit = least if below else most
    if limit is None:
        return ""
    unit = "" if proof.unit == "1" else f" {proof.unit}"
    bound, miss = ("at least", "short") if below else ("at most", "too much")
    return (
        f"{proof.formula} = {_digits(value)}{unit}, {bound} {_digits(limit)}{unit}: "
        f"{_digits(abs(value - limit))}{unit} {miss}"
    )


def _digits(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")


def prove(
    values: Values,
    proof: ProofRule,
    views: Views,
    signatures: Mapping[str, str],
    sources: Mapping[str, str] | None = None,
) -> Proof | None:
    """One proof over the chosen parts; None when it does not apply.

    ``sources`` says of each fact (``engine.bore_mm``) how well it is known and who said so. Without it the
    proof is told without its inputs, as where only its outcome is wanted.
    """
    applies = values.maybe(proof.when, views)
    if applies is False:
        return None
    inputs = () if sources is None else tuple(_inputs(values, proof, views, sources))
    limits = [_number(values, limit, views) for limit in (proof.at_least, proof.at_most)]
    value = _number(values, proof.value, views)
    room = margin(values, proof, views) if applies else None
    verdict = Verdict.UNKNOWN
    if room is not None:
        verdict = Verdict.PASS if room >= 0 else Verdict[proof.severity]
    return Proof(
        id=proof.id,
        title=proof.title,
        verdict=verdict,
        unit=proof.unit,
        value=value,
        limit=_nearest(value, limits),
        margin=room,
        formula=proof.formula,
        source=proof.source,
        limit_source=proof.limit_source,
        inputs=inputs,
        advice=proof.advice if verdict is not Verdict.PASS else "",
        signed=signatures.get(proof.id, ""),
        said="" if proof.says is None else tell(values, proof.says, views),
    )


def _number(values: Values, expression: Expression | None, views: Views) -> float | None:
    if expression is None:
        return None
    try:
        return values.number(expression, views)
    except Unknown:
        return None


def _nearest(value: float | None, limits: list[float | None]) -> float | None:
    """Of two limits the one that is nearer to the value."""
    known = [limit for limit in limits if limit is not None]
    if not known:
        return None
    return known[0] if value is None else min(known, key=lambda limit: abs(limit - value))


def _inputs(values: Values, proof: ProofRule, views: Views, sources: Mapping[str, str]) -> list[Input]:
    """Every value that the proof is made of, down to facts, parts and house limits, with whose it is."""
    found: dict[str, Input] = {}
    todo = [
        f"{read.root}.{read.member}" if read.member else read.root
        for expression in (proof.value, proof.at_least, proof.at_most)
        if expression is not None
        for read in expression.reads
    ]
    while todo:
        name = todo.pop(0)
        if name not in found:
            found[name], inner = _input(values, name, views, sources)
            todo.extend(inner)
    return list(found.values())


def _input(
    values: Values, name: str, views: Views, sources: Mapping[str, str]
) -> tuple[Input, tuple[str, ...]]:
    """One value with its provenance, and the values that it is made of."""
    root, _, member = name.partition(".")
    if root in values.knowledge.named:
        try:
            value = values.named(root, views)
        except Unknown as unknown:
            return Input(name, "unknown", "", str(unknown)), ()
        formula, names = values.made_by(root)
        return Input(name, value, values.knowledge.named[root].unit, formula), names
    view = values.fixed.get(root, views.get(root, {}))
    value = view.get(member) if isinstance(view, Mapping) else None
    unit = unit_of_name(name)
    if value is None:
        return Input(name, "not stated", unit, provenance(values, name, views, sources)), ()
    return Input(name, value, unit, provenance(values, name, views, sources)), ()


def provenance(values: Values, name: str, views: Views, sources: Mapping[str, str]) -> str:
    """Whose a value is: house book, engine fact, plan, or the part that was chosen."""
    root = name.partition(".")[0]
    if root == "limits":
        return "house book"
    if root in {"engine", "plan", "job"}:
        return sources.get(name, root)
    if root in views:
        state = views[root].get("state", "")
        if state == "open":
            return "alike in all that may stand there"
        chosen = str(views[root].get("key", "")).split("|")[0].split("/")[-1]
        return f"chosen part {chosen}" if state in {"new", "own"} else f"as found ({state})"
    return "worked out" if root in values.knowledge.named else "shop's text"
