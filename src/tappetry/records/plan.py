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
class Plan:
    """What goes and what stays. Pins, refusals and own parts are hard."""

    phaser: str = "none"
    deact: str = "none"
    heads: str = "off"
    cam: str = ""
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
