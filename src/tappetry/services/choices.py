"""What a plan may choose for an engine: each field of the plan with the values that exist for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from tappetry.assembly.values import Values
from tappetry.identification.resolve import Identification
from tappetry.kitting.gates import gate_findings, plan_read
from tappetry.kitting.request import Request
from tappetry.knowledge import schema
from tappetry.knowledge.language import Read
from tappetry.records.job import Job
from tappetry.records.plan import Plan
from tappetry.records.problems import BadInput, Where
from tappetry.records.verdict import Verdict
from tappetry.services.kits import must_be_known, request_of
from tappetry.services.shop import Shop

#: What every camshaft that is sold states: the grind that a plan names.
GRIND = "grind"
#: The fields of a plan that take each other's place: the camshaft that goes in, and the work where none does.
CAM, WORK, HEADS = "cam", "work", "heads"
#: What stands between several pieces of work.
BETWEEN = ", "


@dataclass(frozen=True, slots=True)
class Choice:
    """One field of the plan: what it says now, and what else it may say for this engine."""

    field: str
    now: str
    others: tuple[str, ...]


def choices(shop: Shop, job: Job, identification: Identification) -> tuple[Choice, ...]:
    """Every field of the plan that has a choice for this engine, in the order of the plan.

    A value does not exist for an engine where a gate stops it that reads the engine and this field alone:
    a phaser that is not there can be neither kept nor removed. What a gate or rule stops for any other
    reason does exist, and is refused with that reason when it is tried.

    Raises
    ------
    Refusal
        The engine family is not known.
    """
    must_be_known(identification, job)
    request = request_of(shop, job, identification)
    found = [_choice(shop, job, identification, field, values) for field, values in _fields(shop, request)]
    return tuple(choice for choice in found if choice.others)


def with_choice(plan: Plan, field: str, value: str) -> Plan:
    """A plan that says something else in one field; a camshaft and work take each other's place."""
    if field == WORK:
        return replace(plan, cam="", work=tuple(value.split(BETWEEN)))
    if field == CAM:
        return replace(plan, cam=value, work=())
    return replace(plan, **{field: value})  # type: ignore[arg-type]


def first_plan(cam: str, work: Iterable[str]) -> dict[str, Any]:
    """The plan of a new job as its file states it; where the camshaft stays, the heads stay on at first.

    Raises
    ------
    BadInput
        Neither a camshaft nor any work is asked for, or both.
    """
    asked = list(work)
    if bool(cam) == bool(asked):
        raise BadInput.at(
            Where("the new job"),
            "it is not said what is to be done",
            f"camshaft {cam}, and {' and '.join(asked)} without one" if cam else "no camshaft and no work",
            "a camshaft that goes in, or where it stays at least one piece of work; not both",
        )
    return {**({CAM: cam} if cam else {}), **({WORK: asked, HEADS: "on"} if asked else {})}


def _fields(shop: Shop, request: Request) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The fields of a plan that take one of several values, with these values."""
    stated = schema.schema("job")["properties"]["plan"]["properties"]
    values: Mapping[str, tuple[str, ...]] = {
        CAM: _grinds(request),
        WORK: tuple(_other_work(request)),
        "package": tuple(shop.knowledge.book.packages),
        **{name: tuple(field["enum"]) for name, field in stated.items() if "enum" in field},
    }
    for field in stated:
        if field in values and (field != HEADS or HEADS in shop.plan_read):
            yield field, values[field]


def _grinds(request: Request) -> tuple[str, ...]:
    """The grinds that a camshaft for this engine is sold with."""
    cam = Read("plan", CAM)
    needs = [
        need.id
        for need in request.knowledge.needs.values()
        if any(cam in rule.that.reads for slot in need.slots for rule in slot.match)
    ]
    sold = {
        str(attributes[GRIND])
        for need in needs
        for attributes, _ in request.catalogue.candidates(need, request.fixed["engine"])
        if GRIND in attributes
    }
    return tuple(sorted(sold))


def _other_work(request: Request) -> Iterator[str]:
    """Where the camshaft stays: one piece of work more, and one less."""
    now = request.plan.work
    if not now:
        return
    known = tuple(request.knowledge.book.work)
    for work in known:
        other = {*now} ^ {work}
        if other:
            yield BETWEEN.join(each for each in known if each in other)


def _choice(
    shop: Shop, job: Job, identification: Identification, field: str, values: tuple[str, ...]
) -> Choice:
    now = BETWEEN.join(job.plan.work) if field == WORK else str(getattr(job.plan, field))
    others = []
    for value in values:
        other = replace(job, plan=with_choice(job.plan, field, value))
        if value != now and _exists(
            Values(shop.knowledge, request_of(shop, other, identification).fixed), field
        ):
            others.append(value)
    return Choice(field, now, tuple(others))


def _exists(values: Values, field: str) -> bool:
    """Whether no gate stops the plan that reads the engine and this field alone."""
    stopped = {
        finding.id
        for finding in gate_findings(values, {}, {}, before=True)
        if finding.verdict is Verdict.STOP
    }
    return not any(
        gate.id in stopped and plan_read(values, gate) == {field} for gate in values.knowledge.gates
    )
