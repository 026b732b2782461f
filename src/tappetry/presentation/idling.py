"""How an engine idles, in words: how evenly it burns, and whether power brakes have enough."""

from __future__ import annotations

import math

from tappetry.presentation.measures import Measures
from tappetry.simulation.roughness import MEASURED, Roughness

FELT, COMPLAINED_OF = 0.05, 0.10
"""Deviation of work from cycle to cycle from which it is felt (common practice, no source), and from which
drivers complain (Heywood, chapter 9, from memory). [1]"""

CLASSES = ((35.0, "smooth"), (48.0, "mild"), (60.0, "noticeable"), (72.0, "rough"))
"""Overlap at 0.006 in up to which an idle is expected to be so; beyond the last it is that of a racing engine
(common practice, no source; a class more or less by displacement, manifold and tuning). [deg], words"""


def evenness(found: Roughness) -> str:
    """A verdict on how evenly it burns, with its number or why there is none.

    Where more of the charge is burned gas than was ever measured, the number is told as what it is: good to
    compare camshafts by, and no more.
    """
    if found.variation is None:
        return (
            f"not reckoned, with {found.residual:.0%} burned gas in the charge ({found.why_not}); "
            "judge it by its overlap and its vacuum"
        )
    said = f"work differs by {found.variation:.1%} from cycle to cycle"
    if found.residual > MEASURED:
        return (
            f"less even the more its index of {found.variation:.1%}, good to compare camshafts by: "
            f"{found.residual:.0%} of the charge is burned gas, and flames were measured up to {MEASURED:.0%}"
        )
    if found.variation <= FELT:
        return f"even ({said})"
    if found.variation <= COMPLAINED_OF:
        return f"uneven enough to be felt ({said})"
    return f"rough ({said}, and above {COMPLAINED_OF:.0%} drivers complain)"


def by_overlap(overlap: float) -> str:
    """How the trade expects an engine to idle with an overlap at 0.006 in of lobe lift [rad]."""
    degrees = math.degrees(overlap)
    expected = next((words for most, words in CLASSES if degrees <= most + 1e-9), "a racing engine's")
    return f"By its overlap of {degrees:.0f}° at 0.006 in the trade expects its idle to be {expected}"


def brakes(vacuum: float, limit: float, measures: Measures) -> str:
    """A verdict on the vacuum that is left for power brakes; both in Pa below the air around."""
    enough = "enough for" if vacuum >= limit else "too little for"
    return f"{enough} power brakes, which want {measures.both(limit, 'pressure')}"
