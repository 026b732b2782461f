"""The plan: what customer and shop decided."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from tappetry.records.evidence import Value


@dataclass(frozen=True, slots=True)
class OwnPart:
    """A part the customer brings: what it is to fill, its attributes, age and source."""

    need: str
    description: str
    attributes: Mapping[str, Value] = field(default_factory=dict)
    pieces: int = 1
    used: bool = False
    source: str = ""
    released: bool = False


@dataclass(frozen=True, slots=True)
class Work:
    """What a plan may ask for in place of a new camshaft; ``says`` tells the customer what is done."""

    id: str
    title: str
    says: str


@dataclass(frozen=True, slots=True)
class Plan:
    """What goes and what stays. Pins, refusals and own parts are hard.

    Either ``cam`` names the grind that goes in, and the job is a conversion, or the camshaft stays as it was
    found, and ``work`` names what is asked for.
    """

    phaser: str = "none"
    deact: str = "none"
    heads: str = "off"
    cam: str = ""
    work: tuple[str, ...] = ()
    use: str = "daily"
    package: str = ""
    rpm: float | None = None
    wishes: tuple[str, ...] = ()
    pins: tuple[str, ...] = ()
    refused_parts: tuple[str, ...] = ()
    declined: Mapping[str, str] = field(default_factory=dict)
    own_parts: tuple[OwnPart, ...] = ()
    budget: Decimal | None = None
    need_by: date | None = None
    more: Mapping[str, Value] = field(default_factory=dict)

    @property
    def conversion(self) -> bool:
        """Whether a camshaft goes in; else the one that was found stays."""
        return not self.work
