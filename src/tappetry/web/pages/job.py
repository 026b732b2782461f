"""What all parts of a job's page share: its head, where it stands, and the way back after an act."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated
from urllib.parse import quote

from fastapi import Form, Request, Response
from fastapi.responses import RedirectResponse

from tappetry.presentation import words
from tappetry.records.job import Job
from tappetry.records.kit import Kit
from tappetry.records.problems import Refusal
from tappetry.services.ledger import Opened
from tappetry.web.render import app_of

#: The version that a form was made from.
Version = Annotated[int, Form(ge=1, le=1_000_000)]
#: The parts of a job's page, in the order in which a job goes through them.
PARTS = (
    ("facts", "Facts"),
    ("plan", "Plan"),
    ("kit", "Kit"),
    ("proof", "Proof"),
    ("papers", "Papers"),
    ("machine", "Machine shop"),
    ("customer", "Customer"),
    ("bill", "Bill"),
    ("money", "Money"),
    ("history", "History"),
)
#: Where a job stands, in words.
STATES = {
    "open": "no quote sent yet",
    "quoted": "quote sent",
    "accepted": "accepted, in work",
    "invoiced": "invoice written",
}


@dataclass(frozen=True, slots=True)
class Head:
    """The head of a job's page: who, what, and where it stands."""

    number: str
    title: str
    customer: str
    part: str
    state: str
    plan: tuple[str, ...]
    parts: tuple[tuple[str, str], ...] = PARTS


def opened(request: Request, number: str) -> Opened:
    """The job of a page."""
    return app_of(request).ledger.job(number)


def head(job: Opened, part: str) -> Head:
    """The head of a job's page at one of its parts."""
    return Head(
        number=job.kept.number,
        title=job.job.title,
        customer=job.job.customer,
        part=part,
        state=STATES[job.kept.state],
        plan=words.plan(job.job.plan, job.work, job.plan_read),
    )


def kit_or_refusal(request: Request, job: Job) -> tuple[Kit | None, Refusal | None]:
    """The kit of a job, or why there is none."""
    try:
        return app_of(request).ledger.kit(job).kit, None
    except Refusal as refusal:
        return None, refusal


def to_part(number: str, part: str) -> Response:
    """Go to a part of a job's page, as after an act."""
    return RedirectResponse(f"/jobs/{quote(number, safe='')}/{part}", 303)
