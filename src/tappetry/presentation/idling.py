"""How an engine idles, in words: how evenly it burns, and whether power brakes have enough."""

from __future__ import annotations

from tappetry.presentation.measures import Measures
from tappetry.simulation.roughness import Roughness

FELT, COMPLAINED_OF = 0.05, 0.10
"""Deviation of work from cycle to cycle from which it is felt (common practice, no source), and from which
drivers complain (Heywood, chapter 9, from memory). [1]"""


def evenness(found: Roughness) -> str:
    """A verdict on how evenly it burns, with its number or why there is none."""
    if found.variation is None:
        return f"too uneven to say, expect it to misfire ({found.why_not})"
    said = f"work differs by {found.variation:.1%} from cycle to cycle"
    if found.variation <= FELT:
        return f"even ({said})"
    if found.variation <= COMPLAINED_OF:
        return f"uneven enough to be felt ({said})"
    return f"rough ({said}, and above {COMPLAINED_OF:.0%} drivers complain)"


def brakes(vacuum: float, limit: float, measures: Measures) -> str:
    """A verdict on the vacuum that is left for power brakes; both in Pa below the air around."""
    enough = "enough for" if vacuum >= limit else "too little for"
    return f"{enough} power brakes, which want {measures.both(limit, 'pressure')}"
