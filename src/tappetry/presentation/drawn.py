"""The drawings of proofs: valves beside their pistons, a spring over its travel; each with its words."""

from __future__ import annotations

import math

from tappetry.presentation.charts.chart import Chart
from tappetry.presentation.charts.springs import load_over_lift
from tappetry.presentation.charts.valves import approach
from tappetry.presentation.measures import Measures
from tappetry.services.drawings import Closeness, SpringTravel, closeness, spring_travel
from tappetry.services.kits import KitResult


def drawings(result: KitResult, measures: Measures) -> dict[str, tuple[Chart, tuple[str, ...]]]:
    """The charts of a kit's proofs by their names, each with what it says in words."""
    charts: dict[str, tuple[Chart, tuple[str, ...]]] = {}
    valves = closeness(result)
    if valves:
        told = tuple(nearest(name, each, measures) for name, each in valves.items())
        charts["valves"] = approach(valves, measures), told
    spring = spring_travel(result)
    if spring is not None:
        charts["spring"] = load_over_lift(spring, measures), (loads(spring, measures),)
    return charts


def nearest(name: str, found: Closeness, measures: Measures) -> str:
    """Where a valve comes nearest to its piston, and how near."""
    clearances = found.approach.clearances
    place = int(clearances.argmin())
    angle = math.degrees(found.approach.angles[place])
    centre = "top dead centre of gas exchange"
    side = f"{abs(angle):.0f}° {'after' if angle > 0 else 'before'} {centre}" if angle else f"at {centre}"
    retard = f" with the camshaft {math.degrees(found.retard):.0f}° late" if found.retard else ""
    return (
        f"The {name} valve comes nearest to the piston {side}{retard}: "
        f"{measures.both(float(clearances[place]), 'length')}, "
        f"limit {measures.both(found.limit, 'length')}."
    )


def loads(found: SpringTravel, measures: Measures) -> str:
    """The loads of a spring, and what is left to solid."""
    left = found.solid_lift - found.full_lift
    return (
        f"{measures.both(found.load(0.0), 'force')} on the seat, "
        f"{measures.both(found.load(found.full_lift), 'force')} at full lift; "
        f"{measures.both(left, 'length')} are left until the coils touch."
    )
