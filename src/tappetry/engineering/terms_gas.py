"""Quantities of gas and its flow: names, units, ranges and meanings for the glossary."""

from __future__ import annotations

import math

from tappetry.engineering.ranges import ANY, Range, above_zero

_PRESSURE = above_zero(1e10)
_RATIO = Range(1.0, math.inf)
_SHARE = Range(0.0, 1.0)
_TEMPERATURE = Range(100.0, 6000.0)
_AREA = above_zero(10.0)
_FREQUENCY = above_zero(1e6)

# fmt: off
ROWS = (
    # --- state of a gas ---
    ("gas_temperature", "K", _TEMPERATURE, "temperature of the gas"),
    ("gas_density", "kg/m3", above_zero(1e5), "mass of a volume of the gas"),
    ("gas_velocity", "m/s", ANY, "velocity of the gas, along the duct"),
    ("gas_constant", "J/kg.K", Range(50.0, 5000.0), "universal gas constant over molar mass"),
    ("heat_capacity_ratio", "1", Range(1.0, 1.7, low_excluded=True), "gamma, cp over cv"),
    ("isobaric_heat_capacity", "J/kg.K", Range(100.0, 20000.0), "cp, at constant pressure"),
    ("sound_speed", "m/s", above_zero(5000.0), "speed of sound in the gas"),
    ("mach_number", "1", above_zero(100.0), "velocity over speed of sound"),
    # --- isentropic flow and shocks ---
    ("stagnation_temperature", "K", _TEMPERATURE, "temperature of the gas brought to rest"),
    ("stagnation_pressure", "Pa", _PRESSURE, "pressure of the gas brought to rest without loss", "absolute"),
    ("stagnation_temperature_ratio", "1", _RATIO, "stagnation over static temperature"),
    ("stagnation_pressure_ratio", "1", _RATIO, "stagnation over static pressure"),
    ("stagnation_density_ratio", "1", _RATIO, "stagnation over static density"),
    ("critical_temperature_ratio", "1", _SHARE, "sonic over stagnation temperature"),
    ("critical_pressure_ratio", "1", _SHARE, "sonic over stagnation pressure"),
    ("critical_density_ratio", "1", _SHARE, "sonic over stagnation density"),
    ("critical_temperature", "K", _TEMPERATURE, "temperature where the flow is sonic"),
    ("critical_pressure", "Pa", _PRESSURE, "pressure where the flow is sonic", "absolute"),
    ("sonic_area_ratio", "1", Range(1.0, 1e6), "flow area over the area of the same flow at Mach 1, A/A*"),
    ("subsonic_mach", "1", _SHARE, "Mach number of the slower of two flows"),
    ("supersonic_mach", "1", Range(1.0, 100.0), "Mach number of the faster of two flows; ahead of a shock"),
    ("flow_parameter", "1", Range(0.0, 1.0), "mass flow x sqrt(R T0) / (area x p0)"),
    ("downstream_mach", "1", _SHARE, "Mach number behind a standing shock"),
    ("shock_pressure_ratio", "1", _RATIO, "pressure behind a shock over pressure ahead"),
    ("shock_density_ratio", "1", _RATIO, "density behind a shock over density ahead"),
    ("shock_temperature_ratio", "1", _RATIO, "temperature behind a shock over temperature ahead"),
    ("shock_stagnation_ratio", "1", _SHARE, "stagnation pressure behind a shock over that ahead"),
    # --- nozzles and orifices ---
    ("static_pressure", "Pa", _PRESSURE, "pressure of the gas as it moves", "absolute"),
    ("static_temperature", "K", _TEMPERATURE, "temperature of the gas as it moves"),
    ("downstream_pressure", "Pa", Range(0.0, 1e10), "pressure behind the restriction", "absolute"),
    ("flow_area", "m2", _AREA, "area of the restriction, by geometry"),
    ("discharge_coefficient", "1", above_zero(1.5), "real flow over ideal flow through the same area"),
    ("mass_flow", "kg/s", Range(0.0, 1e5), "mass of gas in a time"),
    ("throat_mach", "1", _SHARE, "Mach number in the narrowest section; 1 is choked"),
    ("throat_pressure", "Pa", _PRESSURE, "pressure in the narrowest section", "absolute"),
    ("effective_area", "m2", _AREA, "area of the ideal nozzle that passes the same flow"),
    ("pressure_drop", "Pa", Range(0.0, 1e8), "pressure before less pressure behind the restriction"),
    ("incompressible_mass_flow", "kg/s", Range(0.0, 1e5), "mass flow as if the density did not change"),
    # --- flow bench, valves and ports ---
    ("bench_flow", "m3/s", above_zero(10.0), "volume flow, at the state of the air before the part"),
    ("test_depression", "Pa", above_zero(5e4), "pressure difference across the part on the bench"),
    ("wanted_depression", "Pa", above_zero(5e4), "depression for which the flow is wanted"),
    ("flow_at_depression", "m3/s", above_zero(100.0), "the same part's flow at the wanted depression"),
    ("bench_velocity", "m/s", above_zero(500.0), "velocity that the depression gives to air at rest"),
    ("bench_discharge_coefficient", "1", above_zero(2.0), "flow over area x velocity, density unchanged"),
    ("compressible_discharge_coefficient", "1", above_zero(2.0), "mass flow over that of an ideal nozzle"),
    ("valve_lift_at_angle", "m", Range(0.0, 0.05), "lift of the valve at the moment looked at"),
    ("lift_over_diameter", "1", _SHARE, "valve lift over head diameter"),
    ("curtain_area", "m2", Range(0.0, 0.1), "cylinder between the head's edge and the seat"),
    ("curtain_lift", "m", above_zero(0.1), "lift at which the curtain is as large as the port"),
    ("seat_angle", "rad", Range(0.0, math.pi / 3), "between the seat and the plane of the head's face"),
    ("seat_width", "m", above_zero(0.02), "width of the seat in the plane of the head's face"),
    ("port_diameter", "m", above_zero(0.2), "inside diameter of the port at the seat"),
    ("stem_diameter", "m", Range(0.0, 0.05), "diameter of the valve's stem"),
    ("port_area", "m2", above_zero(0.05), "port less stem"),
    ("valve_flow_area", "m2", Range(0.0, 0.1), "narrowest area between seat, head and stem"),
    ("intake_valves", "1", above_zero(4.0), "number of intake valves in one cylinder"),
    ("mean_flow_coefficient", "1", above_zero(1.0), "real over ideal flow of the whole opening"),
    ("inlet_mach_index", "1", above_zero(5.0), "Z, mean velocity in the intake valve over speed of sound"),
    ("speed_for_mach_index", "rad/s", above_zero(5000.0), "engine speed that reaches the index", "crank"),
    ("mean_port_velocity", "m/s", Range(0.0, 2000.0), "velocity that the piston asks for on average"),
)
# fmt: on
