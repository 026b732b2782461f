"""Air, moist air, atmosphere, burned gas and flames against property libraries, standards and balances."""

from __future__ import annotations

from functools import cache

import cantera
import CoolProp.CoolProp as coolprop
import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from hypothesis import given, settings
from hypothesis import strategies as st

from tappetry.engineering import atmosphere, burned_gas, flames, gas_properties, humid_air
from tappetry.engineering.charge import FUELS, fresh_moles, product_moles
from tappetry.engineering.dissociation import PRODUCTS, atoms_in
from tappetry.engineering.gas_mixtures import Mixture
from tappetry.engineering.gas_tables import REFERENCE_PRESSURE, SPECIES
from tappetry.engineering.ranges import OutOfRange

pytestmark = pytest.mark.slow

ATM = 101325.0
FUEL_NAMES = st.sampled_from(FUELS)
RATIOS = st.floats(0.4, 1.6)
FEW = settings(max_examples=settings.default.max_examples // 5)


@cache
def cantera_gas() -> cantera.Solution:
    """The same polynomials in a chemistry library, which has its own solver."""
    species = []
    for name, gas in SPECIES.items():
        each = cantera.Species(name, gas.atoms)
        coefficients = np.array([1000.0, *gas.hot, *gas.cold])
        each.thermo = cantera.NasaPoly2(200.0, 6000.0, REFERENCE_PRESSURE, coefficients)
        species.append(each)
    return cantera.Solution(thermo="ideal-gas", species=species)


@cache
def products_in_cantera() -> cantera.Solution:
    """The products alone, so that no fuel is left over."""
    species = [each for each in cantera_gas().species() if each.name in PRODUCTS]
    return cantera.Solution(thermo="ideal-gas", species=species)


@cache
def published_table() -> dict[str, cantera.Species]:
    """The machine-readable form of NASA TM-4513 that the chemistry library ships."""
    return {each.name: each for each in cantera.Species.list_from_file("nasa_gas.yaml")}


# --- one gas and air -----------------------------------------------------------------------------------

OTHER_NAMES = {"C7H16": "C7H16,n-heptane", "C8H18": "C8H18,isooctane"}


@pytest.mark.parametrize("name", SPECIES)
def test_the_table_is_the_published_one(name: str) -> None:
    """NASA TM-4513, all coefficients of all gases."""
    published = published_table()[OTHER_NAMES.get(name, name)]
    hot, cold = published.thermo.coeffs[1:8], published.thermo.coeffs[8:15]
    np.testing.assert_array_equal(SPECIES[name].cold, cold)
    np.testing.assert_array_equal(SPECIES[name].hot, hot if name != "Ar" else cold)
    assert SPECIES[name].atoms == {element: int(count) for element, count in published.composition.items()}


@given(name=st.sampled_from(list(SPECIES)), temperature=st.floats(200.0, 6000.0))
def test_each_gas_is_that_of_the_library(name: str, temperature: float) -> None:
    gas = cantera_gas()
    gas.TPX = temperature, ATM, {name: 1.0}
    got = gas_properties.gas_properties(name, temperature)
    assert got.isobaric_heat_capacity == pytest.approx(gas.cp_mass, rel=1e-6)
    assert got.isochoric_heat_capacity == pytest.approx(gas.cv_mass, rel=1e-6)
    assert got.sound_speed == pytest.approx(gas.sound_speed, rel=1e-6)
    assert got.gas_enthalpy == pytest.approx(gas.enthalpy_mass, rel=1e-6, abs=1.0)
    assert got.molar_mass == pytest.approx(gas.mean_molecular_weight / 1e3, rel=1e-6)


@given(temperature=st.floats(250.0, 2000.0), pressure=st.floats(5e4, 2e5))
def test_air_is_that_of_the_library_within_what_an_ideal_gas_can(temperature: float, pressure: float) -> None:
    """A real-gas library; 0.5 % at the cold end, where air is not quite ideal."""
    got = gas_properties.gas_properties("dry air", temperature)
    density = gas_properties.gas_density(pressure, temperature, got.gas_constant)

    def real(what: str) -> float:
        return float(coolprop.PropsSI(what, "T", temperature, "P", pressure, "Air"))

    assert density == pytest.approx(real("D"), rel=0.003)
    assert got.isobaric_heat_capacity == pytest.approx(real("CPMASS"), rel=0.006)
    assert got.isobaric_heat_capacity == pytest.approx(real("CP0MASS"), rel=0.004)
    assert got.heat_capacity_ratio == pytest.approx(real("CPMASS") / real("CVMASS"), rel=0.005)
    assert got.sound_speed == pytest.approx(real("A"), rel=0.003)


def test_air_itself() -> None:
    """Dry air: 28.9655 g/mol in the property library, 28.9644 in the US Standard Atmosphere 1976."""
    air = gas_properties.gas_constants("dry air")
    assert 28.9643e-3 < air.molar_mass < 28.9656e-3
    assert air.molar_mass * air.gas_constant == pytest.approx(8.31446261815324)


@given(temperature=st.floats(200.0, 2000.0))
def test_transport_of_air_is_that_of_the_library(temperature: float) -> None:
    got = gas_properties.air_transport(temperature)
    viscosity, conductivity = (
        coolprop.PropsSI(what, "T", temperature, "P", 1e4, "Air") for what in ("V", "L")
    )
    assert got.dynamic_viscosity == pytest.approx(viscosity, rel=0.0015)
    assert got.thermal_conductivity == pytest.approx(conductivity, rel=0.0025)


def test_viscosity_ends_where_its_formula_ends() -> None:
    with pytest.raises(OutOfRange) as refusal:
        gas_properties.air_transport(2500.0)
    assert str(refusal.value) == (
        "temperature for viscosity = 2500 K must be 200..2000 K (range of the published formula for air)"
    )


def test_an_unknown_gas_is_named() -> None:
    with pytest.raises(OutOfRange, match="gas 'air' must be one of dry air, N2, O2, Ar"):
        gas_properties.gas_properties("air", 300.0)


# --- water ---------------------------------------------------------------------------------------------

# IAPWS R7-97, table 35, and R14-08, table 3: printed to check a program, from memory.
PRINTED = {300.0: 0.353658941e4, 500.0: 0.263889776e7, 600.0: 0.123443146e8, 230.0: 8.94735}


@pytest.mark.parametrize(("temperature", "pressure"), PRINTED.items())
def test_saturation_is_as_printed(temperature: float, pressure: float) -> None:
    """IAPWS R7-97 and IAPWS R14-08."""
    assert humid_air.saturation_pressure(temperature) == pytest.approx(pressure, rel=1e-6)


@given(temperature=st.floats(273.17, 640.0))
def test_saturation_is_that_of_the_library(temperature: float) -> None:
    expected = coolprop.PropsSI("P", "T", temperature, "Q", 0, "Water")
    assert humid_air.saturation_pressure(temperature) == pytest.approx(expected, rel=0.0007)


def test_water_and_ice_meet() -> None:
    below, above = humid_air.saturation_pressure(np.array([273.15999, 273.16001]))
    assert below == pytest.approx(above, rel=1e-5)
    assert below == pytest.approx(611.657, rel=1e-5)


@given(temperature=st.floats(205.0, 380.0))
def test_dew_point_turns_saturation_round(temperature: float) -> None:
    assert humid_air.dew_point(humid_air.saturation_pressure(temperature)) == pytest.approx(temperature)


@given(temperature=st.floats(275.0, 320.0), pressure=st.floats(7e4, 1.1e5), humidity=st.floats(0.02, 1.0))
def test_moist_air_is_that_of_the_library(temperature: float, pressure: float, humidity: float) -> None:
    """A library of real moist air; the 0.4 % by which air raises the vapour's pressure are left out here."""
    got = humid_air.humid_air(pressure, temperature, humidity)
    state = ("T", temperature, "P", pressure, "R", humidity)
    assert got.vapour_pressure == pytest.approx(coolprop.HAPropsSI("P_w", *state), rel=0.006)
    assert got.humidity_ratio == pytest.approx(coolprop.HAPropsSI("W", *state), rel=0.008)
    volume = coolprop.HAPropsSI("Vha", *state)
    assert got.gas_density == pytest.approx(1.0 / volume, rel=0.001)
    assert got.dry_pressure + got.vapour_pressure == pytest.approx(pressure)
    assert humid_air.relative_humidity(got.vapour_pressure, temperature) == pytest.approx(humidity)


@given(temperature=st.floats(278.0, 313.0), humidity=st.floats(0.1, 0.98))
def test_the_wet_bulb_is_that_of_the_library(temperature: float, humidity: float) -> None:
    """The library's wet bulb is that of saturation without heat; a sock comes within 8 % of its drop."""
    wet = coolprop.HAPropsSI("Twb", "T", temperature, "P", ATM, "R", humidity)
    if wet < 273.16:
        return  # a frozen sock
    got = humid_air.vapour_pressure_from_wet_bulb(wet, temperature, ATM)
    at_the_sock = humid_air.saturation_pressure(wet)
    in_the_air = humidity * humid_air.saturation_pressure(temperature)
    assert at_the_sock - got == pytest.approx(at_the_sock - in_the_air, rel=0.08, abs=3.0)


def test_readings_that_cannot_be_are_refused() -> None:
    with pytest.raises(OutOfRange, match="air temperature less wet bulb temperature = -1 K"):
        humid_air.vapour_pressure_from_wet_bulb(300.0, 299.0, ATM)
    with pytest.raises(OutOfRange, match="Check the readings, and that the sock was wet"):
        humid_air.vapour_pressure_from_wet_bulb(275.0, 300.0, ATM)
    with pytest.raises(OutOfRange, match=r"relative humidity = 1\.13\d+ must be 0\.\.1"):
        humid_air.relative_humidity(4000.0, 300.0)
    with pytest.raises(OutOfRange, match="Dry air has no dew point"):
        humid_air.dew_point(0.0)
    with pytest.raises(OutOfRange, match="the air's own share of the barometer"):
        humid_air.humid_air(2000.0, 300.0, 1.0)


# --- standard atmosphere -------------------------------------------------------------------------------

# US Standard Atmosphere 1976, table I, geopotential altitude: K, Pa; from memory.
LAYERS = {
    0.0: (288.15, 101325.0),
    11000.0: (216.65, 22632.1),
    20000.0: (216.65, 5474.89),
    32000.0: (228.65, 868.02),
}


@pytest.mark.parametrize(("altitude", "row"), LAYERS.items())
def test_layers_of_the_atmosphere(altitude: float, row: tuple[float, float]) -> None:
    got = atmosphere.standard_atmosphere(altitude)
    assert got.gas_temperature == pytest.approx(row[0], abs=0.005)
    assert got.gas_pressure == pytest.approx(row[1], rel=1e-5)


@given(height=st.floats(-4000.0, 80000.0))
def test_atmosphere_is_that_of_the_library(height: float) -> None:
    theirs = ATMOSPHERE_1976(height)
    geopotential = atmosphere.altitude(height)
    assert geopotential == pytest.approx(theirs.H, abs=1e-6)
    got = atmosphere.standard_atmosphere(geopotential)
    assert got.gas_temperature == pytest.approx(theirs.T)
    assert got.gas_pressure == pytest.approx(theirs.P)
    assert got.gas_density == pytest.approx(theirs.rho)
    assert got.sound_speed == pytest.approx(theirs.v_sonic)
    assert got.dynamic_viscosity == pytest.approx(theirs.mu)


@given(altitude=st.floats(-4900.0, 80000.0))
def test_altitude_from_pressure_and_from_density(altitude: float) -> None:
    air = atmosphere.standard_atmosphere(altitude)
    assert atmosphere.pressure_altitude(air.gas_pressure) == pytest.approx(altitude, abs=1e-3)
    assert atmosphere.density_altitude(air.gas_density) == pytest.approx(altitude, abs=1e-3)


def test_no_altitude_has_such_air() -> None:
    with pytest.raises(OutOfRange) as refusal:
        atmosphere.pressure_altitude(2e5)
    assert str(refusal.value).startswith("gas pressure for an altitude = 200000 Pa must be 0.3733")
    assert "(standard atmosphere from -5000 to 84852 m). Check the unit" in str(refusal.value)
    with pytest.raises(OutOfRange, match="gas density for an altitude = 2 kg/m3 must be"):
        atmosphere.density_altitude(2.0)


# --- burned gas ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("temperature", "capacity", "gamma"), [(1500.0, 1381.12, 1.26653), (2500.0, 1478.48, 1.24468)]
)
def test_burned_gas_of_another_mechanism(temperature: float, capacity: float, gamma: float) -> None:
    """A chemistry library with the polynomials of GRI-Mech 3.0: CO2 8, H2O 9, N2 47."""
    gas = cantera.Solution("gri30.yaml")
    gas.TPX = temperature, ATM, "CO2:8, H2O:9, N2:47"
    got = burned_gas.burned_gas("C8H18", 1.0, temperature)
    for ours, theirs, printed in (
        (got.isobaric_heat_capacity, gas.cp_mass, capacity),
        (got.heat_capacity_ratio, gas.cp_mass / gas.cv_mass, gamma),
        (got.sound_speed, gas.sound_speed, gas.sound_speed),
    ):
        assert ours == pytest.approx(theirs, rel=0.002)
        assert theirs == pytest.approx(printed, rel=1e-5)


@given(fuel=FUEL_NAMES, ratio=RATIOS)
def test_burning_keeps_every_atom_and_leaves_nothing_negative(fuel: str, ratio: float) -> None:
    before = atoms_in({name: float(amount) for name, amount in fresh_moles(fuel, ratio).items()})
    products = {name: float(amount) for name, amount in product_moles(fuel, ratio).items()}
    after = atoms_in({name: max(amount, 0.0) for name, amount in products.items()})
    assert min(products.values()) > -1e-12
    assert {each: after[each] for each in before} == pytest.approx(before)


@FEW
@given(fuel=st.sampled_from([each for each in FUELS if each not in ("H2", "CO")]), ratio=st.floats(1.05, 1.5))
def test_rich_products_are_those_of_the_library_where_they_freeze(fuel: str, ratio: float) -> None:
    """Equilibrium of CO2, CO, H2O, H2 and N2 alone at 1740 K, by a chemistry library."""
    kept = [each for each in cantera_gas().species() if each.name in ("CO2", "CO", "H2O", "H2", "N2")]
    gas = cantera.Solution(thermo="ideal-gas", species=kept)
    moles = {name: float(amount) for name, amount in product_moles(fuel, ratio).items() if name != "O2"}
    gas.TPX = 1740.0, ATM, moles
    gas.equilibrate("TP", rtol=1e-10)
    total = sum(moles.values())
    for name, amount in moles.items():
        assert amount / total == pytest.approx(gas[name].X[0], rel=1e-4)


@given(fuel=FUEL_NAMES, ratio=RATIOS, left=st.floats(0.0, 1.0), temperature=st.floats(300.0, 1200.0))
def test_mixture_and_residual_are_those_of_the_library(
    fuel: str, ratio: float, left: float, temperature: float
) -> None:
    fresh, burned = fresh_moles(fuel, ratio), product_moles(fuel, ratio)
    gas = cantera_gas()
    gas.TPX = temperature, ATM, {name: float(amount) for name, amount in fresh.items()}
    capacity = gas.cp_mass
    gas.TPX = temperature, ATM, {name: max(float(amount), 0.0) for name, amount in burned.items()}
    got = burned_gas.unburned_mixture(fuel, ratio, left, temperature)
    assert got.isobaric_heat_capacity == pytest.approx((1.0 - left) * capacity + left * gas.cp_mass, rel=1e-5)


def test_soot_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        burned_gas.burned_gas("C7H8", 2.9, 1000.0)
    assert refusal.value.quantity == "oxygen atoms over carbon atoms"
    assert refusal.value.value == pytest.approx(18.0 / 2.9 / 7.0)
    assert "with less, carbon is left as soot" in str(refusal.value)
    with pytest.raises(OutOfRange, match="fuel 'diesel' must be one of CH4, C3H8"):
        burned_gas.burned_gas("diesel", 1.0, 1000.0)


# --- equilibrium and flames ----------------------------------------------------------------------------

FRACTIONS = {
    "CO2": "carbon_dioxide_fraction",
    "CO": "carbon_monoxide_fraction",
    "H2O": "water_fraction",
    "H2": "hydrogen_fraction",
    "O2": "oxygen_fraction",
    "N2": "nitrogen_fraction",
    "NO": "nitric_oxide_fraction",
    "OH": "hydroxyl_fraction",
}


@given(
    fuel=FUEL_NAMES,
    ratio=RATIOS | st.just(1.0),
    temperature=st.floats(1000.0, 4500.0),
    pressure=st.floats(4.0, 7.3).map(lambda power: 10.0**power),
)
def test_equilibrium_is_that_of_the_library(
    fuel: str, ratio: float, temperature: float, pressure: float
) -> None:
    got = flames.equilibrium_products(fuel, ratio, temperature, pressure)
    gas = products_in_cantera()
    moles = {name: max(float(amount), 0.0) for name, amount in product_moles(fuel, ratio).items()}
    gas.TPX = temperature, pressure, moles
    gas.equilibrate("TP", rtol=1e-11)
    for name, output in FRACTIONS.items():
        assert getattr(got, output) == pytest.approx(gas[name].X[0], rel=1e-5, abs=2e-7), name
    assert got.molar_mass == pytest.approx(gas.mean_molecular_weight / 1e3, rel=1e-5)
    assert got.heat_capacity_ratio == pytest.approx(gas.cp_mass / gas.cv_mass, rel=1e-5)


@FEW
@given(
    fuel=FUEL_NAMES,
    ratio=st.floats(0.6, 1.5),
    temperature=st.floats(280.0, 900.0),
    pressure=st.floats(5e4, 3e6),
    closed=st.booleans(),
)
def test_flames_are_those_of_the_library(
    fuel: str, ratio: float, temperature: float, pressure: float, closed: bool
) -> None:
    flame = flames.constant_volume_flame if closed else flames.constant_pressure_flame
    got = flame(fuel, ratio, temperature, pressure)
    fresh = cantera_gas()
    fresh.TPX = temperature, pressure, {name: float(each) for name, each in fresh_moles(fuel, ratio).items()}
    gas = products_in_cantera()
    gas.TPX = (
        2000.0,
        pressure,
        {name: max(float(each), 0.0) for name, each in product_moles(fuel, ratio).items()},
    )
    if closed:
        gas.UV = fresh.u, fresh.v
    else:
        gas.HP = fresh.h, pressure
    assert got.undissociated_temperature == pytest.approx(gas.T, rel=1e-6)
    gas.equilibrate("UV" if closed else "HP", rtol=1e-10)
    assert got.flame_temperature == pytest.approx(gas.T, rel=1e-5)
    assert got.flame_pressure == pytest.approx(gas.P, rel=1e-5)
    assert got.molar_mass == pytest.approx(gas.mean_molecular_weight / 1e3, rel=1e-5)


def test_flame_of_methane() -> None:
    """Turns, An Introduction to Combustion, table B.1, from memory: 2226 K; 2328 K without dissociation."""
    got = flames.constant_pressure_flame("CH4", 1.0, 298.15, ATM)
    assert got.flame_temperature == pytest.approx(2226.0, rel=0.001)
    assert got.undissociated_temperature == pytest.approx(2328.0, rel=0.001)
    assert got.flame_pressure == ATM


def test_a_weak_flame_does_not_dissociate() -> None:
    got = flames.constant_volume_flame("CH4", np.array([0.15, 1.0]), 300.0, 1e5)
    assert got.flame_temperature[0] == got.undissociated_temperature[0] < 1000.0
    assert got.flame_temperature[1] < got.undissociated_temperature[1]
    burned, fresh = Mixture(product_moles("CH4", 0.15)), Mixture(fresh_moles("CH4", 0.15))
    assert burned.internal_energy(got.flame_temperature[0]) == pytest.approx(fresh.internal_energy(300.0))
