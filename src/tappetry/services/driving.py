"""What a camshaft does to a vehicle: the stall of its converter, the launch, and how it cruises.

The stall that is stated of a converter is the one behind the factory's engine: with its simulated torque that
says what the converter takes, and where another torque curve meets that. A fact that is not known makes what
hangs on it unknown, and says what to ask.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tappetry.engineering.driving import road_load, torque_for_road_load
from tappetry.engineering.gas_properties import gas_constants, gas_density
from tappetry.engineering.mean_pressure import brake_mean_pressure
from tappetry.engineering.vehicle import engine_speed_on_road
from tappetry.records.evidence import Fact
from tappetry.records.problems import Refusal
from tappetry.services.breathing import describe
from tappetry.services.shop import Shop
from tappetry.services.simulate import JUST_SHUT, Point
from tappetry.simulation.cycle import NotSettled
from tappetry.simulation.engine import Engine
from tappetry.simulation.idle import NoOpening, at_load
from tappetry.simulation.launch import AROUND_STALL, Converter
from tappetry.simulation.network import GasLost
from tappetry.simulation.results import curve

STALL, RATIO, TRANSMISSION = "converter-stall", "converter-torque-ratio", "transmission"
TOP_GEAR, AXLE, TYRE = "top-gear-ratio", "axle-ratio", "tyre-diameter"
MASS, DRAG, ROLLING, EFFICIENCY = "vehicle-mass", "drag-area", "rolling-resistance", "driveline-efficiency"
AUTOMATIC = "auto"
"""With this word begins what the trade calls a gearbox with a converter."""

LIMIT_OF_LAUNCH = "launch_torque_min_percent"
"""The house's limit of the torque at launch, over that with the factory's camshaft. [%]"""

Facts = Mapping[str, Fact]


@dataclass(frozen=True, slots=True)
class Cruise:
    """How an engine holds a vehicle at a steady speed on a level road, in top gear with a locked converter.

    Attributes
    ----------
    road_speed, engine_speed : float
        [m/s], [rad/s]; the second is None where gearing or tyre are not known.
    load, torque : float or None
        What holds the vehicle, and what the engine has to give. [N], [N.m]
    point : Point or None
        The engine at that load.
    throttle : float or None
        Open share of its area. [1]
    unknown : tuple of str
        Attributes to be stated first.
    why_not : str
        Why it cannot be held, where everything is known.
    """

    road_speed: float
    engine_speed: float | None
    load: float | None
    torque: float | None
    point: Point | None
    throttle: float | None
    unknown: tuple[str, ...]
    why_not: str = ""

    @property
    def fuel_for_way(self) -> float | None:
        """[kg/m]"""
        return None if self.point is None else self.point.fuel_flow / self.road_speed


def stall_speeds(facts: Facts) -> tuple[float, ...]:
    """Speeds around the stated stall of a converter, rising. [rad/s]

    Raises
    ------
    Refusal
        There is no converter, or its stall is not known.
    """
    gearbox = facts.get(TRANSMISSION)
    if gearbox is not None and not str(gearbox.value).startswith(AUTOMATIC):
        raise Refusal(f"There is no converter: the transmission is {gearbox.show()} ({gearbox.source}).")
    stated = _number(facts, STALL)
    if stated is None:
        raise Refusal("The stall of the converter is not known.", ways_out=[f"state {STALL}"])
    return tuple(share * stated for share in AROUND_STALL)


def converter_of(facts: Facts, factory: Sequence[Point]) -> Converter:
    """The converter, by its stated stall and the factory's engine at speeds around it.

    Raises
    ------
    Refusal
        There is no converter, or its stall is not known.
    """
    stated = stall_speeds(facts)[AROUND_STALL.index(1.0)]
    at_stall = min(factory, key=lambda point: abs(point.engine_speed - stated))
    return Converter(stated, at_stall.brake_torque, _number(facts, RATIO))


def around_stall(engine: Engine, facts: Facts) -> tuple[Point, ...]:
    """An engine turned at speeds around the stated stall, at full throttle.

    Raises
    ------
    Refusal
        There is no converter, its stall is not known, or cycles do not come to repeat.
    """
    try:
        return curve(engine, stall_speeds(facts))
    except (NotSettled, GasLost) as error:
        raise Refusal(str(error)) from None


def launch_limit(shop: Shop) -> float | None:
    """The least share of the factory's torque at the stall that the house book wants, if it says any."""
    stated = shop.knowledge.book.limits.get(LIMIT_OF_LAUNCH)
    return None if stated is None else stated / 100.0


def cruise(shop: Shop, variant: str, cam: str, facts: Facts, road_speed: float) -> Cruise:
    """How an engine with a camshaft holds its vehicle at a speed over the road [m/s].

    Raises
    ------
    BadInput
        There is no such engine or camshaft.
    """
    names = (TOP_GEAR, AXLE, TYRE, MASS, DRAG, ROLLING, EFFICIENCY)
    known = {name: _number(facts, name) for name in names}
    unknown = tuple(name for name, value in known.items() if value is None)
    gear, axle, tyre, mass, drag, rolling, efficiency = known.values()
    if gear is None or axle is None or tyre is None:
        return Cruise(road_speed, None, None, None, None, None, unknown)
    speed = float(engine_speed_on_road(road_speed, tyre, axle, gear))
    if mass is None or drag is None or rolling is None or efficiency is None:
        return Cruise(road_speed, speed, None, None, None, None, unknown)
    described = describe(shop, variant, cam, JUST_SHUT)
    engine = replace(described.engine, throttle_area=described.engine.throttle_area / JUST_SHUT)
    constant = gas_constants("dry air").gas_constant
    density = float(gas_density(engine.air.pressure, engine.air.temperature, constant))
    load = float(road_load(mass, rolling, drag, density, road_speed).road_load)
    torque = float(torque_for_road_load(load, tyre, axle, gear, efficiency))
    wanted = float(brake_mean_pressure(torque, engine.displacement))
    try:
        point, throttle = at_load(engine, speed, wanted)
    except (NotSettled, GasLost, NoOpening) as error:
        return Cruise(road_speed, speed, load, torque, None, None, (), str(error))
    return Cruise(road_speed, speed, load, torque, point, throttle, ())


def _number(facts: Facts, name: str) -> float | None:
    """A quantity in SI, or a plain number; None where nobody stated it."""
    fact = facts.get(name)
    if fact is None:
        return None
    return float(str(fact.value)) if fact.si is None else fact.si
