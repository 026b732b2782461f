"""The valve train in motion against closed forms, the handbook, SciPy's solver, energy, and itself."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from benchmarks.valve_train import cycles_made, least_force, solved
from tappetry.engineering.lobe import nose_acceleration
from tappetry.engineering.springs import open_load, surge_frequency
from tappetry.engineering.valvetrain import force_at_nose, separation_speed
from tappetry.simulation import train_rows as r
from tappetry.simulation.train import Train, at_rest, lowest_frequency
from tappetry.simulation.train_kernels import turn
from tappetry.simulation.train_limits import bounces, onset, parts
from tappetry.simulation.train_motion import ANGLES, TURN, Steps, begun, move, rigid_lift
from tests.simulation.trains import COILS, JOINTS, LOBE, MASS, RPM, hydraulic, solid, stiffer, without_surge

pytestmark = pytest.mark.slow

Array = NDArray[np.float64]

RISING = np.arange(4000.0, 9001.0, 100.0) * RPM
NOSE = 359
"""Place of the nose in a trace."""
UNDAMPED = replace(JOINTS, damping_ratio=0.0, seat_damping_ratio=0.0)


def parting(train: Train, steps: Steps | None = None) -> float:
    """Speed of parting. [rpm]"""
    return onset(train, move(train, RISING, steps), parts, RPM, steps).speed / RPM


def matrices(p: Array) -> tuple[Array, Array, Array]:
    """Masses, stiffness and damping of all that moves while everything touches and the valve is open."""
    places = [r.LIFTER, r.ROCKER, *range(r.COILS, r.VALVE + 1)]
    mass = np.zeros(r.BODIES)
    mass[r.LIFTER], mass[r.ROCKER], mass[r.VALVE] = p[r.LIFTER_MASS], p[r.ROCKER_MASS], p[r.VALVE_MASS]
    mass[r.COILS : r.VALVE] = p[r.COIL_MASS]
    both = []
    for cam, rod, tip, coil in (
        p[[r.CAM_STIFFNESS, r.ROD_STIFFNESS, r.TIP_STIFFNESS, r.COIL_STIFFNESS]],
        p[[r.CAM_DAMPING, r.ROD_DAMPING, r.TIP_DAMPING, r.COIL_DAMPING]],
    ):
        links = [({r.LIFTER: 1.0}, cam), ({r.LIFTER: 1.0, r.ROCKER: -1.0 / p[r.RATIO]}, rod)]
        links.append(({r.ROCKER: 1.0, r.VALVE: -1.0}, tip))
        links += [({place: -1.0, place + 1: 1.0}, coil) for place in range(r.HEAD, r.VALVE)]
        found = np.zeros((r.BODIES, r.BODIES))
        for arms, value in links:
            arm = np.zeros(r.BODIES)
            arm[list(arms)] = list(arms.values())
            found += value * np.outer(arm, arm)
        both.append(found[np.ix_(places, places)])
    return np.diag(mass[places]), both[0], both[1]


def lifted(order: int, swing: float) -> Train:
    """A train that hangs high in its spring, on a lobe that swings harmonically."""

    def lobe(angle: Array) -> tuple[Array, Array]:
        turned = 0.5 * order * angle
        return 4e-3 - swing * np.cos(turned), 0.5 * order * swing * np.sin(turned)

    return solid(lobe=lobe)


@pytest.mark.parametrize(("order", "rpm"), [(6, 3000.0), (12, 3000.0), (20, 4000.0)])
def test_a_harmonic_lobe_swings_the_train_as_the_linear_system_says(order: int, rpm: float) -> None:
    train, swing = lifted(order, 20e-6), 20e-6
    p = train.parameters()
    mass, stiffness, damping = matrices(p)
    w = 0.5 * order * rpm * RPM
    pushed = np.zeros(len(mass), dtype=complex)
    pushed[0] = -swing * (p[r.CAM_STIFFNESS] + 1j * w * p[r.CAM_DAMPING])
    exact = np.linalg.solve(stiffness + 1j * w * damping - w * w * mass, pushed)[-1]
    turned = 0.5 * order * ANGLES

    def error(share: float) -> float:
        lift = move(train, [rpm * RPM], Steps(share, 0.6)).valve_lift[0]
        assert np.min(lift) > 1e-3
        swung = lift - np.mean(lift)
        return float(np.max(np.abs(swung - np.real(exact * np.exp(1j * turned)))))

    coarse, fine = error(0.4), error(0.1)
    assert coarse < 0.004 * abs(exact)
    assert fine < 0.12 * coarse  # second order gives a sixteenth


def test_the_spring_swings_at_the_frequency_of_the_handbook() -> None:
    p = solid().parameters()
    mass, stiffness, _ = matrices(p)
    coils = slice(2, 2 + r.MASSES)
    lowest = np.linalg.eigvalsh(stiffness[coils, coils] / p[r.COIL_MASS])[0]
    assert math.sqrt(lowest) / (2.0 * math.pi) == pytest.approx(
        float(surge_frequency(COILS.rate, COILS.active_mass)), rel=1e-9
    )
    assert np.sum(np.diag(mass)[coils]) < COILS.mass


def test_the_spring_surges_where_an_order_of_the_cam_meets_its_own_frequency() -> None:
    speeds = np.arange(4500.0, 6300.0, 25.0) * RPM
    surge = move(solid(), speeds).surge
    for order in (10, 11, 12):
        meets = 120.0 * COILS.surge_frequency / order
        near = np.abs(speeds / RPM - meets) < 240.0
        assert speeds[near][np.argmax(surge[near, order])] / RPM == pytest.approx(meets, rel=0.011)


def test_slowly_the_forces_are_those_of_the_proofs() -> None:
    train, speed = solid(), 400.0 * RPM
    motion = move(train, [speed])
    lift = float(motion.valve_lift[0, NOSE])
    load = float(open_load(COILS.seat_load, COILS.rate, lift))
    taken = float(force_at_nose(speed, MASS, nose_acceleration(*LOBE), train.rocker_ratio))
    weights = 9.80665 * (train.lifter_mass + train.pushrod_mass)
    assert motion.cam_force[0, NOSE] == pytest.approx(train.rocker_ratio * (load - taken) + weights, rel=2e-3)
    bent = train.rocker_ratio * load * (1.0 / JOINTS.cam + 1.0 / JOINTS.rod) * train.rocker_ratio
    assert rigid_lift(train, ANGLES)[NOSE] - lift == pytest.approx(bent + load / JOINTS.tip, rel=0.02)


def test_the_stiffer_the_train_the_nearer_it_parts_to_what_the_proofs_say() -> None:
    """What is left between them is the pushrod's vibration, and the surge of the spring."""
    rigid = float(separation_speed(open_load(533.8, 65148.0, 0.014459), MASS, nose_acceleration(*LOBE), 1.65))
    found = [parting(stiffer(without_surge(solid()), times)) for times in (1.0, 4.0, 16.0)]
    print(found, rigid / RPM)
    assert found == sorted(found)
    assert found[-1] == pytest.approx(rigid / RPM, rel=0.015)
    assert found[0] < 0.85 * rigid / RPM


@pytest.mark.parametrize("train", [solid(), hydraulic()])
def test_twice_the_stiffness_raises_the_speed_of_parting(train: Train) -> None:
    found = [parting(stiffer(train, times)) for times in (0.5, 1.0, 2.0)]
    assert all(after > before + 100.0 for before, after in pairwise(found))


def test_a_heavier_valve_and_a_softer_spring_part_sooner() -> None:
    whole = parting(solid())
    assert parting(solid(valve_mass=0.153)) < whole - 50.0
    assert parting(solid(coils=replace(COILS, seat_load=450.0))) < whole - 50.0


def test_the_speed_of_parting_does_not_hang_on_the_step() -> None:
    found = [parting(hydraulic(), Steps(share)) for share in (0.7, 0.4, 0.1)]
    assert max(found) - min(found) < 15.0


@pytest.mark.parametrize("ratio", [0.02, 0.06, 0.3, 1.0])
def test_the_step_is_stable_whatever_damps(ratio: float) -> None:
    joints = replace(JOINTS, damping_ratio=ratio, seat_damping_ratio=ratio)
    train = solid(joints=joints, coils=replace(COILS, damping_ratio=ratio))
    motion = move(train, np.array([800.0, 3000.0]) * RPM)
    assert np.max(motion.lift_error) < 1.2e-3
    assert np.max(motion.most_force) < 4000.0


def test_longer_settling_changes_the_speed_of_parting_little() -> None:
    assert parting(hydraulic(), Steps(settling=0.6)) == pytest.approx(parting(hydraulic()), abs=15.0)


@pytest.mark.parametrize("train", [solid(), hydraulic()])
def test_it_parts_where_another_solver_says(train: Train) -> None:
    """An independent right-hand side and a solver with a bound on its error; 25 rpm apart at most."""
    speed = onset(train, move(train, RISING), parts, RPM).speed
    high = np.abs(ANGLES) < math.radians(110.0)
    for asked, parted in ((speed - 25.0 * RPM, False), (speed + 25.0 * RPM, True)):
        count = cycles_made(train, int(move(train, [asked]).steps[0]))
        states = solved(train, asked, count, 1e-7, "DOP853")
        assert bool(np.any(least_force(train, asked, states)[high] <= 0.0)) is parted


def test_before_it_parts_the_lift_is_that_of_another_solver() -> None:
    train = hydraulic()
    for rpm in (2000.0, 5500.0):
        motion = move(train, [rpm * RPM])
        count = cycles_made(train, int(motion.steps[0]))
        exact = solved(train, rpm * RPM, count, 1e-8, "DOP853")[r.VALVE]
        assert np.max(np.abs(motion.valve_lift[0] - exact)) < 2e-5


def energy(p: Array, s: Array, lift: float) -> Array:
    """Of all that moves and is pressed together, solid lifter, none apart. [J]"""
    rows = s.reshape(-1, r.LANES)
    x = rows[r.PLACE // r.LANES :][: r.BODIES]
    v = (
        (rows[r.PACE // r.LANES :][: r.BODIES])
        + rows[r.HALF // r.LANES] * rows[r.PULL // r.LANES :][: r.BODIES]
    )
    mass = np.zeros(r.BODIES)
    mass[r.LIFTER], mass[r.ROCKER], mass[r.VALVE] = p[r.LIFTER_MASS], p[r.ROCKER_MASS], p[r.VALVE_MASS]
    mass[r.COILS : r.VALVE] = p[r.COIL_MASS]
    found = 0.5 * mass @ (v * v) + p[r.LIFTER_WEIGHT] * x[r.LIFTER] + p[r.ROCKER_WEIGHT] * x[r.ROCKER]
    pressed = (
        (p[r.CAM_STIFFNESS], lift - x[r.LIFTER]),
        (p[r.ROD_STIFFNESS], x[r.LIFTER] - x[r.ROCKER] / p[r.RATIO]),
        (p[r.TIP_STIFFNESS], x[r.ROCKER] - p[r.LASH] - x[r.VALVE]),
        (p[r.SEAT_STIFFNESS], -x[r.VALVE]),
    )
    for stiffness, squeezed in pressed:
        found = found + 0.5 * stiffness * np.maximum(squeezed, 0.0) ** 2
    pieces = np.diff(x[r.HEAD : r.ROCKER], axis=0)
    return np.asarray(found + np.sum(p[r.SEAT_LOAD] * pieces + 0.5 * p[r.COIL_STIFFNESS] * pieces**2, axis=0))


def test_without_damping_the_energy_is_what_the_cam_puts_in() -> None:
    """Through opening and landing, from rest; half the step leaves a quarter of the error or less."""
    train = solid(joints=UNDAMPED, coils=replace(COILS, damping_ratio=0.0))
    p, speed = train.parameters(), 3000.0 * RPM

    def missing(per_degree: int) -> float:
        n = 720 * per_degree
        lift, slope = train.lobe((np.arange(n + 1) / n - 0.5) * TURN)
        s = begun(train, p, np.full(r.LANES, speed), per_degree)
        history = np.empty((n, r.SIGNALS * r.LANES))
        before = energy(p, s, 0.0)
        turn(s.reshape(-1), p, lift, slope, history, True)
        work = history[:, r.CAM_FORCE * r.LANES] @ slope[1:] * (TURN / n)
        scale = np.max(np.abs(np.cumsum(history[:, r.CAM_FORCE * r.LANES] * slope[1:]))) * (TURN / n)
        return float(abs(energy(p, s, 0.0)[0] - before[0] - work) / scale)

    coarse, fine = missing(4), missing(16)
    assert coarse < 2e-3
    assert fine < coarse / 8.0


def test_damping_takes_what_the_cam_puts_in() -> None:
    """Cycles repeat, so that the work of the cam is what is lost: more with speed."""
    work = move(solid(), np.array([1000.0, 3000.0, 5000.0]) * RPM).cam_work
    assert 0.0 < work[0] < work[1] < work[2]


def test_a_speed_is_the_same_whatever_stands_beside_it() -> None:
    many = move(hydraulic(), np.arange(3000.0, 7000.0, 130.0) * RPM)
    for number in (0, 7, 20, 30):
        alone = move(hydraulic(), [many.engine_speed[number]])
        np.testing.assert_array_equal(alone.valve_lift[0], many.valve_lift[number])
        assert alone.least_force[0] == many.least_force[number]
        assert alone.bounce[0] == many.bounce[number]


def test_lash_is_open_on_the_base_circle_and_makes_the_valve_land_harder() -> None:
    lash = 0.5e-3
    tight, loose = move(solid(), [3000.0 * RPM]), move(solid(lash=lash), [3000.0 * RPM])
    assert rigid_lift(solid(lash=lash), ANGLES)[NOSE] == pytest.approx(
        rigid_lift(solid(), ANGLES)[NOSE] - lash
    )
    assert loose.seating_speed[0] > tight.seating_speed[0]
    assert np.count_nonzero(loose.valve_lift[0] > 5e-5) < np.count_nonzero(tight.valve_lift[0] > 5e-5)


def test_at_rest_all_forces_balance() -> None:
    for train in (solid(), solid(lash=0.4e-3), hydraulic()):
        p = train.parameters()
        s = begun(train, p, np.full(r.LANES, 100.0), 1)
        still = np.zeros(2)
        history = np.empty((1, r.SIGNALS, r.LANES))
        turn(s.reshape(-1), p, still, still, history.reshape(1, -1), True)
        assert np.max(np.abs(s[r.PULL // r.LANES :][: r.BODIES])) < 1e-6
        assert history[0, r.SEAT_FORCE, 0] == pytest.approx(
            COILS.seat_load + COILS.rate * at_rest(train, p)[0][r.VALVE] - history[0, r.TIP_FORCE, 0]
        )


def test_a_lifter_pumps_up_where_its_train_parts() -> None:
    motion = move(hydraulic(), np.array([4000.0, 8000.0]) * RPM)
    assert motion.apart[0] == 0.0
    assert motion.apart[1] > 0.0
    assert abs(motion.plunger_rise[0]) < 1e-5
    assert motion.plunger_rise[1] > 1e-4


def test_the_valve_lands_faster_and_bounces_higher_with_speed() -> None:
    motion = move(hydraulic(), np.array([1000.0, 3000.0, 5000.0, 6300.0]) * RPM)
    assert np.all(np.diff(motion.seating_speed) > 0.0)
    assert np.all(np.diff(motion.bounce) > 0.0)


def test_a_valve_that_does_not_land_counts_as_bouncing() -> None:
    motion = move(hydraulic(), np.array([3000.0, 8000.0]) * RPM)
    assert math.isnan(motion.seating_speed[1])
    assert list(bounces(1.0)(motion)) == [False, True]


def test_an_onset_is_narrowed_down_or_said_to_be_unknown() -> None:
    train = solid()
    motion = move(train, RISING)
    found = onset(train, motion, parts, RPM)
    assert found.within <= RPM
    either_side = move(train, [found.speed - found.within, found.speed])
    assert list(parts(either_side)) == [False, True]
    assert onset(train, move(train, RISING[:10]), bounces(1.0), RPM).speed == math.inf
    first = onset(train, move(train, RISING[40:]), parts, RPM)
    assert (first.speed, first.within) == (RISING[40], math.inf)


def test_the_frequency_of_the_train_is_that_of_all_its_masses() -> None:
    p = without_surge(solid()).parameters()
    mass, stiffness, _ = matrices(p)
    exact = np.linalg.eigvals(np.linalg.solve(mass, stiffness)).real
    assert lowest_frequency(p) == pytest.approx(math.sqrt(np.min(exact)), rel=5e-3)


REFUSED = [
    ([], r"engine_speed \[\]: every speed must be above 0 rad/s"),
    ([100.0, 0.0], r"engine_speed \[100.0, 0.0\]: every speed must be above 0 rad/s"),
    ([math.nan], r"engine_speed \[nan\]: every speed must be above 0 rad/s"),
]


@pytest.mark.parametrize(("speeds", "said"), REFUSED)
def test_what_is_no_speed_is_refused(speeds: list[float], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        move(solid(), speeds)


def test_steps_that_are_not_stable_or_begin_from_rest_are_refused() -> None:
    with pytest.raises(ValueError, match=r"share 1.1 of a stable step is outside 0..1"):
        Steps(share=1.1)
    with pytest.raises(ValueError, match=r"settling 0.0 s must be above 0"):
        Steps(settling=0.0)


def test_no_train_runs_away() -> None:
    """Soft and stiff, light and heavy, damped little or much, far beyond where they part."""
    random = np.random.default_rng(20260302)

    def times(least: float, most: float) -> float:
        return float(np.exp(random.uniform(np.log(least), np.log(most))))

    for number in range(60):
        joints = replace(
            JOINTS,
            cam=JOINTS.cam * times(0.2, 5.0),
            rod=JOINTS.rod * times(0.2, 5.0),
            tip=JOINTS.tip * times(0.2, 5.0),
            damping_ratio=random.uniform(0.0, 0.3),
            film=JOINTS.film * times(0.1, 10.0),
        )
        coils = replace(
            COILS,
            seat_load=COILS.seat_load * times(0.5, 2.0),
            rate=COILS.rate * times(0.5, 2.0),
            surge_frequency=COILS.surge_frequency * times(0.7, 2.0),
            travel=random.uniform(14.5e-3, 20e-3),
            damping_ratio=random.uniform(0.0, 0.1),
        )
        changes = {
            "joints": joints,
            "coils": coils,
            "valve_mass": 0.133 * times(0.5, 2.0),
            "lifter_mass": 0.112 * times(0.5, 2.0),
        }
        train = hydraulic(**changes) if number % 2 else solid(lash=random.uniform(0.0, 0.6e-3), **changes)
        motion = move(train, random.uniform(600.0, 9000.0, 8) * RPM)
        for each in (
            motion.valve_lift,
            motion.most_force,
            motion.cam_work,
            motion.surge,
            motion.plunger_rise,
        ):
            assert np.all(np.isfinite(each))
        assert np.max(np.abs(motion.valve_lift)) < 0.03
