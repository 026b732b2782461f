"""Sections of rods and tubes."""

from __future__ import annotations

import math

from tappetry.engineering.glossary import require
from tappetry.engineering.ranges import Range, Real, require_between


def tube_section(outside_diameter: Real, wall_thickness: Real) -> tuple[Real, Real]:
    """Area [m2] and second moment of area [m4] of a tube; half the diameter as wall is a solid rod."""
    outside = require("outside_diameter", outside_diameter)
    wall = require("wall_thickness", wall_thickness)
    require_between(
        "wall_thickness over outside_diameter",
        wall / outside,
        Range(0.0, 0.5, low_excluded=True),
        source="half the diameter is a solid rod",
        advice="Check that the wall is not the bore, and the units of both",
    )
    inside = outside - 2.0 * wall
    return math.pi / 4.0 * (outside**2 - inside**2), math.pi / 64.0 * (outside**4 - inside**4)
