"""Quantities of oil: names, units, ranges and meanings for the glossary."""

from __future__ import annotations

import math

from tappetry.engineering.ranges import ANY, Range, above_zero

_KINEMATIC = Range(2e-6, 10.0)
_TEMPERATURE = Range(220.0, 480.0)
_DENSITY = Range(500.0, 1300.0)
_SMALL = above_zero(0.3)
_CLEARANCE = above_zero(0.002)
_FLOW = Range(0.0, 0.05)
_PRESSURE = Range(0.0, 1e8)
_SPEED = Range(0.0, 2000.0)
_SHARE = Range(0.0, 1.0, low_excluded=True)

# fmt: off
ROWS = (
    # --- viscosity ---
    ("oil_temperature", "K", _TEMPERATURE, "temperature of the oil"),
    ("kinematic_viscosity", "m2/s", _KINEMATIC, "viscosity over density, without high shear"),
    ("first_temperature", "K", _TEMPERATURE, "temperature of one known viscosity"),
    ("first_viscosity", "m2/s", _KINEMATIC, "kinematic viscosity at the first temperature"),
    ("second_temperature", "K", _TEMPERATURE, "temperature of another known viscosity"),
    ("second_viscosity", "m2/s", _KINEMATIC, "kinematic viscosity at the second temperature"),
    ("walther_a", "1", ANY, "A of log log(viscosity + 0.7) = A - B log T, decimal, in mm2/s and K"),
    ("walther_b", "1", ANY, "B of the same line: its slope"),
    ("viscosity_at_40", "m2/s", _KINEMATIC, "kinematic viscosity at 40 degC"),
    ("viscosity_at_100", "m2/s", _KINEMATIC, "kinematic viscosity at 100 degC"),
    ("low_index_viscosity", "m2/s", _KINEMATIC, "L, viscosity at 40 degC of an oil of index 0"),
    ("high_index_viscosity", "m2/s", _KINEMATIC, "H, viscosity at 40 degC of an oil of index 100"),
    ("viscosity_index", "1", ANY, "how little the viscosity falls with temperature"),
    ("density_at_reference", "kg/m3", _DENSITY, "density of the oil at the reference temperature"),
    ("reference_temperature", "K", _TEMPERATURE, "temperature of the stated density"),
    ("expansion_coefficient", "1/K", Range(0.0, 0.01), "growth of volume by temperature"),
    ("oil_density", "kg/m3", _DENSITY, "density of the oil at its temperature"),
    ("oil_viscosity", "Pa.s", above_zero(1e4), "dynamic viscosity of the oil at its temperature and shear"),
    # --- grades ---
    ("least_viscosity", "m2/s", _KINEMATIC, "least kinematic viscosity at 100 degC, itself allowed"),
    ("viscosity_limit", "m2/s", _KINEMATIC, "kinematic viscosity at 100 degC that has to stay below this"),
    ("least_high_shear_viscosity", "Pa.s", above_zero(1.0), "least viscosity at 150 degC and high shear"),
    ("cranking_temperature", "K", _TEMPERATURE, "temperature of the cranking test"),
    ("greatest_cranking_viscosity", "Pa.s", above_zero(1e3), "greatest dynamic viscosity of that test"),
    ("pumping_temperature", "K", _TEMPERATURE, "temperature of the pumping test"),
    ("greatest_pumping_viscosity", "Pa.s", above_zero(1e3), "greatest dynamic viscosity of that test"),
    # --- pump ---
    ("gear_outside_diameter", "m", _SMALL, "over the tips of the pump's gears", "outside"),
    ("gear_inside_diameter", "m", _SMALL, "at the roots of the pump's gears", "inside"),
    ("gear_width", "m", _SMALL, "width of the pump's gears or rotors"),
    ("largest_chamber", "m2", above_zero(0.01), "area of the largest chamber between two rotor teeth"),
    ("smallest_chamber", "m2", Range(0.0, 0.01), "area of the smallest chamber between two rotor teeth"),
    ("inner_teeth", "1", Range(3.0, 30.0), "teeth of the inner rotor"),
    ("pump_displacement", "m3", above_zero(0.001), "what the pump moves in one turn of its own", "per turn"),
    ("pump_speed", "rad/s", _SPEED, "speed of the pump's shaft", "pump"),
    ("pump_efficiency", "1", _SHARE, "real over theoretical flow of the pump"),
    ("pump_flow", "m3/s", _FLOW, "flow of the pump"),
    ("theoretical_flow", "m3/s", _FLOW, "flow of the pump without leaks inside it"),
    ("oil_pressure", "Pa", _PRESSURE, "pressure in the main gallery", "gauge"),
    ("overall_efficiency", "1", _SHARE, "hydraulic power over power of the pump's shaft"),
    ("pump_power", "W", Range(0.0, 1e5), "power that the pump's shaft takes"),
    ("relief_spring_load", "N", above_zero(1e4), "load of the relief valve's spring as it opens"),
    ("relief_diameter", "m", above_zero(0.1), "diameter of the relief valve's plunger"),
    ("relief_pressure", "Pa", _PRESSURE, "pressure at which the relief valve opens", "gauge"),
    # --- leaks ---
    ("hole_diameter", "m", above_zero(0.05), "diameter of the hole"),
    ("hole_area", "m2", Range(0.0, 0.01), "area of all holes that the oil leaves by"),
    ("hole_flow", "m3/s", _FLOW, "flow through the hole"),
    ("leak_conductance", "m3/s.Pa", Range(0.0, 1e-3), "flow of all narrow gaps over their pressure"),
    ("engine_flow", "m3/s", _FLOW, "flow that the engine lets through at this pressure"),
    ("bypass_flow", "m3/s", _FLOW, "flow that the relief valve sends back"),
    ("journal_radius", "m", _SMALL, "radius of the journal"),
    ("radial_clearance", "m", _CLEARANCE, "half the difference of the diameters", "radial"),
    ("half_length", "m", _SMALL, "from the groove in the middle to one end of the bearing"),
    ("eccentricity_ratio", "1", Range(0.0, 1.0), "shaft's offset over the radial clearance"),
    ("side_flow", "m3/s", Range(0.0, 1.0), "flow out of both ends of the bearing"),
    ("bearing_length", "m", _SMALL, "length of the bearing"),
    ("bearing_load", "N", above_zero(1e6), "load across the shaft"),
    ("journal_speed", "rad/s", above_zero(5000.0), "speed of the journal in its bearing"),
    ("bearing_pressure", "Pa", above_zero(1e10), "load over length times diameter"),
    ("sommerfeld_number", "1", above_zero(1e9), "bearing characteristic, with turns a second"),
    ("bearing_torque", "N.m", Range(0.0, 1e5), "torque that holds the centred journal back"),
    ("bearing_power", "W", Range(0.0, 1e7), "power that heats the oil in the bearing"),
    ("bearing_friction", "1", above_zero(1e3), "friction coefficient of the centred journal"),
    ("lifter_diameter", "m", above_zero(0.1), "diameter of the lifter's body"),
    ("land_length", "m", _SMALL, "length of the gap that the oil passes"),
    ("gap_flow", "m3/s", Range(0.0, 1.0), "flow through the gap all round"),
    # --- passages ---
    ("passage_volume_flow", "m3/s", above_zero(0.05), "flow in the passage"),
    ("passage_diameter", "m", above_zero(0.1), "inside diameter of the drilled passage", "inside"),
    ("passage_length", "m", above_zero(5.0), "length of the passage"),
    ("passage_velocity", "m/s", Range(0.0, 1e4), "mean velocity in the passage"),
    ("friction_factor", "1", above_zero(1e6), "friction factor of Darcy, four times that of Fanning"),
    ("passage_drop", "Pa", Range(0.0, 1e10), "pressure that the passage takes"),
    ("slot_width", "m", above_zero(2.0), "width of the flat gap, across the flow"),
    ("slot_height", "m", above_zero(0.002), "height of the flat gap between its faces"),
    ("slot_flow", "m3/s", Range(0.0, 1.0), "flow through the flat gap"),
    # --- pan and pickup ---
    ("usable_oil", "m3", above_zero(0.05), "oil in the pan above the pickup's mouth, engine running"),
    ("greatest_engine_flow", "m3/s", above_zero(0.05), "flow through the engine at relief pressure"),
    ("return_flow", "m3/s", _FLOW, "flow that finds its way back to the pan"),
    ("drain_time", "s", Range(0.0, math.inf, may_be_infinite=True), "until the pickup draws air"),
    ("tube_diameter", "m", above_zero(0.1), "inside diameter of the pickup tube", "inside"),
    ("tube_length", "m", Range(0.0, 2.0), "length of the pickup tube"),
    ("loss_coefficient", "1", Range(0.0, 1000.0), "screen, bends and mouth in velocity heads"),
    ("suction_height", "m", Range(-1.0, 1.0), "pump's inlet above the oil's surface"),
    ("gravity", "m/s2", Range(0.0, 100.0), "pull on the oil, along the height"),
    ("tube_velocity", "m/s", Range(0.0, 100.0), "mean velocity in the pickup tube"),
    ("reynolds_number", "1", Range(0.0, 1e5), "velocity times diameter over kinematic viscosity"),
    ("inlet_pressure", "Pa", ANY, "pressure at the pump's inlet", "absolute"),
    ("pickup_diameter", "m", _SMALL, "diameter of the pickup's mouth"),
    ("pickup_clearance", "m", above_zero(0.1), "between the pickup's mouth and the pan's floor"),
    ("gap_velocity", "m/s", Range(0.0, 1e4), "velocity of the oil under the mouth's rim"),
)
# fmt: on
