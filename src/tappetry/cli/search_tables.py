"""What a search found, as tables for a person."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rich.text import Text

from tappetry.cli.tables import heading, table
from tappetry.presentation.searched import HEADINGS, shown

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tappetry.services.search import Searched, Weighed

CAUTION = (
    "A model fitted to no engine: differences between camshafts say more than absolute figures. In brackets "
    "the worst with the camshaft 2 degrees of the crank off either way, or 0.2 of compression."
)


def pages(found: Searched) -> Iterator[RenderableType]:
    """The front, what it beats, and what does not stay in."""
    yield heading(f"{found.job}, {found.variant}: camshafts that no other one beats")
    yield _rows(found, found.front)
    if found.beaten:
        yield heading("beaten")
        yield _rows(found, found.beaten)
    for each in found.excluded:
        yield Text(f"out: {each.camshaft.name}, {each.camshaft.card['name']}: {each.why}")
    if found.not_ground:
        yield Text(f"out: {found.not_ground} specifications to be ground that break a limit")
    yield Text(CAUTION)


def _rows(found: Searched, weighed: tuple[Weighed, ...]) -> RenderableType:
    goals = found.wish.goals
    names = ("cam", *(HEADINGS[goal] for goal in goals))
    rows = [(each.camshaft.name, *(shown(each, goal) for goal in goals)) for each in weighed]
    return table(names, rows, right=names[1:])
