"""Verdicts and proofs: what was checked, against which limit, with which margin and source."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """The outcome of a check; UNKNOWN is open and never a pass."""

    PASS = "pass"
    STOP = "STOP"
    SIGN = "SIGN"
    WARN = "WARN"
    NOTE = "NOTE"
    UNKNOWN = "UNKNOWN"


@dataclass(frozen=True, slots=True)
class Input:
    """One value that a proof used, and where it came from."""

    name: str
    value: float | str
    unit: str
    provenance: str


@dataclass(frozen=True, slots=True)
class Proof:
    """One proved (or open) statement about the kit in this engine.

    ``margin`` is positive when the limit is kept. Values are in ``unit``, the unit in which the
    trade speaks of them.
    """

    id: str
    title: str
    verdict: Verdict
    unit: str
    value: float | None = None
    limit: float | None = None
    margin: float | None = None
    band: float | None = None
    chance_of_failing: float | None = None
    formula: str = ""
    source: str = ""
    limit_source: str = ""
    inputs: tuple[Input, ...] = ()
    advice: str = ""
    signed: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """A gate's or rule's verdict that is not a number: law, health, evidence, identification.

    ``offer`` is what the customer is offered on it; ``signed`` then says that he declined.
    """

    id: str
    verdict: Verdict
    text: str
    source: str = ""
    advice: str = ""
    signed: str = ""
    offer: str = ""
