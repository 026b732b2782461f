"""Fuel, air and injectors against a textbook's table, a library of burning gases, and conservation."""

from __future__ import annotations

import math

import cantera
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.engineering import fuel, injectors
from tappetry.engineering.ranges import OutOfRange
from tests.engineering.bench import CC, RPM

POUND = 0.45359237  # NIST SP 811, exact
HORSEPOWER = 745.6998715822702  # NIST SP 811
HOUR = 3600.0

HEYWOOD = {  # Heywood, Internal Combustion Engine Fundamentals, table D.4, from memory
    "C8H18": "15.13",
    "CH4": "17.23",
    "C3H8": "15.67",
    "CH3OH": "6.47",
    "C2H5OH": "9.00",
    "CH1.87": "14.6",
}


@pytest.mark.parametrize(("formula", "printed"), HEYWOOD.items())
def test_stoichiometric_ratios(formula: str, printed: str) -> None:
    """To half of the last digit, and the 0.01 % by which the book's air differs from dry air."""
    last = 10.0 ** -len(printed.partition(".")[2])
    assert fuel.stoichiometric_ratio_of_formula(formula) == pytest.approx(
        float(printed), abs=last / 2 + 1e-4 * float(printed)
    )


GRI = cantera.Solution("gri30.yaml")
IN_CANTERA = ("CH4", "C2H6", "C3H8", "CH3OH", "H2")


@given(formula=st.sampled_from(IN_CANTERA), oxygen=st.floats(0.15, 0.5), argon=st.floats(0.0, 0.05))
def test_stoichiometry_agrees_with_a_library_of_burning_gases(
    formula: str, oxygen: float, argon: float
) -> None:
    air = {"O2": oxygen, "AR": argon, "N2": 1 - oxygen - argon}
    theirs = GRI.stoich_air_fuel_ratio(formula, air)
    ours = fuel.stoichiometric_ratio_of_formula(formula, oxygen, argon)
    assert ours == pytest.approx(theirs, rel=2e-5)


@given(carbon=st.floats(1, 10), hydrogen=st.floats(1, 20), size=st.floats(0.2, 5))
def test_only_proportions_count(carbon: float, hydrogen: float, size: float) -> None:
    assert fuel.stoichiometric_ratio(carbon * size, hydrogen * size, 0.5 * size) == pytest.approx(
        fuel.stoichiometric_ratio(carbon, hydrogen, 0.5)
    )


def test_a_formula_may_be_written_in_parts() -> None:
    assert fuel.stoichiometric_ratio_of_formula("C2H5OH") == pytest.approx(fuel.stoichiometric_ratio(2, 6, 1))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: fuel.stoichiometric_ratio_of_formula("gasoline"),
            "fuel formula 'gasoline' must be C, H and O with their numbers, as in C2H5OH or CH1.87. "
            "Capitals, and no brackets",
        ),
        (
            lambda: fuel.stoichiometric_ratio(1, 0, 2),
            "oxygen that the formula needs = 0 must be above 0 (what needs no oxygen is no fuel). Check the "
            "atoms of the formula",
        ),
        (
            lambda: fuel.stoichiometric_ratio(1, 4, 0, 0.7, 0.4),
            "nitrogen in the air = -0.1 must be 0..1",
        ),
    ],
)
def test_what_is_no_fuel_is_refused(call, message: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert str(refusal.value) == message


@given(ratio=st.floats(5, 30), complete=st.floats(5, 18))
def test_lambda_and_phi(ratio: float, complete: float) -> None:
    found = fuel.mixture(ratio, complete)
    assert found.lambda_ratio * found.equivalence_ratio == pytest.approx(1.0)
    assert fuel.ratio_for_lambda(found.lambda_ratio, complete) == pytest.approx(ratio)


@given(st.floats(0, 1))
def test_a_blend_burns_like_its_two_fuels(share: float) -> None:
    """Each fuel takes its own air and brings its own heat: worked out litre by litre."""
    blend = fuel.fuel_blend(share, 745.0, 789.0, 14.6, 9.0, 43.5e6, 26.8e6)
    masses = ((1 - share) * 745.0, share * 789.0)
    assert blend.blend_density == pytest.approx(sum(masses))
    assert blend.second_mass_share == pytest.approx(masses[1] / sum(masses), abs=1e-12)
    air = masses[0] * 14.6 + masses[1] * 9.0
    assert blend.blend_stoichiometric_ratio * blend.blend_density == pytest.approx(air)
    heat = masses[0] * 43.5e6 + masses[1] * 26.8e6
    assert blend.blend_heating_value * blend.blend_density == pytest.approx(heat)


def test_a_blend_by_the_atoms_of_its_fuels() -> None:
    """Ethanol and iso-octane, half and half by mass: the atoms of the mixture give the same ratio."""
    octane, ethanol = 1 / (8 * 12.011 + 18 * 1.008), 1 / (2 * 12.011 + 6 * 1.008 + 15.999)
    atoms = fuel.stoichiometric_ratio(8 * octane + 2 * ethanol, 18 * octane + 6 * ethanol, ethanol)
    halves = fuel.fuel_blend(
        0.5, 700.0, 700.0, fuel.stoichiometric_ratio(8, 18), fuel.stoichiometric_ratio(2, 6, 1), 1e7, 1e7
    )
    assert halves.blend_stoichiometric_ratio == pytest.approx(atoms)


def test_air_and_fuel_of_an_engine() -> None:
    """Worked by hand: 5.7 L, 5,500 rpm, 0.9, 1.184 kg/m3: 0.2784 kg/s, 498 cfm; at 12.8 78.3 kg/h."""
    found = fuel.engine_flows(5700 * CC, 5500 * RPM, 0.9, 1.184, 12.8)
    assert found.air_flow == pytest.approx(0.2784, abs=0.00005)
    assert found.air_volume_flow / 0.3048**3 * 60 == pytest.approx(498.2, abs=0.05)
    assert found.fuel_flow * HOUR == pytest.approx(78.3, abs=0.05)


def test_injector_size() -> None:
    """Worked by hand: 400 hp, 0.5 lb/hp.h, 8 of them at 85 %: 29.4 lb/h, at 0.745 kg/L 298 cc/min."""
    found = injectors.injector_size(400 * HORSEPOWER, 0.5 * POUND / (HORSEPOWER * HOUR), 8, 0.85, 745.0)
    assert found.fuel_flow / POUND * HOUR == pytest.approx(200.0)
    assert found.injector_flow / POUND * HOUR == pytest.approx(29.41, abs=0.005)
    assert found.injector_volume_flow / CC * 60 == pytest.approx(298.5, abs=0.05)


@given(power=st.floats(5e4, 8e5), use=st.floats(6e-8, 1.2e-7), limit=st.floats(0.5, 1.0))
def test_an_injector_of_the_size_is_open_for_the_limit(power: float, use: float, limit: float) -> None:
    size = injectors.injector_size(power, use, 8.0, limit, 745.0)
    assert injectors.injector_duty(size.fuel_flow, 8.0, size.injector_flow) == pytest.approx(limit)
    assert injectors.specific_consumption(size.fuel_flow, power) == pytest.approx(use)


@given(mass=st.floats(1e-6, 1e-4), flow=st.floats(1e-3, 1e-2), speed=st.floats(50, 700))
def test_pulses_deliver_the_fuel_of_each_cycle(mass: float, flow: float, speed: float) -> None:
    pulse = injectors.pulse_for_fuel(mass, flow, 0.0)
    cycles = speed / (4 * math.pi)
    assert injectors.duty_of_pulse(pulse, speed) == pytest.approx(
        injectors.injector_duty(8 * mass * cycles, 8.0, flow)
    )
    assert injectors.pulse_for_fuel(mass, flow, 1e-3) == pytest.approx(pulse + 1e-3)


def test_flow_goes_by_the_root_of_the_pressure() -> None:
    """Worked by hand: 30 lb/h at 43.5 psi are 34.6 at 58 psi."""
    assert injectors.flow_at_pressure(30.0 * POUND / HOUR, 43.5, 58.0) / POUND * HOUR == pytest.approx(
        34.64, abs=0.005
    )


def test_efficiency_of_a_usual_consumption() -> None:
    """Worked by hand: 0.5 lb/hp.h of 43.5 MJ/kg: 27.2 %."""
    found = injectors.brake_efficiency(0.5 * POUND / (HORSEPOWER * HOUR), 43.5e6)
    assert found == pytest.approx(0.272, abs=0.0005)


@pytest.mark.parametrize("formula", ["C8H18", "CH4", "C2H5OH", "CH3OH"])
def test_an_analysis_by_mass_is_the_formula_said_otherwise(formula: str) -> None:
    """Shares of mass by a library's atomic masses."""
    gas = cantera.Solution("gri30.yaml")
    atoms = {"C8H18": (8, 18, 0), "CH4": (1, 4, 0), "C2H5OH": (2, 6, 1), "CH3OH": (1, 4, 1)}[formula]
    masses = [
        count * gas.atomic_weight(element) for count, element in zip(atoms, ("C", "H", "O"), strict=True)
    ]
    shares = [mass / sum(masses) for mass in masses]
    found = fuel.stoichiometric_ratio_of_shares(*shares)
    assert found == pytest.approx(fuel.stoichiometric_ratio_of_formula(formula), rel=1e-4)


def test_shares_in_percent_are_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        fuel.stoichiometric_ratio_of_shares(0.85, 0.85, 0.0)
    assert str(refusal.value) == (
        "sum of the three shares = 1.7 must be 0.995..1.005 (a fuel of carbon, hydrogen and oxygen). Shares "
        "are by mass, 0.85 and not 85"
    )


@given(filling=st.floats(0.2, 1.3), speed=st.floats(600.0, 8000.0))
def test_measured_air_gives_the_filling_back(filling: float, speed: float) -> None:
    flows = fuel.engine_flows(5.7e-3, speed * RPM, filling, 1.184, 12.8)
    assert fuel.measured_filling(flows.air_flow, 5.7e-3, speed * RPM, 1.184) == pytest.approx(filling)


def test_an_engine_that_stands_still_has_no_filling() -> None:
    with pytest.raises(OutOfRange, match=r"engine speed = 0 rad/s must be above 0 .*takes no air"):
        fuel.measured_filling(0.01, 5.7e-3, 0.0, 1.184)
