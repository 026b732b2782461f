"""Kits that are set beside each other: one engine under several plans, each with its kit or its refusal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from tappetry.identification.resolve import Identification
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import Refusal
from tappetry.services.kits import KitResult, identify_job, kit_for_engine
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


def side(shop: Shop, job: Job, identification: Identification, name: str, title: str = "") -> Side:
    """The kit of one plan for an engine that is identified already."""
    try:
        return Side(name, title or name, job, kit_for_engine(shop, job, identification))
    except Refusal as refusal:
        return Side(name, title or name, job, None, refusal)


def packages(shop: Shop, job: Job) -> tuple[Side, ...]:
    """The kit of a job in every package of the house, in the order of the house book."""
    identification = identify_job(shop, job)
    return tuple(
        side(
            shop,
            replace(job, plan=replace(job.plan, package=package.id)),
            identification,
            package.id,
            package.title,
        )
        for package in shop.knowledge.book.packages.values()
    )


def plans(shop: Shop, stated: Iterable[tuple[str, Job]]) -> tuple[Side, ...]:
    """The kits of several plans by name; an engine of which the same is known is identified once."""
    known: dict[tuple[Any, ...], Identification] = {}
    sides = []
    for name, job in stated:
        facts = (job.facts, job.unknown)
        if facts not in known:
            known[facts] = identify_job(shop, job)
        sides.append(side(shop, job, known[facts], name))
    return tuple(sides)
