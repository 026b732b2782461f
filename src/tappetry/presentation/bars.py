"""Where a proof's value lies against its limit, as one small bar that always reads the same way."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tappetry.records.verdict import Proof

#: The limit stands here on every bar (0 left, 1 right); what keeps the limit lies to its right.
LIMIT_AT = 0.4


@dataclass(frozen=True, slots=True)
class Bar:
    """Places between 0 and 1: the value, and the ends of its band; ``beyond`` is -1 or 1 off the scale."""

    value: float
    low: float
    high: float
    beyond: int = 0


def bar(proof: Proof) -> Bar | None:
    """The bar of a proof, or None when it has no number or no limit.

    One limit's worth of margin fills the bar to the right of the limit, to the same scale on the
    left. A limit of zero is scaled by the margin itself, so that it still says kept or not.
    """
    if proof.margin is None or proof.limit is None or not math.isfinite(proof.margin):
        return None
    band = proof.band if proof.band is not None and math.isfinite(proof.band) else 0.0
    scale = abs(proof.limit) or 2 * (abs(proof.margin) + band) or 1.0
    value = _place(proof.margin / scale)
    beyond = -1 if value < 0 else 1 if value > 1 else 0
    low, high = _place((proof.margin - band) / scale), _place((proof.margin + band) / scale)
    return Bar(_inside(value), _inside(low), _inside(high), beyond)


def drawn(proof: Proof, width: int = 20) -> str:
    """The bar in characters: ``|`` the limit, ``=`` from the limit to the value ``o``, ``-`` the rest."""
    place = bar(proof)
    if place is None:
        return " " * width
    last = width - 1
    limit, value = round(LIMIT_AT * last), round(place.value * last)
    cells = ["-"] * width
    for cell in range(min(limit, value), max(limit, value) + 1):
        cells[cell] = "="
    cells[value] = {-1: "<", 0: "o", 1: ">"}[place.beyond]
    cells[limit] = "|" if limit != value else "!"
    return "".join(cells)


def _place(share: float) -> float:
    return LIMIT_AT + share * (1 - LIMIT_AT)


def _inside(place: float) -> float:
    return min(1.0, max(0.0, place))
