"""A kit, its proofs and its refusals as plain JSON data; money is always a text with two digits."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

from tappetry.presentation import words
from tappetry.presentation.words import decimal_text
from tappetry.records.kit import Because, Kit, Note, Totals
from tappetry.records.problems import TappetryError
from tappetry.records.verdict import Doubt, Finding, Proof, Remedy

Data = dict[str, Any]


def kit_data(kit: Kit) -> Data:
    """The whole kit. It shows the shop's costs and suppliers: it is not a paper for the customer."""
    return {
        "job": kit.job,
        "lines": [
            {
                "part": line.part,
                "supplier": line.supplier,
                "description": line.description,
                "quantity": line.quantity,
                "unit": line.unit,
                "unit_price": decimal_text(line.unit_price),
                "line_total": decimal_text(line.line_total),
                "unit_cost": decimal_text(line.unit_cost),
                "tax_class": line.tax_class,
                "importance": line.importance,
                "needs": [
                    {"need": f.need, "slot": f.slot, "required": f.required, "given": f.given}
                    for f in line.needs
                ],
                "why": [because_data(reason) for reason in line.why],
                "lead_days": line.lead_days,
                "returnable": line.returnable,
                "core_charge": decimal_text(line.core_charge),
                "holds": list(line.holds),
                "use_from_box": line.use_from_box,
            }
            for line in kit.lines
        ],
        "kept": [
            {
                "need": kept.need,
                "slot": kept.slot,
                "state": kept.state,
                "text": kept.text,
                "pieces": kept.pieces,
                "why": [because_data(reason) for reason in kept.why],
                "allowance": None if kept.allowance is None else decimal_text(kept.allowance),
            }
            for kept in kit.kept
        ],
        "declined": [
            {
                "need": declined.need,
                "offer": declined.offer,
                "reason_to_buy": declined.reason_to_buy,
                "reason_to_decline": declined.reason_to_decline,
                "by": declined.by,
            }
            for declined in kit.declined
        ],
        "left_over": [
            {"part": left.part, "item": left.item, "pieces": left.pieces, "reason": left.reason}
            for left in kit.left_over
        ],
        "operations": [
            {
                "code": operation.code,
                "what": operation.what,
                "hours": float(operation.hours),
                "needs": list(operation.needs),
                "why": operation.why,
            }
            for operation in kit.operations
        ],
        "totals": None if kit.totals is None else totals_data(kit.totals),
        "proofs": [proof_data(proof) for proof in kit.proofs],
        "findings": [finding_data(finding) for finding in kit.findings],
        "unknowns": [
            {
                "attribute": unknown.attribute,
                "question": unknown.question,
                "see": unknown.see,
                "hangs_on_it": list(unknown.hangs_on_it),
            }
            for unknown in kit.unknowns
        ],
        "holds": [{"part": line.part, "hold": hold} for line in kit.lines for hold in line.holds],
        "allowances": list(kit.allowances),
        "cautions": list(kit.cautions),
        "legal_note": kit.legal_note,
        "notes": [note_data(note) for note in kit.notes],
        "landed_cost": decimal_text(kit.landed_cost),
        "proved_optimal": kit.proved_optimal,
        "stages": [{"name": name, "value": value, "proved": proved} for name, value, proved in kit.stages],
        "versions": versions_data(kit),
    }


def note_data(note: Note) -> Data:
    """One note to a third person, with its values by what they were read from."""
    return {
        "id": note.id,
        "to": note.to,
        "text": note.text,
        "why": note.why,
        "source": note.source,
        "need": note.need,
        "values": dict(note.values),
    }


def versions_data(kit: Kit) -> Data:
    """The state of the shop's text and of its catalogue that a kit was made from."""
    return {"knowledge": kit.knowledge_version, "catalogue": kit.catalogue_version}


def totals_data(totals: Totals) -> Data:
    """The totals: money as decimal text, hours and percents as numbers."""
    money = (
        "parts",
        "services",
        "labour",
        "supplies",
        "tax",
        "total",
        "parts_cost",
        "deposit",
        "core_charges",
    )
    data: Data = {name: decimal_text(getattr(totals, name)) for name in money}
    numbers: dict[str, Decimal] = {
        "hours": totals.hours,
        "margin_percent": totals.margin_percent,
        "markup_percent": totals.markup_percent,
    }
    return data | {name: float(value) for name, value in numbers.items()} | {"currency": totals.currency}


def proof_data(proof: Proof) -> Data:
    """One proof; a number that is not known, or not finite, is null."""
    return {
        "id": proof.id,
        "title": proof.title,
        "value": _number(proof.value),
        "limit": _number(proof.limit),
        "margin": _number(proof.margin),
        "unit": proof.unit,
        "verdict": proof.verdict.value,
        "band": _number(proof.band),
        "chance_of_failing": _number(proof.chance_of_failing),
        "in_doubt": words.outcome(proof) == words.DOUBT,
        "formula": proof.formula,
        "source": proof.source,
        "limit_source": proof.limit_source,
        "inputs": [
            {
                "name": used.name,
                "value": used.value if isinstance(used.value, str) else _number(used.value),
                "unit": used.unit,
                "provenance": used.provenance,
            }
            for used in proof.inputs
        ],
        "advice": proof.advice,
        "signed": proof.signed,
        "said": proof.said,
        "remedies": [remedy_data(remedy) for remedy in proof.remedies],
        "doubt": None if proof.doubt is None else doubt_data(proof.doubt),
        "doubt_said": words.doubt(proof),
    }


def doubt_data(doubt: Doubt) -> Data:
    """What a band and a chance rest on: the spreads, and the measurement that would narrow them most."""
    return {
        "method": doubt.method,
        "uncertainty": _number(doubt.uncertainty),
        "assumed": doubt.assumed,
        "estimate": doubt.estimate,
        "measure": None
        if doubt.measure is None
        else {
            "name": doubt.measure.name,
            "title": doubt.measure.title,
            "tool": doubt.measure.tool,
            "band": _number(doubt.measure.band),
        },
        "shares": [
            {
                "name": each.name,
                "title": each.title,
                "value": _number(each.value),
                "unit": each.unit,
                "plus": _number(each.plus),
                "minus": _number(each.minus),
                "means": each.means,
                "origin": each.origin,
                "source": each.source,
                "share": _number(each.share),
            }
            for each in doubt.shares
        ],
        "exact": list(doubt.exact),
    }


def remedy_data(remedy: Remedy) -> Data:
    """What was tried to mend a proof: the value that it gives, and what it does to other proofs."""
    return {
        "id": remedy.id,
        "text": remedy.text,
        "value": _number(remedy.value),
        "limit": _number(remedy.limit),
        "unit": remedy.unit,
        "verdict": remedy.verdict.value,
        "good": remedy.good,
        "effects": [
            {
                "id": effect.id,
                "title": effect.title,
                "value": _number(effect.value),
                "limit": _number(effect.limit),
                "unit": effect.unit,
                "verdict": effect.verdict.value,
            }
            for effect in remedy.effects
        ],
    }


def finding_data(finding: Finding) -> Data:
    """One verdict that is not a number."""
    return {
        "id": finding.id,
        "verdict": finding.verdict.value,
        "text": finding.text,
        "source": finding.source,
        "advice": finding.advice,
        "signed": finding.signed,
        "offer": finding.offer,
        "said": finding.said,
    }


def because_data(because: Because) -> Data:
    """One link of a reason."""
    return {
        "kind": because.kind,
        "id": because.id,
        "text": because.text,
        "source": because.source,
        "facts": list(because.facts),
    }


def error_data(error: TappetryError) -> Data:
    """An error as ``--json`` prints it: one object under ``error``."""
    return {"error": error.as_data()}


def _number(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
