"""The invented engines of the bench and the units their numbers come in."""

from __future__ import annotations

import json
import math
from functools import cache
from pathlib import Path
from typing import Any

from tappetry.engineering.lobe_fit import LobeShape, fit_lobe

BENCH: dict[str, Any] = json.loads(
    (Path(__file__).parent / "data" / "bench.json").read_text(encoding="utf-8")
)

INCH = 0.0254
MM = 1e-3
CC = 1e-6
LBF = 4.4482216152605  # NIST SP 811, exact
PSI = 6894.757293168361  # NIST SP 811
GRAM = 1e-3
DEG = math.pi / 180.0
RPM = math.pi / 30.0

INTAKE, EXHAUST = 0, 1


def case_name(row: dict[str, Any]) -> str:
    """What a parametrised test of one row is called."""
    return "-".join(
        str(row[key]) for key in ("engine", "head", "cam", "spring", "rod_in", "row") if key in row
    )


@cache
def lobe_shape(cam: str, side: int) -> LobeShape:
    """The power lobe that has the card's lift and both durations."""
    card = BENCH["cams"][cam]
    return fit_lobe(
        card["lobe_lift_in"][side] * INCH,
        card["duration_050_deg"][side] * DEG,
        0.050 * INCH,
        card["duration_006_deg"][side] * DEG,
        0.006 * INCH,
    )
