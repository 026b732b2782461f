"""One cam search: how far it is, the front of camshafts that no other one beats, and what to do about it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter, Request, Response
from fastapi.responses import JSONResponse, RedirectResponse
from starlette.exceptions import HTTPException

from tappetry.presentation.charts.chart import Chart
from tappetry.presentation.charts.lines import MOST_SERIES
from tappetry.presentation.charts.searched import front_chart
from tappetry.presentation.charts.simulated import torque_power_of
from tappetry.presentation.measures import METRIC, Measures
from tappetry.presentation.searched import TITLES, searched_data, shown_in, specification_rows
from tappetry.quantities.units import from_si
from tappetry.search.goals import Goal
from tappetry.services.queue import DONE, Standing, Task, standing
from tappetry.services.search import Excluded, Searched, Weighed
from tappetry.services.search_tasks import KIND, kept_search
from tappetry.web.charts import Figure, answer
from tappetry.web.render import app_of, render
from tappetry.web.security import person
from tappetry.web.units import measures_of

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Row:
    """One camshaft with its figures, and what to do about it."""

    name: str
    title: str
    figures: tuple[tuple[str, str], ...]
    specification: tuple[tuple[str, str], ...]
    to_plan: str


@dataclass(frozen=True, slots=True)
class Out:
    """A camshaft that is out: what it breaks, and what of it cannot hold together, one by one."""

    title: str
    said: str
    grounds: tuple[str, ...]


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
    excluded: tuple[Out, ...]
    not_ground: int
    figures: tuple[Figure, ...]
    made_with: str


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
        excluded=() if searched is None else tuple(map(_out, searched.excluded)),
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
    said = [TITLES[Goal(name)] for name in wish["goals"]]
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


def _out(excluded: Excluded) -> Out:
    said, *grounds = excluded.why.splitlines()
    title = _title(excluded.camshaft.name, excluded.camshaft.card)
    return Out(title, said, tuple(each.rstrip(";") for each in grounds))


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
