"""Days: what it costs to have all of a kit here earlier, and what is given up for it."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter, Request, Response

from tappetry.presentation import words
from tappetry.presentation.charts.chart import Chart
from tappetry.presentation.charts.front import cost_by_day
from tappetry.presentation.differences import Teller
from tappetry.records.problems import Refusal
from tappetry.services.front import Front, Point
from tappetry.services.ledger import Opened
from tappetry.services.roles import Permission
from tappetry.web.access import may
from tappetry.web.charts import Figure, answer
from tappetry.web.pages.job import Head, head, opened
from tappetry.web.render import app_of, render

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Day:
    """The best kit whose last part is here by some day, beside the one before it, which is here later."""

    days: int
    day: str
    need_by: str
    total: str
    currency: str
    waits: str
    money: str
    changes: tuple[str, ...]
    gives_up: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DaysPage:
    """What each day costs, from the latest to the earliest, and why nothing is here earlier."""

    head: Head
    days: tuple[Day, ...]
    figures: tuple[Figure, ...]
    no_earlier: Refusal | None
    version: int


@router.get("/jobs/{number}/days")
def days(request: Request, number: str) -> Response:
    """What each day costs."""
    job = opened(request, number)
    ledger = app_of(request).ledger
    front = ledger.front(job.job)
    teller = Teller(ledger.shop.knowledge, ledger.shop.catalogue.suppliers)
    chart = _chart(request, job, front)
    page = DaysPage(
        head=head(job, "kit"),
        days=tuple(_day(point, teller) for point in front.points),
        figures=() if chart is None else (Figure(f"/jobs/{quote(number, safe='')}/days/cost", chart),),
        no_earlier=front.no_earlier,
        version=job.kept.versions["plan"],
    )
    return render(request, "days.html", page, "jobs")


@router.get("/jobs/{number}/days/cost.{ending}")
def chart(request: Request, number: str, ending: str, theme: str = "light", size: str = "wide") -> Response:
    """The chart of what each day costs."""
    job = opened(request, number)
    return answer(_chart(request, job, app_of(request).ledger.front(job.job)), ending, theme, size)


def _chart(request: Request, job: Opened, front: Front) -> Chart | None:
    """What the shop itself pays is drawn for those alone who may see it; one day alone makes no chart."""
    if len(front.points) < 2:
        return None
    return cost_by_day(front, job.job.id, landed=may(request, Permission.PURCHASE))


def _day(point: Point, teller: Teller) -> Day:
    totals = point.kit.totals
    assert totals is not None
    waits = [line.description for line in point.kit.lines if line.lead_days == point.days]
    step = point.step
    return Day(
        days=point.days,
        day=words.day(point.day),
        need_by=point.day.isoformat(),
        total=words.amount(totals.total),
        currency=totals.currency,
        waits=words.listed(waits) if point.days else "",
        money="" if step is None else teller.money(step),
        changes=() if step is None else tuple(teller.change(each) for each in step.changes),
        gives_up=point.gives_up,
    )
