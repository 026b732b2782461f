"""The gas of the simulation against the handbook's, and where what is compiled is kept."""

from __future__ import annotations

import os
from pathlib import Path

import numba
import numpy as np
import pytest

from tappetry.engineering.burned_gas import burned_gas
from tappetry.engineering.charge import product_moles
from tappetry.engineering.dissociation import atoms_in, equilibrium_moles
from tappetry.engineering.flames import constant_volume_flame
from tappetry.engineering.fuel import stoichiometric_ratio
from tappetry.engineering.gas_mixtures import Mixture
from tappetry.engineering.gas_properties import gas_properties
from tappetry.simulation import compiled, rows
from tappetry.simulation.compiled import forget_old, kept_in, kernel
from tappetry.simulation.gas import STANDARD_TEMPERATURE, engine_gas, perfect_gas
from tappetry.simulation.pipes import fill, lay, straight
from tappetry.simulation.volume_kernels import gas_state, gas_temperature

TEMPERATURES = np.array([250.0, 298.15, 700.0, 999.0, 1001.0, 1800.0, 2900.0])


@pytest.mark.parametrize(("burned", "fuel"), [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)])
def test_components_are_those_of_the_handbook(burned: float, fuel: float) -> None:
    gas = engine_gas("C8H18", 1.1, 1e5, 0.0)
    layout = lay([straight(1.0, 0.1, len(TEMPERATURES))])
    fill(layout, 0, gas, 1e5, TEMPERATURES, burned=burned, fuel=fuel)
    if burned:
        book = burned_gas("C8H18", 1.1, TEMPERATURES)
        zero = burned_gas("C8H18", 1.1, STANDARD_TEMPERATURE).gas_enthalpy
    else:
        name = "C8H18" if fuel else "dry air"
        book, zero = (
            gas_properties(name, TEMPERATURES),
            gas_properties(name, STANDARD_TEMPERATURE).gas_enthalpy,
        )
    told = TEMPERATURES < 1000.0 if burned else np.full(len(TEMPERATURES), True)
    gamma, energy = layout.row(0, rows.GAMMA), layout.row(0, rows.ENERGY) / layout.row(0, rows.DENSITY)
    np.testing.assert_allclose(gamma[told], book.heat_capacity_ratio[told], rtol=1e-12)
    enthalpy = energy + book.gas_constant * TEMPERATURES
    np.testing.assert_allclose(enthalpy[told], (book.gas_enthalpy - zero)[told], rtol=1e-9, atol=1.0)


@pytest.mark.parametrize("ratio", [0.9, 1.0, 1.15])
def test_burned_gas_is_frozen_while_cool_and_dissociates_while_hot(ratio: float) -> None:
    """Energies within 0.5 % of what the gas holds; steady where the ranges meet."""
    table = engine_gas("C8H18", ratio, 1e5, 0.0).table
    products = {name: float(amount) for name, amount in product_moles("C8H18", ratio).items()}
    frozen = Mixture(products)
    zero = float(frozen.enthalpy(STANDARD_TEMPERATURE))
    for t in (1050.0, 1300.0, 1600.0, 2000.0, 2400.0, 2700.0, 2900.0):
        moles = equilibrium_moles(atoms_in(products), t, 3e6) if t > 1740 else products
        constant, energy, capacity = gas_state(table, 1.0, 0.0, t)
        assert energy == pytest.approx(
            float(Mixture(moles).internal_energy(t)) - zero, abs=0.005 * capacity * t
        )
        assert constant == pytest.approx(float(Mixture(moles).gas_constant), rel=0.03)
    below, above = (gas_state(table, 1.0, 0.0, t) for t in (999.999, 1000.001))
    assert below == pytest.approx(above, rel=1e-4)


def test_equilibrium_from_nearby_is_that_from_anywhere() -> None:
    elements = atoms_in({name: float(amount) for name, amount in product_moles("C8H18", 1.1).items()})
    near = None
    for t in (1750.0, 2200.0, 3000.0):
        near = equilibrium_moles(elements, t, 3e6, near)
        alone = equilibrium_moles(elements, t, 3e6)
        assert near == pytest.approx(alone, rel=1e-8, abs=1e-20)


def test_a_closed_flame_is_as_hot_as_the_handbooks() -> None:
    """Within 1 %, burned to some 30 bar; without dissociation it would be 150 K hotter."""
    gas = engine_gas("C8H18", 1.0, 1e5, 0.0)
    flame = constant_volume_flame("C8H18", 1.0, 700.0, 6.7e5)
    fuel = 1.0 / (1.0 + stoichiometric_ratio(8.0, 18.0))
    fresh = gas_state(gas.table, 0.0, fuel, 700.0)[1]
    found = gas_temperature(gas.table, 1.0, 0.0, fresh + fuel * 5115.0e3 / 0.11423, 2500.0)[0]
    assert found == pytest.approx(flame.flame_temperature, rel=0.01)
    assert flame.undissociated_temperature > flame.flame_temperature + 150


def test_humid_air_holds_the_water_that_its_pressure_says() -> None:
    assert engine_gas("C8H18", 1.0, 1e5, 0.0).dry_share == 1.0
    # 0.622 of the ratio of the pressures is the water for each mass of dry air.
    assert engine_gas("C8H18", 1.0, 99e3, 1e3).dry_share == pytest.approx(1 / (1 + 0.62197 / 99), rel=1e-5)


def test_a_rich_mixture_gives_up_less_heat() -> None:
    """What is missing is the heat of the CO and H2 that are left: 283.0 and 241.8 kJ/mol, of the 5,115 of
    iso-octane vapour (handbooks, from memory)."""
    assert engine_gas("C8H18", 1.0, 1e5, 0.0).heat_share == pytest.approx(1.0)
    assert engine_gas("C8H18", 0.8, 1e5, 0.0).heat_share == pytest.approx(1.0, abs=1e-9)
    left, heat_of_fuel = product_moles("C8H18", 1.15), 5115.0
    missing = (left["CO"] * 283.0 + left["H2"] * 241.8) / heat_of_fuel
    assert engine_gas("C8H18", 1.15, 1e5, 0.0).heat_share == pytest.approx(1 - missing, abs=1e-3)


def test_a_perfect_gas_has_one_heat_capacity() -> None:
    layout = lay([straight(1.0, 0.1, 3)])
    fill(layout, 0, perfect_gas(287.0, 1.4), 1e5, [300.0, 1500.0, 3000.0], burned=0.5)
    np.testing.assert_allclose(layout.row(0, rows.GAMMA), 1.4, rtol=1e-14)
    np.testing.assert_allclose(layout.row(0, rows.OFFSET), 0.0, atol=1e-6)


def test_what_other_texts_were_compiled_to_is_forgotten_after_a_month(tmp_path: Path) -> None:
    kept, old, young = (tmp_path / f"kernels-{name}" for name in ("kept", "old", "young"))
    other = tmp_path / "notes"
    for folder in (kept, old, young, other):
        folder.mkdir()
    now = young.stat().st_mtime + 40 * 86400
    for folder in (kept, old, other):
        os.utime(folder, (0, 0))
    os.utime(young, (now - 86400, now - 86400))
    forget_old(tmp_path, kept, now)
    assert sorted(tmp_path.iterdir()) == sorted([kept, young, other])


def test_a_kernel_works_where_nothing_can_be_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = numba.njit

    def nowhere(*functions: object, **options: object) -> object:
        if options.get("cache"):
            raise RuntimeError("cannot cache function: no locator available")
        return whole(*functions, **options)

    monkeypatch.setattr(numba, "njit", nowhere)
    monkeypatch.setattr(compiled, "kept_folder", lambda: None)
    inner = kernel(lambda x: x + 1.0)
    assert kernel(lambda x: 2.0 * inner(x))(2.0) == 6.0


def test_what_is_compiled_is_kept_by_the_text_of_all_kernels(tmp_path: Path) -> None:
    """A kernel that calls another one of a changed file must not be taken from the folder."""
    sources = tmp_path / "sources"
    sources.mkdir()
    (sources / "one.py").write_text("a = 1")
    first = kept_in(tmp_path, sources)
    assert first == kept_in(tmp_path, sources)
    (sources / "two.py").write_text("b = 1")
    second = kept_in(tmp_path, sources)
    (sources / "two.py").write_text("b = 2")
    assert len({first, second, kept_in(tmp_path, sources)}) == 3
    assert first.parent == tmp_path
