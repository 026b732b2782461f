"""Friction of an engine by its parts: bearings, pistons and rings, valve train, auxiliaries, accessories.

The correlation of Patton, Nitschke and Heywood. Its constants want mm, m/s, rpm and give kPa; they are from
memory: look them up before relying on them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tappetry.engineering.crank import displacement, mean_piston_speed
from tappetry.engineering.mean_pressure import brake_mean_pressure


@dataclass(frozen=True, slots=True)
class Bearings:
    """Plain bearings of one kind.

    Attributes
    ----------
    count : int
        Of all.
    diameter, width : float
        [m]
    """

    count: int
    diameter: float
    width: float


@dataclass(frozen=True, slots=True)
class FrictionParts:
    """What rubs.

    Attributes
    ----------
    main, rod, cam : Bearings
    roller : bool
        Tappets with rollers; flat ones otherwise.
    accessory_torque : float
        At the speed where it is stated. [N.m]
    accessory_slope : float
        More of it for each rad/s above that speed. [N.m.s/rad]
    accessory_speed : float
        [rad/s]
    """

    main: Bearings
    rod: Bearings
    cam: Bearings
    roller: bool
    accessory_torque: float
    accessory_slope: float
    accessory_speed: float


@dataclass(frozen=True, slots=True)
class Friction:
    """Mean pressures that friction takes, by what rubs.

    Attributes
    ----------
    crankshaft, pistons, gas_load, valve_train, auxiliaries, accessories : float
        Main bearings and seals; pistons, rings and rod bearings; what gas pressure adds to the rings; cam
        bearings and followers; oil and coolant pump; what the engine drives besides. [Pa]
    """

    crankshaft: float
    pistons: float
    gas_load: float
    valve_train: float
    auxiliaries: float
    accessories: float

    @property
    def total(self) -> float:
        """Of all. [Pa]"""
        parts = (self.crankshaft, self.pistons, self.gas_load, self.valve_train)
        return sum(parts) + self.auxiliaries + self.accessories


def friction(
    parts: FrictionParts,
    bore: float,
    stroke: float,
    cylinders: int,
    compression_ratio: float,
    valve_lift: float,
    engine_speed: float,
    load_ratio: float,
) -> Friction:
    """Friction of a pushrod engine with two valves in a cylinder.

    Parameters
    ----------
    parts : FrictionParts
    bore, stroke : float
        [m]
    cylinders : int
    compression_ratio : float
        [1]
    valve_lift : float
        Greatest. [m]
    engine_speed : float
        Above 0. [rad/s]
    load_ratio : float
        Pressure of the intake over that of the surroundings. [1]

    Returns
    -------
    Friction
        [Pa]

    References
    ----------
    .. [1] Patton, Nitschke and Heywood, SAE 890836 (constants from memory: look them up).
    """
    rpm = engine_speed * 30.0 / math.pi
    piston = float(mean_piston_speed(stroke, engine_speed))
    b, s, n = bore * 1e3, stroke * 1e3, cylinders
    swept = b * b * s * n
    main, rod, cam = parts.main, parts.rod, parts.cam
    seals = 1.22e5 * main.diameter * 1e3 / swept
    oil_drag = 1.35e-10 * (main.diameter * 1e3) ** 2 * rpm**2 * main.count / n
    slow = 1.0 + 1000.0 / rpm
    followers = 0.0050 * rpm * 2 * n / (s * n) if parts.roller else 400.0 * slow * 2 * n / (s * n)
    lift = valve_lift * 1e3
    hydrodynamic = 0.5 * lift**1.5 * rpm**0.5 * 2 * n / (b * s * n)
    mixed = 32.1 * slow * lift * 2 * n / (s * n)
    driven = parts.accessory_torque + parts.accessory_slope * (engine_speed - parts.accessory_speed)
    pressed = 0.088 * compression_ratio + 0.182 * compression_ratio ** (1.33 - 2.38e-2 * piston)
    return Friction(
        crankshaft=1e3 * (seals + _bearing(main, rpm, swept) + oil_drag),
        pistons=1e3 * (294.0 * piston / b + 4.06e4 * slow / b**2 + _bearing(rod, rpm, swept)),
        gas_load=1e3 * 6.89 * load_ratio * pressed,
        valve_train=1e3 * (244.0 * rpm * cam.count / swept + followers + hydrodynamic + mixed),
        auxiliaries=1e3 * (8.32 + 1.86e-3 * rpm + 7.45e-7 * rpm**2),
        accessories=float(brake_mean_pressure(driven, displacement(bore, stroke, n)))
        if driven > 0.0
        else 0.0,
    )


def _bearing(bearings: Bearings, rpm: float, swept: float) -> float:
    return 3.03e-4 * rpm * (bearings.diameter * 1e3) ** 3 * bearings.width * 1e3 * bearings.count / swept
