"""The units in which a person reads: metric or inch, and both where the trade reads both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tappetry.quantities.units import from_si

#: Units as they are shown, where that is not how they are written.
SHOWN = {"N.m": "N·m", "lbf.ft": "lb·ft", "deg": "°"}


@dataclass(frozen=True, slots=True)
class Measure:
    """In which unit a kind of quantity is read, and with how many digits behind the point."""

    unit: str
    digits: int

    @property
    def sign(self) -> str:
        """The unit as it is shown."""
        return SHOWN.get(self.unit, self.unit)


@dataclass(frozen=True, slots=True)
class Measures:
    """The units of one person, by kind of quantity."""

    name: str
    title: str
    by_kind: Mapping[str, Measure]

    def of(self, value: float, kind: str) -> float:
        """A value in SI in this person's unit."""
        return from_si(value, self.by_kind[kind].unit, kind)

    def said(self, value: float, kind: str) -> str:
        """A value in SI with this person's unit."""
        measure = self.by_kind[kind]
        return f"{self.of(value, kind):,.{measure.digits}f} {measure.sign}"

    def both(self, value: float, kind: str) -> str:
        """A value in SI with this person's unit, and the other one in brackets."""
        return f"{self.said(value, kind)} ({self.other.said(value, kind)})"

    def sign(self, kind: str) -> str:
        """The unit of a kind, as it is shown."""
        return self.by_kind[kind].sign

    @property
    def other(self) -> Measures:
        """What the other half of the trade reads."""
        return INCH if self is METRIC else METRIC


METRIC = Measures(
    "metric",
    "metric",
    {
        "length": Measure("mm", 2),
        "torque": Measure("N.m", 0),
        "power": Measure("kW", 0),
        "pressure": Measure("kPa", 0),
        "force": Measure("N", 0),
        "stiffness": Measure("N/mm", 1),
    },
)
INCH = Measures(
    "inch",
    "inch",
    {
        "length": Measure("in", 3),
        "torque": Measure("lbf.ft", 0),
        "power": Measure("hp", 0),
        "pressure": Measure("inHg", 1),
        "force": Measure("lbf", 0),
        "stiffness": Measure("lbf/in", 0),
    },
)
#: What a person may choose.
SYSTEMS: Mapping[str, Measures] = {each.name: each for each in (METRIC, INCH)}
