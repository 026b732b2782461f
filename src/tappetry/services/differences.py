"""What changes from one kit to another: lines, what stays, work, checks and money, each with its cause."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from typing import Any, Generic, Protocol, Self, TypeVar

from tappetry.knowledge.model import Knowledge
from tappetry.pricing.validity import LineChange, line_changes
from tappetry.records.kit import Declined, Kept, Kit, LeftOver, OperationLine, Totals, Unknown
from tappetry.records.verdict import Finding, Proof
from tappetry.services.causes import Cause, Causes, followed, stated_reasons
from tappetry.services.sides import Side

T = TypeVar("T")


class Turns(Protocol):
    """Something that can be told in both directions."""

    def turned(self) -> Self:
        """The same in the other direction."""


@dataclass(frozen=True, slots=True)
class Changed(Generic[T]):
    """One entry as it stands in two kits; None where it is not there."""

    old: T | None
    new: T | None

    @property
    def either(self) -> T:
        """The entry as it stands now, or as it stood before it went."""
        entry = self.old if self.new is None else self.new
        assert entry is not None
        return entry

    def turned(self) -> Changed[T]:
        """The same change in the other direction."""
        return Changed(self.new, self.old)


@dataclass(frozen=True, slots=True)
class Both(Generic[T]):
    """A figure of two kits."""

    old: T
    new: T

    def turned(self) -> Both[T]:
        """The same figures in the other direction."""
        return Both(self.new, self.old)


@dataclass(frozen=True, slots=True)
class Change:
    """Needs that are met otherwise, with the lines that come, go or change for it, and what brings it about.

    ``kept`` says where something stays, is taken from stock, or is left to somebody else. ``why`` are the
    needs' own words for how they are met, empty where none of them is there; ``preferred`` the reasons of
    the house's preferences that only one of the kits follows. ``origin`` is what the first of the causes
    hangs on: the plan, or what stands in another place.
    """

    needs: tuple[str, ...]
    lines: tuple[LineChange, ...]
    kept: tuple[Changed[Kept], ...]
    why: Both[str]
    preferred: Both[tuple[str, ...]]
    causes: tuple[Cause, ...]
    origin: Cause

    @property
    def money(self) -> Decimal:
        """How much more the lines cost now, before tax."""
        return sum((line.difference for line in self.lines), Decimal(0))

    def turned(self) -> Change:
        """The same change in the other direction."""
        return Change(
            needs=self.needs,
            lines=_all_turned(self.lines),
            kept=_all_turned(self.kept),
            why=self.why.turned(),
            preferred=self.preferred.turned(),
            causes=_all_turned(self.causes),
            origin=self.origin.turned(),
        )


@dataclass(frozen=True, slots=True)
class Difference:
    """Everything that is not the same in two kits: added to the old one it gives the new one.

    ``lines`` are all lines that differ in anything, if only in the reason that they state. ``changes`` show
    by need and cause what is bought or kept otherwise.
    """

    names: Both[str]
    titles: Both[str]
    totals: Both[Totals]
    landed: Both[Decimal]
    latest: Both[int]
    changes: tuple[Change, ...]
    lines: tuple[LineChange, ...]
    kept: tuple[Changed[Kept], ...]
    declined: tuple[Changed[Declined], ...]
    left_over: tuple[Changed[LeftOver], ...]
    operations: tuple[Changed[OperationLine], ...]
    proofs: tuple[Changed[Proof], ...]
    findings: tuple[Changed[Finding], ...]
    unknowns: tuple[Changed[Unknown], ...]
    cautions: tuple[Changed[str], ...]

    @property
    def total(self) -> Decimal:
        """How much more the customer pays, tax included."""
        return self.totals.new.total - self.totals.old.total

    @property
    def hours(self) -> Decimal:
        """How many more hours are charged."""
        return self.totals.new.hours - self.totals.old.hours

    @property
    def days(self) -> int:
        """How many working days later the last part is here."""
        return self.latest.new - self.latest.old

    @property
    def bought(self) -> tuple[LineChange, ...]:
        """The lines that come, go, or are bought in another number or at another price."""
        return tuple(line for line in self.lines if line.is_another_purchase)

    def turned(self) -> Difference:
        """The same difference in the other direction."""
        turned: dict[str, Any] = {}
        for field in fields(self):
            value = getattr(self, field.name)
            turned[field.name] = _all_turned(value) if isinstance(value, tuple) else value.turned()
        return replace(self, **turned)


def _all_turned(changes: tuple[Any, ...]) -> tuple[Any, ...]:
    return tuple(change.turned() for change in changes)


def latest_arrival(kit: Kit) -> int:
    """Working days until the last part is here."""
    return max((line.lead_days for line in kit.lines), default=0)


def difference(knowledge: Knowledge, old: Side, new: Side) -> Difference | None:
    """What changes from one kit to another; None where one of them was refused."""
    if old.result is None or new.result is None:
        return None
    before, after = old.result.kit, new.result.kit
    assert before.totals is not None
    assert after.totals is not None
    place = {need: index for index, need in enumerate(knowledge.needs)}
    lines = tuple(sorted(line_changes(before, after), key=lambda change: _place(change, place)))
    kept = changed(before.kept, after.kept, lambda each: (place[each.need], each.slot))
    return Difference(
        names=Both(old.name, new.name),
        titles=Both(old.title, new.title),
        totals=Both(before.totals, after.totals),
        landed=Both(before.landed_cost, after.landed_cost),
        latest=Both(latest_arrival(before), latest_arrival(after)),
        changes=tuple(_changes(Causes(knowledge, old.result, new.result), place, lines, kept)),
        lines=lines,
        kept=kept,
        declined=changed(before.declined, after.declined, lambda each: (each.need, each.offer, each.by)),
        left_over=changed(before.left_over, after.left_over, lambda each: (each.part, each.item)),
        operations=changed(before.operations, after.operations, lambda each: each.code),
        proofs=changed(before.proofs, after.proofs, lambda each: each.id),
        findings=changed(before.findings, after.findings, lambda each: each.id),
        unknowns=changed(before.unknowns, after.unknowns, lambda each: each.attribute),
        cautions=changed(before.cautions, after.cautions, lambda each: each),
    )


def changed(old: Iterable[T], new: Iterable[T], key: Callable[[T], Any]) -> tuple[Changed[T], ...]:
    """The entries that are not the same on both sides, ordered by their key."""
    before, after = {key(each): each for each in old}, {key(each): each for each in new}
    pairs = [Changed(before.get(name), after.get(name)) for name in sorted({*before, *after})]
    return tuple(pair for pair in pairs if pair.old != pair.new)


# ---- by need and cause -----------------------------------------------------------------------------------


def _place(change: LineChange, place: Mapping[str, int]) -> tuple[int, str, str]:
    """Where a line stands: by the first need that it fills, then by its supplier and number."""
    return min(place[need] for need in _needs(change)), change.supplier, change.part


def _needs(change: LineChange) -> list[str]:
    """The needs that a line fills before or now."""
    return [filled.need for line in (change.old, change.new) if line for filled in line.needs]


def _changes(
    causes: Causes,
    place: Mapping[str, int],
    lines: Sequence[LineChange],
    kept: Sequence[Changed[Kept]],
) -> Iterator[Change]:
    """Lines and what stays, together where they are for the same needs."""
    told = [stated_reasons(result.kit) for result in (causes.old, causes.new)]
    chosen = [followed(result.resolution) for result in (causes.old, causes.new)]
    bought = [line for line in lines if line.is_another_purchase]
    stands = [each for each in kept if _is_met_otherwise(each)]
    groups = _together([_needs(line) for line in bought] + [[each.either.need] for each in stands])
    for group in sorted(groups, key=lambda group: min(place[need] for need in group)):
        needs = tuple(sorted(group, key=place.__getitem__))
        found = causes.of(needs)
        yield Change(
            needs=needs,
            lines=tuple(line for line in bought if group.intersection(_needs(line))),
            kept=tuple(each for each in stands if each.either.need in group),
            why=Both(*(_said(reasons, needs) for reasons in told)),
            preferred=Both(_only(chosen[0], chosen[1], needs), _only(chosen[1], chosen[0], needs)),
            causes=found,
            origin=causes.origin(needs, found),
        )


def _said(reasons: Mapping[str, str], needs: Iterable[str]) -> str:
    """The reasons of needs in one phrase, each once."""
    return "; ".join(dict.fromkeys(reasons[need] for need in needs if reasons.get(need)))


def _only(
    here: Mapping[str, Mapping[str, str]], there: Mapping[str, Mapping[str, str]], needs: Iterable[str]
) -> tuple[str, ...]:
    """The reasons of preferences for needs that are followed here and not there."""
    reasons = [
        why for need in needs for name, why in here.get(need, {}).items() if name not in there.get(need, {})
    ]
    return tuple(dict.fromkeys(reasons))


def _is_met_otherwise(each: Changed[Kept]) -> bool:
    return each.old is None or each.new is None or each.old.state != each.new.state


def _together(sets: Iterable[Iterable[str]]) -> list[set[str]]:
    """Sets that have an element in common, joined."""
    joined: list[set[str]] = []
    for each in map(set, sets):
        apart = [group for group in joined if not group & each]
        joined = [*apart, each.union(*(group for group in joined if group & each))]
    return joined
