"""What would mend a proof that fails: each remedy is tried, with every other proof, before it is offered."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tappetry.assembly.roots import plain
from tappetry.assembly.values import Values
from tappetry.knowledge.language import Unknown
from tappetry.knowledge.model import Knowledge, ProofRule, RemedyRule
from tappetry.proofs.margins import prove
from tappetry.records.verdict import Effect, Proof, Remedy, Verdict

Views = Mapping[str, Mapping[str, Any]]
#: From the best outcome to the worst; a proof that is open is no better than one that has to be signed.
ORDER = [Verdict.PASS, Verdict.NOTE, Verdict.WARN, Verdict.SIGN, Verdict.UNKNOWN, Verdict.STOP]


def remedies(values: Values, rule: ProofRule, views: Views) -> Iterator[Remedy]:
    """Every remedy of a proof, tried on the same parts; what changes an unknown value cannot be tried."""
    before = _outcomes(values, views) if rule.remedies else {}
    for remedy in rule.remedies:
        if values.maybe(remedy.when, views) is True and _is_known(values, remedy, views):
            yield _tried(values, rule, remedy, views, before)


def _is_known(values: Values, remedy: RemedyRule, views: Views) -> bool:
    """Whether all that a remedy changes comes to a value."""
    try:
        for change in remedy.changes:
            values.evaluate(change.value, views)
    except Unknown:
        return False
    return True


def _tried(
    values: Values, rule: ProofRule, remedy: RemedyRule, views: Views, before: Mapping[str, Proof]
) -> Remedy:
    after = _outcomes(*_changed(values, remedy, views))
    mine = after[rule.id]
    effects = [
        Effect(proof.id, proof.title, proof.verdict, proof.unit, proof.value, proof.limit)
        for proof in after.values()
        if proof.id != rule.id and _differs(before.get(proof.id), proof)
    ]
    worse = any(_worse(before.get(name), proof) for name, proof in after.items() if name != rule.id)
    good = mine.verdict is Verdict.PASS and not worse
    return Remedy(
        remedy.id, remedy.text, mine.verdict, mine.unit, mine.value, mine.limit, tuple(effects), good
    )


def _changed(values: Values, remedy: RemedyRule, views: Views) -> tuple[Values, Views]:
    """The engine and the parts with the values of a remedy."""
    fixed = dict(values.fixed)
    slots = dict(views)
    for change in remedy.changes:
        new = plain(values.evaluate(change.value, views))
        holder = fixed if change.root in fixed else slots
        holder[change.root] = {**holder.get(change.root, {}), change.member: new}
    return Values(values.knowledge, fixed, values.memory), slots


def _outcomes(values: Values, views: Views) -> dict[str, Proof]:
    knowledge: Knowledge = values.knowledge
    proved = (prove(values, rule, views, {}) for rule in knowledge.proofs.values())
    return {proof.id: proof for proof in proved if proof is not None}


def _differs(before: Proof | None, after: Proof) -> bool:
    return before is None or (before.value, before.limit) != (after.value, after.limit)


def _worse(before: Proof | None, after: Proof) -> bool:
    return ORDER.index(after.verdict) > (0 if before is None else ORDER.index(before.verdict))
