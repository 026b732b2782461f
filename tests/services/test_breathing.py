"""Engines of the invented shop put together for the simulation, each number traced to where it is stated."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from tappetry.engineering.compression import static_compression_ratio
from tappetry.engineering.nozzles import orifice_flow
from tappetry.knowledge.breathing import FILE, read_breathing
from tappetry.records.problems import BadInput
from tappetry.services.audits import audit_folder
from tappetry.services.breathing import describe
from tappetry.services.shop import Shop, demo_folder
from tappetry.services.variants import variant_facts
from tests.knowledge.shops import replant

INCH, CFM = 0.0254, 4.719474432e-4
SHOP = Shop(demo_folder())
EVERY = sorted(read_breathing(SHOP.folder).data["engines"])


@pytest.mark.slow
def test_every_variant_of_every_family_breathes() -> None:
    stated = {
        key[0]
        for family in SHOP.knowledge.families.values()
        for table in family.tables
        if table.by == ("variant",)
        for key in table.rows
    }
    assert set(EVERY) == stated


@pytest.mark.parametrize("variant", EVERY)
def test_an_engine_is_that_of_its_family(variant: str) -> None:
    """Firing at even distance in the order of the family, into the collectors of its banks."""
    described = describe(SHOP, variant)
    engine = described.engine
    family = next(each for each in SHOP.knowledge.families.values() if each.name == described.family)
    order = family.attributes["firing-order"]
    assert isinstance(order, tuple)
    assert [engine.lags.index(720 / len(order) * place) + 1 for place in range(len(order))] == [
        int(str(each)) for each in order
    ]
    assert len(set(engine.collectors)) == family.attributes["banks"]
    assert not engine.intake.beyond_bench
    assert described.rated < described.redline


def test_numbers_are_those_of_the_tables() -> None:
    """Bore, stroke, rod, clearance and rocker of the family; lobes and centrelines of the grind."""
    described = describe(SHOP, "B51")
    engine, bore = described.engine, described.engine.bore
    assert (bore.bore, bore.stroke, bore.rod_length) == pytest.approx((0.096, 0.088, 0.157))
    assert bore.compression_ratio == pytest.approx(static_compression_ratio(636.96e-6, 71.42e-6), rel=1e-4)
    assert engine.intake.greatest_lift == pytest.approx((0.285 - 0.006) * 1.65 * INCH)
    assert engine.exhaust.greatest_lift == pytest.approx((0.289 - 0.006) * 1.65 * INCH)
    assert math.degrees(engine.intake.nose) == pytest.approx(112)
    assert math.degrees(engine.exhaust.nose) == pytest.approx(720 - 116)
    table = engine.intake.area_table()
    assert np.argmax(table) == pytest.approx(2 * 112, abs=1)
    assert engine.fuel.octane == pytest.approx(87.0)
    assert engine.friction.roller
    assert engine.throttle_area == pytest.approx(math.pi / 4 * 0.075**2)


def test_areas_pass_what_the_bench_passed() -> None:
    engine = describe(SHOP, "B51").engine
    density, behind = 101325 / (287.05 * 293.15), 101325 - 28 * 249.089
    for lift, cfm in ((0.1, 70), (0.4, 222), (0.7, 241)):
        area = np.interp(lift * INCH, engine.intake.lifts, engine.intake.areas)
        flow = orifice_flow(101325, 293.15, behind, float(area), 1.4, 287.05).mass_flow
        assert flow / density / CFM == pytest.approx(cfm, rel=1e-3)


@pytest.mark.parametrize("variant", EVERY)
@pytest.mark.parametrize("side", ["intake", "exhaust"])
def test_below_the_bench_no_port_passes_more_than_its_gap(variant: str, side: str) -> None:
    """The narrowest cone of a seat of 45 degrees, laid out: pi L cos (D - 2 w) and a little more."""
    valve = getattr(describe(SHOP, variant).engine, side)
    lifts, areas = np.array(valve.lifts), np.array(valve.areas)
    first = int(np.argmin(np.abs(lifts - 0.1 * INCH)))
    assert first == 5
    assert np.all(np.diff(areas[: first + 1]) > 0.0)
    below, passed = lifts[1:first], areas[1:first]
    assert below[-1] == pytest.approx(0.05 * INCH)
    assert np.all(passed <= below / lifts[first] * areas[first] * (1.0 + 1e-12))
    facts = variant_facts(SHOP, variant)[1]
    head = float(str(facts[f"{side}-valve-diameter"])) * 1e-3
    width = {"intake": 1.5e-3, "exhaust": 1.8e-3}[side] * math.sqrt(0.5)
    narrow = math.pi * below * math.sqrt(0.5) * (head - 2.0 * width + 0.5 * below)
    assert np.all(passed <= narrow * (1.0 + 1e-12))


def test_without_stated_seats_areas_rise_in_proportion_up_to_the_bench(tmp_path: Path) -> None:
    seats = "seats: {angle_deg: 45, intake_mm: 1.5, exhaust_mm: 1.8}\n"
    folder = replant(tmp_path, FILE, seats, "# no seats\n").folder
    valve = describe(Shop(folder), "B51").engine.intake
    assert len(valve.lifts) == 8
    assert valve.lifts[1] == pytest.approx(0.1 * INCH)


@pytest.mark.parametrize("variant", EVERY)
def test_pipes_hold_the_volume_and_the_length_that_are_stated(variant: str) -> None:
    data = read_breathing(SHOP.folder).data
    engine = describe(SHOP, variant).engine
    exhaust = data["engines"][variant]["exhaust"]
    assert engine.tail.length * 1e3 == pytest.approx(
        exhaust["downpipe_length_mm"] + exhaust["tailpipe_length_mm"]
    )
    # The loss of the element is the stated drop at the stated flow.
    flow = exhaust["drop_flow_kg_per_h"] / 3600 / len(set(engine.collectors))
    area = math.pi / 4 * (exhaust["pipe_mm"] / 1e3) ** 2
    density = (100e3 + 500 * exhaust["drop_kpa"]) / (287.05 * exhaust["drop_temperature_k"])
    drop = engine.tail.added_loss * flow**2 / (2 * density * area**2)
    assert drop == pytest.approx(1e3 * exhaust["drop_kpa"], rel=1e-3)


def test_another_camshaft_changes_lobes_and_nothing_else() -> None:
    factory, other = describe(SHOP, "B51").engine, describe(SHOP, "B51", "B2").engine
    assert other.intake.lobe_lift == pytest.approx(0.345 * INCH)
    assert other.runner == factory.runner
    assert other.bore == factory.bore


def test_a_flat_tappet_rubs_unless_the_camshaft_brings_rollers() -> None:
    assert not describe(SHOP, "ML55").engine.friction.roller
    assert describe(SHOP, "ML55", "M1").engine.friction.roller


def test_a_valve_is_off_its_seat_for_as_long_as_the_card_says() -> None:
    """Seat timing of the trade: 250 degrees at 0.006 in, of which the table sees half degrees."""
    table = describe(SHOP, "B51").engine.intake.area_table()
    assert np.count_nonzero(table) / 2 == pytest.approx(250, abs=1)


def test_part_throttle_has_less_area_and_its_own_mixture() -> None:
    full, part = describe(SHOP, "B51").engine, describe(SHOP, "B51", throttle=0.1).engine
    assert part.throttle_area == pytest.approx(0.1 * full.throttle_area)
    assert (full.fuel.air_fuel_ratio, part.fuel.air_fuel_ratio) == (12.7, 14.6)


def test_lash_is_taken_off_at_the_valve() -> None:
    """More than a seat's lift of 0.006 in by the rocker, so the lash counts."""
    intake = describe(SHOP, "OS39").engine.intake
    assert intake.greatest_lift == pytest.approx((0.262 * 1.5 - 0.014) * INCH)
    assert np.count_nonzero(intake.area_table()) < 2 * 2 * 148  # shorter than the lobe


@pytest.mark.parametrize(
    ("variant", "cam", "said", "expected"),
    [
        ("B99", "", "there is no such engine to simulate", "one of B51, B56"),
        ("B51", "B9", "there is no such camshaft", "one of F51"),
        ("B51", "O1", "the camshaft is not one for Brindle V8", "one of F51, F56"),
    ],
)
def test_what_is_not_there_is_told(variant: str, cam: str, said: str, expected: str) -> None:
    with pytest.raises(BadInput) as told:
        describe(SHOP, variant, cam)
    (complaint,) = told.value.complaints
    assert complaint.message == said
    assert complaint.value == (cam or variant)
    assert complaint.expected.startswith(expected)


@pytest.mark.parametrize(
    ("old", "new", "field", "said"),
    [
        ("intake_cfm: [70, 137,", "intake_cfm: [70,", "heads.S.flow.intake_cfm", "another number of values"),
        ("intake_cfm: [70, 137,", "intake_cfm: [137, 70,", "heads.S.flow.intake_cfm", "values do not rise"),
        ("fuel: {name: regular, system: port, air_fuel_ratio: 12.7}\n    burn_span_deg: 30",
         "fuel: {name: tea, system: port, air_fuel_ratio: 12.7}\n    burn_span_deg: 30",
         "engines.B51.fuel.name", "no such fuel or system"),
    ],
)  # fmt: skip
def test_mistakes_in_the_text_are_told_with_their_place(
    tmp_path: Path, old: str, new: str, field: str, said: str
) -> None:
    folder = replant(tmp_path, FILE, old, new).folder
    with pytest.raises(BadInput) as told:
        read_breathing(folder)
    first = told.value.complaints[0]
    assert (first.where.file, first.where.field, first.message) == (FILE, field, said)


def test_the_audit_reads_the_text_too(tmp_path: Path) -> None:
    folder = replant(tmp_path, FILE, "intake_cfm: [70, 137,", "intake_cfm: [137, 70,").folder
    (finding,) = audit_folder(folder)
    assert finding.file == FILE
    assert finding.message == "values do not rise"


def test_a_cylinder_without_a_collector_is_told(tmp_path: Path) -> None:
    folder = replant(tmp_path, FILE, 'banks: [["1", "2", "3", "4"],', 'banks: [["1", "2", "3"],').folder
    with pytest.raises(BadInput, match="a cylinder breathes into no collector"):
        describe(Shop(folder), "B51")


def test_a_shop_that_says_nothing_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="the shop does not say how its engines breathe"):
        read_breathing(tmp_path)
