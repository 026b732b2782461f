"""Why not another part: the runners-up of each need, what each would cost, and what put it behind."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from tappetry.records.kit import Because
from tappetry.records.problems import Ground


@dataclass(frozen=True, slots=True)
class Behind:
    """What puts a part behind the one that was chosen, though a kit with it passes every rule.

    ``kind`` is ``plan`` (the customer decided otherwise), ``stays`` (nothing is bought for the need),
    ``preference`` (the house prefers otherwise), ``cost`` (landed cost), ``suppliers`` (more of them),
    ``arrival`` (later), ``left over`` (more pieces) or ``order`` (equal in all; the first code and
    number is taken).
    """

    kind: str
    id: str
    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Moved:
    """Another line of the order that changes with a runner-up; with a quantity of 0 it is not there."""

    part: str
    description: str
    old_quantity: int
    new_quantity: int


@dataclass(frozen=True, slots=True)
class Cost:
    """The kit with a runner-up less the kit as it is: both solved, proved and priced.

    ``landed`` is the shop's landed cost, ``total`` the customer's total with tax, ``hours`` book hours and
    ``days`` working days until the last part is here. ``worse`` names checks that end less well.
    """

    landed: Decimal
    total: Decimal
    hours: Decimal
    days: int
    moved: tuple[Moved, ...] = ()
    worse: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RunnerUp:
    """A part that could have been taken, forced into the kit.

    Either there is such a kit: ``cost`` says what it would cost, and ``behind`` why it was not taken. Or
    there is none: ``grounds`` cannot hold together beside it, and ``arithmetic`` says how far they miss.
    Of these ``because`` tells in plain words what speaks against the part itself, and ``decided`` what of
    the plan that hangs on, as field and value.

    ``alike`` are others of its class, or that fall to the same. ``asked`` says why a person would ask for it
    (``offered``, ``factory``, ``wished``), ``same`` that it differs in nothing but pack, price and supplier,
    ``misfit`` that it is for another engine, whatever is decided. ``alone`` is the list price of the pieces
    wanted, less that of what was chosen for them: what the part alone would change.
    """

    need: str
    slot: str
    part: str
    supplier: str
    description: str
    alone: Decimal
    alike: tuple[str, ...] = ()
    asked: str = ""
    same: bool = False
    misfit: bool = False
    cost: Cost | None = None
    behind: Behind | None = None
    because: tuple[str, ...] = ()
    decided: tuple[tuple[str, str], ...] = ()
    grounds: tuple[Ground, ...] = ()
    arithmetic: str = ""


@dataclass(frozen=True, slots=True)
class WhyNot:
    """One place of a need: what was chosen for it, why, and what stands behind that.

    ``state`` is that of the kit (``new`` where something is bought), ``parts`` the numbers bought for it.
    ``more`` counts parts that were not tried.
    """

    need: str
    slot: str
    title: str
    state: str
    chosen: str
    parts: tuple[str, ...] = ()
    spent: Decimal = Decimal(0)
    why: tuple[Because, ...] = ()
    runners_up: tuple[RunnerUp, ...] = ()
    more: int = 0
