"""What a solver answers: the chosen options, units, rankings, and how far the optimum is proved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from tappetry.kitting.options import Option
from tappetry.records.part import Part, Supplier


@dataclass(frozen=True, slots=True)
class Stage:
    """One ranking that was decided: its name, value, and whether the optimum was proved."""

    name: str
    value: int
    proved: bool


@dataclass(frozen=True, slots=True)
class Solution:
    """The chosen option of each slot, the units of each part, and how far it was proved."""

    chosen: Mapping[str, Option]
    units: Mapping[tuple[str, str], int]
    parts: Mapping[tuple[str, str], Part]
    required: Mapping[str, int]
    stages: tuple[Stage, ...]
    landed_cost: Decimal
    proved: bool


class Infeasible(Exception):
    """No combination of the options that are left passes every rule together."""


@lru_cache(maxsize=65536)
def cents(amount: Decimal) -> int:
    """Money as whole cents."""
    scaled = amount * 100
    if scaled != scaled.to_integral_value():
        raise ValueError(f"{amount} is not a whole number of cents")
    return int(scaled)


def landed_cents(supplier: Supplier | None, net: int) -> int:
    """Net cost with freight and the surcharge under a minimum order, in cents."""
    if supplier is None:
        return net
    landed = net
    if supplier.free_over is None or net < cents(supplier.free_over):
        landed += cents(supplier.freight)
    if net < cents(supplier.minimum):
        landed += cents(supplier.under_minimum)
    return landed
