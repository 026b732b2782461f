"""What each choice of a plan drags along: the kit of every other choice, set beside that of the plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from difflib import get_close_matches
from functools import partial

from tappetry.assembly.values import Values
from tappetry.kitting.gates import gate_findings
from tappetry.kitting.many.solver import ManySolver
from tappetry.records.job import Job
from tappetry.records.problems import BadInput, Where
from tappetry.records.verdict import Verdict
from tappetry.services.choices import CAM, WORK, Choice, choices, with_choice
from tappetry.services.differences import Difference, difference
from tappetry.services.kits import identify_job, kit_for_engine, kit_for_job, request_of
from tappetry.services.shop import Shop
from tappetry.services.sides import Side, side


@dataclass(frozen=True, slots=True)
class Dragged:
    """One plan beside the present one: its kit or its refusal, and what changes, there and back.

    ``there`` and ``back`` are None where one of the two is refused.
    """

    side: Side
    there: Difference | None
    back: Difference | None


@dataclass(frozen=True, slots=True)
class Along:
    """A further choice that is dragged along, as a choice alone is refused."""

    field: str
    now: str
    other: str
    dragged: Dragged


@dataclass(frozen=True, slots=True)
class Drag:
    """One other choice, and what it drags along.

    Where it is refused alone, ``along`` is the one further choice with which it is not: that which changes
    the fewest needs, then costs the customer least. None where there is no such choice.
    """

    field: str
    now: str
    other: str
    dragged: Dragged
    along: Along | None


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
    return _Lists(shop, job).lists(only)


class _Lists:
    """Tries the choices of one job."""

    def __init__(self, shop: Shop, job: Job) -> None:
        self.shop = shop
        self.job = job
        self.identification = identify_job(shop, job)
        self.choices = choices(shop, job, self.identification)
        self.solver = ManySolver(shop.knowledge, shop.catalogue)

    def lists(self, only: str) -> DragLists:
        wanted = list(_wanted(self.choices, only))
        present = side(partial(kit_for_job, self.shop), self.job, self.job.id, self.job.title)
        return DragLists(present, tuple(self._drag(present, *each) for each in wanted))

    def _drag(self, present: Side, field: str, now: str, value: str) -> Drag:
        other = self._with(self.job, field, value)
        dragged = self._dragged(present, other, f"{field}={value}")
        along = None if dragged.side.kit is not None else self._along(present, other, field)
        return Drag(field, now, value, dragged, along)

    @staticmethod
    def _with(job: Job, field: str, value: str) -> Job:
        return replace(job, plan=with_choice(job.plan, field, value))

    def _dragged(self, present: Side, job: Job, name: str) -> Dragged:
        found = side(lambda plan: kit_for_engine(self.shop, plan, self.identification), job, name)
        there = difference(self.shop.knowledge, present, found)
        return Dragged(found, there, None if there is None else there.turned())

    def _along(self, present: Side, other: Job, chosen: str) -> Along | None:
        """The further choice with which a choice is not refused, if one is enough."""
        found = []
        for choice in self.choices:
            for value in choice.others if not _same(choice.field, chosen) else ():
                job = self._with(other, choice.field, value)
                if self._may_do(job):
                    dragged = self._dragged(present, job, f"{chosen} {choice.field}={value}")
                    if dragged.side.kit is not None:
                        found.append(Along(choice.field, choice.now, value, dragged))
        return min(found, key=_changes_and_cost, default=None)

    def _may_do(self, job: Job) -> bool:
        """Whether the rules leave a plan a kit, and no gate stops it: quick, before a kit is worked out."""
        request = request_of(self.shop, job, self.identification)
        solution = self.solver.solve(request)
        if solution is None:
            return False
        values = Values(request.knowledge, request.fixed, request.memory)
        views = {root: option.view for root, option in solution.chosen.items()}
        found = (
            finding for before in (True, False) for finding in gate_findings(values, views, {}, before=before)
        )
        return all(finding.verdict is not Verdict.STOP for finding in found)


def _same(field: str, other: str) -> bool:
    """Whether a choice in one field takes back what was chosen in the other."""
    return field == other or {field, other} == {CAM, WORK}


def _changes_and_cost(along: Along) -> tuple[int, Decimal]:
    there, kit = along.dragged.there, along.dragged.side.kit
    assert kit is not None
    assert kit.totals is not None
    return len(there.changes) if there is not None else 0, kit.totals.total


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
