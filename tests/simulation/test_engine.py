"""A whole engine: balances, likeness of its cylinders, mesh, neighbours, and what changes do to it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tappetry.engineering.angles import DEGREE
from tappetry.engineering.lobe import lobe_lift_at_angle
from tappetry.engineering.mean_pressure import total_friction_mean_pressure
from tappetry.engineering.ranges import OutOfRange
from tappetry.simulation import columns, cycle, rows
from tappetry.simulation.cycle import (
    NotSettled,
    Run,
    Settling,
    begin,
    last_change,
    one_cycle,
    settle_cycles,
)
from tappetry.simulation.cylinders import NO_FUEL, equip
from tappetry.simulation.engine import Mesh, build, pipes_of
from tappetry.simulation.friction import friction
from tappetry.simulation.network import Array
from tappetry.simulation.results import Point, curve, parted, simulate
from tests.simulation.bench_engine import COARSE, ENGINE, EXHAUST, INTAKE, RPM, changed

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def settled() -> Point:
    return simulate(ENGINE, 4000 * RPM, COARSE)[0]


def test_mass_and_energy_of_a_cycle_add_up(settled: Point) -> None:
    """To the rounding; what is asked is a millionth and a thousandth."""
    assert abs(settled.mass_error) < 1e-12
    assert abs(settled.energy_error) < 1e-12


def test_results_hang_together(settled: Point) -> None:
    displacement = ENGINE.displacement
    assert settled.indicated_pressure == pytest.approx(settled.closed_pressure + settled.pumping_pressure)
    assert settled.brake_pressure == pytest.approx(settled.indicated_pressure - settled.friction.total)
    assert settled.brake_torque == pytest.approx(settled.brake_pressure * displacement / (4 * math.pi))
    assert settled.brake_power == pytest.approx(settled.brake_torque * settled.engine_speed)
    # Fuel follows dry air; a cycle's air is what stays and what passes through.
    assert settled.air_flow / settled.fuel_flow == pytest.approx(12.7 / 0.9937, rel=0.02)
    trapped = sum(settled.trapped_air) * settled.engine_speed / (4 * math.pi)
    assert trapped == pytest.approx(settled.air_flow, rel=0.06)
    assert settled.blow_by_share == pytest.approx(ENGINE.blow_by.share(settled.engine_speed), rel=0.01)
    assert settled.effective_compression_ratio < ENGINE.bore.compression_ratio


def test_results_are_those_of_such_engines(settled: Point) -> None:
    """Ranges of petrol engines without a blower at full load (Heywood, chapters 2 to 15, from memory)."""
    assert 0.75 < settled.volumetric_efficiency < 1.05
    assert 9e5 < settled.indicated_pressure < 14e5
    assert -1.2e5 < settled.pumping_pressure < 0
    assert 7e-8 < settled.fuel_consumption < 10e-8  # 250 to 360 g/kWh
    assert 1000 < settled.exhaust_temperature < 1400
    assert 35e5 < settled.peak_pressure < 80e5
    assert 8 * DEGREE < settled.peak_angle < 30 * DEGREE
    assert 0.08 < settled.wall_heat_share < 0.25
    assert all(0.02 < share < 0.12 for share in settled.residual_share)


def test_cylinders_of_an_even_engine_are_alike() -> None:
    """All into one plenum and one collector, at even distance: nothing tells them apart but their turn."""
    point, run = simulate(ENGINE, 3000 * RPM, COARSE, Settling(change=5e-5))
    air = np.array(point.trapped_air)
    np.testing.assert_allclose(air, air.mean(), rtol=1e-4)
    work = run.network.cylinders[:, columns.WORK]
    np.testing.assert_allclose(work, work.mean(), rtol=1e-4)
    first = run.network.trace[0, :, columns.TRACE_PRESSURE]
    for other in run.network.trace[1:]:
        np.testing.assert_allclose(other[:, columns.TRACE_PRESSURE], first, rtol=1e-3)


def test_a_neighbour_saves_cycles_and_changes_nothing() -> None:
    fine = Settling(change=3e-4)
    _, near = simulate(ENGINE, 3900 * RPM, COARSE, fine)
    again, _ = simulate(ENGINE, 4000 * RPM, COARSE, fine, near)
    rest, _ = simulate(ENGINE, 4000 * RPM, COARSE, fine)
    assert again.brake_torque == pytest.approx(rest.brake_torque, rel=1e-3)
    assert again.cycles <= rest.cycles


def test_the_same_engine_gives_the_same_numbers() -> None:
    assert simulate(ENGINE, 2500 * RPM, COARSE)[0] == simulate(ENGINE, 2500 * RPM, COARSE)[0]


def test_a_finer_mesh_changes_little() -> None:
    coarse, fine = (simulate(ENGINE, 4500 * RPM, mesh)[0] for mesh in (Mesh(), Mesh(16, 24, 20, 48)))
    assert coarse.volumetric_efficiency == pytest.approx(fine.volumetric_efficiency, rel=0.01)
    assert coarse.indicated_pressure == pytest.approx(fine.indicated_pressure, rel=0.01)


def test_a_curve_has_a_point_for_each_speed() -> None:
    heard: list[float] = []
    speeds = [2000 * RPM, 3000 * RPM]
    points = curve(ENGINE, speeds, COARSE, told=lambda point: heard.append(point.engine_speed))
    assert [point.engine_speed for point in points] == heard == speeds
    assert points[1].friction.total > points[0].friction.total


def test_little_is_left_when_cycles_count_as_repeating() -> None:
    speeds = np.arange(1500.0, 6001.0, 500.0) * RPM
    soon = curve(ENGINE, speeds, COARSE)
    late = curve(ENGINE, speeds, COARSE, Settling(change=1e-5))
    assert sum(point.cycles for point in soon) < 0.6 * sum(point.cycles for point in late)
    for point, settled in zip(soon, late, strict=True):
        assert point.volumetric_efficiency == pytest.approx(settled.volumetric_efficiency, rel=2e-3)
        assert point.brake_torque == pytest.approx(settled.brake_torque, rel=4e-3)


def test_rows_of_speeds_in_threads_give_what_each_row_gives() -> None:
    speeds = np.array([2000.0, 2500.0, 3000.0, 3500.0, 4000.0]) * RPM
    heard: list[float] = []
    together = curve(ENGINE, speeds, COARSE, told=lambda point: heard.append(point.engine_speed), chains=2)
    assert heard == list(speeds)
    assert together == curve(ENGINE, speeds[:2], COARSE) + curve(ENGINE, speeds[2:], COARSE)
    with pytest.raises(NotSettled, match="at 3000 rpm"):
        curve(ENGINE, speeds[2:], COARSE, Settling(change=1e-12, most=4, swinging=9), chains=2)


@given(
    arrays(float, st.integers(0, 40), elements=st.floats(300 * RPM, 12000 * RPM)),
    st.integers(1, 6),
)
def test_rows_take_about_as_long_as_each_other(speeds: Array, chains: int) -> None:
    rows = parted(speeds, chains)
    assert [speed for row in rows for speed in row] == list(speeds)
    assert len(rows) <= chains
    taken = [float(np.sum(1.0 / row)) for row in rows]
    if taken:
        assert max(taken) <= sum(taken) / chains + float(np.max(1.0 / speeds)) * (1.0 + 1e-9)


def test_from_rest_some_cycles_are_rough(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same point as without them, in fewer cycles."""
    assert Mesh(courant=0.5).rough() == Mesh(4, 4, 3, 8, 0.5)
    assert COARSE.rough() is None
    assert Mesh(3, 50, 50, 50).rough() is None
    helped = simulate(ENGINE, 3000 * RPM)[0]
    monkeypatch.setattr(Mesh, "rough", lambda mesh: None)
    alone = simulate(ENGINE, 3000 * RPM)[0]
    assert helped.brake_torque == pytest.approx(alone.brake_torque, rel=5e-3)
    assert helped.cycles < alone.cycles


def test_a_motored_engine_takes_work_and_burns_nothing() -> None:
    """No fuel, no heat to the cylinder walls: only gas exchange takes work, compression gives its back."""
    network = build(ENGINE, 2000 * RPM, COARSE)
    air = ENGINE.air.pressure
    valves = np.stack([INTAKE.area_table(), EXHAUST.area_table()])
    equip(
        network,
        ENGINE.bore,
        NO_FUEL,
        ENGINE.burning.shape,
        2000 * RPM,
        ENGINE.lags,
        valves,
        air,
        heat_factor=0.0,
    )
    for _ in range(6):
        network.cylinders[:, columns.WORK : columns.CLOSED_WORK + 1] = 0.0
        network.turn(0.0, 720.0)
    work = network.cylinders[:, columns.WORK] / ENGINE.bore.swept_volume
    assert np.all((work > -0.6e5) & (work < 0))
    assert np.max(network.cylinders[:, columns.BURN_DONE]) == 0.0


def test_a_better_fuel_lets_the_fire_be_earlier() -> None:
    poor, good = (
        simulate(changed(fuel=replace(ENGINE.fuel, octane=octane)), 2000 * RPM, COARSE)[0]
        for octane in (85.0, 99.0)
    )
    assert poor.retarded > good.retarded >= 0
    assert poor.knock_integral < 1
    assert good.brake_torque > poor.brake_torque


def test_the_fire_is_no_later_than_knock_asks() -> None:
    """Half a degree earlier it would knock; from a neighbour whose fire stands elsewhere it comes there."""
    engine = changed(fuel=replace(ENGINE.fuel, octane=85.0))
    point, run = simulate(engine, 2000 * RPM, COARSE)
    assert math.degrees(point.retarded) > 3
    assert 0.98 < point.knock_integral < 1
    for octane in (80.0, 95.0):
        _, other = simulate(changed(fuel=replace(ENGINE.fuel, octane=octane)), 2000 * RPM, COARSE)
        assert abs(other.half_burned - run.half_burned) > 2.0
        again, _ = simulate(engine, 2000 * RPM, COARSE, neighbour=other)
        assert math.degrees(again.half_burned) == pytest.approx(math.degrees(point.half_burned), abs=0.3)
    run.half_burned -= 0.5
    for _ in range(3):
        one_cycle(run)
    assert run.knock > 1


def test_a_throttle_takes_air_and_costs_pumping(settled: Point) -> None:
    half = simulate(changed(throttle_area=2.5e-4), 4000 * RPM, COARSE)[0]
    assert half.volumetric_efficiency < 0.75 * settled.volumetric_efficiency
    assert half.pumping_pressure < 1.25 * settled.pumping_pressure
    assert np.mean(half.residual_share) > np.mean(settled.residual_share)


def test_a_later_and_longer_intake_lobe_favours_high_speed() -> None:
    late = changed(intake=replace(INTAKE, nose=120 * DEGREE, lobe_half_width=170 * DEGREE))
    gains = []
    for speed in (1500 * RPM, 6500 * RPM):
        stock, other = (simulate(each, speed, COARSE)[0] for each in (ENGINE, late))
        assert other.effective_compression_ratio < stock.effective_compression_ratio - 0.5
        gains.append(other.volumetric_efficiency / stock.volumetric_efficiency)
    assert gains[0] < 0.97
    assert gains[1] > gains[0] + 0.05


def test_a_valve_opens_as_its_lobe_and_its_bench_say() -> None:
    """Symmetrical about the nose, across the end of the cycle too; what is taken up shortens it."""
    table = INTAKE.area_table()
    whole = columns.DEGREES * columns.VALVE_STEPS
    nose = 110 * columns.VALVE_STEPS
    steps = np.arange(1, 160 * columns.VALVE_STEPS)
    np.testing.assert_allclose(table[(nose - steps) % whole], table[(nose + steps) % whole], atol=1e-12)
    assert table[nose] == np.max(table) == np.interp(INTAKE.greatest_lift, INTAKE.lifts, INTAKE.areas)
    lift = lobe_lift_at_angle(60 * DEGREE, 7.3e-3, 5.3, 159 * DEGREE) * 1.6
    step = nose + 60 * columns.VALVE_STEPS
    assert table[step] == pytest.approx(np.interp(lift, INTAKE.lifts, INTAKE.areas))
    given = replace(INTAKE, give=0.25e-3, hot_lash=0.1e-3)
    assert given.area_table()[step] == pytest.approx(np.interp(lift - 0.25e-3, INTAKE.lifts, INTAKE.areas))
    assert replace(given, hot_lash=0.4e-3).taken_up == 0.4e-3


def test_a_valve_beyond_its_bench_is_flagged(settled: Point) -> None:
    assert not settled.beyond_bench
    high = changed(intake=replace(INTAKE, lobe_lift=8.5e-3))
    assert simulate(high, 4000 * RPM, COARSE)[0].beyond_bench


def test_cycles_that_do_not_repeat_are_told_with_cylinder_quantity_and_limit() -> None:
    with pytest.raises(NotSettled) as told:
        simulate(ENGINE, 4000 * RPM, COARSE, Settling(change=1e-12, most=6))
    error = told.value
    assert error.cycles == 6
    assert error.limit < error.change < 0.1
    assert f"of cylinder {error.cylinder + 1} still changes by" in str(error)
    assert str(error).startswith("at 4000 rpm cycles do not repeat after 6: ")
    assert "Look at overlap and at long pipes" in str(error)


def test_where_the_throttle_is_shut_it_is_told_that_cycles_lack_air() -> None:
    with pytest.raises(NotSettled, match=r"Look at the throttle: \S+% of what a cylinder traps is fresh"):
        simulate(changed(throttle_area=1e-12), 3000 * RPM, COARSE, Settling(change=1e-6))


@pytest.mark.parametrize(
    ("swing", "drift", "settles"), [(4e-3, 0.0, True), (4e-3, 5e-4, False), (6e-3, 0.0, False)]
)
def test_cycles_that_swing_about_means_that_stay_have_settled(
    monkeypatch: pytest.MonkeyPatch, swing: float, drift: float, settles: bool
) -> None:
    run = begin(ENGINE, 1000 * RPM, COARSE)

    def cycle_of(turned: Run) -> np.ndarray:
        turned.cycles += 1
        sign = 0.5 if turned.cycles % 2 else -0.5
        turned.history.append(np.full((2, 4), 1.0 + sign * swing + drift * turned.cycles))
        return last_change(turned)

    monkeypatch.setattr(cycle, "one_cycle", cycle_of)
    if settles:
        settle_cycles(run, Settling())
        assert run.cycles == 20
    else:
        with pytest.raises(NotSettled):
            settle_cycles(run, Settling())


@pytest.mark.parametrize(
    ("early", "late", "cycles"), [(8e-3, 2e-3, 2), (8e-3, 4e-3, 4), (1e-2, 2e-3, 4), (2e-3, 2e-3, 2)]
)
def test_in_the_second_cycle_late_cylinders_tell_what_is_left(
    monkeypatch: pytest.MonkeyPatch, early: float, late: float, cycles: int
) -> None:
    run = begin(ENGINE, 3000 * RPM, COARSE)
    begun = run.cycles
    shuts = run.network.engine[columns.INTAKE_SHUTS] + run.network.cylinders[:, columns.LAG]
    by = np.where(shuts % 720.0 < 360.0, early, late)

    def cycle_of(turned: Run) -> np.ndarray:
        turned.cycles += 1
        # In the third cycle all change as in the second; in the fourth nothing does.
        times = min(turned.cycles - begun, 3)
        turned.history.append(np.stack([1.0 + times * by, np.ones(4)]))
        return last_change(turned)

    monkeypatch.setattr(cycle, "one_cycle", cycle_of)
    settle_cycles(run, Settling())
    assert run.cycles - begun == cycles


def test_what_is_left_is_less_than_what_late_cylinders_changed_by() -> None:
    """Whatever early ones did: the next cycle changes each by less than cycles may change by."""
    for rpm in (2000, 4000, 6000):
        run = simulate(ENGINE, rpm * RPM)[1]
        assert run.cycles <= 3
        assert np.max(one_cycle(run)[0]) < Settling().change


def test_cells_that_are_cut_anew_hold_what_stood_where_they_lie() -> None:
    rough = simulate(ENGINE, 3000 * RPM, Mesh().rough())[1].network
    doubled = rough.cut_anew(pipes_of(ENGINE, Mesh(*(2 * cells for cells in Mesh().rough().cells))))
    for row in (rows.DENSITY, rows.ENERGY, rows.BURNED):
        held = [each.layout.total(row, each.layout.all_volumes) for each in (rough, doubled)]
        assert held[1] == pytest.approx(held[0], rel=1e-12)
    finer = rough.cut_anew(pipes_of(ENGINE, Mesh()))
    before, after = (each.layout.row(1, rows.PRESSURE) for each in (rough, finer))
    assert len(before) == 4
    np.testing.assert_array_equal(after, before[[0, 0, 1, 1, 1, 2, 2, 3, 3, 3]])


@pytest.mark.parametrize("rpm", [0.0, 100.0, 20000.0])
def test_speeds_at_which_no_engine_runs_are_refused(rpm: float) -> None:
    with pytest.raises(OutOfRange, match=rf"engine speed of a simulation = {rpm:g} rpm"):
        simulate(ENGINE, rpm * RPM, COARSE)


def test_friction_is_of_the_size_that_motored_engines_have() -> None:
    """Against Barnes-Moss, who counts pumping in, and no accessories: most of it, at any speed."""
    for rpm in (1500, 3000, 5000):
        parts = friction(ENGINE.friction, 0.09, 0.09, 4, 9.5, INTAKE.greatest_lift, rpm * RPM, 1.0)
        whole = float(total_friction_mean_pressure(rpm * RPM))
        assert 0.5 * whole < parts.total - parts.accessories < 0.85 * whole
        assert parts.total == pytest.approx(sum(getattr(parts, name) for name in parts.__slots__))
    assert parts.accessories == pytest.approx(8.0 * 4 * math.pi / ENGINE.displacement)


def test_friction_falls_with_rollers_and_with_smaller_bearings() -> None:
    def of(**changes: object) -> float:
        parts = replace(ENGINE.friction, **changes)  # type: ignore[arg-type]
        return friction(parts, 0.09, 0.09, 4, 9.5, 11e-3, 2000 * RPM, 1.0).total

    assert of(roller=False) > of()
    assert of(main=replace(ENGINE.friction.main, diameter=0.05)) < of()
