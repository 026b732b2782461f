"""Kits that are set beside each other: one engine under several plans, each with its kit or its refusal."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial

from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import Refusal
from tappetry.services.kits import KitResult, kit_for_job
from tappetry.services.shop import Shop


@dataclass(frozen=True, slots=True)
class Side:
    """One of the plans that stand beside each other, with its kit or the refusal in its place."""

    name: str
    title: str
    job: Job
    result: KitResult | None
    refusal: Refusal | None = None

    @property
    def kit(self) -> Kit | None:
        """The kit, if there is one."""
        return None if self.result is None else self.result.kit


def side(work: Callable[[Job], KitResult], job: Job, name: str, title: str = "") -> Side:
    """One plan with the kit that comes of it, or with its refusal."""
    try:
        return Side(name, title or name, job, work(job))
    except Refusal as refusal:
        return Side(name, title or name, job, None, refusal)


def packages(shop: Shop, job: Job) -> tuple[Side, ...]:
    """The kit of a job in every package of the house, in the order of the house book."""
    return tuple(
        side(
            partial(kit_for_job, shop),
            replace(job, plan=replace(job.plan, package=package.id)),
            package.id,
            package.title,
        )
        for package in shop.knowledge.book.packages.values()
    )


def plans(shop: Shop, stated: Iterable[tuple[str, Job]]) -> tuple[Side, ...]:
    """The kits of several plans by name."""
    return tuple(side(partial(kit_for_job, shop), job, name) for name, job in stated)
