"""Cam search: what is wanted of a camshaft, and the front of those that no other one beats."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Depends, Form, Request, Response
from fastapi.responses import JSONResponse, RedirectResponse
from starlette.exceptions import HTTPException

from tappetry.presentation.charts.chart import Chart
from tappetry.presentation.charts.lines import MOST_SERIES
from tappetry.presentation.charts.searched import front_chart
from tappetry.presentation.charts.simulated import torque_power_of
from tappetry.presentation.measures import METRIC, Measures
from tappetry.presentation.searched import SPECIFIED, TITLES, searched_data, shown_in, specification_rows
from tappetry.quantities.units import from_si, to_si
from tappetry.records.job import Job
from tappetry.records.problems import BadInput, Refusal, Where
from tappetry.search.goals import Goal
from tappetry.services.ledger import Opened
from tappetry.services.queue import DONE, Standing, Task, standing
from tappetry.services.search import (
    MOST_CURVES,
    Searched,
    Weighed,
    Wish,
    require_searchable,
)
from tappetry.services.search_cams import free_between
from tappetry.services.search_tasks import KIND, kept_search, wanted_search
from tappetry.services.workers import cores
from tappetry.web.charts import Figure, answer
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


@dataclass(frozen=True, slots=True)
class Row:
    """One camshaft with its figures, and what to do about it."""

    name: str
    title: str
    figures: tuple[tuple[str, str], ...]
    specification: tuple[tuple[str, str], ...]
    to_plan: str


@dataclass(frozen=True, slots=True)
class FoundPage:
    """One search: how far it is, or what it found."""

    title: str
    number: str
    key: str
    said: tuple[str, ...]
    standing: Standing
    headings: tuple[str, ...]
    front: tuple[Row, ...]
    beaten: tuple[Row, ...]
    excluded: tuple[tuple[str, str], ...]
    not_ground: int
    figures: tuple[Figure, ...]
    made_with: str


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


@router.get("/cam-search/{key}")
def found(request: Request, key: str) -> Response:
    """How far a search is, or what it found."""
    task = _task(request, key)
    searched = _searched(task)
    goals = tuple(Goal(name) for name in task.task["wish"]["goals"])
    page = FoundPage(
        title=task.title,
        number=str(task.task["job"]["job"]),
        key=key,
        said=_said(task),
        standing=standing([task]),
        headings=tuple(TITLES[goal] for goal in goals),
        front=() if searched is None else _rows(searched, searched.front, measures_of(request)),
        beaten=() if searched is None else _rows(searched, searched.beaten, measures_of(request)),
        excluded=()
        if searched is None
        else tuple((_title(each.camshaft.name, each.camshaft.card), each.why) for each in searched.excluded),
        not_ground=0 if searched is None else searched.not_ground,
        figures=tuple(
            Figure(f"/cam-search/{key}/{name}", chart) for name, chart in _charts(request, searched).items()
        ),
        made_with=""
        if searched is None
        else f"model {searched.made_with['model']}, seed {searched.wish.seed}",
    )
    return render(request, "searched.html", page, "cam-search")


@router.post("/cam-search/{key}/stop")
def stop(request: Request, key: str) -> Response:
    """Stop a search; what it has turned is kept."""
    app_of(request).ledger.queue.stop([_task(request, key).key])
    return RedirectResponse(f"/cam-search/{key}", 303)


@router.post("/cam-search/{key}/go-on")
def go_on(request: Request, key: str) -> Response:
    """Go on with a search that was stopped or went wrong."""
    ledger = app_of(request).ledger
    task = _task(request, key)
    ledger.queue.ask_again(task, person(request))
    return RedirectResponse(f"/cam-search/{key}", 303)


@router.get("/cam-search/{key}/found.json")
def data(request: Request, key: str) -> Response:
    """All of what a search found, with full curves in SI and what it was made with."""
    searched = _searched(_task(request, key))
    if searched is None:
        raise HTTPException(404)
    named = {"Content-Disposition": f'attachment; filename="camshafts-{quote(searched.job, safe="")}.json"'}
    return JSONResponse(searched_data(searched), headers=named)


@router.get("/cam-search/{key}/{name}.{ending}")
def chart(
    request: Request, key: str, name: str, ending: str, theme: str = "light", size: str = "wide"
) -> Response:
    """One of its charts."""
    return answer(_charts(request, _searched(_task(request, key))).get(name), ending, theme, size)


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


def _task(request: Request, key: str) -> Task:
    tasks = [each for each in app_of(request).ledger.queue.found([key]) if each.kind == KIND]
    if not tasks:
        raise HTTPException(404)
    return tasks[0]


def _searched(task: Task) -> Searched | None:
    if task.state != DONE or task.result is None:
        return None
    return kept_search(task.task, task.result)


def _said(task: Task) -> tuple[str, ...]:
    """What was asked for, in words."""
    wish = task.task["wish"]
    first = 1500.0 if wish["first"] is None else wish["first"]
    last = "the redline" if wish["last"] is None else f"{wish['last']:,.0f} rpm"
    said = [f"{TITLES[Goal(name)]}" for name in wish["goals"]]
    ground = wish["generation"] * wish["generations"] if wish["generation"] else 0
    return (
        f"Wanted: {', '.join(said)}; from {first:,.0f} rpm to {last} by {wish['step']:,.0f}.",
        f"On the shelf, and {ground:,} specifications to be ground." if ground else "On the shelf.",
        *_limits(wish),
        *(
            ["Camshafts that somebody has to sign for stay in."]
            if wish["may_sign"]
            else ["Nothing that somebody would have to sign for."]
        ),
    )


def _limits(wish: Mapping[str, Any]) -> Iterator[str]:
    """What a camshaft has to keep to at least, in words."""
    if wish["least_vacuum"] is not None:
        yield f"Vacuum at idle at least {METRIC.both(wish['least_vacuum'], 'pressure')}."
    if wish["most_roughness"] is not None:
        yield f"Work at idle differs from cycle to cycle by at most {wish['most_roughness']:.1%}."
    if wish["least_stall"] is not None:
        shift = from_si(wish["least_stall"], "rpm", "angular-speed")
        yield f"The converter stalls at least {shift:+,.0f} rpm beside the factory's camshaft."


def _title(name: str, card: Mapping[str, object]) -> str:
    return name if card["name"] == name else f"{name}, {card['name']}"


def _rows(searched: Searched, weighed: Sequence[Weighed], measures: Measures) -> tuple[Row, ...]:
    address = f"/jobs/{quote(searched.job, safe='')}/plan/try?cam="
    rows = []
    for mark, each in zip(_marks(weighed), weighed, strict=True):
        camshaft = each.camshaft
        specification = bool(camshaft.specification)
        for_sale = not specification and not camshaft.card.get("factory")
        rows.append(
            Row(
                mark,
                camshaft.name if specification else str(camshaft.card["name"]),
                tuple(shown_in(each, goal, measures) for goal in searched.wish.goals),
                specification_rows(camshaft.card, measures) if specification else (),
                f"{address}{quote(camshaft.name, safe='')}" if for_sale else "",
            )
        )
    return tuple(rows)


def _marks(weighed: Sequence[Weighed]) -> list[str]:
    """What each camshaft is called in short: one to be ground by its place among its like."""
    ground = 0
    marks = []
    for each in weighed:
        ground += bool(each.camshaft.specification)
        marks.append(f"ground {ground}" if each.camshaft.specification else each.camshaft.name)
    return marks


def _charts(request: Request, searched: Searched | None) -> dict[str, Chart]:
    if searched is None:
        return {}
    charts = {}
    if len(searched.wish.goals) > 1:
        charts["front"] = front_chart(searched)
    named = [
        (name, each.turned.points)
        for name, each in zip(_marks(searched.front), searched.front[:MOST_SERIES], strict=False)
    ]
    charts["torque"] = torque_power_of(f"Torque and power, {searched.variant}", named, measures_of(request))
    return charts
