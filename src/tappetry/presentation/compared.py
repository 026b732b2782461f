"""Kits side by side, what changes between them, drag lists and the front of cost and date as JSON data."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from tappetry.presentation.as_json import error_data, kit_data, proof_data
from tappetry.presentation.differences import Teller, margin_gained, turns
from tappetry.presentation.words import decimal_text
from tappetry.pricing.validity import LineChange
from tappetry.records.kit import Kept, OperationLine, Totals
from tappetry.records.verdict import Proof
from tappetry.services.causes import Cause
from tappetry.services.differences import Change, Changed, Difference
from tappetry.services.drag import Along, Drag, DragLists
from tappetry.services.front import Front, Point
from tappetry.services.measured import Measured
from tappetry.services.shop import Shop
from tappetry.services.sides import Side

Data = dict[str, Any]

#: The figures of the totals that a difference shows.
MONEY = ("parts", "services", "labour", "supplies", "tax", "total")


def versions_of(shop: Shop) -> Data:
    """The state of the shop's text and of its catalogue, as every answer states it."""
    return {"knowledge": shop.knowledge.version, "catalogue": shop.catalogue.version}


def side_data(side: Side) -> Data:
    """One side: its kit, or the refusal in its place."""
    named: Data = {"name": side.name, "title": side.title}
    if side.result is not None:
        return {**named, "kit": kit_data(side.result.kit)}
    refused = {} if side.refusal is None else error_data(side.refusal)
    return {**named, "kit": None, **refused}


def difference_data(difference: Difference, teller: Teller) -> Data:
    """Everything that changes, money and hours first; what is not told by line is told by need and cause."""
    old, new = difference.totals.old, difference.totals.new
    return {
        "from": difference.names.old,
        "to": difference.names.new,
        "in_words": teller.money(difference),
        "total": decimal_text(difference.total),
        "money": {name: [_figure(totals, name) for totals in (old, new)] for name in MONEY},
        "landed_cost": [decimal_text(difference.landed.old), decimal_text(difference.landed.new)],
        "hours": float(difference.hours),
        "latest_days": [difference.latest.old, difference.latest.new],
        "changes": [change_data(change, teller) for change in difference.changes],
        "lines": [line_data(line) for line in difference.bought],
        "kept": [_kept_data(each) for each in difference.kept if _state(each.old) != _state(each.new)],
        "operations": [
            {
                "code": each.either.code,
                "what": each.either.what,
                "hours": [_hours(each.old), _hours(each.new)],
            }
            for each in difference.operations
            if _hours(each.old) != _hours(each.new)
        ],
        "proofs": [_proof_data(each) for each in difference.proofs if turns(each) or margin_gained(each)],
        "findings": list(teller.findings(difference)),
    }


def measured_data(found: Measured, teller: Teller) -> Data:
    """What a measurement changes: proofs of the parts as ordered, then the refusal or the difference."""
    refusal = found.after.refusal
    return {
        "proofs": [
            {
                "id": after.id,
                "from": None if before is None else proof_data(before),
                "to": proof_data(after),
            }
            for before, after in found.moved()
        ],
        "refusal": None if refusal is None else refusal.as_data(),
        "lines_change": bool(found.difference and found.difference.bought) or refusal is not None,
        "difference": None if found.difference is None else difference_data(found.difference, teller),
    }


def change_data(change: Change, teller: Teller) -> Data:
    """Needs that are met otherwise: what, why, what it hangs on, and the lines of it."""
    return {
        "needs": list(change.needs),
        "what": teller.what(change),
        "because": teller.reason(change),
        "difference": decimal_text(change.money),
        "lines": [line_data(line) for line in change.lines],
        "kept": [_kept_data(each) for each in change.kept],
        "hangs_on": cause_data(change.origin, teller),
        "causes": [cause_data(cause, teller) for cause in change.causes],
    }


def cause_data(cause: Cause, teller: Teller) -> Data:
    """One cause with the value that it has on each side; null where it has none."""
    return {
        "kind": cause.kind,
        "name": cause.name,
        "member": cause.member,
        "values": [cause.old or None, cause.new or None],
        "text": teller.cause(cause),
    }


def line_data(line: LineChange) -> Data:
    """A line that comes, goes or is bought otherwise; a quantity of 0 means that it is not there."""
    return {
        "part": line.part,
        "supplier": line.supplier,
        "description": line.description,
        "quantity": [line.old_quantity, line.new_quantity],
        "difference": decimal_text(line.difference),
    }


def drag_lists_data(lists: DragLists, teller: Teller) -> Data:
    """The plan as it is, and what each other choice drags along, there and back."""
    kit = lists.present.kit
    refused = {} if lists.present.refusal is None else error_data(lists.present.refusal)
    return {
        "job": lists.present.job.id,
        "total": None if kit is None or kit.totals is None else decimal_text(kit.totals.total),
        **refused,
        "choices": [_drag_data(drag, teller) for drag in lists.drags],
    }


def _drag_data(drag: Drag, teller: Teller) -> Data:
    return {
        **_choice_data(drag, teller),
        "along": None if drag.along is None else _choice_data(drag.along, teller),
    }


def _choice_data(each: Drag | Along, teller: Teller) -> Data:
    """A choice with total and differences of its plan beside the present one, or its refusal."""
    dragged = each.dragged
    totals = None if dragged.side.kit is None else dragged.side.kit.totals
    refused = {} if dragged.side.refusal is None else error_data(dragged.side.refusal)
    return {
        "choice": each.field,
        "now": each.now,
        "other": each.other,
        "total": None if totals is None else decimal_text(totals.total),
        **refused,
        "there": None if dragged.there is None else difference_data(dragged.there, teller),
        "back": None if dragged.back is None else difference_data(dragged.back, teller),
    }


def front_data(front: Front, teller: Teller) -> Data:
    """The points of a front from the latest to the earliest, and why there is none earlier."""
    return {
        "points": [_point_data(point, teller) for point in front.points],
        "no_earlier": None if front.no_earlier is None else front.no_earlier.as_data(),
    }


def _point_data(point: Point, teller: Teller) -> Data:
    assert point.kit.totals is not None
    return {
        "latest_days": point.days,
        "day": point.day.isoformat(),
        "total": decimal_text(point.kit.totals.total),
        "landed_cost": decimal_text(point.kit.landed_cost),
        "proved_optimal": point.kit.proved_optimal,
        "waits_for": [line.part for line in point.kit.lines if line.lead_days == point.days],
        "gives_up": list(point.gives_up),
        "step": None if point.step is None else difference_data(point.step, teller),
    }


def _kept_data(each: Changed[Kept]) -> Data:
    return {
        "need": each.either.need,
        "slot": each.either.slot,
        "states": [_state(each.old), _state(each.new)],
    }


def _proof_data(each: Changed[Proof]) -> Data:
    return {
        "id": each.either.id,
        "from": None if each.old is None else proof_data(each.old),
        "to": None if each.new is None else proof_data(each.new),
        "more_margin": margin_gained(each),
    }


def _state(kept: Kept | None) -> str | None:
    return None if kept is None else kept.state


def _hours(operation: OperationLine | None) -> float:
    return float(operation.hours) if operation else 0.0


def _figure(totals: Totals, name: str) -> str:
    value: Decimal = getattr(totals, name)
    return decimal_text(value)
