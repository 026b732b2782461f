"""`tappetry simulate --sweep`: an engine with one of its numbers at several values."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from rich.text import Text

from tappetry.cli.streams import answer, note, show, stage
from tappetry.cli.tables import heading, table
from tappetry.services.simulate import rpm

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tappetry.services.simulate import Simulated
    from tappetry.services.sweeping import Swept

LEGEND = (
    "mean: torque over all speeds alike; left: most burned gas from the cycle before; late: most degrees of "
    "the fire that knock has taken; ecr: effective compression"
)


def run_sweep(arguments: argparse.Namespace) -> int:
    """Turn an engine with each value, and print a line for each."""
    from tappetry.cli.simulate import calibration_remarks, described_of, tell
    from tappetry.services.shop import open_shop
    from tappetry.services.simulate import make_ready, speeds_of, versions
    from tappetry.services.sweeping import lever_of, sweep

    lever, values = lever_of(arguments.sweep)
    if arguments.chart is not None:
        from tappetry.presentation.charts.chart import require_picture

        require_picture(arguments.chart)
    shop = open_shop()
    described = described_of(shop, arguments, (arguments.cam or [""])[0])
    speeds = speeds_of(described, arguments.speed, arguments.first, arguments.last, arguments.step)
    with stage("kernels made ready (some ten seconds the first time)"):
        make_ready(shop, arguments.engine)
    with stage(f"{len(values)} values of {lever.name} at {len(speeds)} speeds"):
        found = sweep(described, lever, values, speeds, tell)
    for remark in calibration_remarks(shop, arguments):
        note(f"  {remark}")
    if arguments.chart is not None:
        from tappetry.presentation.charts.chart import write
        from tappetry.presentation.charts.swept import sweep_chart

        note(f"  {write(sweep_chart(found), arguments.chart)}")
    if arguments.json:
        answer(
            {
                "engine": arguments.engine,
                "cam": described.cam,
                "versions": versions(shop),
                "calibrated_by": arguments.calibration,
                "quantity": lever.name,
                "unit": lever.unit,
                "now": found.now,
                "rows": [_row(value, each) for value, each in zip(found.values, found.found, strict=True)],
            }
        )
    else:
        show(*pages(found))
    return 0


def pages(found: Swept) -> Iterator[RenderableType]:
    """A line for each value."""
    told, lever = found.found[0].described, found.lever
    unit = "" if lever.unit == "1" else f" {lever.unit}"
    yield heading(
        f"{told.variant} with {told.cam}, {told.cam_name}: {lever.title}, now {found.now:.4g}{unit}"
    )
    names = (lever.name, "mean N.m", "N.m", "at", "kW", "at", "filling", "left", "late", "ecr")
    yield table(names, (_cells(*each) for each in zip(found.values, found.found, strict=True)), right=names)
    yield Text(LEGEND)
    yield from (Text(f"note: {remark}") for remark in dict.fromkeys(_remarks(found)))


def _cells(value: float, found: Simulated) -> tuple[str, ...]:
    hard, strong = found.best_torque, found.best_power
    return (
        f"{value:g}",
        f"{found.mean_torque:.0f}",
        f"{hard.brake_torque:.0f}",
        f"{rpm(hard):.0f}",
        f"{strong.brake_power / 1e3:.0f}",
        f"{rpm(strong):.0f}",
        f"{max(point.volumetric_efficiency for point in found.points):.1%}",
        f"{max(max(point.residual_share) for point in found.points):.1%}",
        f"{_late(found):.1f}",
        f"{found.points[0].effective_compression_ratio:.2f}",
    )


def _late(found: Simulated) -> float:
    import math

    return math.degrees(max(point.retarded for point in found.points))


def _row(value: float, found: Simulated) -> dict[str, Any]:
    from tappetry.cli.simulate import curve_data

    return {"value": value, "mean_torque_nm": found.mean_torque, **curve_data(found)}


def _remarks(found: Swept) -> Iterator[str]:
    for value, each in zip(found.values, found.found, strict=True):
        yield from (f"at {value:g}: {remark}" for remark in each.remarks)
