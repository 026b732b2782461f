"""The units in which a person reads: metric or inch, and both where the trade reads both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tappetry.presentation.words import figure, signed_figure
from tappetry.quantities.units import from_si, to_si

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

#: What the trade reads in both units, by the unit in which a shop states it: kind, the other, and how the
#: two are spelt out.
READ_IN_BOTH = {
    "in": ("length", "mm"),
    "mm": ("length", "in"),
    "lb": ("force", "N"),
    "N": ("force", "lb"),
}
SPELT = {"lb": "lbf"}
METRIC_UNITS = frozenset({"mm", "N"})


def figure_in_both(
    value: float | None, unit: str, chosen: Measures | None = None, signed: bool = False
) -> str:
    """A number as `figure` tells it, and in brackets in the other unit where the trade reads both.

    Parameters
    ----------
    value : float or None
        In ``unit``.
    unit : str
        As the shop's text states it.
    chosen : Measures, optional
        Whose unit stands first; the shop's own where nobody chose.
    signed : bool
        Write the sign of what is not negative as well.
    """
    first, second = _told(value, unit, chosen, signed)
    return f"{first} ({second})" if second else first


def figure_in_first(
    value: float | None, unit: str, chosen: Measures | None = None, signed: bool = False
) -> str:
    """What `figure_in_both` puts first, alone: where the other unit stands beside it already."""
    return _told(value, unit, chosen, signed)[0]


def _told(value: float | None, unit: str, chosen: Measures | None, signed: bool) -> tuple[str, str]:
    tell = signed_figure if signed else figure
    if value is None or unit not in READ_IN_BOTH:
        return tell(value, unit), ""
    kind, other = READ_IN_BOTH[unit]
    converted = from_si(to_si(value, SPELT.get(unit, unit), kind), SPELT.get(other, other), kind)
    stated, besides = tell(value, unit), tell(converted, other)
    swapped = chosen is not None and (unit in METRIC_UNITS) != (chosen is METRIC)
    return (besides, stated) if swapped else (stated, besides)
