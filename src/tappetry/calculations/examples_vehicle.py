"""Example inputs in SI units for the vehicle and its fuel: the invented V8 in a pickup with an automatic."""

from __future__ import annotations

import math
from typing import Any

_TURN = 2.0 * math.pi
_INCH = 0.0254
_HORSEPOWER = 745.6998715822702

EXAMPLES: dict[str, Any] = {
    "carbon_mass_share": 0.865,
    "hydrogen_mass_share": 0.135,
    "oxygen_mass_share": 0.0,
    "air_flow": 0.2784,
    # tyre and driveline
    "section_width": 0.265,
    "aspect_ratio": 0.70,
    "rim_diameter": 17 * _INCH,
    "tyre_diameter": 29.5 * _INCH,
    "gear_ratio": 3.06,
    "next_gear_ratio": 1.63,
    "final_drive": 3.73,
    "original_final_drive": 3.42,
    "original_tyre_diameter": 28.7 * _INCH,
    "turbine_speed": 30 * _TURN,
    "reference_torque": 400.0,
    "reference_stall_speed": 35 * _TURN,
    "engine_torque": 480.0,
    "driveline_efficiency": 0.85,
    "road_speed": 31.3,
    "indicated_speed": 31.3,
    "curve_speeds": (25 * _TURN, 30 * _TURN, 40 * _TURN, 50 * _TURN),
    "curve_torques": (352.0, 371.0, 395.0, 420.0),
    "stall_torque": 380.0,
    "stall_torque_ratio": 2.1,
    "vehicle_mass": 2300.0,
    "rolling_resistance": 0.012,
    "drag_area": 1.25,
    "air_density": 1.2,
    "road_load": 1000.0,
    # fuel and air
    "carbon_atoms": 8.0,
    "hydrogen_atoms": 18.0,
    "stoichiometric_ratio": 14.6,
    "air_fuel_ratio": 12.8,
    "lambda_ratio": 0.88,
    "second_share": 0.85,
    "first_density": 745.0,
    "second_density": 789.0,
    "first_stoichiometric_ratio": 14.6,
    "second_stoichiometric_ratio": 9.0,
    "first_heating_value": 43.5e6,
    "second_heating_value": 26.8e6,
    "heating_value": 43.5e6,
    "fuel_density": 745.0,
    "displacement": 5.7e-3,
    "charge_density": 1.184,
    "volumetric_efficiency": 0.9,
    "fuel_flow": 0.0217,
    # injectors
    "engine_power": 400 * _HORSEPOWER,
    "specific_consumption": 8.4e-8,
    "injector_count": 8.0,
    "duty_limit": 0.85,
    "injector_flow": 3.7e-3,
    "rated_pressure": 300e3,
    "fuel_pressure": 400e3,
    "pulse_width": 12e-3,
    "fuel_mass": 40e-6,
    "dead_time": 0.9e-3,
}
