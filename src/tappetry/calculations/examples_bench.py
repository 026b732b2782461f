"""Example inputs in SI units: overlap, loads and clearances at the bench of one invented V8."""

from __future__ import annotations

import math
from typing import Any

_DEGREE = math.pi / 180.0

EXAMPLES: dict[str, Any] = {
    # overlap, events, phaser
    "intake_lobe_lift": 8.763e-3,
    "intake_lobe_exponent": 5.5,
    "intake_lobe_half_width": 168 * _DEGREE,
    "exhaust_lobe_lift": 8.9e-3,
    "exhaust_lobe_exponent": 5.7,
    "exhaust_lobe_half_width": 171 * _DEGREE,
    "valve_checking_height": 1.27e-3,
    "phaser_cam_travel": 15 * _DEGREE,
    # measured lobe: 4.1 mm of raised cosine, read every 15 degrees to 10 micrometres, some a little off
    "table_angle": 60 * _DEGREE,
    "table_angles": tuple(15 * each * _DEGREE for each in range(48)),
    "table_lifts": tuple(
        round(4.1e-3 * (1 + math.cos(7.5 * each * _DEGREE)), 5) + 1e-5 * (each % 5 == 2) for each in range(48)
    ),
    # contact and rocker
    "pad_diameter": 26e-3,
    "lobe_lift_at_angle": 8e-3,
    "cup_arm": 23.9e-3,
    "cup_square_lift": 4e-3,
    # crank train
    "piston_mass": 0.430,
    "pin_mass": 0.120,
    "small_end_mass": 0.175,
    "reciprocating_mass": 0.725,
    "pressure_on_piston": 2e6,
    # bench
    "clay_thickness": 2.1e-3,
    "checking_gasket": 1.0e-3,
    "probe_angles": tuple(each * _DEGREE for each in (0, 5, 10, 15, 20)),
    "probe_readings": (3.4e-3, 2.6e-3, 2.2e-3, 2.4e-3, 3.1e-3),
    "dial_lean": 5 * _DEGREE,
    "zero_lash_length": 187.0e-3,
    "least_preload": 0.5e-3,
    "greatest_preload": 1.5e-3,
    "stock_lengths": (187.3e-3, 187.9e-3, 188.2e-3),
    "pocket_diameter": 56e-3,
    "pocket_offset": 0.6e-3,
    "new_free_length": 55e-3,
    "wanted_load": 534.0,
    "relaxation": 0.05,
    "cylinder_coils": 2.3,
    "cone_coils": 2.0,
    # head clamp
    "bolts_per_cylinder": 5.0,
    "firing_pressure": 8e6,
    "gasket_area": 0.008,
}
