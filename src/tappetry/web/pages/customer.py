"""Customer: links to his page, what he answered, and what the shop makes of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from tappetry.records.family import AttributeSchema
from tappetry.services import agreements, customer_pages, people
from tappetry.services.customer_pages import AnswerRow, LinkRow
from tappetry.services.people import Customer
from tappetry.web.pages.job import Head, Version, head, opened, to_part
from tappetry.web.render import app_of, render
from tappetry.web.security import CUSTOMERS, person

router = APIRouter()


@dataclass(frozen=True, slots=True)
class CustomerPart:
    """The customer of a job, its links, the answers that came by them, and what could be asked."""

    head: Head
    customer: Customer | None
    waiting: bool
    questions: tuple[tuple[AttributeSchema, str], ...]
    links: tuple[LinkRow, ...]
    answers: tuple[AnswerRow, ...]
    units: dict[str, str]
    version: int
    now: datetime


@dataclass(frozen=True, slots=True)
class LinkPage:
    """A link that was just made; it is shown once."""

    head: Head
    address: str
    days: int


@router.get("/jobs/{number}/customer")
def customer(request: Request, number: str) -> Response:
    """What passes between shop and customer."""
    ledger = app_of(request).ledger
    with ledger.one_view():
        job = opened(request, number)
        page = CustomerPart(
            head=head(job, "customer"),
            customer=people.of_job(ledger, number)[0],
            waiting=agreements.latest_open(ledger, number) is not None,
            questions=customer_pages.questions_for(ledger, number),
            links=tuple(customer_pages.links_of(ledger, number)),
            answers=tuple(customer_pages.answers_of(ledger, number)),
            units={name: each.unit for name, each in ledger.shop.knowledge.attributes.items()},
            version=job.kept.versions["facts"],
            now=ledger.now(),
        )
    return render(request, "customer_part.html", page, "jobs")


@router.post("/jobs/{number}/links")
def send_link(
    request: Request,
    number: str,
    questions: Annotated[list[str] | None, Form()] = None,
    photos: Annotated[str, Form()] = "",
    paper: Annotated[str, Form()] = "",
    days: Annotated[int, Form()] = 14,
) -> Response:
    """Make a link and show it, this once."""
    token = customer_pages.send_link(
        app_of(request).ledger,
        number,
        person(request),
        paper=paper == "yes",
        questions=questions or [],
        photos=photos.splitlines(),
        days=days,
    )
    address = f"{str(request.base_url).rstrip('/')}{CUSTOMERS}{token}"
    return render(
        request, "link.html", LinkPage(head(opened(request, number), "customer"), address, days), "jobs"
    )


@router.post("/jobs/{number}/links/{link}/end")
def end_link(request: Request, number: str, link: int) -> Response:
    """Take a link back."""
    customer_pages.end_link(app_of(request).ledger, number, link, person(request))
    return to_part(number, "customer")


@router.get("/jobs/{number}/customer/photo-{answer}")
def photo(request: Request, number: str, answer: int) -> Response:
    """A photo that the customer sent."""
    content, media = customer_pages.photo(app_of(request).ledger, number, answer)
    return Response(content, media_type=media)


@router.post("/jobs/{number}/answers/{answer}")
def see(
    request: Request,
    number: str,
    answer: int,
    version: Version,
    act: Annotated[str, Form()] = "",
    value: Annotated[str, Form()] = "",
) -> Response:
    """Take an answer, or leave it."""
    ledger = app_of(request).ledger
    if act == "take":
        customer_pages.take(ledger, number, answer, value, version, person(request))
    else:
        customer_pages.leave(ledger, number, answer, person(request))
    return to_part(number, "customer")
