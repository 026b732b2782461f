"""The kit: needs resolved to parts and quantities, with the reason for every line."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from tappetry.records.verdict import Finding, Proof

#: The ranking of kits by what the shop pays, freight included; it is the shop's alone, as is its value.
BY_LANDED_COST = "landed cost"


@dataclass(frozen=True, slots=True)
class Because:
    """One link of a reason: need <- rule <- fact <- who said so.

    ``kind`` is one of need, rule, fact, match, proof, choice, pack, advice, turned down.
    """

    kind: str
    id: str
    text: str
    source: str = ""
    facts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Filled:
    """What a line gives to one need: pieces required, given, and used."""

    need: str
    slot: str
    required: int
    given: int


@dataclass(frozen=True, slots=True)
class Line:
    """One priced line of the order."""

    part: str
    supplier: str
    description: str
    quantity: int
    unit: str
    unit_price: Decimal
    line_total: Decimal
    unit_cost: Decimal
    tax_class: str
    importance: str
    needs: tuple[Filled, ...]
    why: tuple[Because, ...]
    lead_days: int = 0
    returnable: bool = True
    core_charge: Decimal = Decimal(0)
    holds: tuple[str, ...] = ()
    use_from_box: str = ""

    @property
    def told(self) -> str:
        """What it is, and which piece of a box with several is used."""
        return f"{self.description} ({self.use_from_box})" if self.use_from_box else self.description


@dataclass(frozen=True, slots=True)
class Kept:
    """A need that is met without buying: reused, shop stock, outside, by hand, the customer's own, open."""

    need: str
    slot: str
    state: str
    text: str
    pieces: int = 0
    why: tuple[Because, ...] = ()
    allowance: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Declined:
    """An offer not in the kit, with the honest reason either way."""

    need: str
    offer: str
    reason_to_buy: str
    reason_to_decline: str
    by: str = "shop"


@dataclass(frozen=True, slots=True)
class LeftOver:
    """Pieces that stay over, and why."""

    part: str
    item: str
    pieces: int
    reason: str


@dataclass(frozen=True, slots=True)
class OperationLine:
    """One labour operation, charged once, and the needs that ask for it."""

    code: str
    what: str
    hours: Decimal
    needs: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True, slots=True)
class Unknown:
    """A fact that is not known, what hangs on it, and how to find out."""

    attribute: str
    question: str
    see: str
    hangs_on_it: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Note:
    """What a third person must be told in writing, with the values in it, and the need it goes with."""

    id: str
    to: str
    text: str
    why: str
    source: str
    need: str
    values: tuple[tuple[str, float | str], ...] = ()


@dataclass(frozen=True, slots=True)
class Totals:
    """The money of a kit, each figure exact; margins are the shop's side only."""

    parts: Decimal
    services: Decimal
    labour: Decimal
    supplies: Decimal
    tax: Decimal
    total: Decimal
    hours: Decimal
    parts_cost: Decimal
    margin_percent: Decimal
    markup_percent: Decimal
    deposit: Decimal
    core_charges: Decimal
    currency: str


@dataclass(frozen=True, slots=True)
class Kit:
    """The complete order for one job, before or after pricing."""

    job: str
    lines: tuple[Line, ...] = ()
    kept: tuple[Kept, ...] = ()
    declined: tuple[Declined, ...] = ()
    left_over: tuple[LeftOver, ...] = ()
    operations: tuple[OperationLine, ...] = ()
    proofs: tuple[Proof, ...] = ()
    findings: tuple[Finding, ...] = ()
    unknowns: tuple[Unknown, ...] = ()
    totals: Totals | None = None
    proved_optimal: bool = False
    stages: tuple[tuple[str, int, bool], ...] = ()
    landed_cost: Decimal = Decimal(0)
    knowledge_version: str = ""
    catalogue_version: str = ""
    cautions: tuple[str, ...] = ()
    legal_note: str = ""
    notes: tuple[Note, ...] = ()
    allowances: tuple[str, ...] = field(default=())
