"""What each day costs: the best kit with all the time there is, then always the best that is here earlier."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, TypeVar

from tappetry.kitting.prefer import regret
from tappetry.kitting.resolve import Resolution, ordered_preferences
from tappetry.quantities.calendar import add_working_days
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import Refusal
from tappetry.services.differences import Difference, difference, latest_arrival
from tappetry.services.kits import KitResult, identify_job, kit_for_engine
from tappetry.services.shop import Shop
from tappetry.services.sides import Side, side

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Point:
    """The best kit among those whose last part is here after so many working days, or earlier.

    ``gives_up`` are the house's preferences that it follows less far than the point before, in their words;
    ``step`` is what changes from the point before; None for the first.
    """

    days: int
    day: date
    side: Side
    kit: Kit
    gives_up: tuple[str, ...] = ()
    step: Difference | None = None


@dataclass(frozen=True, slots=True)
class Front:
    """The points from the latest to the earliest, and why nothing is here earlier than the last of them.

    No point is as good as another one that is here earlier, by the house's own order: wishes, preferences,
    landed cost. ``no_earlier`` is None where the last point waits for nothing.
    """

    points: tuple[Point, ...]
    no_earlier: Refusal | None


def front(shop: Shop, job: Job) -> Front:
    """The front of cost against arrival of a job, whatever day its plan asks for."""
    identification = identify_job(shop, job)
    refusals: list[Refusal] = []

    def solve(days: int | None) -> tuple[Side, KitResult] | None:
        day = None if days is None else add_working_days(job.date, days)
        within = job.id if days is None else f"{job.id} within {days} working days"
        asked = replace(job, plan=replace(job.plan, need_by=day))
        tried = side(lambda plan: kit_for_engine(shop, plan, identification), asked, within, job.title)
        if tried.refusal is not None:
            refusals.append(tried.refusal)
        return None if tried.result is None else (tried, tried.result)

    found = list(walk_down(solve, lambda each: latest_arrival(each[1].kit)))
    kept = undominated(found, lambda each: rank(each[1].resolution))
    return Front(tuple(_points(shop, job, kept)), refusals[0] if refusals else None)


def _points(shop: Shop, job: Job, found: Iterable[tuple[Side, KitResult]]) -> Iterator[Point]:
    before: tuple[Side, KitResult] | None = None
    for tried, result in found:
        days = latest_arrival(result.kit)
        point = Point(days, add_working_days(job.date, days), tried, result.kit)
        if before is not None:
            step = difference(shop.knowledge, before[0], tried)
            lost = tuple(given_up(before[1].resolution, result.resolution))
            point = replace(point, step=step, gives_up=lost)
        yield point
        before = (tried, result)


def walk_down(solve: Callable[[int | None], T | None], latest: Callable[[T], int]) -> Iterator[T]:
    """The best with all the time there is, then the best that is here a working day earlier, and so on.

    Parameters
    ----------
    solve : callable
        The best within so many working days, or within any time; None where there is nothing.
    latest : callable
        Working days after which all of it is here.
    """
    days: int | None = None
    while days is None or days >= 0:
        found = solve(days)
        if found is None:
            return
        yield found
        days = latest(found) - 1


def undominated(found: Iterable[T], order: Callable[[T], Any]) -> list[T]:
    """Those that no later one equals or betters; each is here earlier than the one before."""
    kept: list[T] = []
    for each in found:
        while kept and order(each) <= order(kept[-1]):
            kept.pop()
        kept.append(each)
    return kept


def rank(resolution: Resolution) -> tuple[Any, ...]:
    """The house's own order of kits: wishes that are not met, preferences that are not followed, cost."""
    wishes = resolution.problem.request.plan.wishes
    bought = {line.part for line in resolution.kit.lines}
    unmet = sum(wish not in bought for wish in wishes)
    return (unmet, _regrets(resolution), resolution.kit.landed_cost)


def _regrets(resolution: Resolution) -> tuple[int, ...]:
    preferences = ordered_preferences(resolution.problem.request)
    return tuple(regret(resolution.problem, root, each, resolution.views) for root, each in preferences)


def given_up(old: Resolution, new: Resolution) -> Iterator[str]:
    """The reasons of the preferences that a kit follows less far than another."""
    preferences = ordered_preferences(old.problem.request)
    for (_, preference), before, after in zip(preferences, _regrets(old), _regrets(new), strict=True):
        if after > before:
            yield preference.why
