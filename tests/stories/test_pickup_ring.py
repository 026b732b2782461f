"""The pickup ring follows the pump that is ordered, not the ring that was found.

Squeeze is (section - gap) / section, wanted 15 to 25 percent; gap is half of inlet less groove.
"""

from __future__ import annotations

import pytest

from tests.kitting.support import Ask, bought
from tests.stories.telling import job_of, line_of, of, of_job, value

pytestmark = pytest.mark.slow

GROOVE = 16.8


def test_the_ring_follows_the_pump_that_is_ordered() -> None:
    """The old 127 % pump had a violet ring; the new one has inlet 20.8, gap 2.00, and the amber ring."""
    assert value(job_of("J1"), "pump_volume_needed_percent") == 112
    kit = of_job("J1").kit
    assert bought(kit)["LX-5518"] == 1
    line = line_of(kit, "PG-PUA")
    assert line.use_from_box == "amber O-ring: pump inlet 20.8 mm, gap 2.00 mm, squeeze 20 percent"
    left = {item.item: item.pieces for item in kit.left_over if item.part == "PG-PUA"}
    assert left == {"violet O-ring": 1, "grey lip seal": 1}


@pytest.mark.parametrize(
    ("ask", "pump", "ring", "inlet", "section"),
    [
        (Ask("A01", "B1", use="street-strip"), "LX-5500", "amber O-ring", 20.8, 2.50),
        (
            Ask("A06", "B2", "keep-limited", "remove", plan={"pins": ["LX-5533"]}),
            "LX-5533",
            "violet O-ring",
            21.8,
            3.10,
        ),
        (Ask("A10", "B2", "keep-limited", "remove"), "LX-5540", "grey lip seal", 23.0, 3.80),
    ],
    ids=["inlet 20.8", "inlet 21.8", "inlet 23.0"],
)
def test_another_pump_takes_another_ring(
    ask: Ask, pump: str, ring: str, inlet: float, section: float
) -> None:
    kit = of(ask)
    assert bought(kit)[pump] == 1
    gap = (inlet - GROOVE) / 2
    squeeze = 100 * (section - gap) / section
    assert line_of(kit, "PG-PUA").use_from_box == (
        f"{ring}: pump inlet {inlet:.1f} mm, gap {gap:.2f} mm, squeeze {squeeze:.0f} percent"
    )
    assert bought(kit)["PG-PUA"] == 1
    assert sum(item.pieces for item in kit.left_over if item.part == "PG-PUA") == 2
