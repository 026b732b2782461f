"""Quantities of burning, heat, knock, friction and power: names, units, ranges, meanings."""

from __future__ import annotations

import math

from tappetry.engineering.ranges import ANY, Range, above_zero, either_way

_SHARE = Range(0.0, 1.0)
_BURNED = Range(0.0, 1.0, low_excluded=True)
_ANGLE = either_way(4 * math.pi)
_MEAN_PRESSURE = Range(0.0, 1e7)

# fmt: off
ROWS = (
    # --- burning by the Wiebe law ---
    ("burn_start", "rad", either_way(math.pi), "start of the burn; negative is before TDC", "crank, ATDC"),
    ("burn_duration", "rad", above_zero(2 * math.pi), "from start to end of the burn", "crank"),
    ("burn_progress", "1", _SHARE, "angle since the start of the burn over its duration"),
    ("wiebe_a", "1", above_zero(20.0), "a, how complete the burn is at its end; 5 for 99.3 %"),
    ("wiebe_m", "1", Range(-0.5, 20.0), "m, shape of the burn: larger starts slower"),
    ("wiebe_fraction", "1", _SHARE, "burned share of the mass at a share of the duration"),
    ("burned_fraction", "1", _SHARE, "burned share of the mass at a crank angle"),
    ("burn_rate", "1/rad", Range(0.0, 1e3), "burned share for each crank angle", "crank"),
    ("wanted_fraction", "1", Range(0.0, 1.0), "burned share for which the angle is wanted"),
    ("burn_angle", "rad", _ANGLE, "where this share has burned, after TDC", "crank, ATDC"),
    ("burn_10_angle", "rad", _ANGLE, "where 10 % of the mass has burned, after TDC", "crank, ATDC"),
    ("burn_50_angle", "rad", _ANGLE, "where half of the mass has burned, after TDC", "crank, ATDC"),
    ("burn_90_angle", "rad", _ANGLE, "where 90 % of the mass has burned, after TDC", "crank, ATDC"),
    ("burn_10_to_90", "rad", above_zero(2 * math.pi), "from 10 to 90 % burned", "crank"),
    ("peak_position", "1", _SHARE, "share of the duration at which the burn is fastest"),
    ("peak_rate", "1", Range(0.0, 1e3), "largest burned share for each duration"),
    ("end_fraction", "1", Range(0.0, 0.9999999, low_excluded=True), "burned share at the end of the burn"),
    # --- heat to the walls ---
    ("swirl_velocity", "m/s", Range(0.0, 200.0), "tangential velocity of the charge at the bore"),
    ("trapped_volume", "m3", above_zero(0.01), "volume of the cylinder when the intake valve shuts"),
    ("trapped_temperature", "K", Range(200.0, 1500.0), "temperature when the intake valve shuts"),
    ("trapped_pressure", "Pa", Range(1e3, 1e7), "pressure when the intake valve shuts", "absolute"),
    ("burning_pressure", "Pa", Range(1e3, 1e8), "pressure in the cylinder while it burns", "absolute"),
    ("motored_pressure", "Pa", Range(1e3, 1e8), "pressure at the same angle without a fire", "absolute"),
    ("cylinder_volume", "m3", above_zero(0.02), "volume of the cylinder at the moment looked at"),
    ("exchange_velocity", "m/s", ANY, "Woschni's gas velocity while the valves are open"),
    ("compression_velocity", "m/s", ANY, "Woschni's gas velocity of the compression"),
    ("combustion_velocity", "m/s", ANY, "Woschni's gas velocity of burning and expansion"),
    ("correlation_velocity", "m/s", above_zero(1e3), "Woschni's gas velocity w"),
    ("heat_transfer_coefficient", "W/m2.K", Range(0.0, 1e6), "from gas to wall"),
    ("bore_ratio", "1", above_zero(100.0), "bore over bore before"),
    ("pressure_change_ratio", "1", above_zero(1e3), "pressure over pressure before"),
    ("temperature_change_ratio", "1", above_zero(100.0), "temperature over temperature before"),
    ("velocity_change_ratio", "1", above_zero(1e3), "gas velocity over gas velocity before"),
    ("heat_transfer_ratio", "1", above_zero(1e9), "heat transfer coefficient over the one before"),
    ("wall_temperature", "K", Range(200.0, 2000.0), "temperature of the wall on the gas side"),
    ("wall_heat_flux", "W/m2", ANY, "heat from gas to wall through an area"),
    # --- knock ---
    ("octane_number", "1", Range(1.0, 150.0), "octane number of the fuel"),
    ("research_octane", "1", Range(1.0, 150.0), "octane number by the research method, RON"),
    ("motor_octane", "1", Range(1.0, 150.0), "octane number by the motor method, MON"),
    ("octane_weight", "1", either_way(2.0), "K, how much the motor method counts in this engine"),
    ("octane_index", "1", ANY, "octane number that the engine feels"),
    ("antiknock_index", "1", ANY, "number on the pump, (R+M)/2"),
    ("end_gas_pressure", "Pa", Range(1e3, 1e8), "pressure of the gas that burns last", "absolute"),
    ("end_gas_temperature", "K", Range(200.0, 6000.0), "temperature of the gas that burns last"),
    ("knock_delay", "s", Range(0.0, math.inf), "time in which the end gas lights itself, at a steady state"),
    ("step_durations", "s", above_zero(1e6), "how long each steady step lasts, one value each"),
    ("step_pressures", "Pa", Range(1e3, 1e8), "end gas pressure of each step, one value each", "absolute"),
    ("step_temperatures", "K", Range(200.0, 6000.0), "end gas temperature of each step, one value each"),
    ("trace_angles", "rad", _ANGLE, "crank angles of a trace, rising, one value each", "crank"),
    ("trace_pressures", "Pa", Range(1e3, 1e8), "end gas pressure at each angle, one value each", "absolute"),
    ("trace_temperatures", "K", Range(200.0, 6000.0), "end gas temperature at each angle, one value each"),
    ("knock_integral", "1", Range(0.0, math.inf), "sum of time over knock delay; at 1 the end gas lights"),
    ("knock_time", "s", Range(0.0, math.inf, may_be_infinite=True),
     "when the integral reaches 1; infinite where it does not"),
    ("knock_angle", "rad", Range(-4 * math.pi, math.inf, may_be_infinite=True),
     "where the integral reaches 1; infinite where it does not", "crank"),
    ("reference_end_gas_pressure", "Pa", Range(1e3, 1e8), "pressure at which it was known", "absolute"),
    ("reference_end_gas_temperature", "K", Range(200.0, 2000.0), "temperature at that pressure"),
    # --- mean pressures, torque and power ---
    ("strokes_per_cycle", "1", above_zero(6.0), "4 for a four-stroke, 2 for a two-stroke engine"),
    ("brake_mean_pressure", "Pa", _MEAN_PRESSURE, "work at the crank over displacement"),
    ("indicated_mean_pressure", "Pa", _MEAN_PRESSURE, "work on the pistons over displacement"),
    ("friction_mean_pressure", "Pa", Range(0.0, 2e6), "work of friction over displacement"),
    ("mechanical_efficiency", "1", _BURNED, "work at the crank over work on the pistons"),
    ("friction_constant", "Pa", Range(0.0, 1e6), "A of Chen and Flynn's formula"),
    ("friction_pressure_factor", "1", Range(0.0, 0.1), "B of the formula, for the peak pressure"),
    ("friction_speed_factor", "Pa.s/m", Range(0.0, 1e5), "C of the formula, for the mean piston speed"),
    ("friction_square_factor", "Pa.s2/m2", Range(0.0, 1e4), "D of the formula, for its square; often 0"),
    ("peak_pressure", "Pa", Range(1e3, 1e8), "highest pressure in the cylinder", "absolute"),
    ("total_friction_mean_pressure", "Pa", Range(0.0, 1e7), "friction, pumping and auxiliaries, wide open"),
    # --- power correction ---
    ("correction_factor", "1", above_zero(10.0), "by which a measured power is multiplied"),
    ("validity_excess", "1", Range(0.0, 10.0), "by how much the factor lies outside its standard; 0 inside"),
    ("sae_j1349_factor", "1", above_zero(10.0), "factor to 99 kPa dry and 25 degC"),
    ("sae_j607_factor", "1", above_zero(10.0), "factor to 29.92 inHg and 60 degF"),
    ("iso_1585_factor", "1", above_zero(10.0), "factor to 99 kPa dry and 298 K"),
    ("din_70020_factor", "1", above_zero(10.0), "factor to 1013 mbar and 20 degC"),
    ("corrected_power", "W", Range(0.0, 1e8), "power at the reference of the standard"),
)
# fmt: on
