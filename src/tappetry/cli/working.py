"""A job worked from its file, with progress told: every command on a job begins with it."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from tappetry.cli.streams import stage

if TYPE_CHECKING:
    from tappetry.services.kits import KitResult
    from tappetry.services.shop import Shop


def declare_job(parser: argparse.ArgumentParser) -> None:
    """The job's file, as the first word of a command."""
    parser.add_argument("job", type=Path, metavar="JOB", help="the job's YAML file")


def declare_out(parser: argparse.ArgumentParser, default: Path | None = None) -> None:
    """The folder for papers."""
    parser.add_argument(
        "--out",
        type=Path,
        metavar="DIR",
        default=default,
        required=default is None,
        help="folder for the papers" if default is None else f"folder for the papers (default: {default})",
    )


def worked(file: Path, shop: Shop | None = None) -> tuple[Shop, KitResult]:
    """The shop, and the job of a file with its engine and its kit."""
    from tappetry.services.shop import open_shop

    opened = shop or open_shop()
    with stage("the shop's knowledge and catalogue") as now:
        now.result = f"{len(opened.knowledge.needs)} needs, {len(opened.catalogue.parts)} parts"
    return opened, kit_of(opened, file)


def kit_of(shop: Shop, file: Path) -> KitResult:
    """The kit of a job's file."""
    with stage(f"the kit of {file.name}") as now:
        from tappetry.services.kits import kit_for_file

        result = kit_for_file(shop, file)
        now.result = f"{len(result.kit.lines)} lines, {optimality(result)}"
    return result


def optimality(result: KitResult) -> str:
    """Whether it is proved that no better kit can be had."""
    return "proved optimal" if result.kit.proved_optimal else "not proved optimal"
