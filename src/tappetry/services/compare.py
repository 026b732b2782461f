"""Sets kits of one job side by side: the packages of the house, or two plans."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from tappetry.pricing.validity import Comparison, compare
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import Refusal
from tappetry.records.verdict import Proof
from tappetry.services.kits import KitResult, kit_for_job
from tappetry.services.shop import Shop


@dataclass(frozen=True, slots=True)
class Side:
    """One of the kits that stand side by side; a plan that is refused has its refusal in place of a kit."""

    name: str
    title: str
    result: KitResult | None
    refusal: Refusal | None = None


@dataclass(frozen=True, slots=True)
class ProofChange:
    """A check whose outcome or margin differs between two kits."""

    id: str
    title: str
    old: Proof | None
    new: Proof | None


@dataclass(frozen=True, slots=True)
class Difference:
    """Two kits line by line, with money, hours, what is kept and what is proved."""

    old: str
    new: str
    lines: Comparison
    hours: Decimal
    operations_added: tuple[str, ...]
    operations_dropped: tuple[str, ...]
    proofs: tuple[ProofChange, ...]
    latest_old: int
    latest_new: int


def packages(shop: Shop, job: Job) -> tuple[Side, ...]:
    """The kit of a job in every package of the house."""
    return tuple(
        _side(shop, package.id, package.title, replace(job, plan=replace(job.plan, package=package.id)))
        for package in shop.knowledge.book.packages.values()
    )


def plans(shop: Shop, jobs: Iterable[Job]) -> tuple[Side, ...]:
    """The kits of several statements of a job, such as with another cam or without a phaser."""
    return tuple(_side(shop, job.id, job.title or job.id, job) for job in jobs)


def _side(shop: Shop, name: str, title: str, job: Job) -> Side:
    try:
        return Side(name, title, kit_for_job(shop, job))
    except Refusal as refusal:
        return Side(name, title, None, refusal)


def difference(old: Side, new: Side) -> Difference | None:
    """What changes from one kit to the other; None where one of them was refused."""
    if old.result is None or new.result is None:
        return None
    before, after = old.result.kit, new.result.kit
    codes_before = {operation.code: operation.what for operation in before.operations}
    codes_after = {operation.code: operation.what for operation in after.operations}
    return Difference(
        old=old.name,
        new=new.name,
        lines=compare(before, after),
        hours=_hours(after) - _hours(before),
        operations_added=tuple(what for code, what in codes_after.items() if code not in codes_before),
        operations_dropped=tuple(what for code, what in codes_before.items() if code not in codes_after),
        proofs=tuple(_proof_changes(before, after)),
        latest_old=_latest(before),
        latest_new=_latest(after),
    )


def _hours(kit: Kit) -> Decimal:
    return sum((operation.hours for operation in kit.operations), Decimal(0))


def _latest(kit: Kit) -> int:
    """Working days until the last part is here."""
    return max((line.lead_days for line in kit.lines), default=0)


def _proof_changes(before: Kit, after: Kit) -> Iterable[ProofChange]:
    old = {proof.id: proof for proof in before.proofs}
    new = {proof.id: proof for proof in after.proofs}
    for name in dict.fromkeys((*old, *new)):
        was, now = old.get(name), new.get(name)
        known = now or was
        if known is not None and _outcome(was) != _outcome(now):
            yield ProofChange(name, known.title, was, now)


def _outcome(proof: Proof | None) -> tuple[str, float | None] | None:
    return None if proof is None else (proof.verdict, proof.margin)
