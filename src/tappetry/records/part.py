"""Parts as a supplier sells them, and what they fill."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from tappetry.records.evidence import Value


@dataclass(frozen=True, slots=True)
class Fill:
    """What one unit of a part gives to one need: pieces, and attributes that differ for this need."""

    need: str
    pieces: int
    attributes: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Content:
    """One kind of piece inside a box."""

    item: str
    pieces: int
    attributes: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Part:
    """One row of a supplier's list: number, what it fills, attributes, unit of sale, money, date.

    ``fits`` maps an engine attribute to the values it may have; ``spreads`` an attribute to how far it may
    lie above and below its value, where the list says so, in the attribute's own unit. ``cost`` is the
    shop's net price per unit, ``price`` the list price per unit.
    """

    number: str
    supplier: str
    description: str
    fills: tuple[Fill, ...]
    unit: str
    pieces: int
    cost: Decimal
    price: Decimal
    lead_days: int
    attributes: Mapping[str, Value] = field(default_factory=dict)
    fits: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    contents: tuple[Content, ...] = ()
    core_charge: Decimal = Decimal(0)
    returnable: bool = True
    tax_class: str = "parts"
    status: str = "active"
    superseded_by: str = ""
    note: str = ""
    as_read: str = ""
    spreads: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    def attributes_for(self, need: str) -> dict[str, Value]:
        """The attributes this part shows to one need."""
        for fill in self.fills:
            if fill.need == need:
                return {**self.attributes, **fill.attributes}
        return dict(self.attributes)

    def pieces_for(self, need: str) -> int:
        """How many pieces one unit gives to a need (0 when it does not fill it)."""
        return sum(fill.pieces for fill in self.fills if fill.need == need)


@dataclass(frozen=True, slots=True)
class Supplier:
    """A supplier's code, name and freight terms (landed cost only; never on a customer's paper)."""

    code: str
    name: str
    kind: str = ""
    sells: str = ""
    terms: str = ""
    freight: Decimal = Decimal(0)
    free_over: Decimal | None = None
    minimum: Decimal = Decimal(0)
    under_minimum: Decimal = Decimal(0)
