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
class Effect:
    """What a remedy makes of another proof."""

    id: str
    title: str
    verdict: Verdict
    unit: str
    value: float | None
    limit: float | None


@dataclass(frozen=True, slots=True)
class Remedy:
    """What was tried to mend a proof, the value that it gives, and what it does to the other proofs.

    ``good``: the proof then holds, and no other comes out worse than before. Only such a remedy is offered.
    """

    id: str
    text: str
    verdict: Verdict
    unit: str
    value: float | None
    limit: float | None
    effects: tuple[Effect, ...]
    good: bool


@dataclass(frozen=True, slots=True)
class Share:
    """What the spread of one input adds to the doubt of a margin.

    ``plus`` and ``minus`` are how far it may lie from ``value``, in its own unit; ``means`` says whether they
    are outer limits or one standard deviation, ``origin`` whether they were stated with the value or are
    assumed. ``share`` is its part of the variance, from 0 to 1.
    """

    name: str
    title: str
    value: float
    unit: str
    plus: float
    minus: float
    means: str
    origin: str
    source: str
    share: float


@dataclass(frozen=True, slots=True)
class Narrowing:
    """The measurement that would narrow a margin most: of what, with what, and the band that is left then."""

    name: str
    title: str
    tool: str
    band: float


@dataclass(frozen=True, slots=True)
class Doubt:
    """How well a margin is known, from the spreads of all that it is made of.

    ``method`` is ``first order`` or ``Monte Carlo``, ``uncertainty`` one standard deviation of the margin in
    the proof's unit. ``shares`` come with the largest first. ``assumed`` says that spreads were assumed, and
    ``estimate`` that an input has not been measured. ``exact`` are inputs of whose spread nothing is known.
    """

    method: str
    uncertainty: float
    shares: tuple[Share, ...]
    measure: Narrowing | None
    assumed: bool
    estimate: bool
    exact: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Proof:
    """One proved (or open) statement about the kit in this engine; ``remedies`` where it does not hold.

    ``margin`` is positive when the limit is kept. Values are in ``unit``, the unit in which the
    trade speaks of them. ``band`` is how far the margin may be off to either side: at least
    95 in 100 lie within it. ``chance_of_failing`` is the share of such engines that miss the limit; ``doubt``
    says what both rest on.
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
    said: str = ""
    remedies: tuple[Remedy, ...] = ()
    doubt: Doubt | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """A gate's or rule's verdict that is not a number: law, health, evidence, identification.

    ``offer`` is what the customer is offered on it; ``signed`` then says that he declined. ``said`` are
    the figures behind it.
    """

    id: str
    verdict: Verdict
    text: str
    source: str = ""
    advice: str = ""
    signed: str = ""
    offer: str = ""
    said: str = ""
