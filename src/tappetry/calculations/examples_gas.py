"""Example inputs in SI units for gas, burning and power: the invented V8 on a bench in ordinary air."""

from __future__ import annotations

import math
from typing import Any

_INCH_OF_WATER = 249.08891
_CUBIC_FOOT_PER_MINUTE = 0.3048**3 / 60.0

EXAMPLES: dict[str, Any] = {
    # flow
    "gas_temperature": 300.0,
    "gas_velocity": 150.0,
    "gas_constant": 287.0,
    "gas_density": 1.2,
    "heat_capacity_ratio": 1.4,
    "isobaric_heat_capacity": 1005.0,
    "mach_number": 0.5,
    "supersonic_mach": 2.0,
    "stagnation_pressure": 101325.0,
    "stagnation_temperature": 293.15,
    "stagnation_pressure_ratio": 1.19,
    "sonic_area_ratio": 1.5,
    "static_pressure": 1e6,
    "static_temperature": 873.0,
    "downstream_pressure": 95e3,
    "flow_area": 5e-4,
    "mass_flow": 0.043,
    "pressure_drop": 5e3,
    "bench_flow": 260 * _CUBIC_FOOT_PER_MINUTE,
    "test_depression": 28 * _INCH_OF_WATER,
    "wanted_depression": 10 * _INCH_OF_WATER,
    "valve_lift_at_angle": 6e-3,
    "seat_angle": math.pi / 4,
    "seat_width": 1.5e-3,
    "port_diameter": 45e-3,
    "stem_diameter": 8e-3,
    "intake_valves": 1.0,
    "mean_flow_coefficient": 0.35,
    "mean_piston_speed": 18.2,
    "sound_speed": 343.0,
    "inlet_mach_index": 0.6,
    # air and burned gas
    "gas_pressure": 95e3,
    "air_temperature": 303.15,
    "wet_bulb_temperature": 295.15,
    "water_temperature": 303.15,
    "air_pressure": 98e3,
    "relative_humidity": 0.45,
    "vapour_pressure": 1900.0,
    "altitude": 1500.0,
    "geometric_altitude": 1500.0,
    "equivalence_ratio": 1.1,
    "residual_fraction": 0.08,
    "reactant_temperature": 320.0,
    "reactant_pressure": 98e3,
    "product_temperature": 2500.0,
    # cycles
    "start_temperature": 320.0,
    "start_pressure": 95e3,
    "heat_added": 1.8e6,
    "peak_temperature": 2500.0,
    "isochoric_heat_capacity": 718.0,
    "cutoff_ratio": 1.5,
    "pressure_rise_ratio": 1.5,
    "expansion_ratio": 12.0,
}
