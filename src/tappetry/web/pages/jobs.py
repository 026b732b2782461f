"""Jobs: the list with its search, a new one, and the history of one."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from tappetry.records.plan import Work
from tappetry.records.problems import TappetryError
from tappetry.services.choices import first_plan
from tappetry.services.ledger import JobRow, Told
from tappetry.services.parts import find_parts
from tappetry.services.people import Visitor
from tappetry.web.pages.job import STATES, Head, head, opened, to_part
from tappetry.web.pages.people import found_alone, grinds, work_of
from tappetry.web.render import app_of, render
from tappetry.web.security import fragment, person

router = APIRouter()


@dataclass(frozen=True, slots=True)
class JobsPage:
    """The jobs that hold some words, and job files of the shop that were not opened yet."""

    words: str
    jobs: tuple[JobRow, ...]
    files: tuple[str, ...]
    states: dict[str, str]


@dataclass(frozen=True, slots=True)
class NewJobPage:
    """An empty job, with the grinds that there are, work without a camshaft, and today's date."""

    today: str
    grinds: tuple[tuple[str, str], ...]
    work: tuple[Work, ...]


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """All that was done to a job."""

    head: Head
    acts: tuple[Told, ...]


@router.get("/jobs")
def jobs(request: Request, q: str = "") -> Response:
    """The list of jobs."""
    ledger = app_of(request).ledger
    found = ledger.find(q)
    known = {row.number for row in (ledger.find() if q else found)}
    files = sorted(file.stem for file in ledger.shop.jobs.glob("*.yaml"))
    left = tuple(name for name in files if name not in known)
    page = JobsPage(q, tuple(found), left, STATES)
    return render(request, "jobs_list.html" if fragment(request) else "jobs.html", page, "jobs")


@router.get("/search")
def search(request: Request, q: str = "") -> Response:
    """Go to the one job that is meant, else to what was found."""
    found = app_of(request).ledger.find(q)
    exact = [row for row in found if row.number.lower() == q.strip().lower()]
    if len(exact or found) == 1 and q.strip():
        return to_part((exact or found)[0].number, "facts")
    customers = found_alone(request, q) if q.strip() and not found else None
    if customers is not None:
        return customers
    shop = app_of(request).ledger.shop
    parts = [] if found else shop.catalogue.numbered(q)
    if len(parts) == 1:
        return RedirectResponse(f"/parts/{quote(parts[0].supplier)}/{quote(parts[0].number)}", 303)
    if not found and q.strip() and find_parts(shop, q).count:
        return RedirectResponse(f"/parts?{urlencode({'q': q})}", 303)
    return jobs(request, q)


@router.get("/jobs/new")
def new_job(request: Request) -> Response:
    """The form of a new job."""
    page = NewJobPage(date.today().isoformat(), grinds(request), work_of(request))
    return render(request, "new_job.html", page, "jobs")


@router.post("/jobs")
def open_job(
    request: Request,
    number: Annotated[str, Form()],
    cam: Annotated[str, Form()] = "",
    work: Annotated[list[str] | None, Form()] = None,
    title: Annotated[str, Form()] = "",
    customer: Annotated[str, Form()] = "",
    place: Annotated[str, Form()] = "",
    vin: Annotated[str, Form()] = "",
    reach: Annotated[str, Form()] = "",
    plate: Annotated[str, Form()] = "",
) -> Response:
    """Open a job from what is known when the telephone rings."""
    stated = {"title": title, "customer": customer, "place": place}
    fact = {"value": vin.strip(), "grade": "told", "source": "customer"}
    document: dict[str, Any] = {
        "job": number.strip(),
        "date": date.today().isoformat(),
        **{name: value.strip() for name, value in stated.items() if value.strip()},
        "facts": {"vin": fact if vin.strip() else "unknown"},
        "plan": first_plan(cam.strip(), work or ()),
    }
    visitor = Visitor(reach=(reach.strip(),) if reach.strip() else (), plate=plate)
    kept = app_of(request).ledger.new_job(json.dumps(document), person(request), visitor=visitor)
    return to_part(kept.number, "facts")


@router.post("/jobs/from-file")
def open_file(request: Request, name: Annotated[str, Form()]) -> Response:
    """Open a job from one of the files in the shop's folder of jobs."""
    ledger = app_of(request).ledger
    for file in ledger.shop.jobs.glob("*.yaml"):
        if file.stem == name:
            kept = ledger.new_job(file.read_text(encoding="utf-8"), person(request), f"from {file.name}")
            return to_part(kept.number, "facts")
    return RedirectResponse("/jobs", 303)


@router.get("/jobs/{number}")
def job(number: str) -> Response:
    """A job begins with its facts."""
    return to_part(number, "facts")


@router.get("/jobs/{number}/history")
def history(request: Request, number: str) -> Response:
    """What was done to a job, by whom, when and why."""
    try:
        top = head(opened(request, number), "history")
    except TappetryError:  # the trail is told even where the job no longer suits the shop's text
        top = Head(number, "", "", "history", "", ())
    page = HistoryPage(top, tuple(app_of(request).ledger.history(number)))
    return render(request, "history.html", page, "jobs")
