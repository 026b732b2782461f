"""Simulates an engine of the shop with a camshaft: torque, power and what lies behind them, by speed."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from tappetry.knowledge.breathing import breathing_version
from tappetry.quantities.units import to_si
from tappetry.records.problems import BadInput, Refusal, Where
from tappetry.services.breathing import Described, describe
from tappetry.services.shop import Shop
from tappetry.simulation.cycle import NotSettled, Settling
from tappetry.simulation.engine import Mesh, build
from tappetry.simulation.idle import IDLE_MESH, LEVEL, NoIdle, idle
from tappetry.simulation.network import GasLost
from tappetry.simulation.ready import beside
from tappetry.simulation.results import Point, curve
from tappetry.simulation.roughness import Roughness, roughness

__all__ = [
    "FASTEST",
    "LIMIT_OF_VACUUM",
    "SLOWEST",
    "Described",
    "Point",
    "Simulated",
    "described_at",
    "fuel_for_work",
    "idle_described",
    "make_ready",
    "simulate_described",
    "simulate_engine",
    "simulate_idle",
    "speeds_of",
    "steps_of",
    "vacuum_limit",
    "versions",
]

LIMIT_OF_VACUUM = "brake_vacuum_min_inhg"
"""The house's limit of the vacuum at idle that power brakes want. [inHg]"""

SLOWEST, FASTEST = 500.0, 9000.0
"""Speeds between which a pushrod engine is asked for. [rpm]"""

FIRST, STEP = 1000.0, 500.0
"""Where a curve begins and how it goes on, where nothing is stated. [rpm]"""

MOST_SPEEDS = 200
OTHER_SPEEDS = "try other speeds: --from, --to and --step; what came before is sound"

CHAINS, LONG = 2, 8
"""Rows in which the speeds of a long curve are worked on at once, as many on every machine, so that it gives
the same numbers; and speeds from which on it is long."""

JUST_SHUT = 0.5
"""Any opening with the mixture of part load: idle looks for its own. [1]"""

Told = Callable[[Point], None]


@dataclass(frozen=True, slots=True)
class Simulated:
    """An engine with a camshaft over some speeds, with the mesh and the measure of settling behind it."""

    described: Described
    points: tuple[Point, ...]
    remarks: tuple[str, ...]
    mesh: Mesh
    settling: Settling

    @property
    def at_idle(self) -> bool:
        """Its throttle was opened until it turned itself and no more."""
        return self.mesh == IDLE_MESH

    @property
    def unevenness(self) -> tuple[Roughness, ...]:
        """How unevenly it burns, point by point."""
        return tuple(roughness(self.described.engine, point) for point in self.points)

    @property
    def mean_torque(self) -> float:
        """Torque over all speeds alike. [N.m]"""
        return sum(point.brake_torque for point in self.points) / len(self.points)

    @property
    def best_torque(self) -> Point:
        """Where it turns hardest."""
        return max(self.points, key=lambda point: point.brake_torque)

    @property
    def best_power(self) -> Point:
        """Where it gives most power."""
        return max(self.points, key=lambda point: point.brake_power)


def rpm(point: Point) -> float:
    """The speed of a point; the very number that was asked for, where that has six decimals at most. [rpm]"""
    speed = point.engine_speed * 30.0 / math.pi
    asked = round(speed, 6)
    return asked if asked * math.pi / 30.0 == point.engine_speed else speed


def fuel_for_work(point: Point) -> float | None:
    """Fuel for the work at the crankshaft; None where there is no more of it than an idle leaves. [kg/J]"""
    return point.fuel_consumption if point.brake_pressure > LEVEL else None


def speeds_of(
    described: Described, one: float | None, first: float | None, last: float | None, step: float | None
) -> tuple[float, ...]:
    """The speeds that are asked for: one, or from a first to a last; without them up to the redline. [rpm]

    Raises
    ------
    BadInput
        A speed is none for such an engine, the last is below the first, or there are too many.
    """
    if one is not None:
        return (_asked(one, "--speed"),)
    low = _asked(FIRST if first is None else first, "--from")
    high = _asked(described.redline if last is None else last, "--to")
    by = STEP if step is None else step
    if not 0.0 < by < math.inf:
        raise BadInput.at(
            Where("tappetry simulate", field="--step"), "speeds do not rise", f"{by:g}", "above 0"
        )
    if high < low:
        raise BadInput.at(
            Where("tappetry simulate", field="--to"),
            "the last speed is below the first",
            high,
            f"{low:g} or more",
        )
    count = steps_of(high - low, by) + 1
    if count > MOST_SPEEDS:
        where = Where("tappetry simulate", field="--step")
        raise BadInput.at(where, f"that makes {count} speeds", f"{by:g}", f"at most {MOST_SPEEDS}")
    return tuple(low + by * number for number in range(count))


def steps_of(way: float, step: float) -> int:
    """How many steps, above nought, go into a way; a billion at most, for the least float steps for ever."""
    return math.floor(min(way / step, 1e9) + 1e-9)


def _asked(speed: float, option: str) -> float:
    if not SLOWEST <= speed <= FASTEST:
        raise BadInput.at(
            Where("tappetry simulate", field=option),
            "no such engine runs at this speed",
            f"{speed:g}",
            f"{SLOWEST:g} to {FASTEST:g} rpm",
        )
    return speed


def versions(shop: Shop) -> dict[str, str]:
    """The state of the shop's text, of its catalogue, and of how it says that engines breathe."""
    return {
        "knowledge": shop.knowledge.version,
        "catalogue": shop.catalogue.version,
        "breathing": breathing_version(shop.text),
    }


def vacuum_limit(shop: Shop) -> float | None:
    """The vacuum at idle that power brakes want, as the house book says; None where it says nothing. [Pa]"""
    stated = shop.knowledge.book.limits.get(LIMIT_OF_VACUUM)
    return None if stated is None else to_si(stated, "inHg", "pressure")


def make_ready(shop: Shop, variant: str) -> None:
    """Compile the kernels, or read them where they have been compiled before."""
    described = describe(shop, variant)
    with beside():
        build(described.engine, math.radians(360.0), Mesh()).turn(0.0, 0.0)


def simulate_engine(
    shop: Shop, variant: str, cam: str, speeds: Sequence[float], told: Told, throttle: float = 1.0
) -> Simulated:
    """An engine at some speeds, each begun from the state of the one before; `told` hears of each.

    Parameters
    ----------
    shop : Shop
    variant : str
        One of the engines that the shop says how to simulate.
    cam : str
        A grind of its family; the factory's where it is empty.
    speeds : sequence of float
        [rpm]
    told : callable
    throttle : float
        Share of the throttle's area that is open. [1]

    Raises
    ------
    BadInput
        There is no such engine or camshaft.
    Refusal
        Cycles do not come to repeat.
    """
    return simulate_described(described_at(shop, variant, cam, throttle), speeds, told)


def described_at(shop: Shop, variant: str, cam: str, throttle: float) -> Described:
    """An engine with a camshaft and a share of its throttle open.

    Raises
    ------
    BadInput
        There is no such engine, camshaft or opening.
    """
    if not 0.0 < throttle <= 1.0:
        where = Where("tappetry simulate", field="--throttle")
        raise BadInput.at(where, "no such opening", f"{throttle:g}", "above 0, at most 1")
    return describe(shop, variant, cam, throttle)


def simulate_described(
    described: Described,
    speeds: Sequence[float],
    told: Told,
    mesh: Mesh | None = None,
    settling: Settling | None = None,
) -> Simulated:
    """The same of an engine that is put together already, such as one with something changed; speeds in rpm.

    Raises
    ------
    Refusal
        Cycles do not come to repeat.
    """
    mesh, settling = mesh or Mesh(), settling or Settling()
    chains = CHAINS if len(speeds) >= LONG else 1
    try:
        points = curve(
            described.engine, [speed * math.pi / 30.0 for speed in speeds], mesh, settling, told, chains
        )
    except (NotSettled, GasLost) as error:
        starved = isinstance(error, NotSettled) and error.starved
        other = "open the throttle further: --throttle" if starved else OTHER_SPEEDS
        raise Refusal(str(error), ways_out=[other]) from None
    return Simulated(described, points, tuple(_remarks(points)), mesh, settling)


def simulate_idle(shop: Shop, variant: str, cam: str, speed: float | None, told: Told) -> Simulated:
    """An engine that turns itself and no more, at a speed or at its stated idle; one point.

    Raises
    ------
    BadInput
        There is no such engine or camshaft, or it does not idle at such a speed.
    Refusal
        No opening of the throttle lets it idle, or cycles do not come to repeat.
    """
    return idle_described(describe(shop, variant, cam, JUST_SHUT), speed, told)


def idle_described(
    described: Described, speed: float | None, told: Told, settling: Settling | None = None
) -> Simulated:
    """The same of an engine that is put together already, with its throttle at `JUST_SHUT`.

    Raises
    ------
    BadInput
        It does not idle at such a speed.
    Refusal
        No opening of the throttle lets it idle, or cycles do not come to repeat.
    """
    whole = replace(described.engine, throttle_area=described.engine.throttle_area / JUST_SHUT)
    asked = described.idle if speed is None else _asked(speed, "--speed")
    settling = settling or Settling()
    try:
        point, opening = idle(whole, asked * math.pi / 30.0, settling)
    except (NotSettled, GasLost, NoIdle) as error:
        raise Refusal(str(error), ways_out=["try a higher idle: --speed"]) from None
    told(point)
    remark = f"the throttle is open by {opening:.2%} of its area"
    return Simulated(described, (point,), (remark, *_remarks((point,))), IDLE_MESH, settling)


def _remarks(points: Sequence[Point]) -> list[str]:
    remarks = []
    if any(point.beyond_bench for point in points):
        remarks.append("a valve lifts further than its port was measured; the last flow was taken above that")
    knocking = [f"{rpm(point):.0f}" for point in points if point.knock_integral >= 1.0]
    if knocking:
        speeds = ", ".join(knocking)
        remarks.append(f"it knocks at {speeds} rpm although the fire is as late as it may be")
    return remarks
