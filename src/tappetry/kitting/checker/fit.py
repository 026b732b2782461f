"""What stands there against every rule and proof that speaks of it, by the shop's own expressions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import isclose

from tappetry.kitting.checker.answers import in_a_ring, leaves_an_answer
from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.fitting import judged, unstated
from tappetry.kitting.checker.layout import OWN, Layout, Place, View, part_view, technical, written
from tappetry.kitting.checker.unknowns import open_facts
from tappetry.knowledge.model import ProofRule, Rule
from tappetry.proofs.margins import margin, prove
from tappetry.records.verdict import Proof, Verdict

Views = Mapping[str, View]


def check_fit(layout: Layout) -> Iterator[CheckComplaint]:
    """Every match rule, every rule between places, every proof."""
    for place in layout.places:
        yield from _place(layout, place)
        yield from _one_kind(layout, place)
        yield from _right_size(layout, place)
    yield from _between(layout)
    proofs = _proofs(layout)
    yield from _proved(layout, proofs)
    yield from _on_record(layout, proofs)


# ---- rules -----------------------------------------------------------------------------------------------


def _place(layout: Layout, place: Place) -> Iterator[CheckComplaint]:
    """Every new part against the rules of its place; each part of a place with several by itself."""
    if not place.is_renewed_by_part:
        return
    for view in _views_of(layout, place):
        views = {**layout.views, place.slot.root: view}
        for rule in place.slot.match:
            yield from _met(layout, rule, views, place)


def _met(layout: Layout, rule: Rule, views: Views, place: Place) -> Iterator[CheckComplaint]:
    """A new part is known to meet a rule of its place."""
    line = _line_of(place)
    verdict = judged(layout, rule, place.slot.root, views)
    missing = unstated(layout, rule, place.slot.root, views) if verdict is False else ""
    if missing:
        yield CheckComplaint(rule.id, f"{line} states no {missing}; {rule.why}", line)
    elif verdict is False:
        yield CheckComplaint(rule.id, f"{line}: {rule.why}; {rule.that.text} does not hold", line)
    elif verdict is None and not in_a_ring(layout, place, rule):
        yield CheckComplaint(rule.id, f"{line}: {rule.why}; it is not known whether that holds", line)


def _views_of(layout: Layout, place: Place) -> Iterator[View]:
    if not place.supplies:
        yield layout.views[place.slot.root]
    for supply in place.supplies:
        yield part_view(layout.knowledge, supply.part, place.need)


def _line_of(place: Place) -> str:
    return place.supplies[0].line.part if place.supplies else place.need.id


def _obeyed(layout: Layout, rule: Rule, views: Views, line: str) -> Iterator[CheckComplaint]:
    """A rule between places is not broken; one that hangs on an unknown fact is told."""
    applies = layout.values.maybe(rule.when, views)
    holds = layout.values.maybe(rule.that, views)
    if applies is False or holds is True:
        return
    if holds is False and applies is True:
        yield CheckComplaint(rule.id, f"{line}: {rule.why}; {rule.that.text} does not hold", line)
        return
    yield from open_facts(layout, rule.id, (rule.when, rule.that), views, line)


def _one_kind(layout: Layout, place: Place) -> Iterator[CheckComplaint]:
    """Parts that share a place are one kind: equal in every attribute, however they are packed."""
    kinds = [technical(layout.knowledge, supply.part, place.need) for supply in place.supplies]
    for supply, kind in zip(place.supplies, kinds, strict=True):
        if kind != kinds[0]:
            text = f"{place.name}: {supply.line.part} is not the same as {place.supplies[0].line.part}"
            yield CheckComplaint("one-kind", text, supply.line.part)


def _right_size(layout: Layout, place: Place) -> Iterator[CheckComplaint]:
    """Where a need takes one of each size, the part in the place of a size has that size."""
    each = place.need.one_of_each
    if each is None or not place.slot.id:
        return
    for supply in place.supplies:
        size = supply.part.attributes_for(place.need.id).get(each.attribute)
        if size is None or written(size) != place.slot.id:
            text = f"{supply.line.part} stands for {each.attribute} {place.slot.id}, and states {size}"
            yield CheckComplaint("one-of-each", text, supply.line.part)


def _between(layout: Layout) -> Iterator[CheckComplaint]:
    """Rules between places, on all that stands there, new or not."""
    for need in layout.knowledge.needs.values():
        for rule in need.rules:
            yield from _obeyed(layout, rule, layout.views, need.id)
    for rule in layout.knowledge.rules:
        yield from _obeyed(layout, rule, layout.views, "")


def broken_rules(layout: Layout, place: Place, view: View) -> Iterator[str]:
    """The rules and proofs that would be broken if something else stood in a place."""
    views = {**layout.views, place.slot.root: view}
    for other in layout.places:
        if other.is_renewed_by_part or (other is place and view["state"] in {"new", OWN}):
            for rule in other.slot.match:
                verdict = judged(layout, rule, other.slot.root, views)
                if verdict is False or (verdict is None and not in_a_ring(layout, other, rule)):
                    yield rule.id
    for rule in (
        *(r for need in layout.knowledge.needs.values() for r in need.rules),
        *layout.knowledge.rules,
    ):
        broken = layout.values.maybe(rule.when, views) and layout.values.maybe(rule.that, views) is False
        if broken or not leaves_an_answer(layout, rule, views):
            yield rule.id
    for proof in _named_proofs(layout):
        if layout.values.maybe(proof.when, views) is True:
            room = margin(layout.values, proof, views)
            if room is not None and room < 0 and not layout.signed(proof.id):
                yield proof.id


# ---- proofs ----------------------------------------------------------------------------------------------


def _named_proofs(layout: Layout) -> list[ProofRule]:
    """The proofs that needs name."""
    names = dict.fromkeys(name for need in layout.knowledge.needs.values() for name in need.proofs)
    return [layout.knowledge.proofs[name] for name in names]


def _proofs(layout: Layout) -> dict[str, Proof | None]:
    """Every proof of the shop over what stands there now."""
    signatures = layout.fixed["job"].get("signed", {})
    return {
        rule.id: prove(layout.values, rule, layout.views, signatures)
        for rule in layout.knowledge.proofs.values()
    }


def _proved(layout: Layout, proofs: Mapping[str, Proof | None]) -> Iterator[CheckComplaint]:
    """No kit is ordered against a STOP that a need names, unless the owner has signed for it."""
    for rule in _named_proofs(layout):
        proof = proofs[rule.id]
        if proof is not None and proof.verdict is Verdict.STOP and not proof.signed:
            text = f"{rule.title}: {_show(proof)}, short by {-(proof.margin or 0):.6g} {rule.unit}"
            yield CheckComplaint(rule.id, text, rule.id)


def _on_record(layout: Layout, proofs: Mapping[str, Proof | None]) -> Iterator[CheckComplaint]:
    """The kit shows every proof, with the verdict and value that its parts give."""
    said = {proof.id: proof for proof in layout.kit.proofs}
    for rule in layout.knowledge.proofs.values():
        now = proofs[rule.id]
        told = said.pop(rule.id, None)
        if not _same(now, told):
            text = f"{rule.title}: the parts give {_show(now)}, the kit says {_show(told)}"
            yield CheckComplaint("proof-record", text, rule.id)
        if now is not None and now.verdict is Verdict.UNKNOWN:
            expressions = (rule.when, rule.value, rule.at_least, rule.at_most)
            yield from open_facts(layout, rule.id, expressions, layout.views, rule.id)
    for proof_id in said:
        yield CheckComplaint(
            "proof-record", f"the kit shows a proof {proof_id} that the shop does not have", proof_id
        )


def _same(now: Proof | None, told: Proof | None) -> bool:
    if now is None or told is None:
        return now is told
    if now.verdict is not told.verdict or now.signed != told.signed:
        return False
    return _near(now.value, told.value) and _near(now.limit, told.limit) and _near(now.margin, told.margin)


def _near(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)


def _show(proof: Proof | None) -> str:
    if proof is None:
        return "nothing"
    return (
        proof.verdict.value
        if proof.value is None
        else f"{proof.verdict.value} at {proof.value:.6g} {proof.unit}"
    )
