"""`tappetry search`: the camshafts for a job that no other one beats, on the shelf and to be ground."""

from __future__ import annotations

import argparse
import math
import os
from pathlib import Path
from typing import TYPE_CHECKING

from tappetry.cli.streams import answer, note, show, stage
from tappetry.cli.working import declare_job

if TYPE_CHECKING:
    from tappetry.services.search import Wish

HERE = "tappetry search"


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)
    parser.add_argument(
        "--goal",
        action="append",
        metavar="GOAL",
        help="torque, power, vacuum, roughness, stall, knock or fuel (default: torque and vacuum)",
    )
    parser.add_argument(
        "--from", type=float, dest="first", metavar="RPM", help="where the band begins (default: 1500)"
    )
    parser.add_argument(
        "--to", type=float, dest="last", metavar="RPM", help="where it ends (default: the redline)"
    )
    parser.add_argument(
        "--step", type=float, default=500.0, metavar="RPM", help="from speed to speed (default: 500)"
    )
    parser.add_argument(
        "--vacuum", type=float, metavar="KPA", help="floor of the vacuum at idle (default: none)"
    )
    parser.add_argument(
        "--roughness",
        type=float,
        metavar="PERCENT",
        help="most that work at idle may differ from cycle to cycle (default: no limit)",
    )
    parser.add_argument(
        "--stall",
        type=float,
        metavar="RPM",
        help="least stall of the converter above the factory's camshaft's, negative below (default: any)",
    )
    parser.add_argument(
        "--may-sign", action="store_true", help="keep camshafts in that somebody has to sign for"
    )
    parser.add_argument(
        "--grind",
        type=int,
        default=0,
        metavar="N",
        help="try N camshafts to be ground in each generation (default: the shelf alone)",
    )
    parser.add_argument(
        "--generations", type=int, default=10, metavar="N", help="with --grind: how many (default: 10)"
    )
    parser.add_argument(
        "--free",
        action="append",
        default=[],
        metavar="NAME=LOW..HIGH",
        help="with --grind: ends of a number of the specification (default: those of the family's grinds)",
    )
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="of the drawing (default: 1)")
    parser.add_argument("--workers", type=int, metavar="N", help="threads (default: one for each core)")
    parser.add_argument(
        "--cluster", default="", metavar="ADDRESS", help="of a Dask scheduler, in place of this machine"
    )
    parser.add_argument("--keep", type=Path, metavar="FILE", help="keep what is turned, and take it up again")
    parser.add_argument("--out", type=Path, metavar="FILE", help="write the result as JSON as well")
    parser.add_argument("--chart", type=Path, metavar="FILE", help="the front as a .svg or .png picture")


def run(arguments: argparse.Namespace) -> int:
    """Search, and print the front."""
    import json

    from tappetry.jobs.reader import read_job
    from tappetry.presentation.searched import searched_data
    from tappetry.services.files import require_place, save
    from tappetry.services.search import search
    from tappetry.services.shop import open_shop

    wish = _wish(arguments)
    if arguments.chart is not None:
        from tappetry.presentation.charts.chart import require_picture
        from tappetry.presentation.charts.searched import require_two

        require_picture(arguments.chart)
        require_two(wish.goals)
    for file in (arguments.keep, arguments.out):
        if file is not None:
            require_place(file)
    shop = open_shop()
    job = read_job(arguments.job, shop.knowledge)
    with stage("camshafts proved and turned") as now:
        found = search(shop, job, wish, lambda _, text: note(f"  {text}"), arguments.keep)
        now.result = f"{len(found.front)} on the front, {len(found.beaten)} beaten"
    data = searched_data(found)
    if arguments.out is not None:
        note(f"  {save(arguments.out, json.dumps(data, indent=1, allow_nan=False).encode())}")
    if arguments.chart is not None:
        from tappetry.presentation.charts.chart import write
        from tappetry.presentation.charts.searched import front_chart

        note(f"  {write(front_chart(found), arguments.chart)}")
    if arguments.json:
        answer(data)
    else:
        from tappetry.cli.search_tables import pages

        show(*pages(found))
    return 0


def _wish(arguments: argparse.Namespace) -> Wish:
    from tappetry.records.problems import BadInput, Where
    from tappetry.search.goals import Goal
    from tappetry.services.search import MOST_CURVES, Wish, require_limits

    names = arguments.goal or [Goal.TORQUE.value, Goal.VACUUM.value]
    known = [goal.value for goal in Goal]
    for name in names:
        if name not in known:
            raise BadInput.at(
                Where(HERE, field="--goal"), "there is no such goal", name, "one of " + ", ".join(known)
            )
    workers = arguments.workers if arguments.workers is not None else os.cpu_count() or 1
    for option, value, low, high in (
        ("--workers", workers, 1, 256),
        ("--grind", arguments.grind, 0, MOST_CURVES),
        ("--generations", arguments.generations, 1, MOST_CURVES),
        ("--seed", arguments.seed, 0, 2**32 - 1),
    ):
        if not low <= value <= high:
            raise BadInput.at(Where(HERE, field=option), "out of range", value, f"{low} to {high}")
    if arguments.free and not arguments.grind:
        raise BadInput.at(
            Where(HERE, field="--free"), "nothing is ground", arguments.free[0], "--grind N beside it"
        )
    wish = Wish(
        goals=tuple(dict.fromkeys(Goal(name) for name in names)),
        first=arguments.first,
        last=arguments.last,
        step=arguments.step,
        least_vacuum=None if arguments.vacuum is None else arguments.vacuum * 1e3,
        most_roughness=None if arguments.roughness is None else arguments.roughness * 1e-2,
        least_stall=None if arguments.stall is None else arguments.stall * math.pi / 30.0,
        may_sign=arguments.may_sign,
        generation=arguments.grind,
        generations=arguments.generations,
        free=dict(_ends(text) for text in arguments.free),
        seed=arguments.seed,
        workers=workers,
        cluster=arguments.cluster,
    )
    require_limits(wish)
    return wish


def _ends(text: str) -> tuple[str, tuple[float, float]]:
    from tappetry.records.problems import BadInput, Where

    name, _, ends = text.partition("=")
    low, _, high = ends.partition("..")
    try:
        return name.strip(), (float(low), float(high))
    except ValueError:
        raise BadInput.at(
            Where(HERE, field="--free"), "ends cannot be read", text, "NAME=LOW..HIGH"
        ) from None
