"""The units in which the trade writes quantities of gas, flow, burning and power."""

from __future__ import annotations

_UNITS = {
    "K": """
        gas_temperature stagnation_temperature static_temperature critical_temperature reactant_temperature
        product_temperature flame_temperature undissociated_temperature start_temperature peak_temperature
        compressed_temperature risen_temperature burned_temperature expanded_temperature
        undisturbed_temperature trapped_temperature end_gas_temperature reference_end_gas_temperature
        step_temperatures trace_temperatures
    """,
    "kPa": """
        gas_pressure stagnation_pressure static_pressure critical_pressure downstream_pressure throat_pressure
        air_pressure dry_pressure vapour_pressure saturation_pressure reactant_pressure flame_pressure
        start_pressure compressed_pressure burned_pressure expanded_pressure cycle_mean_pressure
        trapped_pressure brake_mean_pressure indicated_mean_pressure friction_mean_pressure
        total_friction_mean_pressure friction_constant
    """,
    "inH2O": "test_depression wanted_depression",
    "cfm": "bench_flow flow_at_depression",
    "g/s": "mass_flow incompressible_mass_flow",
    "Pa": "acoustic_pressure left_pressure right_pressure star_pressure",
    "s": "elapsed_time",
    "bar": """
        burning_pressure motored_pressure end_gas_pressure reference_end_gas_pressure step_pressures
        trace_pressures peak_pressure
    """,
    "bar.s/m": "friction_speed_factor",
    "bar.s2/m2": "friction_square_factor",
    "MW/m2": "wall_heat_flux",
    "hp": "corrected_power",
    "ms": "rise_time travel_time knock_delay knock_time step_durations",
    "g/mol": "molar_mass",
    "kJ/kg": "heat_added net_work gas_enthalpy",
    "m": """
        altitude geometric_altitude pressure_altitude density_altitude diaphragm_position sample_position
        left_head_position left_tail_position contact_position right_tail_position right_head_position
        shock_formation_distance wavelength
    """,
}
DISPLAY = {name: unit for unit, names in _UNITS.items() for name in names.split()}

ALTITUDES = tuple(name for name in DISPLAY if name.endswith("altitude"))
