"""`tappetry simulate --shelf`: camshafts beside the factory's, a few figures of each."""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.text import Text

from tappetry.cli.streams import answer, note, show, stage
from tappetry.cli.tables import heading, table
from tappetry.presentation.cams import against
from tappetry.presentation.idling import brakes, evenness
from tappetry.presentation.measures import METRIC
from tappetry.records.problems import BadInput, Where
from tappetry.services.simulate import rpm

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tappetry.records.evidence import Fact
    from tappetry.services.cam_table import CamFigures, CamTable
    from tappetry.services.driving import Cruise
    from tappetry.services.shop import Shop

JOB_FILES = (".yaml", ".yml")
KMH = 1.0 / 3.6
RPM = math.pi / 30.0
HUNDRED_KM = 1e5
"""[m]"""

LEGEND = (
    "most torque and power at their speeds; at the stated idle vacuum in kPa, and by how much work is uneven "
    "from cycle to cycle; stall in rpm, and launch: the torque there over the factory's; late: degrees of "
    "the fire that knock has taken at most / that it may still take; ecr: effective compression"
)


def run_shelf(arguments: argparse.Namespace) -> int:
    """Simulate each camshaft at full load, at idle and against the converter, and print them side by side."""
    from tappetry.cli.simulate import tell
    from tappetry.services.breathing import describe
    from tappetry.services.cam_table import cam_table
    from tappetry.services.driving import launch_limit
    from tappetry.services.shop import open_shop
    from tappetry.services.simulate import make_ready, speeds_of, vacuum_limit, versions

    if arguments.chart is not None:
        from tappetry.presentation.charts.chart import require_picture
        from tappetry.presentation.charts.lines import distinct

        require_picture(arguments.chart)
    shop = open_shop()
    variant, cams, facts = _asked(shop, arguments)
    factory, *others = [describe(shop, variant, cam) for cam in ("", *cams)]
    if arguments.chart is not None:
        distinct([each.cam for each in (factory, *others)])
    speeds = speeds_of(factory, None, arguments.first, arguments.last, arguments.step)
    with stage("kernels made ready (some ten seconds the first time)"):
        make_ready(shop, variant)
    road_speed = None if arguments.cruise is None else arguments.cruise * KMH
    with stage("camshafts at full load, at idle and against the converter") as now:
        found = cam_table(shop, variant, cams, speeds, facts, road_speed, tell)
        now.result = f"{len(found.rows)} camshafts"
    asking = {name: _question(shop, name) for name in _unknown(found)}
    limits = vacuum_limit(shop), launch_limit(shop)
    if arguments.chart is not None:
        from tappetry.presentation.charts.chart import write
        from tappetry.presentation.charts.simulated import torque_power

        note(f"  {write(torque_power([each.full for each in found.rows]), arguments.chart)}")
    if arguments.json:
        answer(
            {
                "engine": variant,
                "versions": versions(shop),
                "converter": _converter(found),
                "limits": {
                    "vacuum_kpa": None if limits[0] is None else limits[0] / 1e3,
                    "launch_share": limits[1],
                },
                "ask": asking,
                "cams": [_row(each) for each in found.rows],
            }
        )
    else:
        show(*pages(found, *limits, asking))
    return 0


def pages(
    found: CamTable, vacuum: float | None, launch: float | None, asking: Mapping[str, str]
) -> Iterator[RenderableType]:
    """The table, then a sentence or two for each camshaft."""
    factory = found.rows[0]
    yield heading(f"{factory.full.described.variant}: camshafts beside {factory.full.described.cam}")
    names = ("cam", "N.m", "at", "kW", "at", "vacuum", "uneven", "stall", "launch", "late", "ecr")
    yield table(names, (_cells(each) for each in found.rows), right=names[1:])
    yield Text(LEGEND)
    if found.converter is None:
        yield Text(f"stall and launch are unknown: {found.no_launch}")
    else:
        yield Text(
            f"the converter: K = {found.converter.capacity_factor:.0f} rpm / sqrt(lbf.ft), by its stated "
            f"stall of {found.converter.reference_stall_speed / RPM:.0f} rpm behind the factory's engine"
        )
    for each in found.rows:
        said = [*_gains(each, factory), *_said(each, vacuum, launch)]
        yield Text(f"{each.full.described.cam}: {'; '.join(said)}")
    yield from (Text(f"ask: {question} ({name})") for name, question in asking.items())


def _cells(each: CamFigures) -> Sequence[str]:
    hard, strong = each.full.best_torque, each.full.best_power
    late, left = math.degrees(each.latest.retarded), math.degrees(each.knock_margin)
    return (
        each.full.described.cam,
        f"{hard.brake_torque:.0f}",
        f"{rpm(hard):.0f}",
        f"{strong.brake_power / 1e3:.0f}",
        f"{rpm(strong):.0f}",
        "none" if each.vacuum is None else f"{each.vacuum / 1e3:.0f}",
        _uneven(each),
        "?" if each.launch is None else f"{each.launch.stall_speed / RPM:.0f}",
        "?" if each.launch is None else f"{_down(each.launch.share):.1%}",
        f"{late:.0f}/{left:.0f}",
        f"{each.full.points[0].effective_compression_ratio:.2f}",
    )


def _down(share: float) -> float:
    """To a thousandth, and never up to a limit that is not met."""
    return math.floor(share * 1e3 + 1e-6) / 1e3


def _gains(each: CamFigures, factory: CamFigures) -> Iterator[str]:
    if each is not factory:
        yield against(each.full, factory.full, METRIC).rstrip(".")


def _uneven(each: CamFigures) -> str:
    if each.roughness is None:
        return "none"
    return "beyond" if each.roughness.variation is None else f"{each.roughness.variation:.1%}"


def _said(each: CamFigures, vacuum: float | None, limit: float | None) -> Iterator[str]:
    if each.vacuum is None or each.roughness is None:
        yield f"it does not idle: {each.no_idle}"
    else:
        yield f"its idle is {evenness(each.roughness)}"
        if vacuum is not None:
            yield brakes(each.vacuum, vacuum, METRIC)
    if each.launch is not None:
        launch = each.launch
        shift = f"{launch.shift / RPM:+.0f}"
        yield f"stalls at {launch.stall_speed / RPM:.0f} rpm ({shift}) with {launch.torque:.0f} N.m"
        if launch.behind is not None:
            yield f"{launch.behind:.0f} N.m behind the converter"
        if limit is not None:
            works = "works" if launch.share >= limit else "does not work"
            share = f"{_down(launch.share):.1%} of the launch, wanted {limit:.0%}"
            yield f"{works} with the converter as it is ({share})"
    if each.cruise is not None:
        yield _cruising(each.cruise)


def _cruising(held: Cruise) -> str:
    at = f"at {held.road_speed / KMH:.0f} km/h"
    if held.engine_speed is None:
        return f"{at} nothing is known"
    turning = f"{at} {held.engine_speed / RPM:.0f} rpm"
    if held.point is None:
        return f"{turning}, load unknown" if held.unknown else f"{turning}: {held.why_not}"
    way = held.fuel_for_way or 0.0
    return (
        f"{turning}, {held.point.brake_torque:.0f} N.m, manifold {held.point.manifold_pressure / 1e3:.0f} "
        f"kPa, {max(held.point.residual_share):.0%} burned gas, {way * HUNDRED_KM:.2f} kg of fuel for 100 km"
    )


def _asked(shop: Shop, arguments: argparse.Namespace) -> tuple[str, Sequence[str], Mapping[str, Fact] | None]:
    """Engine, camshafts besides the factory's, and the facts of the vehicle of a job."""
    from tappetry.services.cam_table import family_cams

    file = Path(arguments.engine)
    if file.suffix not in JOB_FILES:
        if arguments.cruise is not None:
            where = Where("tappetry simulate", field="--cruise")
            said = "no vehicle is stated that could cruise"
            raise BadInput.at(where, said, arguments.engine, "a job's file as ENGINE")
        return arguments.engine, arguments.cam or family_cams(shop, arguments.engine), None
    from tappetry.jobs.reader import read_job
    from tappetry.services.breathing import describe
    from tappetry.services.kits import identify_job
    from tappetry.services.search import job_variant
    from tappetry.services.search_cams import shelf

    job = read_job(file, shop.knowledge)
    identification = identify_job(shop, job)
    variant = job_variant(identification, job)
    cams = arguments.cam or [
        each.name for each in shelf(shop, job, identification, describe(shop, variant).cam)
    ]
    return variant, cams, identification.engine_as_found.facts


def _unknown(found: CamTable) -> Sequence[str]:
    held = [each.cruise for each in found.rows if each.cruise is not None]
    return held[0].unknown if held else ()


def _question(shop: Shop, name: str) -> str:
    known = shop.knowledge.attributes.get(name)
    return (
        "attributes.yaml of the shop has to name it before a job can state it" if known is None else known.ask
    )


def _converter(found: CamTable) -> dict[str, Any] | None:
    if found.converter is None:
        return None
    return {
        "capacity_factor_rpm_per_root_lbf_ft": found.converter.capacity_factor,
        "stated_stall_rpm": found.converter.reference_stall_speed / RPM,
        "torque_there_nm": found.converter.reference_torque,
        "torque_ratio": found.converter.stall_torque_ratio,
    }


def _row(each: CamFigures) -> dict[str, Any]:
    from tappetry.cli.simulate import point_data, unevenness_data

    launch, held = each.launch, each.cruise
    hard, strong = each.full.best_torque, each.full.best_power
    return {
        "cam": each.full.described.cam,
        "cam_name": each.full.described.cam_name,
        "most_torque_nm": hard.brake_torque,
        "most_torque_rpm": rpm(hard),
        "most_power_kw": strong.brake_power / 1e3,
        "most_power_rpm": rpm(strong),
        "vacuum_kpa": None if each.vacuum is None else each.vacuum / 1e3,
        "no_idle": each.no_idle,
        **({} if each.roughness is None else unevenness_data(each.roughness)),
        "retarded_deg": math.degrees(each.latest.retarded),
        "knock_margin_deg": math.degrees(each.knock_margin),
        "effective_compression_ratio": each.full.points[0].effective_compression_ratio,
        "launch": None
        if launch is None
        else {
            "stall_rpm": launch.stall_speed / RPM,
            "stall_shift_rpm": launch.shift / RPM,
            "torque_nm": launch.torque,
            "torque_behind_converter_nm": launch.behind,
            "share": launch.share,
        },
        "cruise": None
        if held is None
        else {
            "speed_kmh": held.road_speed / KMH,
            "engine_rpm": None if held.engine_speed is None else held.engine_speed / RPM,
            "load_n": held.load,
            "torque_nm": held.torque,
            "throttle": held.throttle,
            "fuel_kg_per_100_km": None if held.fuel_for_way is None else held.fuel_for_way * HUNDRED_KM,
            "unknown": list(held.unknown),
            "why_not": held.why_not,
            "point": None if held.point is None else point_data(held.point),
        },
        "points": [point_data(point) for point in each.full.points],
    }
