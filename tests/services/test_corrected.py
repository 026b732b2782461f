"""Power corrected to standards: the factors of their formulas, and the simulation in another air."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tappetry.services.corrected import corrections
from tappetry.simulation.cycle import Settling
from tappetry.simulation.engine import Air
from tappetry.simulation.results import simulate
from tests.simulation.bench_engine import COARSE, ENGINE, RPM, changed


def factors(air: Air) -> dict[str, float]:
    return {each.standard: each.factor for each in corrections(air)}


def test_factors_are_those_of_the_standards_formulas() -> None:
    """Worked by hand for 95 kPa dry, 1.5 kPa of vapour and 35 degC (formulas from memory)."""
    found = factors(Air(95e3, 1.5e3, 308.15))
    assert found["SAE J1349"] == pytest.approx(1.18 * (990 / 950) * (308 / 298) ** 0.5 - 0.18, rel=1e-9)
    assert found["SAE J607"] == pytest.approx(29.92 / 28.0535 * (555 / 520) ** 0.5, rel=1e-5)
    assert found["ISO 1585"] == pytest.approx((99 / 95) ** 1.2 * (308.15 / 298) ** 0.6, rel=1e-9)
    assert found["DIN 70020"] == pytest.approx(1013.25 / 965 * (308.15 / 293) ** 0.5, rel=1e-9)


def test_in_its_own_air_a_standard_corrects_nothing() -> None:
    assert factors(Air(99e3, 0.0, 298.15))["SAE J1349"] == pytest.approx(1.0, abs=1e-9)
    assert factors(Air(29.92 * 3386.389, 0.0, 288.7056))["SAE J607"] == pytest.approx(1.0, abs=5e-4)
    assert factors(Air(99e3, 0.0, 298.0))["ISO 1585"] == 1.0
    assert factors(Air(101325.0, 0.0, 293.0))["DIN 70020"] == 1.0


def test_a_factor_beyond_its_standards_limits_is_flagged() -> None:
    iso = {each.standard: each.may_be_used for each in corrections(Air(80e3, 1e3, 298.15))}
    assert iso == {"SAE J1349": True, "SAE J607": True, "ISO 1585": False, "DIN 70020": True}


@pytest.mark.slow
def test_less_pressure_costs_the_power_that_the_standard_gives_back() -> None:
    """Friction stays, so power falls by more than pressure does; no knock, which knows no standard."""
    engine = changed(fuel=replace(ENGINE.fuel, octane=0.0))
    thin = replace(engine, air=replace(ENGINE.air, dry_pressure=94e3))
    power = [
        simulate(each, 4000 * RPM, COARSE, Settling(change=3e-4))[0].brake_power for each in (engine, thin)
    ]
    expected = factors(thin.air)["SAE J1349"] / factors(engine.air)["SAE J1349"]
    assert power[0] / power[1] == pytest.approx(expected, rel=5e-3)
    assert power[0] / power[1] > 1.01 * 99 / 94
