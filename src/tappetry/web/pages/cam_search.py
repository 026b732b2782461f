"""Cam search: what is wanted of a camshaft for a job, and the searches of old."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request, Response
from fastapi.responses import RedirectResponse

from tappetry.presentation.measures import Measures
from tappetry.presentation.searched import SPECIFIED, TITLES
from tappetry.quantities.units import to_si
from tappetry.records.job import Job
from tappetry.records.problems import BadInput, Refusal, Where
from tappetry.search.goals import Goal
from tappetry.services.ledger import Opened
from tappetry.services.queue import Task
from tappetry.services.search import (
    MOST_CURVES,
    Wish,
    require_searchable,
)
from tappetry.services.search_cams import free_between
from tappetry.services.search_tasks import KIND, wanted_search
from tappetry.services.workers import cores
from tappetry.web.pages.plan import stated_form
from tappetry.web.render import app_of, render
from tappetry.web.security import person
from tappetry.web.units import measures_of

router = APIRouter()

#: How many jobs and searches are offered, the latest first.
OFFERED = 50
#: What stands in the form at first.
USUAL = {
    "from": "1500",
    "to": "",
    "step": "500",
    "vacuum": "",
    "roughness": "",
    "stall": "",
    "grind": "0",
    "generations": "10",
    "seed": "1",
}
USUAL_GOALS = (Goal.TORQUE, Goal.VACUUM)


@dataclass(frozen=True, slots=True)
class Free:
    """A number that is free in a camshaft to be ground, with its ends as they stand in the form."""

    name: str
    title: str
    low: str
    high: str


@dataclass(frozen=True, slots=True)
class AskPage:
    """What may be asked for, what stands in the form, and what is wrong with it; searches of old."""

    number: str
    title: str
    jobs: tuple[tuple[str, str], ...]
    goals: tuple[tuple[str, str, bool], ...]
    stated: Mapping[str, str]
    free: tuple[Free, ...]
    no_grinding: str
    vacuum_unit: str
    complaint: str
    searches: tuple[Task, ...]


@router.get("/cam-search")
def ask(request: Request, job: str = "") -> Response:
    """What is wanted of a camshaft, and the searches of old."""
    return _form(request, job.strip(), USUAL, USUAL_GOALS)


@router.post("/cam-search")
def begin(
    request: Request,
    job: Annotated[str, Form()],
    stated: Annotated[dict[str, str], Depends(stated_form)],
    goal: Annotated[list[str] | None, Form()] = None,
) -> Response:
    """Ask for a search; it is worked on beside the page."""
    ledger = app_of(request).ledger
    goals = tuple(each for each in Goal if each.value in (goal or ()))
    try:
        opened = ledger.job(job)
        wish = _wish(stated, goals, measures_of(request))
        require_searchable(ledger.shop, opened.job, wish)
    except (BadInput, Refusal) as error:
        said = error.message if isinstance(error, Refusal) else str(error)
        return _form(request, job, stated, goals, said)
    wanted = wanted_search(ledger.shop, opened.kept.document, wish)
    ledger.queue.ask([wanted], person(request))
    return RedirectResponse(f"/cam-search/{wanted.key}", 303)


def _form(
    request: Request, number: str, stated: Mapping[str, str], goals: Sequence[Goal], complaint: str = ""
) -> Response:
    ledger = app_of(request).ledger
    rows = ledger.find()[:OFFERED]
    job: Opened | None = ledger.job(number) if number else None
    free, no_grinding = ((), "") if job is None else _free(request, job.job, stated)
    page = AskPage(
        number=number,
        title="" if job is None else str(job.kept.document.get("title", "")),
        jobs=tuple((row.number, f"{row.number}, {row.title}") for row in rows),
        goals=tuple((each.value, TITLES[each], each in goals) for each in Goal),
        stated={name: stated.get(name, "") for name in (*USUAL, "may_sign")},
        free=free,
        no_grinding=no_grinding,
        vacuum_unit=measures_of(request).sign("pressure"),
        complaint=complaint,
        searches=tuple(ledger.queue.latest_of(KIND)),
    )
    return render(request, "cam_search.html", page, "cam-search", 400 if complaint else 200)


def _free(request: Request, job: Job, stated: Mapping[str, str]) -> tuple[tuple[Free, ...], str]:
    """What is free in a camshaft to be ground for a job, or why none can be."""
    try:
        ends = free_between(app_of(request).ledger.shop, job, {})
    except BadInput as error:
        return (), str(error)
    return tuple(
        Free(
            each.name,
            SPECIFIED[each.name],
            stated.get(f"low {each.name}", f"{each.low:g}"),
            stated.get(f"high {each.name}", f"{each.high:g}"),
        )
        for each in ends
    ), ""


def _wish(stated: Mapping[str, str], goals: tuple[Goal, ...], measures: Measures) -> Wish:
    if not goals:
        raise BadInput.at(Where("the search", field="goal"), "nothing is wanted", "", "one goal at least")
    generation = _whole(stated, "grind", 0, MOST_CURVES)
    generations = _whole(stated, "generations", 1, MOST_CURVES)
    if generation * generations > MOST_CURVES:
        where = Where("the search", field="generations")
        raise BadInput.at(
            where, "too many camshafts", f"{generation * generations}", f"at most {MOST_CURVES} in all"
        )
    vacuum = _number(stated, "vacuum")
    roughness = _number(stated, "roughness")
    stall = _number(stated, "stall")
    names = [field.removeprefix("low ") for field in stated if field.startswith("low ")]
    first = _number(stated, "from")
    step = _number(stated, "step")
    return Wish(
        goals=goals,
        first=first,
        last=_number(stated, "to"),
        step=500.0 if step is None else step,
        least_vacuum=None if vacuum is None else to_si(vacuum, measures.by_kind["pressure"].unit, "pressure"),
        most_roughness=None if roughness is None else roughness / 100.0,
        least_stall=None if stall is None else to_si(stall, "rpm", "angular-speed"),
        may_sign="may_sign" in stated,
        generation=generation,
        generations=generations,
        free={name: _ends(stated, name) for name in names} if generation else {},
        seed=_whole(stated, "seed", 0, 2**32 - 1),
        workers=cores(),
    )


def _ends(stated: Mapping[str, str], name: str) -> tuple[float, float]:
    low, high = _number(stated, f"low {name}"), _number(stated, f"high {name}")
    if low is None or high is None:
        raise BadInput.at(Where("the search", field=name), "an end is missing", "", "both ends")
    return low, high


def _number(stated: Mapping[str, str], field: str) -> float | None:
    text = stated.get(field, "").strip()
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise BadInput.at(Where("the search", field=field), "this is no number", text, "such as 3000")
    return value


def _whole(stated: Mapping[str, str], field: str, low: int, high: int) -> int:
    text = stated.get(field, "").strip() or USUAL[field]
    if not text.isdecimal() or not low <= int(text) <= high:
        raise BadInput.at(Where("the search", field=field), "out of range", text, f"{low} to {high}")
    return int(text)
