"""Plan: what goes and what stays, and what each choice changes, before it is made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Form, Request, Response

from tappetry.presentation.differences import CHOICES, Teller, choice, grouped
from tappetry.presentation.words import title
from tappetry.records.plan import Work
from tappetry.records.problems import Refusal
from tappetry.services.choices import BETWEEN, CAM, WORK
from tappetry.services.differences import Difference, latest_arrival
from tappetry.services.ledger import Opened, from_plain
from tappetry.services.sides import Side
from tappetry.web.pages.job import Head, Version, head, opened, to_part
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()

#: Fields of a plan that have a choice, in words.
TITLES = {CAM: "new camshaft", "deact": "cylinder deactivation", "heads": "cylinder heads"}
#: What a form says where it shows the work that may be asked for without a camshaft.
WORK_SHOWN = "work-shown"
#: Fields of a plan that are typed, with what they are.
TYPED = {
    "rpm": "highest engine speed (rpm)",
    "budget": "budget, tax included",
    "need_by": "needed by (year-month-day)",
    "pins": "parts that it has to be",
    "wishes": "parts wished for",
    "refusals": "parts that it may not be",
}


@dataclass(frozen=True, slots=True)
class Choosing:
    """One field of the plan with all values that this engine has, each in words."""

    field: str
    title: str
    now: str
    values: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Sums:
    """What one plan comes to; ``refused`` says why it comes to nothing."""

    name: str
    title: str
    chosen: bool
    total: Decimal | None
    currency: str
    hours: Decimal
    days: int
    lines: int
    refused: str


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The plan of a job with its choices, and the packages side by side."""

    head: Head
    choices: tuple[Choosing, ...]
    work: tuple[tuple[Work, bool], ...]
    conversion: bool
    typed: tuple[tuple[str, str, str], ...]
    packages: tuple[Sums, ...]
    now: Sums
    refusal: Refusal | None
    version: int
    sheet: int


@dataclass(frozen=True, slots=True)
class Effect:
    """What a choice changes: money, lines, work, checks, each with its cause; or why it cannot be."""

    head: Head
    changes: tuple[str, ...]
    then: Sums
    money: str
    lines: tuple[tuple[str, tuple[str, ...]], ...]
    work: tuple[tuple[str, Decimal], ...]
    checks: tuple[str, ...]
    findings: tuple[str, ...]
    refusal: Refusal | None
    compared: bool
    version: int
    sheet: int


@router.get("/jobs/{number}/plan")
def plan(request: Request, number: str) -> Response:
    """The plan of a job."""
    job = opened(request, number)
    ledger = app_of(request).ledger
    now = ledger.side(job.job)
    stated = job.kept.document["plan"]
    try:
        found = ledger.choices(job.job)
        packages = ledger.packages(job.job)
    except Refusal:  # the engine is not known yet: the refusal of the kit says so
        found, packages = (), ()
    page = PlanPage(
        head=head(job, "plan"),
        choices=tuple(
            Choosing(
                each.field,
                TITLES.get(each.field, title(each.field)),
                each.now,
                tuple(
                    (value, _said(request, each.field, value))
                    for value in dict.fromkeys((each.now, *sorted(each.others)))
                ),
            )
            for each in found
            if each.field != WORK
        ),
        work=tuple((each, each.id in job.job.plan.work) for each in job.work.values()),
        conversion=job.job.plan.conversion,
        typed=tuple((name, said, as_typed(stated.get(name))) for name, said in TYPED.items()),
        packages=tuple(_sums(side, side.job.plan.package == job.job.plan.package) for side in packages),
        now=_sums(now, chosen=True),
        refusal=now.refusal,
        version=job.kept.versions["plan"],
        sheet=job.kept.versions["sheet"],
    )
    return render(request, "plan.html", page, "jobs")


@router.get("/jobs/{number}/plan/try")
def try_plan(request: Request, number: str) -> Response:
    """What a changed plan would come to; nothing is kept."""
    job = opened(request, number)
    stated = {name: BETWEEN.join(request.query_params.getlist(name)) for name in request.query_params}
    return render(request, "effect.html", effect(request, job, _changes(job, stated)), "jobs")


async def stated_form(request: Request) -> dict[str, str]:
    """All fields of a form as they were typed."""
    form = await request.form()
    return {name: BETWEEN.join(map(str, form.getlist(name))) for name in form}


@router.post("/jobs/{number}/plan")
def change_plan(
    request: Request,
    number: str,
    version: Version,
    stated: Annotated[dict[str, str], Depends(stated_form)],
) -> Response:
    """Take a changed plan."""
    ledger = app_of(request).ledger
    job = ledger.job(number)
    changes = _changes(job, stated)
    if changes:
        ledger.change_plan(number, changes, version, person(request), stated.get("why", ""))
    return to_part(number, "plan")


@router.post("/jobs/{number}/way-out")
def take(
    request: Request,
    number: str,
    change: Annotated[str, Form()],
    text: Annotated[str, Form()],
    version: Version,
    sheet: Version,
    first: Annotated[str, Form()] = "",
) -> Response:
    """Take a way out that the page offered, on top of the choices that led into the conflict."""
    ledger = app_of(request).ledger
    who = person(request)
    if first:
        version = ledger.change_plan(number, first.splitlines(), version, who).versions["plan"]
    ledger.take_way_out(number, from_plain(change), {"plan": version, "sheet": sheet}, who, text)
    return to_part(number, "plan")


def effect(request: Request, job: Opened, changes: Iterable[str]) -> Effect:
    """What some changes of a plan change."""
    ledger = app_of(request).ledger
    said = tuple(changes)
    now, then, difference = ledger.tried(job, said)
    teller = Teller(ledger.shop.knowledge, ledger.shop.catalogue.suppliers)
    return Effect(
        head=head(job, "plan"),
        changes=said,
        then=_sums(then, chosen=False),
        money="" if difference is None else teller.money(difference),
        lines=() if difference is None else _lines(teller, difference),
        work=() if difference is None else tuple(teller.operations(difference)),
        checks=() if difference is None else tuple(teller.proofs(difference)),
        findings=() if difference is None else tuple(teller.findings(difference)),
        refusal=then.refusal,
        compared=now.kit is not None,
        version=job.kept.versions["plan"],
        sheet=job.kept.versions["sheet"],
    )


def _lines(teller: Teller, difference: Difference) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What is bought or kept otherwise, by what it hangs on."""
    return tuple(
        (teller.origin(cause), tuple(teller.change(change) for change in changes))
        for cause, changes in grouped(difference.changes).items()
    )


def _said(request: Request, field: str, value: str) -> str:
    """A value of a field in words."""
    knowledge = app_of(request).ledger.shop.knowledge
    if field == "package":
        return knowledge.book.packages[value].title
    return choice(field, value, knowledge) if (field, value) in CHOICES else value


def _sums(side: Side, chosen: bool) -> Sums:
    kit = side.kit
    totals = None if kit is None else kit.totals
    return Sums(
        name=side.job.plan.package,
        title=side.title,
        chosen=chosen,
        total=None if totals is None else totals.total,
        currency="" if totals is None else totals.currency,
        hours=Decimal(0) if totals is None else totals.hours,
        days=0 if kit is None else latest_arrival(kit),
        lines=0 if kit is None else len(kit.lines),
        refused="" if side.refusal is None else side.refusal.message,
    )


def _changes(job: Opened, stated: Mapping[str, str]) -> list[str]:
    """The fields of a form that say something else than the plan."""
    document = job.kept.document["plan"]
    known = {name: as_typed(document.get(name)) for name in TYPED}
    record = job.job.plan
    known |= {
        name: str(getattr(record, name)) for name in (CAM, "phaser", "deact", "heads", "use", "package")
    }
    if WORK_SHOWN in stated:  # a form whose boxes are all empty does not name them
        known[WORK] = BETWEEN.join(each for each in job.work if each in record.work)
        stated = {WORK: "", **stated}
    return [
        f"{name}={stated[name].strip()}"
        for name, now in known.items()
        if stated.get(name, now).strip() != now
    ]


def as_typed(value: Any) -> str:
    """A field of a plan as a person types it."""
    if value is None:
        return ""
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)
