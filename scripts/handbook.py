"""Writes docs/handbook: a page for each chapter of the registry, with its drawing and worked examples."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from scripts.drawings import DRAWINGS
from tappetry.calculations.model import TEXT, Calculation, Input
from tappetry.calculations.registry import registry
from tappetry.services.calculate import Reading, calculate
from tappetry.services.calculation_cards import default_text, in_trade_unit, range_text, unit_text
from tests.checks.binding import adapters

FOLDER = Path(__file__).resolve().parents[1] / "docs" / "handbook"
#: The drawings of each chapter, with what a reader who cannot see them should know.
PICTURES = {
    "Lobe": {
        "cam-laws": "Acceleration of five cam laws over the rise: all but the harmonic begin and end at 0"
    },
    "Timing": {"timing": "Valve events around the crank: intake and exhaust overlap at top dead centre"},
    "Crank": {"slider-crank": "Crank, rod and piston: the fall counts from top dead centre"},
    "Springs": {"spring-heights": "A spring free, closed, at full lift and solid: lift and margin"},
    "Joints": {"joint": "Force over stretch and squeeze: the bolt takes a small share of an outer load"},
}
HEAD = """\
# Handbook

Every calculation of the registry: what it takes and gives, in the trade's units, its formula, its sources,
and a worked example that can be typed as it stands. `python -m scripts.handbook` writes these pages from the
registry itself; a test sees that they are up to date. Each number in an example is of an invented engine.

*From memory* means that the source was not open when the formula was written down; a test derives it again
where it can. What [outside checks](../reference/external-checks.md) judge a calculation stands with it. Any
input takes a tolerance, and the result then has a band: see [the command](../reference/commands.md).

"""


def pages() -> dict[str, str]:
    """The text of every file of the folder, by its name."""
    chapters = registry().chapters
    made = {"README.md": HEAD + "".join(_line(name, each) for name, each in chapters.items())}
    for name, calculations in chapters.items():
        made[f"{_slug(name)}.md"] = "".join(_page(name, calculations))
    return made | {f"{name}.svg": draw() for name, draw in DRAWINGS.items()}


def _slug(chapter: str) -> str:
    return "".join(letter if letter.isalnum() else "-" for letter in chapter.lower()).replace("--", "-")


def _line(chapter: str, calculations: tuple[Calculation, ...]) -> str:
    return f"- [{chapter}]({_slug(chapter)}.md): {len(calculations)} calculations\n"


def _page(chapter: str, calculations: tuple[Calculation, ...]) -> Iterator[str]:
    yield f"# {chapter}\n\n[All chapters](README.md)\n\n"
    for drawing, said in PICTURES.get(chapter, {}).items():
        yield f"![{said}]({drawing}.svg)\n\n"
    yield from (f"- [{each.title}](#{each.name})\n" for each in calculations)
    for each in calculations:
        yield from _entry(each)


def _entry(calculation: Calculation) -> Iterator[str]:
    yield f"\n## {calculation.name}\n\n**{calculation.title}**\n\n    {calculation.formula}\n\n"
    yield _table(
        ("input", "what it is", "what it may be", "left out"),
        (
            (f"`{each.name}`", _what(each.description, each.qualifier), range_text(each), default_text(each))
            for each in calculation.inputs
        ),
    )
    yield _table(
        ("output", "what it is", "unit"),
        (
            (f"`{each.name}`", _what(each.description, each.qualifier), unit_text(each.display_unit).strip())
            for each in calculation.outputs
        ),
    )
    yield from _worked(calculation)
    sources = "; ".join(
        f"{source.text} ({source.kind}{', from memory' if source.from_memory else ''})"
        for source in calculation.sources
    )
    yield f"\nSources: {sources}.\n"
    if checked := _checks().get(calculation.name):
        yield f"\nJudged by the outside checks {', '.join(checked)}.\n"
    yield from (f"\nCaution: {caution}\n" for caution in calculation.cautions)


def _what(description: str, qualifier: str) -> str:
    return f"{description} (*{qualifier}*)" if qualifier else description


def _table(head: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    names = list(head)
    lines = [names, ["---"] * len(names), *(list(row) for row in rows)]
    return "".join(f"| {' | '.join(_cell(cell) for cell in line)} |\n" for line in lines) + "\n"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _worked(calculation: Calculation) -> Iterator[str]:
    """The example as it is typed, and what comes out of just that."""
    inputs = {each.name: each for each in calculation.inputs}
    words = [word for name, value in calculation.example.items() for word in _typed(inputs[name], value)]
    done = calculate(calculation.name, words)
    typed = " ".join(f'"{word}"' if " " in word else word for word in words)
    yield f"```\ntappetry calc {calculation.name} {typed}\n"
    yield from (f"  {each.name} = {_figure(each)}\n" for each in done.outputs)
    yield "```\n"


def _typed(taken: Input, value: Any) -> list[str]:
    if taken.kind == TEXT:
        return [f"{taken.name}={value}"]
    unit = unit_text(taken.display_unit)
    numbers = (in_trade_unit(float(each), taken) for each in np.atleast_1d(value))
    return [f"{taken.name}={_number(number)}{unit}" for number in numbers]


def _number(value: float) -> str:
    """Six digits without a power of ten, as a person types them."""
    return np.format_float_positional(value, precision=6, fractional=False, trim="-")


def _figure(given: Reading) -> str:
    if not isinstance(given.value, float):
        return str(given.value)
    rounded = 0.0 if abs(given.value) < 1e-12 else given.value
    return f"{rounded:.5g}{unit_text(given.unit)}"


@cache
def _checks() -> dict[str, list[str]]:
    """The outside checks that run each calculation."""
    found: dict[str, list[str]] = {}
    for name, adapter in sorted(adapters().items()):
        for calculation in dict.fromkeys(each["calculation"] for each in adapter.runs.values()):
            found.setdefault(calculation, []).append(name)
    return found


def main() -> int:
    """Write the pages, and take away what no chapter writes any more."""
    made = pages()
    FOLDER.mkdir(exist_ok=True)
    for file in FOLDER.iterdir():
        if file.name not in made:
            file.unlink()
    for name, text in made.items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    print(f"docs/{FOLDER.name}: {len(made)} files, {len(registry().calculations)} calculations")
    return 0


if __name__ == "__main__":
    sys.exit(main())
