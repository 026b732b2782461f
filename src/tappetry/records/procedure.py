"""What a person at the bench works by: stages of a torque, the order of the bolts, readings to take."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of tightening: to a torque, or on by an angle; a negative angle turns back.

    Attributes
    ----------
    torque : float or None
        [N.m]
    angle : float or None
        Instead of a torque. [rad]
    """

    torque: float | None = None
    angle: float | None = None

    def __str__(self) -> str:
        """The stage as the bench reads it."""
        if self.torque is not None:
            return f"{self.torque:g} N.m"
        degrees = math.degrees(self.angle or 0.0)
        return f"{abs(degrees):g} deg {'back' if degrees < 0 else 'on'}"


@dataclass(frozen=True, slots=True)
class BoltOrder:
    """Where the bolts of a joint sit, and the order in which they are tightened and loosened.

    ``drawing`` holds the numbers as one sees them from ``seen_from``, line by line; ``rows`` names the
    bolts of one kind. An order that has no numbers is told by its ``rule`` alone.
    """

    id: str
    rule: str
    seen_from: str = ""
    drawing: tuple[tuple[int, ...], ...] = ()
    rows: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    tightening: tuple[int, ...] = ()
    loosening: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of a step: what is read, in which unit, with what, and where its limit stands.

    ``limit`` names an inspection limit of the engine family, ``proof`` a proof of the kit that the
    reading confirms. ``stale_by`` are the needs whose change makes the reading worthless.
    """

    id: str
    title: str
    unit: str
    instrument: str
    each: str = ""
    limit: str = ""
    proof: str = ""
    formula: str = ""
    stale_by: tuple[str, ...] = ()
