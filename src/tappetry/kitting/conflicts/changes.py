"""What of a job could be decided otherwise, so that a conflict is none: one decision at a time."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

from tappetry.assembly.roots import facts_by_name
from tappetry.kitting.conflicts.core import Core, conflict_in
from tappetry.kitting.conflicts.elements import NEED_BY
from tappetry.kitting.request import Request
from tappetry.knowledge.model import Slot
from tappetry.records.job import Job
from tappetry.records.plan import OwnPart

#: Other ways to decide what a plan says, by what it says now; what changes least comes first.
OTHERWISE: Mapping[str, Mapping[str, Mapping[str, str]]] = {
    "phaser": {
        "keep-full": {"keep-limited": "keep the phaser limited", "remove": "remove the phaser"},
        "keep-limited": {"remove": "remove the phaser", "keep-full": "keep the phaser's full range"},
        "remove": {"keep-limited": "keep the phaser limited", "keep-full": "keep the phaser's full range"},
    },
    "deact": {"keep": {"remove": "remove the deactivation"}, "remove": {"keep": "keep the deactivation"}},
    "heads": {"on": {"off": "take the heads off"}, "off": {"on": "leave the heads on"}},
}
#: What a plan may have left out that stands in the engine.
LEFT_OUT: Mapping[str, Mapping[str, Mapping[str, str]]] = {
    "phaser": {"none": {"keep-full": "keep the phaser's full range"}},
    "deact": {"none": {"keep": "keep the deactivation"}},
}
#: What stands for the reason that the owner has yet to write.
UNWRITTEN = "the owner's reason"
#: A date is moved so often at most.
MOST_DATES = 12
MOST_QUESTIONS = 4


Edit = Callable[[Job], Job]


@dataclass(frozen=True, slots=True)
class Change:
    """One decision of a job put otherwise: in words, how to, and how much it changes (1 is least)."""

    text: str
    edit: Edit
    weight: int


def changes_of(request: Request, core: Core) -> Iterator[Change]:
    """The decisions in a conflict that could be put otherwise, the smallest change first."""
    found = [*_wishes(request, core), *_signatures(request, core), *_plans(request, core)]
    yield from sorted(found, key=lambda change: change.weight)


def difference(old: Job, new: Job) -> dict[str, Any]:
    """The fields of the job file in which two jobs differ, with the new values."""
    changed: dict[str, Any] = {}
    for field in fields(old.plan):
        value = getattr(new.plan, field.name)
        if value != getattr(old.plan, field.name):
            changed[f"plan.{NAMES.get(field.name, field.name)}"] = _plain(value)
    if new.signatures != old.signatures:
        changed["signatures"] = dict(new.signatures)
    return changed


#: Fields of a plan that the job file calls otherwise.
NAMES = {"refused_parts": "refusals"}


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, OwnPart):
        return {**asdict(value), "attributes": dict(value.attributes)}
    if isinstance(value, Mapping):
        return dict(value)
    return value if value is None or isinstance(value, str | float) else str(value)


def questions_of(request: Request, core: Core) -> list[str]:
    """Measures of the engine in a conflict that could be taken again, the least certain first."""
    knowledge = request.knowledge
    by_name = facts_by_name(knowledge.attributes, request.engine)
    facts = [by_name[name] for f in core.facts if (name := f.removeprefix("engine.")) in by_name]
    measures = [fact for fact in facts if knowledge.attributes[fact.attribute].type == "quantity"]
    return [
        f"measure again, not tried: {knowledge.attributes[fact.attribute].title}, "
        f"{fact.show()} ({fact.grade.name})"
        for fact in sorted(measures, key=lambda fact: (fact.grade, fact.attribute))[:MOST_QUESTIONS]
    ]


# ---- wishes ---------------------------------------------------------------------------------------------


def _wishes(request: Request, core: Core) -> Iterator[Change]:
    for element in core.elements:
        if element.kind == "pin":
            yield released(element.name)
        elif element.kind == "refusal":
            yield accepted(element.name)
        elif element.kind == "declined":
            yield taken(request, element.name)
        elif element.kind == "own part":
            yield bought(request, element.name)
        elif element == NEED_BY:
            yield from _later(request, core)


def planned(**changes: Any) -> Edit:
    """An edit of the plan."""
    return lambda job: replace(job, plan=replace(job.plan, **changes))


def released(number: str) -> Change:
    """A pinned part that need not be in the kit."""
    return Change(
        f"release the pinned part {number}",
        lambda job: planned(pins=tuple(pin for pin in job.plan.pins if pin != number))(job),
        1,
    )


def accepted(number: str) -> Change:
    """A refused part that may be in the kit after all."""
    return Change(
        f"accept the refused part {number}",
        lambda job: planned(refused_parts=tuple(p for p in job.plan.refused_parts if p != number))(job),
        1,
    )


def taken(request: Request, need: str) -> Change:
    """A need that is met although it was declined."""
    return Change(
        f"take {request.knowledge.needs[need].title} after all",
        lambda job: planned(declined={n: why for n, why in job.plan.declined.items() if n != need})(job),
        1,
    )


def bought(request: Request, need: str) -> Change:
    """A part that is bought in place of the customer's own."""
    own = next(own for own in request.plan.own_parts if own.need == need)
    return Change(
        f"buy {request.knowledge.needs[need].title} in place of the customer's {own.description}",
        lambda job: planned(own_parts=tuple(own for own in job.plan.own_parts if own.need != need))(job),
        1,
    )


def _later(request: Request, core: Core) -> Iterator[Change]:
    """The earliest day on which no part that is needed comes too late.

    Each conflict with a date says how long its quickest part takes: no earlier day will do.
    """
    day = core.earliest
    for _ in range(MOST_DATES):
        if day is None:
            return
        later = replace(request, plan=replace(request.plan, need_by=day))
        conflict = conflict_in(later)
        if conflict is None or NEED_BY not in conflict.elements:
            yield Change(f"a later date: {day}", planned(need_by=day), 1)
            return
        day = conflict.earliest


# ---- signatures and plan --------------------------------------------------------------------------------


def _signatures(request: Request, core: Core) -> Iterator[Change]:
    for element in core.elements:
        if element.kind == "check":
            proof = request.knowledge.proofs[element.name]
            yield Change(f"the owner signs, with a written reason: {proof.title}", _signed(proof.id), 2)


def _signed(name: str) -> Edit:
    return lambda job: replace(job, signatures={**job.signatures, name: UNWRITTEN})


def _plans(request: Request, core: Core) -> Iterator[Change]:
    for field, otherwise in OTHERWISE.items():
        if f"plan.{field}" in core.facts:
            others = otherwise.get(getattr(request.plan, field), {})
            for more, (value, text) in enumerate(others.items()):
                yield Change(text, planned(**{field: value}), 3 + more)
    asked = "plan.cam" if request.plan.conversion else "plan.conversion"
    if asked in core.facts or (request.plan.work and "plan.work" in core.facts):
        yield from other_cams(request)
    if any(element.kind == "need" and element.name in request.package.renew for element in core.elements):
        for package in request.knowledge.book.packages.values():
            if package.id != request.package.id:
                yield Change(f"the package: {package.title}", planned(package=package.id), 3)


def instead_of_work(request: Request, read: Collection[str]) -> Iterator[Change]:
    """What a plan whose camshaft stays could say otherwise, in the fields that are ``read``."""
    for field, otherwise in (*OTHERWISE.items(), *LEFT_OUT.items()):
        if field in read:
            for value, text in otherwise.get(getattr(request.plan, field), {}).items():
                yield Change(text, planned(**{field: value}), 3)
    if "work" in read:
        yield from other_cams(request)


def other_cams(request: Request) -> Iterator[Change]:
    """Another camshaft than that of the plan; a new one where the plan lets the old one stay."""
    for grind in _grinds(request):
        if not request.plan.conversion:
            yield Change(f"a new camshaft, grind {grind}", planned(cam=grind, work=()), 5)
        elif grind != request.plan.cam:
            yield Change(f"cam {grind} in place of {request.plan.cam}", planned(cam=grind), 5)


def _grinds(request: Request) -> list[str]:
    """What may stand for the cam of the plan, among the parts for this engine."""
    found: set[str] = set()
    for need in request.knowledge.needs.values():
        for slot in need.slots:
            for member in _told_by_cam(slot):
                classes = request.catalogue.candidates(need.id, request.fixed["engine"])
                found |= {str(c.attributes[member]) for c in classes if member in c.attributes}
    return sorted(found)


def _told_by_cam(slot: Slot) -> set[str]:
    """The attribute of a part that the plan's cam must equal."""
    rules = [rule for rule in slot.match if "plan.cam" in rule.that.text]
    return {read.member for rule in rules for read in rule.that.reads if read.root == slot.root}
