"""Quantities of the vehicle and its fuel: names, units, ranges and meanings for the glossary."""

from __future__ import annotations

import math

from tappetry.engineering.ranges import Range, above_zero

_DIAMETER = above_zero(3.0)
_RATIO = above_zero(30.0)
_SPEED = Range(0.0, 200.0)
_STOICHIOMETRIC = Range(2.0, 40.0)
_DENSITY = Range(100.0, 2000.0)
_HEAT = Range(1e6, 2e8)
_FLOW = Range(0.0, 10.0)
_PRESSURE = above_zero(1e8)

# fmt: off
ROWS = (
    # --- tyre ---
    ("section_width", "m", above_zero(1.0), "nominal width of the tyre"),
    ("aspect_ratio", "1", Range(0.1, 1.5), "section height over section width"),
    ("rim_diameter", "m", above_zero(1.5), "nominal diameter of the rim"),
    ("section_height", "m", above_zero(1.0), "height of the tyre's side"),
    ("tyre_diameter", "m", _DIAMETER, "diameter of the driven wheel's tyre, as it rolls or overall"),
    ("turns_per_length", "rad/m", above_zero(1e3), "turns of the tyre in a length of road"),
    ("rolling_factor", "1", Range(2.8, 3.15), "rolling circumference over overall diameter"),
    ("rolling_circumference", "m", above_zero(10.0), "way of the loaded tyre in one turn"),
    ("rolling_diameter", "m", _DIAMETER, "diameter of a circle with the rolling circumference"),
    # --- driveline ---
    ("gear_ratio", "1", _RATIO, "turns of the gearbox input for one of its output; below 1 in overdrive"),
    ("next_gear_ratio", "1", _RATIO, "ratio of the gear that is shifted to"),
    ("final_drive", "1", _RATIO, "turns of the propeller shaft for one of the wheels"),
    ("original_final_drive", "1", _RATIO, "axle ratio for which the speedometer was made"),
    ("original_tyre_diameter", "m", _DIAMETER, "tyre for which the speedometer was made"),
    ("converter_slip", "1", Range(0.0, 0.99), "share of the engine's speed that the converter loses"),
    ("turbine_speed", "rad/s", Range(0.0, 2000.0), "speed of the converter's output"),
    ("stall_speed", "rad/s", above_zero(1500.0), "engine speed against the held converter"),
    ("reference_torque", "N.m", above_zero(1e4), "engine torque at which the converter's stall was stated"),
    ("reference_stall_speed", "rad/s", above_zero(1500.0), "stall speed that was stated at that torque"),
    ("engine_torque", "N.m", above_zero(1e4), "torque of the engine"),
    ("driveline_efficiency", "1", Range(0.0, 1.0, low_excluded=True), "power at the wheels over the crank's"),
    ("road_speed", "m/s", _SPEED, "speed over the road"),
    ("indicated_speed", "m/s", _SPEED, "speed that the speedometer shows"),
    ("tractive_force", "N", Range(0.0, 1e7), "push of the driven tyres on the road"),
    ("curve_speeds", "rad/s", above_zero(1500.0), "speeds of a torque curve, rising, one value each"),
    ("curve_torques", "N.m", Range(0.0, 1e4), "torque of the engine at each speed of the curve, wide open"),
    ("stall_torque", "N.m", above_zero(1e4), "torque of the engine at the stall"),
    ("stall_torque_ratio", "1", Range(1.0, 5.0), "torque behind the converter over that before it, stalled"),
    ("launch_torque", "N.m", above_zero(5e4), "torque behind the converter with its output held"),
    ("vehicle_mass", "kg", above_zero(2e4), "mass of the vehicle as it drives"),
    ("rolling_resistance", "1", Range(0.0, 0.1), "force that rolls the tyres over the weight on them"),
    ("drag_area", "m2", Range(0.0, 10.0), "drag coefficient times frontal area"),
    ("air_density", "kg/m3", above_zero(3.0), "density of the air around"),
    ("rolling_force", "N", Range(0.0, 1e5), "force that rolls the tyres"),
    ("drag_force", "N", Range(0.0, 1e6), "force of the air against the vehicle"),
    ("road_load", "N", Range(0.0, 1e6), "what holds the vehicle on a level road"),
    ("torque_for_road_load", "N.m", Range(0.0, 1e6), "torque of the engine that holds the load of the road"),
    # --- fuel and air ---
    ("carbon_atoms", "1", Range(0.0, 200.0), "carbon in the fuel's formula, or in proportion"),
    ("hydrogen_atoms", "1", Range(0.0, 500.0), "hydrogen in the fuel's formula, or in proportion"),
    ("oxygen_atoms", "1", Range(0.0, 100.0), "oxygen in the fuel's formula, or in proportion"),
    ("oxygen_in_air", "1", Range(0.05, 1.0), "oxygen in dry air, by volume"),
    ("argon_in_air", "1", Range(0.0, 0.5), "argon in dry air, by volume"),
    ("stoichiometric_ratio", "1", _STOICHIOMETRIC, "air for a complete burn over fuel, by mass"),
    ("air_fuel_ratio", "1", Range(1.0, 100.0), "air over fuel, by mass"),
    ("lambda_ratio", "1", above_zero(20.0), "air-fuel ratio over stoichiometric ratio; lean is above 1"),
    ("second_share", "1", Range(0.0, 1.0), "share of the second fuel", "by volume"),
    ("first_density", "kg/m3", _DENSITY, "density of the first fuel"),
    ("second_density", "kg/m3", _DENSITY, "density of the second fuel"),
    ("first_stoichiometric_ratio", "1", _STOICHIOMETRIC, "stoichiometric ratio of the first fuel"),
    ("second_stoichiometric_ratio", "1", _STOICHIOMETRIC, "stoichiometric ratio of the second fuel"),
    ("carbon_mass_share", "1", Range(0.0, 1.0), "carbon in the fuel", "by mass"),
    ("hydrogen_mass_share", "1", Range(0.0, 1.0), "hydrogen in the fuel", "by mass"),
    ("oxygen_mass_share", "1", Range(0.0, 1.0), "oxygen in the fuel", "by mass"),
    ("first_heating_value", "J/kg", _HEAT, "lower heating value of the first fuel"),
    ("second_heating_value", "J/kg", _HEAT, "lower heating value of the second fuel"),
    ("second_mass_share", "1", Range(0.0, 1.0), "share of the second fuel", "by mass"),
    ("blend_density", "kg/m3", _DENSITY, "density of the blend, volumes added up"),
    ("blend_stoichiometric_ratio", "1", _STOICHIOMETRIC, "stoichiometric ratio of the blend"),
    ("blend_heating_value", "J/kg", _HEAT, "lower heating value of the blend"),
    ("heating_value", "J/kg", _HEAT, "lower heating value of the fuel"),
    ("fuel_density", "kg/m3", _DENSITY, "density of the fuel"),
    ("charge_density", "kg/m3", above_zero(20.0), "density of the air for which the filling is counted"),
    ("volumetric_efficiency", "1", above_zero(5.0), "air taken in over displacement of air at that density"),
    ("air_flow", "kg/s", _FLOW, "mass of air that the engine takes in"),
    ("air_volume_flow", "m3/s", _FLOW, "the same as volume, at the stated density"),
    ("fuel_flow", "kg/s", Range(0.0, 1.0), "mass of fuel that the engine takes"),
    # --- injectors ---
    ("engine_power", "W", above_zero(1e7), "power at the crank"),
    ("specific_consumption", "kg/J", Range(1e-8, 1e-6), "fuel over work at the crank"),
    ("brake_efficiency", "1", above_zero(1.0), "work at the crank over heat of the fuel"),
    ("injector_count", "1", Range(1.0, 48.0), "number of injectors that share the fuel"),
    ("injector_duty", "1", Range(0.0, math.inf), "share of the time that an injector is open"),
    ("duty_limit", "1", Range(0.0, 1.0, low_excluded=True), "largest share of the time that is to be used"),
    ("injector_flow", "kg/s", above_zero(0.1), "flow of one injector held open"),
    ("injector_volume_flow", "m3/s", above_zero(1e-3), "flow of one injector held open, as volume"),
    ("rated_pressure", "Pa", _PRESSURE, "pressure at which the injector's flow is stated", "across it"),
    ("fuel_pressure", "Pa", _PRESSURE, "pressure at the injector: rail less manifold", "across it"),
    ("flow_at_pressure", "kg/s", above_zero(1.0), "flow of the injector at the fuel pressure"),
    ("pulse_width", "s", Range(0.0, 1.0), "time that an injector is held open, once in two turns"),
    ("fuel_mass", "kg", Range(0.0, 1e-3), "fuel for one cylinder and cycle"),
    ("dead_time", "s", Range(0.0, 0.01), "time that an injector needs to open, less that to close"),
)
# fmt: on
