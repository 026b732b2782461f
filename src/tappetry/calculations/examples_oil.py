"""Example inputs in SI units for oil: the invented V8 with 5W-30, hot, at the speed of its power."""

from __future__ import annotations

import math
from typing import Any

_TURN = 2.0 * math.pi
_LITRE_PER_MINUTE = 1e-3 / 60.0

EXAMPLES: dict[str, Any] = {
    "passage_volume_flow": 5e-5,
    "passage_diameter": 6e-3,
    "passage_length": 0.2,
    "slot_width": 40e-3,
    "slot_height": 5e-5,
    # viscosity
    "oil_temperature": 383.15,
    "kinematic_viscosity": 9e-6,
    "first_temperature": 313.15,
    "first_viscosity": 63e-6,
    "second_temperature": 373.15,
    "second_viscosity": 11e-6,
    "viscosity_at_40": 63e-6,
    "viscosity_at_100": 11e-6,
    "low_index_viscosity": 173.9e-6,
    "high_index_viscosity": 94e-6,
    "density_at_reference": 855.0,
    "oil_density": 800.0,
    "oil_viscosity": 7e-3,
    # pump
    "gear_outside_diameter": 36e-3,
    "gear_inside_diameter": 24e-3,
    "gear_width": 20e-3,
    "largest_chamber": 150e-6,
    "smallest_chamber": 10e-6,
    "inner_teeth": 8.0,
    "pump_displacement": 13.4e-6,
    "pump_speed": 50 * _TURN,
    "pump_efficiency": 0.85,
    "pump_flow": 32 * _LITRE_PER_MINUTE,
    "oil_pressure": 380e3,
    "overall_efficiency": 0.5,
    "relief_spring_load": 63.0,
    "relief_diameter": 14.5e-3,
    "relief_pressure": 400e3,
    # leaks
    "hole_diameter": 2e-3,
    "hole_area": 8e-6,
    "leak_conductance": 8e-10,
    "journal_radius": 32e-3,
    "radial_clearance": 25e-6,
    "half_length": 9e-3,
    "bearing_length": 21e-3,
    "bearing_load": 15e3,
    "journal_speed": 100 * _TURN,
    "lifter_diameter": 21.4e-3,
    "land_length": 15e-3,
    "gap_flow": 0.01 * _LITRE_PER_MINUTE,
    # pan and pickup
    "usable_oil": 3.5e-3,
    "greatest_engine_flow": 36 * _LITRE_PER_MINUTE,
    "return_flow": 18 * _LITRE_PER_MINUTE,
    "tube_diameter": 20e-3,
    "tube_length": 0.3,
    "loss_coefficient": 3.0,
    "pickup_diameter": 60e-3,
    "pickup_clearance": 8e-3,
}
