"""What each choice of a plan drags along: the kit of every other choice, set beside that of the plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches

from tappetry.records.job import Job
from tappetry.records.problems import BadInput, Where
from tappetry.services.choices import Choice, choices, with_choice
from tappetry.services.differences import Difference, difference
from tappetry.services.kits import identify_job
from tappetry.services.shop import Shop
from tappetry.services.sides import Side, side


@dataclass(frozen=True, slots=True)
class Drag:
    """One other choice: its kit or its refusal, and what it drags along, against the plan and back.

    ``there`` and ``back`` are None where the plan or the choice is refused.
    """

    field: str
    now: str
    other: str
    side: Side
    there: Difference | None
    back: Difference | None


@dataclass(frozen=True, slots=True)
class DragLists:
    """The plan as it is, and other choices that exist for its engine."""

    present: Side
    drags: tuple[Drag, ...]


def drag_lists(shop: Shop, job: Job, only: str = "") -> DragLists:
    """What every choice drags along, or only those of one field (``phaser``) or value (``phaser=remove``).

    Raises
    ------
    BadInput
        The engine has no such choice; those that it has are named.
    Refusal
        The engine family is not known.
    """
    identification = identify_job(shop, job)
    wanted = list(_wanted(choices(shop, job, identification), only))
    present = side(shop, job, identification, job.id, job.title)
    drags = []
    for field, now, value in wanted:
        other = replace(job, plan=with_choice(job.plan, field, value))
        there = side(shop, other, identification, f"{field}={value}")
        change = difference(shop.knowledge, present, there)
        drags.append(Drag(field, now, value, there, change, None if change is None else change.turned()))
    return DragLists(present, tuple(drags))


def _wanted(found: Iterable[Choice], only: str) -> Iterator[tuple[str, str, str]]:
    """Field, present value and other value of the choices that are asked for."""
    every = [(choice.field, choice.now, value) for choice in found for value in choice.others]
    field, equals, value = (word.strip() for word in only.partition("="))
    asked = [each for each in every if field in ("", each[0]) and (not equals or value == each[2])]
    if not asked and only:
        names = [name for each in every for name in (each[0], f"{each[0]}={each[2]}")]
        close = get_close_matches(only, names, 1)
        hint = f"; did you mean {close[0]}?" if close else ""
        expected = "" if close else "one of " + ", ".join(dict.fromkeys(names))
        raise BadInput.at(Where("tappetry drag"), f"there is no such other choice{hint}", only, expected)
    yield from asked
