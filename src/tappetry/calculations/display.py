"""The unit in which the trade writes each quantity, and the kind of quantity that a SI unit stands for."""

from __future__ import annotations

from tappetry.calculations import display_gas

KIND_OF_UNIT = {
    "1": "dimensionless",
    "m": "length",
    "m2": "area",
    "m3": "volume",
    "rad": "angle",
    "rad/m": "angle-per-length",
    "m.rad": "length-times-angle",
    "m/rad": "length-per-angle",
    "m/rad2": "length-per-angle-squared",
    "m/rad3": "length-per-angle-cubed",
    "m/s": "speed",
    "m/s2": "acceleration",
    "m/s3": "jerk",
    "rad/s": "angular-speed",
    "Hz": "frequency",
    "kg": "mass",
    "kg/m3": "density",
    "N": "force",
    "N/m": "stiffness",
    "N.m": "torque",
    "Pa": "pressure",
    "K": "temperature",
    "s": "time",
    "kg/s": "mass-flow",
    "m3/s": "volume-flow",
    "W": "power",
    "W/m2": "heat-flux",
    "W/m2.K": "heat-transfer-coefficient",
    "W/m.K": "thermal-conductivity",
    "J": "energy",
    "J/kg": "specific-energy",
    "J/kg.K": "specific-heat-capacity",
    "kg/mol": "molar-mass",
    "kg/J": "specific-fuel-consumption",
    "Pa.s": "dynamic-viscosity",
    "Pa.s/m": "pressure-per-speed",
    "Pa.s2/m2": "pressure-per-speed-squared",
    "1/rad": "per-angle",
    "1/K": "thermal-expansion",
    "m2/s": "kinematic-viscosity",
    "m3/s.Pa": "leak-conductance",
}

_KINDS = {**dict.fromkeys(display_gas.ALTITUDES, "distance"), "temperature_rise": "temperature-difference"}
"""Quantities of another kind than their unit says at first."""

_USUAL = {
    "m": "mm",
    "m2": "mm2",
    "m3": "cc",
    "rad": "deg",
    "m.rad": "mm.deg",
    "rad/m": "deg/mm",
    "rad/s": "rpm",
    "kg": "g",
    "N": "lbf",
    "N/m": "lbf/in",
    "Pa": "MPa",
    "K": "degC",
    "Pa.s": "mPa.s",
    "m2/s": "mm2/s",
    "m3/s": "L/min",
    "m3/s.Pa": "L/min.bar",
}

_IN_INCHES = """
    lobe_lift checking_height seat_checking_height lobe_lift_at_angle lift_at_valve hot_lash
    upper_checking_height hot_preload_loss
    lobe_lift_measured valve_lift_measured reference_height installed_height least_height greatest_height
    solid_height free_length coil_bind_margin seat_change shim_thickness shelf first_shim second_shim
    lock_offset retainer_step closed_distance retainer_to_seal reference_length required_length
    pushrod_length gasket_change skim pedestal_rise valve_tip_rise cup_offset preload_change
    wanted_preload preload outside_diameter wall_thickness pushrod_compression wire_diameter mean_diameter
    small_mean_diameter large_mean_diameter valve_drop minimum_clearance required_clearance
    lobe_lifts lift_tolerance lift_spread worst_loss heights
    coil_pitch yield_travel solid_safe_length closing_travel first_closing_travel conical_travel stable_length
    buckling_travel outer_solid_height inner_solid_height inner_step outer_margin inner_margin
    outer_mean_diameter outer_wire_diameter inner_mean_diameter inner_wire_diameter spring_interference
    reference_diameter lash_at_lobe rocker_arm square_lift sweep_width closed_contact open_contact
    intake_valve_lift exhaust_valve_lift canted_valve_gap
    intake_lobe_lift exhaust_lobe_lift valve_checking_height height_at_lobe table_lifts reading_noise
    worst_residual cup_arm cup_square_lift moved_valve_lift clay_thickness checking_gasket checking_lash
    probe_readings open_height coil_gap zero_lash_length least_preload greatest_preload stock_lengths
    chosen_length window_miss new_free_length length_lost
"""
_DISPLAY = {
    **display_gas.DISPLAY,
    **dict.fromkeys(_IN_INCHES.split(), "in"),
    **dict.fromkeys(("ambient_pressure", "cranking_pressure", "boost_pressure", "cylinder_pressure"), "psi"),
    **dict.fromkeys(("elastic_modulus", "shear_modulus", "contact_modulus"), "GPa"),
    "surge_frequency": "cpm",
    **dict.fromkeys(
        ("bolt_load", "bolt_preload", "external_load", "clamp_load", "separation_load", "total_load"), "kN"
    ),
    **dict.fromkeys(("preload_gain", "thermal_load_change", "bolt_strip_load", "hole_strip_load"), "kN"),
    **dict.fromkeys(("settling_loss", "least_bolt_preload"), "kN"),
    "settlement": "µm",
    "passage_drop": "kPa",
    **dict.fromkeys(("least_external_load", "greatest_external_load"), "kN"),
    **dict.fromkeys(("bolt_stiffness", "joint_stiffness", "frustum_stiffness", "layer_stiffness"), "N/mm"),
    **dict.fromkeys(("stiffnesses", "series_stiffness", "parallel_stiffness"), "N/mm"),
    **dict.fromkeys(("first_elastic_modulus", "second_elastic_modulus"), "GPa"),
    **dict.fromkeys(("gas_load", "gas_load_per_bolt"), "kN"),
    **dict.fromkeys(("inertia_force", "gas_force", "rod_force", "side_force", "pressed_load"), "N"),
    **dict.fromkeys(("gasket_pressure", "firing_gasket_pressure", "firing_pressure"), "MPa"),
    "temperature_rise": "K",
    "ring_squeeze": "%",
    "displacement": "L",
    **dict.fromkeys(("oil_pressure", "relief_pressure", "pressure_drop", "inlet_pressure"), "kPa"),
    "usable_oil": "L",
    "turns_per_length": "rev/mi",
    **dict.fromkeys(("road_speed", "indicated_speed"), "mph"),
    **dict.fromkeys(("rolling_force", "drag_force", "road_load"), "N"),
    "vehicle_mass": "kg",
    "drag_area": "m2",
    **dict.fromkeys(
        ("rim_diameter", "tyre_diameter", "original_tyre_diameter", "rolling_diameter"),
        "in",
    ),
    **dict.fromkeys(("fuel_flow", "injector_flow", "flow_at_pressure"), "lb/h"),
    "injector_volume_flow": "cc/min",
    "air_volume_flow": "cfm",
    "engine_power": "hp",
    "specific_consumption": "lb/hp.h",
    **dict.fromkeys(("pulse_width", "dead_time"), "ms"),
    **dict.fromkeys(
        ("heating_value", "first_heating_value", "second_heating_value", "blend_heating_value"), "MJ/kg"
    ),
    **dict.fromkeys(("rated_pressure", "fuel_pressure"), "kPa"),
    "injector_duty": "%",
}


def kind_of(name: str, unit: str) -> str:
    """The kind of a quantity with a SI unit."""
    return _KINDS.get(name, KIND_OF_UNIT[unit])


def display_unit(name: str, unit: str) -> str:
    """The trade's unit for a quantity with a SI unit."""
    return _DISPLAY.get(name, _USUAL.get(unit, unit))
