"""Puts an engine together for the simulation: family tables, camshaft, and how the shop says it breathes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tappetry.engineering.compression import clearance_volume, gasket_volume, static_compression_ratio
from tappetry.engineering.crank import swept_volume
from tappetry.engineering.gas_properties import gas_constants, gas_density
from tappetry.engineering.knock import octane_index
from tappetry.engineering.nozzles import effective_area
from tappetry.engineering.valve_area import valve_flow_area
from tappetry.knowledge.breathing import FILE, read_breathing
from tappetry.quantities.units import to_si
from tappetry.records.evidence import Value
from tappetry.records.family import Family
from tappetry.records.problems import BadInput, Where
from tappetry.services.shop import Shop
from tappetry.services.variants import FACTORY_GRIND, variant_facts
from tappetry.simulation.cylinders import Bore, WiebeShape
from tappetry.simulation.engine import Air, BlowBy, Burning, Engine, Fuel, Valve
from tappetry.simulation.friction import Bearings, FrictionParts
from tappetry.simulation.pipes import Pipe

HEAD = "head-type"
POCKET_LENGTH = 0.03
"""Length of the pocket around an intake valve, beside the way of the gas. [m]"""
ELEMENT_LENGTH = 0.3
"""Length over which the element between downpipe and tailpipe takes its loss. [m]"""
AIR_GAMMA = 1.4
BELOW_THE_BENCH = 4
"""Parts into which half of the lift up to the first of the bench is cut."""
STEP = 1e-4
"""Distance of two stations between which a pipe changes at once. [m]"""


@dataclass(frozen=True, slots=True)
class Described:
    """An engine for the simulation, and what it is called.

    Attributes
    ----------
    engine : Engine
    variant, family, cam, cam_name, fuel : str
    rated, redline, idle : float
        Speeds: of its power, the highest, and the lowest at which it runs. [rpm]
    """

    engine: Engine
    variant: str
    family: str
    cam: str
    cam_name: str
    fuel: str
    rated: float
    redline: float
    idle: float


def describe(shop: Shop, variant: str, cam: str = "", throttle: float = 1.0) -> Described:
    """The engine of a variant with a camshaft, without one with the factory's, and a share of its throttle.

    Where the throttle is not open the mixture is that of part load.

    Raises
    ------
    BadInput
        There is no such variant or camshaft, it is for another family, or something is not stated.
    """
    data = read_breathing(shop.text).data
    if variant not in data["engines"]:
        raise _unknown("there is no such engine to simulate", variant, data["engines"])
    family, facts = variant_facts(shop, variant)
    if family.id not in data["families"]:
        raise _unknown("how the family breathes is not stated", family.id, data["families"])
    head = str(facts[HEAD])
    if head not in data["heads"]:
        raise _unknown("how the head breathes is not stated", head, data["heads"])
    grinds = shop.engines.tables["grind"]
    name = cam or str(facts[FACTORY_GRIND])
    if name not in grinds:
        raise _unknown("there is no such camshaft", name, grinds)
    grind = grinds[name]
    if grind["family"] != family.id:
        fitting = [each for each, row in grinds.items() if row["family"] == family.id]
        raise _unknown(f"the camshaft is not one for {family.name}", name, fitting)
    text = data["engines"][variant]
    return Described(
        engine=_throttled(_engine(data, text, data["heads"][head], family, facts, grind), data, throttle),
        variant=variant,
        family=family.name,
        cam=name,
        cam_name=str(grind["name"]),
        fuel=text["fuel"]["name"],
        rated=float(text["rated_rpm"]),
        redline=float(str(facts["redline"])),
        idle=float(text["accessories"]["idle_rpm"]),
    )


def _throttled(engine: Engine, data: Mapping[str, Any], share: float) -> Engine:
    if share >= 1.0:
        return engine
    fuel = replace(engine.fuel, air_fuel_ratio=data["part_load_air_fuel_ratio"])
    return replace(engine, throttle_area=share * engine.throttle_area, fuel=fuel)


def _unknown(message: str, value: str, known: Any) -> BadInput:
    return BadInput.at(Where(FILE), message, value, "one of " + ", ".join(known))


def _engine(
    data: Mapping[str, Any],
    text: Mapping[str, Any],
    head: Mapping[str, Any],
    family: Family,
    facts: Mapping[str, Value],
    grind: Mapping[str, Any],
) -> Engine:
    walls, shared = data["walls"], data["families"][family.id]
    order = [str(each) for each in _list(facts["firing-order"])]
    cylinders = sorted(order, key=int)
    bank_of = {name: number for number, bank in enumerate(shared["banks"]) for name in bank}
    missing = [name for name in cylinders if name not in bank_of]
    if missing:
        where = Where(FILE, field=f"families.{family.id}.banks")
        raise BadInput.at(
            where, "a cylinder breathes into no collector", ", ".join(missing), "all of the order"
        )
    intake, exhaust = text["intake"], text["exhaust"]
    factor = data["friction_factor"]
    return Engine(
        bore=_bore(walls, facts),
        lags=tuple(720.0 / len(order) * order.index(name) for name in cylinders),
        collectors=tuple(bank_of[name] for name in cylinders),
        intake=_valve(data, head, "intake", grind, facts),
        exhaust=_valve(data, head, "exhaust", grind, facts),
        air=Air(
            to_si(data["air"]["dry_pressure_kpa"], "kPa", "pressure"),
            to_si(data["air"]["vapour_pressure_kpa"], "kPa", "pressure"),
            float(data["air"]["temperature_k"]),
        ),
        fuel=_fuel(data, text["fuel"]),
        burning=_burning(data["fire"], text),
        blow_by=BlowBy(
            (_speed(data["blow_by"]["speed_rpm"]), _speed(text["rated_rpm"])),
            (data["blow_by"]["share"], data["blow_by"]["rated_share"]),
        ),
        friction=FrictionParts(
            main=_bearings(shared["bearings"]["main"]),
            rod=_bearings(shared["bearings"]["rod"]),
            cam=_bearings(shared["bearings"]["cam"]),
            roller="roller" in str(grind["follower"]),
            accessory_torque=float(text["accessories"]["torque_nm"]),
            accessory_slope=float(text["accessories"]["slope_nm"]) / _speed(1000.0),
            accessory_speed=_speed(text["accessories"]["idle_rpm"]),
        ),
        air_path=Pipe(
            (0.0, _mm(intake["air_path_length_mm"])),
            (_mm(intake["air_path_mm"]),) * 2,
            friction=factor["intake"],
            wall_temperature=walls["air_path_k"],
            added_loss=intake["air_path_loss"],
            loss_to=_mm(intake["air_path_length_mm"]),
        ),
        throttle_area=intake["throttles"] * _disc(_mm(intake["throttle_mm"])),
        plenum_volume=to_si(intake["plenum_cc"], "cc", "volume"),
        collector_volume=to_si(exhaust["collector_cc"], "cc", "volume"),
        runner=_runner(head["intake"], factor["intake"], data["bend_loss"]["runner"], walls),
        primary=_primary(head["exhaust"], exhaust, factor["exhaust"], data["bend_loss"]["primary"], walls),
        tail=_tail(data, exhaust, factor["exhaust"], walls, tails=len(shared["banks"])),
    )


def _bore(walls: Mapping[str, Any], facts: Mapping[str, Value]) -> Bore:
    def length(name: str) -> float:
        return _mm(facts[name])

    bore, stroke = length("bore"), length("stroke")
    clearance = clearance_volume(
        to_si(_number(facts["chamber"]), "cc", "volume"),
        gasket_volume(length("gasket-bore"), length("gasket-thickness")),
        bore,
        length("deck-clearance"),
        to_si(_number(facts["piston-dish"]), "cc", "volume"),
    )
    return Bore(
        bore,
        stroke,
        length("rod-length"),
        float(static_compression_ratio(swept_volume(bore, stroke), clearance)),
        walls["head_k"],
        walls["piston_k"],
        walls["liner_k"],
    )


def _valve(
    data: Mapping[str, Any],
    head: Mapping[str, Any],
    side: str,
    grind: Mapping[str, Any],
    facts: Mapping[str, Value],
) -> Valve:
    bench, flow = data["bench"], head["flow"]
    constant = gas_constants("dry air").gas_constant
    pressure, temperature = to_si(bench["pressure_kpa"], "kPa", "pressure"), float(bench["temperature_k"])
    density = float(gas_density(pressure, temperature, constant))
    behind = pressure - to_si(bench["depression_inh2o"], "inH2O", "pressure")
    areas = [
        float(
            effective_area(
                to_si(cfm, "cfm", "volume-flow") * density, pressure, temperature, behind, AIR_GAMMA, constant
            )
        )
        for cfm in flow[f"{side}_cfm"]
    ]
    centre = grind["icl_deg"] if side == "intake" else 720.0 - grind["ecl_deg"]
    lifts = [to_si(lift, "in", "length") for lift in flow["lift_in"]]
    low, small = _below_the_bench(data, head, side, facts, lifts[0], areas[0])
    return Valve(
        lifts=(0.0, *low, *lifts),
        areas=(0.0, *small, *areas),
        lobe_lift=to_si(grind[f"lobe_lift_{side}_in"], "in", "length"),
        lobe_exponent=grind[f"lobe_p_{side}"],
        lobe_half_width=math.radians(grind[f"half_width_{side}_deg"]),
        nose=math.radians(centre),
        rocker_ratio=_number(facts["rocker-ratio"]),
        hot_lash=to_si(grind[f"lash_{side}_in"], "in", "length"),
        give=to_si(data["seat_lift_in"], "in", "length") * _number(facts["rocker-ratio"]),
    )


def _below_the_bench(
    data: Mapping[str, Any],
    head: Mapping[str, Any],
    side: str,
    facts: Mapping[str, Value],
    first_lift: float,
    first_area: float,
) -> tuple[Sequence[float], Sequence[float]]:
    """Lifts up to half of the first of the bench with their areas: in proportion, but never above the gap.

    From there a straight line leads to what the bench measured, so that no step is left where that is more.
    Nothing where the shop does not state its seats. [m], [m2]
    """
    if "seats" not in data:
        return (), ()
    diameters = (f"{side}-valve-diameter", "stem-diameter")
    unknown = [name for name in diameters if name not in facts]
    if unknown:
        where = Where(FILE, field="seats")
        raise BadInput.at(
            where, "the gap of a seat wants what no table states", ", ".join(unknown), "a diameter"
        )
    seats = data["seats"]
    angle = math.radians(seats["angle_deg"])
    lifts = np.linspace(0.0, 0.5 * first_lift, BELOW_THE_BENCH + 1)[1:]
    gap = valve_flow_area(
        lifts,
        _mm(facts[diameters[0]]),
        angle,
        _mm(seats[f"{side}_mm"]) * math.cos(angle),
        _mm(head[side]["throat_mm"]),
        _mm(facts[diameters[1]]),
    )
    return lifts.tolist(), np.minimum(lifts / first_lift * first_area, gap).tolist()


def _fuel(data: Mapping[str, Any], burned: Mapping[str, Any]) -> Fuel:
    fuel = data["fuels"][burned["name"]]
    octane = octane_index(fuel["research_octane"], fuel["motor_octane"], data["octane_weight"])
    return Fuel(
        stands_for=fuel["stands_for"],
        stoichiometric_ratio=fuel["stoichiometric_ratio"],
        air_fuel_ratio=burned["air_fuel_ratio"],
        heating_value=fuel["heating_value_mj_per_kg"] * 1e6,
        vaporisation=fuel["vaporisation_kj_per_kg"] * 1e3,
        cooled_share=data["cooled_share"][burned["system"]],
        octane=float(octane),
    )


def _burning(fire: Mapping[str, Any], text: Mapping[str, Any]) -> Burning:
    return Burning(
        shape=WiebeShape(fire["wiebe_a"], fire["wiebe_m"]),
        span=math.radians(text["burn_span_deg"]),
        span_speed=_speed(fire["span_speed_rpm"]),
        speed_exponent=fire["speed_exponent"],
        residual_factor=fire["residual_factor"],
        residual_from=fire["residual_from"],
        half_burned=math.radians(fire["half_burned_deg"]),
        latest=math.radians(fire["latest_deg"]),
        completeness=fire["completeness"],
    )


def _runner(port: Mapping[str, Any], friction: float, bends: float, walls: Mapping[str, Any]) -> Pipe:
    """Runner and port with its narrowest place; the pocket lies beside the way of the gas."""
    runner, length = _mm(port["runner_length_mm"]), _mm(port["port_length_mm"])
    throat, end = _mm(port["throat_mm"]), runner + length
    return Pipe(
        positions=(0.0, runner, runner + STEP, runner + port["narrowest_at"] * length, end),
        diameters=(_mm(port["plenum_end_mm"]), _mm(port["head_end_mm"]), _mm(port["face_mm"]),
                   _mm(port["narrowest_mm"]), throat),
        friction=friction,
        wall_temperature=(walls["runner_k"],) * 2 + (walls["intake_port_k"],) * 3,
        added_loss=bends,
        loss_to=runner,
        pocket=to_si(port["pocket_cc"], "cc", "volume"),
        pocket_from=end - POCKET_LENGTH,
        pocket_to=end,
    )  # fmt: skip


def _primary(
    port: Mapping[str, Any],
    exhaust: Mapping[str, Any],
    friction: float,
    bends: float,
    walls: Mapping[str, Any],
) -> Pipe:
    length, diameter = _mm(port["port_length_mm"]), _mm(exhaust["primary_mm"])
    end = length + _mm(exhaust["primary_length_mm"])
    return Pipe(
        positions=(0.0, length, length + STEP, end),
        diameters=(_mm(port["throat_mm"]), _mm(port["face_mm"]), diameter, diameter),
        friction=friction,
        wall_temperature=(walls["exhaust_port_k"],) * 2 + (walls["primary_k"],) * 2,
        added_loss=bends,
        loss_from=length,
        loss_to=end,
    )


def _tail(
    data: Mapping[str, Any], exhaust: Mapping[str, Any], friction: float, walls: Mapping[str, Any], tails: int
) -> Pipe:
    """Downpipe and tailpipe, with a loss behind the first that is stated as a drop at a flow."""
    down, diameter = _mm(exhaust["downpipe_length_mm"]), _mm(exhaust["pipe_mm"])
    drop = to_si(exhaust["drop_kpa"], "kPa", "pressure")
    around = to_si(data["air"]["dry_pressure_kpa"] + data["air"]["vapour_pressure_kpa"], "kPa", "pressure")
    constant = gas_constants("dry air").gas_constant
    density = float(gas_density(around + 0.5 * drop, exhaust["drop_temperature_k"], constant))
    flux = exhaust["drop_flow_kg_per_h"] / 3600.0 / tails / _disc(diameter)
    return Pipe(
        positions=(0.0, down, down + STEP, down + _mm(exhaust["tailpipe_length_mm"])),
        diameters=(diameter,) * 4,
        friction=friction,
        wall_temperature=(walls["downpipe_k"],) * 2 + (walls["tailpipe_k"],) * 2,
        added_loss=2.0 * drop * density / flux**2,
        loss_from=down,
        loss_to=down + ELEMENT_LENGTH,
    )


def _bearings(text: Mapping[str, Any]) -> Bearings:
    return Bearings(text["count"], _mm(text["diameter_mm"]), _mm(text["width_mm"]))


def _number(value: Value) -> float:
    return float(str(value))


def _list(value: Value) -> tuple[Any, ...]:
    return tuple(value) if isinstance(value, tuple | list) else (value,)


def _mm(value: Any) -> float:
    return to_si(float(value), "mm", "length")


def _disc(diameter: float) -> float:
    return 0.25 * math.pi * diameter**2


def _speed(rpm: float) -> float:
    return rpm * math.pi / 30.0
