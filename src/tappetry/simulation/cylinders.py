"""What all cylinders of an engine share, put into the tables of the kernels; where each begins."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tappetry.engineering.burn import burn_angles
from tappetry.engineering.crank import mean_piston_speed, swept_volume
from tappetry.simulation import columns
from tappetry.simulation.network import Array, Network

SHUT_BELOW = 0.01
"""A valve counts as shut where its effective area is below this share of its greatest."""

MOTORED = 1.32
"""Exponent of the compression without a fire in Woschni's velocity (Heywood, chapter 12, from memory)."""


@dataclass(frozen=True, slots=True)
class Bore:
    """A cylinder as it is cut.

    Attributes
    ----------
    bore, stroke, rod_length : float
        [m]
    compression_ratio : float
        [1]
    head_temperature, piston_temperature, liner_temperature : float
        Of the walls. [K]
    """

    bore: float
    stroke: float
    rod_length: float
    compression_ratio: float
    head_temperature: float = 500.0
    piston_temperature: float = 500.0
    liner_temperature: float = 450.0

    @property
    def swept_volume(self) -> float:
        """[m3]"""
        return float(swept_volume(self.bore, self.stroke))

    @property
    def clearance_volume(self) -> float:
        """Over the piston at its upper dead centre. [m3]"""
        return self.swept_volume / (self.compression_ratio - 1.0)


@dataclass(frozen=True, slots=True)
class Mixture:
    """Fuel as the cylinder gets it.

    Attributes
    ----------
    air_fuel : float
        Dry air over fuel by mass; 0 where no fuel is added. [1]
    fire_heat : float
        What burning a mass of the fuel's vapour gives up in this mixture. [J/kg]
    fuel_enthalpy : float
        Of the fuel as it comes, over that of its vapour at 298.15 K. [J/kg]
    octane : float
        [1]
    """

    air_fuel: float
    fire_heat: float
    fuel_enthalpy: float
    octane: float


NO_FUEL = Mixture(0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class WiebeShape:
    """The law of burning: a and m, and where its parts lie in its length.

    Attributes
    ----------
    wiebe_a, wiebe_m : float
        [1]
    """

    wiebe_a: float
    wiebe_m: float

    def span(self, from_10_to_90: float) -> tuple[float, float]:
        """Length of the burn, and its half-way point from its start, from the angle of 10 to 90 %."""
        whole, middle = _unit_span(self)
        return from_10_to_90 * whole, from_10_to_90 * middle


@lru_cache(maxsize=64)
def _unit_span(shape: WiebeShape) -> tuple[float, float]:
    """Length and half-way point of a burn that goes from 10 to 90 % in one."""
    angles = burn_angles(0.0, 1.0, shape.wiebe_a, shape.wiebe_m)
    whole = 1.0 / float(angles.burn_90_angle - angles.burn_10_angle)
    return whole, whole * float(angles.burn_50_angle)


def equip(
    network: Network,
    bore: Bore,
    mixture: Mixture,
    wiebe: WiebeShape,
    engine_speed: float,
    lags: Sequence[float],
    valves: Array,
    crankcase: float,
    heat_factor: float = 1.0,
    leak_area: float = 0.0,
    largest_step: float = 2.0,
) -> None:
    """Fill the tables of cylinders, engine and valves; volumes and pistons begin at crank angle 0.

    Parameters
    ----------
    network : Network
        Its first volumes are the cylinders; their gas keeps its pressure and temperature.
    bore, mixture, wiebe
        What the cylinders share.
    engine_speed : float
        [rad/s]
    lags : sequence of float
        By how much each cylinder follows the first. [deg]
    valves : ndarray, shape (2, 720 * VALVE_STEPS + 2)
        Effective areas of intake and exhaust valve by the cylinder's own angle. [m2]
    crankcase : float
        Pressure below the rings. [Pa]
    heat_factor : float
        On Woschni's coefficient; 0 without heat to the walls. [1]
    leak_area : float
        Effective, past the rings of one cylinder. [m2]
    largest_step : float
        [deg]
    """
    from tappetry.simulation.cylinder_kernels import cylinder_volume
    from tappetry.simulation.volume_kernels import charge

    e = network.engine
    disc = 0.25 * math.pi * bore.bore**2
    e[columns.BORE], e[columns.THROW], e[columns.ROD] = bore.bore, 0.5 * bore.stroke, bore.rod_length
    e[columns.CLEARANCE], e[columns.SWEPT] = bore.clearance_volume, bore.swept_volume
    e[columns.SPEED] = engine_speed
    e[columns.PISTON_SPEED] = mean_piston_speed(bore.stroke, engine_speed)
    e[columns.HEAD_WALL], e[columns.PISTON_WALL] = bore.head_temperature, bore.piston_temperature
    e[columns.LINER_WALL] = bore.liner_temperature
    e[columns.HEAD_AREA] = e[columns.PISTON_AREA] = disc
    e[columns.WIEBE_A], e[columns.WIEBE_M] = wiebe.wiebe_a, wiebe.wiebe_m
    e[columns.AIR_FUEL], e[columns.FIRE_HEAT] = mixture.air_fuel, mixture.fire_heat
    e[columns.FUEL_ENTHALPY], e[columns.OCTANE] = mixture.fuel_enthalpy, mixture.octane
    e[columns.HEAT_SCALE] = 3.26 * bore.bore**-0.2 * 1e-3**0.8
    e[columns.OCTANE_SCALE] = octane_scale(mixture.octane)
    e[columns.DRY_SHARE] = network.gas.dry_share
    e[columns.LEAK_AREA], e[columns.CRANKCASE] = leak_area, crankcase
    e[columns.HEAT_FACTOR], e[columns.MOTORED_EXPONENT] = heat_factor, MOTORED
    e[columns.LARGEST_STEP] = largest_step
    network.valves[:] = valves
    e[columns.INTAKE_SHUTS], e[columns.EXHAUST_OPENS] = closed_part(valves)
    cylinders, held = network.cylinders, network.volumes[: len(lags)]
    space = np.array([cylinder_volume(e, (-lag) % 720.0) for lag in lags])
    burned, fuel = held[:, columns.BURNED] / held[:, columns.MASS], np.zeros(len(lags))
    state = held[:, columns.PRESSURE], held[:, columns.TEMPERATURE], space, burned, fuel
    charge(network.volumes, network.gas.table, np.stack(state, axis=1))
    cylinders[:, columns.LAG], cylinders[:, columns.KNOCK_ANGLE] = lags, math.inf
    # Woschni's velocity refers to what was trapped; before the first time that is what stands here.
    cylinders[:, columns.TRAPPED_MASS], cylinders[:, columns.TRAPPED_SPACE] = held[:, columns.MASS], space
    cylinders[:, columns.TRAPPED_PRESSURE] = held[:, columns.PRESSURE]
    cylinders[:, columns.TRAPPED_TEMPERATURE] = held[:, columns.TEMPERATURE]


def octane_scale(octane: float) -> float:
    """What `knock_rate` is to be multiplied by for a fuel; 0 where knock is not looked for."""
    return (octane / 100.0) ** -3.402 * 101325.0**-1.7 / 17.68e-3 if octane > 0.0 else 0.0


def start_in_turn(network: Network, pressure: float, temperature: float) -> None:
    """Give each cylinder about what stands in it where it begins: so that the first cycle is nearly one.

    Fresh gas is taken in at the pressure around and compressed; burned gas expands to that of an exhaust that
    opens, and is pushed out. The figures are rough, and nothing is left of them when cycles repeat.

    Parameters
    ----------
    network : Network
        Its cylinders are equipped.
    pressure, temperature : float
        Of the air around. [Pa], [K]
    """
    from tappetry.simulation.volume_kernels import charge

    e = network.engine
    fuel = 1.0 / (1.0 + e[columns.AIR_FUEL]) if e[columns.AIR_FUEL] > 0.0 else 0.0
    largest, warm = e[columns.CLEARANCE] + e[columns.SWEPT], temperature + INTAKE_WARMS
    states = []
    for number, lag in enumerate(network.cylinders[:, columns.LAG]):
        space, angle = network.volumes[number, columns.SPACE], -lag % 720.0
        denser = largest / space
        smaller = denser ** (POLYTROPIC - 1.0)
        if angle < 180.0:
            states.append((pressure, warm, space, 0.0, fuel))
        elif angle < 360.0:
            states.append((pressure * smaller * denser, warm * smaller, space, 0.0, fuel))
        elif angle < 540.0:
            opens = EXPANDED_PRESSURE * smaller * denser
            states.append((opens, EXPANDED_TEMPERATURE * smaller, space, 1.0, 0.0))
        else:
            states.append((pressure, EXHAUST_TEMPERATURE, space, 1.0, 0.0))
    charge(network.volumes, network.gas.table, np.array(states))


POLYTROPIC, INTAKE_WARMS = 1.3, 40.0
EXPANDED_PRESSURE, EXPANDED_TEMPERATURE, EXHAUST_TEMPERATURE = 4e5, 1500.0, 1100.0


def closed_part(valves: Array) -> tuple[float, float]:
    """Where the intake valve counts as shut and the exhaust valve as open; 180 and 540 without them. [deg]"""
    angles = np.arange(valves.shape[1]) / columns.VALVE_STEPS
    intake, exhaust = valves
    shuts, opens = 180.0, 540.0
    if np.max(intake) > 0.0:
        shuts = float(np.max(angles[(intake > SHUT_BELOW * np.max(intake)) & (angles < 360.0)]))
    if np.max(exhaust) > 0.0:
        opens = float(np.min(angles[(exhaust > SHUT_BELOW * np.max(exhaust)) & (angles > 360.0)]))
    return shuts, opens


def set_fire(
    network: Network, cylinder: int, burn_length: float, half_burned: float, half_way: float
) -> None:
    """Say when a cylinder burns: length, the angle of half of it, and how far into it that lies. [deg]"""
    row = network.cylinders[cylinder]
    row[columns.BURN_LENGTH] = burn_length
    row[columns.BURN_START] = 360.0 + half_burned - half_way


def begin_cycle(network: Network) -> None:
    """Set to 0 what is counted over a cycle."""
    network.totals[:, :4] = 0.0
    network.cylinders[:, columns.FIRST_OF_CYCLE : columns.LAST_OF_CYCLE + 1] = 0.0
    network.volumes[:, [columns.WALL_HEAT, columns.PRESSURE_TIME]] = 0.0
