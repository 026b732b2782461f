"""`tappetry simulate --valves`: the valve train in motion, for each spring that may stand in the engine."""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tappetry.cli.streams import answer, note, show, stage
from tappetry.cli.tables import heading, table
from tappetry.records.problems import BadInput, Where

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tappetry.services.shop import Shop
    from tappetry.services.train_sources import Source
    from tappetry.services.valve_motion import SideMotion, SpringMotion, ValveMotion

RPM = math.pi / 30.0
JOB_FILES = (".yaml", ".yml")

CAUTION = (
    "A model with assumed stiffness and damping ({assumed}): differences between springs say more than "
    "absolute figures, and a spin test has the last word. Whether a spring may be fitted is for the proofs."
)


ONE_SPEED = (
    "least: force of the joint that comes nearest to parting, and where, in crank degrees from the nose; "
    "apart: degrees without touch; most: force of the cam; m/s: the valve landing; bounce in mm; surge: half "
    "the swing of the spring's force on the head; order: of the cam, that meets the spring"
)
LASH = (
    "The lobe's law has no ramp of steady speed: lash is taken up and valves land harder than on a lobe that "
    "was ground for lash."
)


def run_valves(arguments: argparse.Namespace) -> int:
    """Turn the trains of each spring and print what they do, over all speeds or at one."""
    from tappetry.services.valve_motion import (
        at_speed,
        require_turned,
        simulate_valves,
        valve_versions,
    )

    _refuse_what_is_of_gas(arguments)
    if arguments.speed is not None:
        require_turned(arguments.speed)
    if arguments.chart is not None:
        from tappetry.presentation.charts.chart import require_picture

        require_picture(arguments.chart)
    shop, source = _source(arguments)
    with stage("valve trains turned at speed") as now:
        found = simulate_valves(source, arguments.spring or [])
        now.result = f"{len(found.springs)} springs"
    shown = found if arguments.speed is None else at_speed(found, arguments.speed)
    if arguments.chart is not None:
        from tappetry.presentation.charts.chart import write
        from tappetry.presentation.charts.motion import by_angle, by_speed, surge_orders

        if arguments.speed is not None:
            drawn = by_angle(shown)
        else:
            drawn = surge_orders(shown, shown.springs[0]) if len(shown.springs) == 1 else by_speed(shown)
        note(f"  {write(drawn, arguments.chart)}")
    if arguments.json:
        answer(
            {
                "engine": found.trains.variant,
                "versions": valve_versions(shop),
                "cam": found.trains.cam,
                "cam_name": found.trains.cam_name,
                "follower": found.trains.follower,
                "speed_factor": found.trains.speed_factor,
                "bounce_limit_mm": found.trains.bounce * 1e3,
                "springs": [_spring(shown, each) for each in shown.springs],
                "made_with": {"share": found.steps.share, "settling_s": found.steps.settling},
                "assumed": found.trains.assumed,
            }
        )
    else:
        show(*pages(shown))
    return 0


def _source(arguments: argparse.Namespace) -> tuple[Shop, Source]:
    """The engine of a job's file with its kit, or a variant with a camshaft."""
    from tappetry.services.shop import open_shop
    from tappetry.services.train_sources import source_of_job, source_of_variant

    file = Path(arguments.engine)
    if file.suffix not in JOB_FILES:
        shop = open_shop()
        return shop, source_of_variant(shop, arguments.engine, (arguments.cam or [""])[0])
    if arguments.cam:
        where = Where("tappetry simulate", field="--cam")
        raise BadInput.at(where, "the camshaft of a job is that of its kit", arguments.cam[0], "no --cam")
    from tappetry.cli.working import worked

    shop, result = worked(file)
    return shop, source_of_job(shop, result)


def _refuse_what_is_of_gas(arguments: argparse.Namespace) -> None:
    where = Where("tappetry simulate", field="--valves")
    given = {
        "--idle": arguments.idle,
        "--calibration": arguments.calibration,
        "--keep": arguments.keep,
        "--throttle": arguments.throttle != 1.0,
        "--from": arguments.first is not None,
        "--to": arguments.last is not None,
        "--step": arguments.step is not None,
        "--sweep": arguments.sweep is not None,
        "--shelf": arguments.shelf,
        "--draw": arguments.draw is not None,
        "--cruise": arguments.cruise is not None,
    }
    beside = [name for name, value in given.items() if value]
    if beside:
        raise BadInput.at(where, "valve trains know nothing of it", ", ".join(beside), "--speed, --spring")
    if len(arguments.cam or []) > 1:
        raise BadInput.at(where, "more than one camshaft", len(arguments.cam), "one --cam")


def pages(found: ValveMotion) -> Iterator[RenderableType]:
    """Springs side by side, over all speeds or at one."""
    from rich.text import Text

    from tappetry.knowledge.motion import FILE

    trains = found.trains
    one = found.speeds.size == 1
    at = f" at {found.speeds[0] / RPM:.0f} rpm" if one else ""
    yield heading(f"{trains.variant} with {trains.cam}, {trains.cam_name}, {trains.follower}{at}")
    turned = [each for each in found.springs if each.sides]
    if turned:
        yield (_at_one_speed if one else _over_all)(found, turned)
    for each in found.springs:
        if not each.sides:
            yield Text(f"note: {_name(each)} is not turned: {each.candidate.why_not}")
    if one:
        yield Text(ONE_SPEED)
    else:
        yield Text(
            f"limit: {trains.speed_factor:.2f} of the speed at which a train parts or a valve bounces by "
            f"{trains.bounce * 1e3:g} mm; proof: the rigid train's; order: of the cam, that meets the spring "
            f"at {trains.speed:.0f} rpm, as planned or the redline as built"
        )
    if any(side.side.train.lash for each in turned for side in each.sides):
        yield Text(LASH)
    yield Text(CAUTION.format(assumed=FILE))


def _name(spring: SpringMotion) -> str:
    return f"{spring.candidate.spring} {spring.candidate.part or 'as fitted'}"


def _over_all(found: ValveMotion, springs: list[SpringMotion]) -> RenderableType:
    names = ("spring", "valve", "open N", "proof", "parts", "where", "bounces", "limit", "order")
    rows = []
    for spring in springs:
        for side in spring.sides:
            worst = side is spring.worst
            rows.append(
                (
                    _name(spring) if side is spring.sides[0] else "",
                    side.side.side,
                    f"{side.side.open_load:.0f}",
                    f"{side.side.separation_speed / RPM:.0f}",
                    _speed(found, side.parts.speed),
                    _where(side),
                    _speed(found, side.bounces.speed),
                    _speed(found, found.limit(spring)) if worst else "",
                    f"{found.order(spring, found.trains.speed * RPM):.1f}" if worst else "",
                )
            )
    return table(names, rows, right=("open N", "proof", "parts", "bounces", "limit", "order"))


def _where(side: SideMotion) -> str:
    """The joint that parts first."""
    first = [number for number, apart in enumerate(side.motion.apart) if apart > 0.0]
    return side.motion.least_joint[first[0]] if first else ""


def _speed(found: ValveMotion, speed: float) -> str:
    return f"{speed / RPM:.0f}" if math.isfinite(speed) else "none"


def _at_one_speed(found: ValveMotion, springs: list[SpringMotion]) -> RenderableType:
    names = ("spring", "valve", "least N", "at", "apart", "most N", "m/s", "bounce", "surge N", "order")
    rows = [
        (
            _name(spring) if side is spring.sides[0] else "",
            side.side.side,
            f"{side.motion.least_force[0]:.0f}",
            f"{math.degrees(side.motion.least_angle[0]):.0f}",
            f"{math.degrees(side.motion.apart[0]):.0f}",
            f"{side.motion.most_force[0]:.0f}",
            *_landing(side),
            f"{side.motion.seat_swing[0]:.0f}",
            f"{found.order(spring, float(found.speeds[0])):.1f}",
        )
        for spring in springs
        for side in spring.sides
    ]
    return table(names, rows, right=names[2:])


def _landing(side: SideMotion) -> tuple[str, str]:
    """How fast the valve lands, and how high it bounces."""
    speed = float(side.motion.seating_speed[0])
    return (f"{speed:.2f}", f"{side.motion.bounce[0] * 1e3:.2f}") if math.isfinite(speed) else ("never", "")


def _spring(found: ValveMotion, spring: SpringMotion) -> dict[str, Any]:
    """A spring with the unit at the end of each name; None where nothing happens, or nothing is turned."""
    candidate = spring.candidate
    return {
        "spring": candidate.spring,
        "part": candidate.part,
        "retainer": candidate.retainer,
        "retainer_g": candidate.retainer_mass * 1e3,
        "why_not": candidate.why_not,
        "limit_rpm": _number(found.limit(spring) / RPM) if spring.sides else None,
        "valves": [_side(found, spring, side) for side in spring.sides],
    }


def _side(found: ValveMotion, spring: SpringMotion, side: SideMotion) -> dict[str, Any]:
    motion, coils = side.motion, side.side.train.coils
    return {
        "valve": side.side.side,
        "seat_load_n": coils.seat_load,
        "open_load_n": side.side.open_load,
        "surge_frequency_hz": coils.surge_frequency,
        "rigid_separation_rpm": side.side.separation_speed / RPM,
        "parts_rpm": _number(side.parts.speed / RPM),
        "bounces_rpm": _number(side.bounces.speed / RPM),
        "speeds": [
            {
                "speed_rpm": speed / RPM,
                "surge_order": found.order(spring, float(speed)),
                "least_force_n": motion.least_force[number],
                "least_joint": motion.least_joint[number],
                "least_angle_deg": math.degrees(motion.least_angle[number]),
                "apart_deg": math.degrees(motion.apart[number]),
                "most_force_n": motion.most_force[number],
                "lift_error_mm": motion.lift_error[number] * 1e3,
                "seating_speed_m_per_s": _number(motion.seating_speed[number]),
                "bounce_mm": motion.bounce[number] * 1e3,
                "surge_force_n": motion.seat_swing[number],
                "plunger_rise_mm": motion.plunger_rise[number] * 1e3,
                "cam_work_j": motion.cam_work[number],
                "cycle_change_mm": motion.change[number] * 1e3,
            }
            for number, speed in enumerate(found.speeds)
        ],
    }


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
