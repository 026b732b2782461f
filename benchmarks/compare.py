"""The packages and drag lists of a job in one shop, beside the same plans each worked out from scratch."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from benchmarks.demo_shop import jobs_of, shop
from benchmarks.pairs import Pair, Size, pair
from tappetry.records.job import Job
from tappetry.records.problems import Refusal
from tappetry.services.drag import drag_lists
from tappetry.services.kits import identify_job, kit_for_engine
from tappetry.services.shop import Shop
from tappetry.services.sides import Side, packages

#: Each round takes some seconds.
MOST_ROUNDS = 3


def measure(size: Size) -> Iterator[Pair]:
    job, *_ = jobs_of(size)
    for name, work in (
        ("packages", lambda: list(packages(shop(), job))),
        ("drag lists", lambda: dragged(job)),
    ):
        sides = work()
        plans = [side.job for side in sides]
        assert [total(side) for side in sides] == list(map(from_scratch, plans))
        yield pair(
            f"{name} of {job.id}",
            work,
            f"{len(plans)} plans from scratch",
            lambda plans=plans: list(map(from_scratch, plans)),
            min(size.rounds, MOST_ROUNDS),
            note=f"{sum(side.kit is not None for side in sides)} kits, every total the same",
        )


def dragged(job: Job) -> list[Side]:
    """The plan as it is, every other choice, and every further choice that is dragged along."""
    lists = drag_lists(shop(), job)
    others = [(drag.dragged, drag.along.dragged if drag.along else None) for drag in lists.drags]
    return [lists.present, *(each.side for both in others for each in both if each is not None)]


def total(side: Side) -> Decimal | None:
    """What the customer pays; None where the plan is refused."""
    return None if side.kit is None or side.kit.totals is None else side.kit.totals.total


def from_scratch(job: Job) -> Decimal | None:
    """The total of one plan in a shop that has read its text and worked nothing out yet."""
    try:
        made = anew()
        totals = kit_for_engine(made, job, identify_job(made, job)).kit.totals
    except Refusal:
        return None
    return None if totals is None else totals.total


def anew() -> Shop:
    """The invented shop as it is before its first job."""
    made = Shop(shop().folder)
    vars(made).update(knowledge=shop().knowledge, catalogue=replace(shop().catalogue))
    return made
