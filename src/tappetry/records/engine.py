"""Two of the five records: the engine as built and the engine as found."""

from __future__ import annotations

from dataclasses import dataclass, field

from tappetry.records.evidence import Facts


@dataclass(frozen=True, slots=True)
class EngineAsBuilt:
    """What the factory made, as far as the vehicle's papers tell; in charge of law and control unit."""

    family: str
    application: str
    facts: Facts = field(default_factory=Facts)
    candidates: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class EngineAsFound:
    """What stands there, each fact with its evidence; in charge of parts."""

    family: str
    application: str
    facts: Facts = field(default_factory=Facts)
    verdict: str = ""
