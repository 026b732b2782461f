"""An engine as the simulation takes it: valves, pipes, volumes, fuel, fire; and the network built from it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from tappetry.engineering.lobe import lobe_lift_at_angle
from tappetry.engineering.valvetrain import lift_at_valve
from tappetry.simulation import columns
from tappetry.simulation.cylinders import Bore, Mixture, WiebeShape, equip, start_in_turn
from tappetry.simulation.first_gas import COLLECTED, EXHAUST, fill_pipes, first_gas
from tappetry.simulation.friction import FrictionParts
from tappetry.simulation.gas import Gas, engine_gas
from tappetry.simulation.network import Array, Chamber, End, Network, join, surroundings
from tappetry.simulation.pipes import Pipe


@dataclass(frozen=True, slots=True)
class Valve:
    """A valve with its port, as a flow bench knows it, and its lobe.

    Attributes
    ----------
    lifts, areas : tuple of float
        Lift, rising from 0, and the area of the nozzle without loss that passes as much. [m], [m2]
    lobe_lift, lobe_exponent, lobe_half_width : float
        Of the lobe's law. [m], [1], [rad]
    nose : float
        Angle of the cylinder, from the dead centre of gas exchange, at which it lifts most. [rad]
    rocker_ratio : float
        [1]
    hot_lash : float
        At the valve. [m]
    give : float
        Lift that the parts between lobe and valve take up before the valve leaves its seat; of lash and this
        the larger counts. [m]
    """

    lifts: tuple[float, ...]
    areas: tuple[float, ...]
    lobe_lift: float
    lobe_exponent: float
    lobe_half_width: float
    nose: float
    rocker_ratio: float
    hot_lash: float = 0.0
    give: float = 0.0

    @property
    def taken_up(self) -> float:
        """Lift that does not reach the valve. [m]"""
        return max(self.hot_lash, self.give)

    @property
    def greatest_lift(self) -> float:
        """Of the valve. [m]"""
        return float(lift_at_valve(self.lobe_lift, self.rocker_ratio, self.taken_up))

    @property
    def beyond_bench(self) -> bool:
        """Whether it lifts further than the bench went; then the last area is taken."""
        return self.greatest_lift > self.lifts[-1]

    def area_table(self) -> Array:
        """Effective area by the angle of the cylinder, for the kernels. [m2]"""
        angles = np.radians(np.arange(columns.DEGREES * columns.VALVE_STEPS + 2) / columns.VALVE_STEPS)
        away = (angles - self.nose + 2.0 * math.pi) % (4.0 * math.pi) - 2.0 * math.pi
        on_lobe = np.abs(away) < self.lobe_half_width
        lobe = lobe_lift_at_angle(away[on_lobe], self.lobe_lift, self.lobe_exponent, self.lobe_half_width)
        lift = np.zeros(len(angles))
        lift[on_lobe] = np.maximum(lobe * self.rocker_ratio - self.taken_up, 0.0)
        return np.asarray(np.interp(lift, self.lifts, self.areas))


@dataclass(frozen=True, slots=True)
class Fuel:
    """What the engine burns.

    Attributes
    ----------
    stands_for : str
        The pure fuel whose vapour and burned gas are taken for this one's.
    stoichiometric_ratio, air_fuel_ratio : float
        Dry air over fuel by mass: of a complete burn, and at this load. [1]
    heating_value, vaporisation : float
        Lower heating value of the liquid, and heat of vaporisation. [J/kg]
    cooled_share : float
        Share of the fuel that takes its heat of vaporisation from the charge; the rest takes it from the
        walls of the port. [1]
    octane : float
        As the knock integral takes it; 0 where knock is not looked for. [1]
    """

    stands_for: str
    stoichiometric_ratio: float
    air_fuel_ratio: float
    heating_value: float
    vaporisation: float
    cooled_share: float
    octane: float


@dataclass(frozen=True, slots=True)
class Burning:
    """How the charge burns.

    Attributes
    ----------
    shape : WiebeShape
    span : float
        Angle from 10 to 90 % at the stated speed. [rad]
    span_speed, speed_exponent : float
        The span grows with speed over this one to a power. [rad/s], [1]
    residual_factor, residual_from : float
        And by this factor for each unit of residual above a share; it never shrinks. [1]
    half_burned, latest : float
        Angle after the dead centre at which half is burned, and up to which knock may push it. [rad]
    completeness : float
        Share of the fuel's heat, as far as the air allows, that is set free. [1]
    """

    shape: WiebeShape
    span: float
    span_speed: float
    speed_exponent: float
    residual_factor: float
    residual_from: float
    half_burned: float
    latest: float
    completeness: float

    def span_at(self, engine_speed: float, residual: float) -> float:
        """Angle from 10 to 90 % at a speed, with a share of burned gas in the charge. [rad]"""
        slower = 1.0 + self.residual_factor * max(residual - self.residual_from, 0.0)
        return self.span * (engine_speed / self.span_speed) ** self.speed_exponent * slower


@dataclass(frozen=True, slots=True)
class BlowBy:
    """Share of the trapped charge that passes the rings in a cycle, at two speeds and in between.

    Attributes
    ----------
    speeds, shares : tuple of float
        [rad/s], [1]
    """

    speeds: tuple[float, float]
    shares: tuple[float, float]

    def share(self, engine_speed: float) -> float:
        """At a speed, straight between the two and level beyond. [1]"""
        return float(np.interp(engine_speed, self.speeds, self.shares))


@dataclass(frozen=True, slots=True)
class Air:
    """The air around the engine.

    Attributes
    ----------
    dry_pressure, vapour_pressure : float
        [Pa]
    temperature : float
        [K]
    """

    dry_pressure: float
    vapour_pressure: float
    temperature: float

    @property
    def pressure(self) -> float:
        """Of both. [Pa]"""
        return self.dry_pressure + self.vapour_pressure


@dataclass(frozen=True, slots=True)
class Engine:
    """All of it.

    Attributes
    ----------
    bore : Bore
    lags : tuple of float
        By how much each cylinder follows the first. [deg]
    collectors : tuple of int
        Number of the collector into which each cylinder breathes, from 0.
    intake, exhaust : Valve
    air : Air
    fuel : Fuel
    burning : Burning
    blow_by : BlowBy
    friction : FrictionParts
    air_path : Pipe
        From the air around to the throttle.
    throttle_area : float
        Effective. [m2]
    plenum_volume, collector_volume : float
        [m3]
    runner : Pipe
        From plenum to intake valve, port included.
    primary : Pipe
        From exhaust valve to collector, port included.
    tail : Pipe
        From a collector to the air around.
    """

    bore: Bore
    lags: tuple[float, ...]
    collectors: tuple[int, ...]
    intake: Valve
    exhaust: Valve
    air: Air
    fuel: Fuel
    burning: Burning
    blow_by: BlowBy
    friction: FrictionParts
    air_path: Pipe
    throttle_area: float
    plenum_volume: float
    collector_volume: float
    runner: Pipe
    primary: Pipe
    tail: Pipe

    @property
    def cylinders(self) -> int:
        """How many."""
        return len(self.lags)

    @property
    def displacement(self) -> float:
        """Of all cylinders. [m3]"""
        return self.bore.swept_volume * self.cylinders

    @property
    def air_path_end(self) -> int:
        """Number of the end, among those of all pipes, where air comes in."""
        return 0

    @property
    def tail_ends(self) -> tuple[int, ...]:
        """Numbers of the ends where exhaust goes out."""
        first = 1 + self.cylinders
        return tuple(2 * (first + number) + 1 for number in range(1 + max(self.collectors)))


@dataclass(frozen=True, slots=True)
class Mesh:
    """Into how many cells each pipe is cut, and the share of the largest stable step.

    Attributes
    ----------
    air_path, runner, primary, tail : int
        Cells of each.
    courant : float
        [1]
    """

    air_path: int = 8
    runner: int = 10
    primary: int = 10
    tail: int = 24
    courant: float = 0.98

    @property
    def cells(self) -> tuple[int, int, int, int]:
        """Of the air path, a runner, a primary and a tail."""
        return self.air_path, self.runner, self.primary, self.tail

    def rough(self) -> Mesh | None:
        """With so few cells that a cycle takes little; None where these are not twice as many."""
        fewer = all(rough <= mine for rough, mine in zip(ROUGH_CELLS, self.cells, strict=True))
        return Mesh(*ROUGH_CELLS, self.courant) if fewer and 2 * sum(ROUGH_CELLS) <= sum(self.cells) else None


ROUGH_CELLS = 4, 4, 3, 8
"""Of the air path, a runner, a primary, a tail; with six in a tail many points want one more fine cycle."""


def gas_of(engine: Engine) -> Gas:
    """The gas that the engine breathes."""
    fuel, air = engine.fuel, engine.air
    ratio = fuel.stoichiometric_ratio / fuel.air_fuel_ratio
    return engine_gas(fuel.stands_for, ratio, air.dry_pressure, air.vapour_pressure)


def pipes_of(engine: Engine, mesh: Mesh) -> list[Pipe]:
    """The air path, the runners, the tails, and the primaries, short and hot: they may take own steps."""
    count = engine.cylinders
    return [
        replace(engine.air_path, cells=mesh.air_path),
        *[replace(engine.runner, cells=mesh.runner)] * count,
        *[replace(engine.tail, cells=mesh.tail)] * (1 + max(engine.collectors)),
        *[replace(engine.primary, cells=mesh.primary)] * count,
    ]


def build(engine: Engine, engine_speed: float, mesh: Mesh) -> Network:
    """The network of an engine at a speed, filled with air before the cylinders and burned gas behind them.

    Volumes are the cylinders, the plenum, the collectors, the air around; pipes are those of `pipes_of`.
    """
    gas, count, air = gas_of(engine), engine.cylinders, engine.air
    collectors = 1 + max(engine.collectors)
    plenum, around = count, count + 1 + collectors
    ends = [
        (End(around), End(plenum, engine.throttle_area)),
        *[(End(plenum), End(number, valve=columns.INTAKE)) for number in range(count)],
        *[(End(plenum + 1 + number), End(around)) for number in range(collectors)],
        *[
            (End(number, valve=columns.EXHAUST), End(plenum + 1 + engine.collectors[number]))
            for number in range(count)
        ],
    ]
    pressure, warm = air.pressure, air.temperature
    first = first_gas(engine, engine_speed, gas)
    volumes = [
        *[Chamber(1.0, pressure, EXHAUST, burned=1.0)] * count,
        Chamber(engine.plenum_volume, first.plenum_pressure, first.plenum_temperature),
        *[Chamber(engine.collector_volume, first.collector_pressure, COLLECTED, burned=1.0)] * collectors,
        surroundings(pressure, warm),
    ]
    network = join(gas, pipes_of(engine, mesh), ends, volumes, count, own=count)
    fill_pipes(network.layout, engine, gas, first)
    fuel = engine.fuel
    mixture = Mixture(
        air_fuel=fuel.air_fuel_ratio,
        # The heating value is that of the liquid; what burns is vapour, which was given its heat before.
        fire_heat=(fuel.heating_value + fuel.vaporisation) * gas.heat_share * engine.burning.completeness,
        fuel_enthalpy=-fuel.vaporisation * fuel.cooled_share,
        octane=fuel.octane,
    )
    valves = np.stack([engine.intake.area_table(), engine.exhaust.area_table()])
    equip(
        network,
        engine.bore,
        mixture,
        engine.burning.shape,
        engine_speed,
        engine.lags,
        valves,
        crankcase=pressure,
        leak_area=FIRST_LEAK,
    )
    start_in_turn(network, first.plenum_pressure, first.runner_temperature)
    return network


FIRST_LEAK = 3e-7
"""Effective area past the rings of a cylinder, from which the search for the stated blow-by begins. [m2]"""
