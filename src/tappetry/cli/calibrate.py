"""`tappetry calibrate`: an engine fitted to a torque curve that was measured, kept under a name."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from tappetry.cli.streams import answer, note, show, stage

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tappetry.services.calibrating import Calibration

LEGEND = (
    "A constant moves only as far as its limits, and is held to where it stood as firmly as they are narrow."
)


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument("engine", metavar="ENGINE", help="the variant that was measured")
    parser.add_argument("curve", type=Path, metavar="CURVE", help="a CSV file: speed_rpm,torque_nm")
    parser.add_argument(
        "--cam", default="", metavar="GRIND", help="with this camshaft (default: the factory's)"
    )
    parser.add_argument(
        "--name", required=True, metavar="NAME", help="under which it is kept in the shop's folder"
    )


def run(arguments: argparse.Namespace) -> int:
    """Fit, keep, and print what moved and what is left."""
    from dataclasses import asdict

    from tappetry.services.calibrating import calibrate_engine, read_measured
    from tappetry.services.shop import open_shop
    from tappetry.services.simulate import make_ready

    measured = read_measured(arguments.curve)
    shop = open_shop()
    with stage("kernels made ready (some ten seconds the first time)"):
        make_ready(shop, arguments.engine)
    with stage("curves turned until no constant moves") as now:
        found, file = calibrate_engine(
            shop,
            arguments.engine,
            arguments.cam,
            measured,
            arguments.name,
            lambda misfit: note(f"  misfit {misfit:.2%}"),
        )
        now.result = f"misfit {found.misfit_after:.2%}"
    note(f"  {file}")
    if arguments.json:
        answer({"file": str(file), **asdict(found)})
    else:
        show(*pages(found))
    return 0


def pages(found: Calibration) -> Iterator[RenderableType]:
    """Constants with their limits, then torque by speed."""
    from rich.text import Text

    from tappetry.cli.tables import heading, table

    yield heading(f"{found.variant} with {found.cam}, calibrated as {found.name}")
    yield table(
        ("constant", "from", "to", "limits", "source of the limits"),
        (
            (
                each.name,
                f"{each.before:.3g}",
                f"{each.after:.3g}" + (" at its limit" if each.at_limit else ""),
                f"{each.low:g} to {each.high:g}",
                each.source,
            )
            for each in found.constants
        ),
    )
    names = ("rpm", "measured N.m", "before", "after")
    measured = found.measured
    yield table(
        names,
        (
            (f"{speed:.0f}", f"{torque:.0f}", f"{before:+.1%}", f"{after:+.1%}")
            for speed, torque, before, after in zip(
                measured.speeds,
                measured.torques,
                found.differences_before,
                found.differences_after,
                strict=True,
            )
        ),
        right=names,
    )
    yield Text(f"misfit {found.misfit_before:.2%} before, {found.misfit_after:.2%} after")
    yield Text(LEGEND)
