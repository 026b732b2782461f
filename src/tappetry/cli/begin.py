"""`tappetry begin`: a shop of one's own in an empty folder, or the invented one beside it to look at."""

from __future__ import annotations

import argparse
from pathlib import Path

from tappetry.cli.streams import answer, note
from tappetry.services.begin import ENTRIES, LARGEST, WANTED


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    for each in ENTRIES:
        usual = (
            f" (default: {each.usual})" if each.usual else "" if each.name in WANTED else " (may be left out)"
        )
        parser.add_argument(
            f"--{each.name.replace('_', '-')}",
            choices=each.choices or None,
            default="",
            metavar=None if each.choices else "SAID",
            help=f"{each.title}{usual}".replace("%", "%%"),
        )
    parser.add_argument(
        "--file",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help="a template that was changed, under its own name; may be repeated",
    )
    parser.add_argument(
        "--templates", type=Path, metavar="FOLDER", help="write the templates to a folder and begin nothing"
    )
    parser.add_argument("--demo", action="store_true", help="put the invented shop beside the empty folder")


def run(arguments: argparse.Namespace) -> int:
    """Begin the shop, and say where it lies."""
    if arguments.templates is not None:
        return _write_templates(arguments)
    from tappetry.services import begin
    from tappetry.services.files import read_most
    from tappetry.services.shop import home

    if arguments.demo:
        begin.must_be_free(home())
        begun = begin.Begun(begin.begin_demo(home()), ())
    else:
        said = {each.name: getattr(arguments, each.name) for each in ENTRIES}
        files = {file.name: read_most(file, LARGEST, "one of the templates") for file in arguments.file}
        begun = begin.begin(home(), said, files)
    folder = begun.shop.folder
    if arguments.json:
        answer({"folder": str(folder), "told": list(begun.told)})
        return 0
    note(f"{folder}: the shop has begun; its text lies there, to be read and changed")
    for told in begun.told:
        note(f"  {told}")
    if arguments.demo:
        note(f"  next: TAPPETRY_HOME={folder} tappetry serve")
        return 0
    note("  next: tappetry serve, or tappetry job new FILE")
    return 0


def _write_templates(arguments: argparse.Namespace) -> int:
    from tappetry.records.problems import BadInput, Where
    from tappetry.services.begin import template, templates
    from tappetry.services.files import save

    folder: Path = arguments.templates
    there = [name for name in templates() if (folder / name).exists()]
    if there:
        said = "there are such files already"
        raise BadInput.at(Where(str(folder)), said, ", ".join(there), "a new folder")
    files = [save(folder / name, template(name)) for name in templates()]
    if arguments.json:
        answer({"files": [str(file) for file in files]})
    else:
        note(f"{folder}: {len(files)} templates; change some, then: tappetry begin --file FILE ...")
    return 0
