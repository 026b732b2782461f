"""An invented valve train for tests, and parts of it to leave out."""

from __future__ import annotations

import math
from dataclasses import replace

from tappetry.engineering.valvetrain import equivalent_mass
from tappetry.simulation.train import Coils, Joints, Plunger, Train, power_lobe

RPM = math.pi / 30.0
LOBE = (8.763e-3, 5.5053, math.radians(167.731))
JOINTS = Joints(
    cam=60e6, rod=20e6, tip=12e6, seat=50e6, damping_ratio=0.06, seat_damping_ratio=0.1, film=5e-6
)
COILS = Coils(
    seat_load=533.8,
    rate=65148.0,
    mass=0.092,
    surge_frequency=490.0,
    travel=17.5e-3,
    damping_ratio=0.02,
    clash_factor=10.0,
)
MASS = float(equivalent_mass(0.106, 0.022, 0.005, 0.092, 0.042, 0.052, 0.112, 1.65))
"""Of the train below, by the handbook. [kg]"""


def solid(**changes: object) -> Train:
    """A train with a solid lifter and no lash."""
    made = Train(
        lobe=power_lobe(*LOBE),
        rocker_ratio=1.65,
        lifter_mass=0.112,
        pushrod_mass=0.052,
        rocker_mass=0.042,
        valve_mass=0.133,
        coils=COILS,
        joints=JOINTS,
    )
    return replace(made, **changes)  # type: ignore[arg-type]


def hydraulic(**changes: object) -> Train:
    """The same on a hydraulic lifter."""
    return solid(plunger=Plunger(load=30.0, leak=4e-7, refill=1e-3), **changes)


def stiffer(train: Train, times: float) -> Train:
    """The same between lobe and valve, but for the stiffness of its joints."""
    joints = train.joints
    return replace(
        train,
        joints=replace(joints, cam=times * joints.cam, rod=times * joints.rod, tip=times * joints.tip),
    )


def without_surge(train: Train) -> Train:
    """The same with a spring that is no spring of many masses: a third of its mass goes with the valve."""
    coils = replace(train.coils, surge_frequency=20.0 * train.coils.surge_frequency)
    active = coils.active_mass
    at_valve = 0.5 * (coils.mass - active) + active / 3.0
    return replace(train, coils=coils, valve_mass=train.valve_mass + coils.mass / 3.0 - at_valve)
