"""Customers: found, what was done before for each, two that are one, and a new job for a vehicle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from tappetry.presentation import words
from tappetry.presentation.words import GRADES
from tappetry.records.evidence import Grade
from tappetry.records.plan import Work
from tappetry.services import people
from tappetry.services.people import Customer, Known, TakenOver
from tappetry.web.pages.job import STATES, to_part
from tappetry.web.render import app_of, render
from tappetry.web.security import fragment, person

router = APIRouter()


@dataclass(frozen=True, slots=True)
class CustomersPage:
    """The customers that hold some words."""

    words: str
    customers: tuple[Customer, ...]


@dataclass(frozen=True, slots=True)
class CustomerPage:
    """One customer with vehicles and jobs."""

    known: Known
    states: dict[str, str]


@dataclass(frozen=True, slots=True)
class MergePage:
    """Two customers beside each other, before they become one."""

    into: Known
    other: Known


@dataclass(frozen=True, slots=True)
class NextJobPage:
    """What a new job for a vehicle begins with."""

    over: TakenOver
    facts: tuple[tuple[str, str, str, str], ...]
    grades: tuple[tuple[str, str], ...]
    grinds: tuple[tuple[str, str], ...]
    work: tuple[Work, ...]


@router.get("/customers")
def customers(request: Request, q: str = "") -> Response:
    """The list of customers."""
    page = CustomersPage(q, tuple(people.find(app_of(request).ledger, q)))
    return render(request, "customers_list.html" if fragment(request) else "customers.html", page, "jobs")


@router.get("/customers/{customer}")
def customer(request: Request, customer: int) -> Response:
    """A customer."""
    page = CustomerPage(people.known(app_of(request).ledger, customer), STATES)
    return render(request, "person.html", page, "jobs")


@router.post("/customers/{customer}")
def change(
    request: Request,
    customer: int,
    name: Annotated[str, Form()] = "",
    reach: Annotated[str, Form()] = "",
    notes: Annotated[str, Form()] = "",
) -> Response:
    """Write down how a customer is called and reached."""
    people.change_customer(app_of(request).ledger, customer, name, reach.splitlines(), notes, person(request))
    return to_customer(customer)


@router.get("/customers/{customer}/merge")
def before_merge(request: Request, customer: int, other: int) -> Response:
    """Two customers beside each other."""
    ledger = app_of(request).ledger
    page = MergePage(people.known(ledger, customer), people.known(ledger, other))
    return render(request, "merge.html", page, "jobs")


@router.post("/customers/{customer}/merge")
def merge(request: Request, customer: int, other: Annotated[int, Form()]) -> Response:
    """Make one of two customers."""
    people.merge(app_of(request).ledger, customer, other, person(request))
    return to_customer(customer)


@router.post("/vehicles/{vehicle}")
def change_vehicle(request: Request, vehicle: int, plate: Annotated[str, Form()] = "") -> Response:
    """Write down the plate of a vehicle."""
    people.change_vehicle(app_of(request).ledger, vehicle, plate, person(request))
    return RedirectResponse(f"/vehicles/{vehicle}/new-job", 303)


@router.get("/vehicles/{vehicle}/new-job")
def next_job(request: Request, vehicle: int) -> Response:
    """The form of a new job for a vehicle."""
    ledger = app_of(request).ledger
    over = people.taken_over(ledger, vehicle)
    attributes = ledger.shop.knowledge.attributes
    page = NextJobPage(
        over=over,
        facts=tuple(
            (
                attributes[name].title,
                words.value(said[0]["value"], attributes[name].unit),
                GRADES[Grade[said[0]["grade"]]],
                said[0]["source"],
            )
            for name, said in over.facts.items()
        ),
        grades=tuple((grade.name, GRADES[grade]) for grade in (Grade.seen, Grade.told)),
        grinds=grinds(request),
        work=work_of(request),
    )
    return render(request, "next_job.html", page, "jobs")


@router.post("/vehicles/{vehicle}/new-job")
def open_next_job(
    request: Request,
    vehicle: int,
    number: Annotated[str, Form()],
    cam: Annotated[str, Form()] = "",
    work: Annotated[list[str] | None, Form()] = None,
    title: Annotated[str, Form()] = "",
    mileage: Annotated[str, Form()] = "",
    grade: Annotated[str, Form()] = "told",
) -> Response:
    """Open a new job for a vehicle that was here before."""
    stated = {"number": number, "cam": cam, "title": title}
    ledger = app_of(request).ledger
    read = (mileage.strip(), grade)
    kept = people.new_job_for(ledger, vehicle, stated, person(request), read, work or ())
    return to_part(kept.number, "facts")


def grinds(request: Request) -> tuple[tuple[str, str], ...]:
    """The grinds that there are with their names, those of the factory last."""
    tables = app_of(request).ledger.shop.knowledge.tables
    found = {grind: row for table in tables.values() for grind, row in table.items()}
    return tuple(
        (grind, str(found[grind].get("name", "")))
        for grind in sorted(found, key=lambda each: (bool(found[each].get("factory")), each))
    )


def work_of(request: Request) -> tuple[Work, ...]:
    """The work that there is where the camshaft stays."""
    return tuple(app_of(request).ledger.shop.knowledge.book.work.values())


def to_customer(customer: int) -> Response:
    """Go to a customer's page, as after an act."""
    return RedirectResponse(f"/customers/{customer}", 303)


def found_alone(request: Request, words: str) -> Response | None:
    """Where some words mean customers and no job: the one who is meant, or the list of them."""
    found = people.find(app_of(request).ledger, words)
    if not found:
        return None
    if len(found) == 1:
        return to_customer(found[0].id)
    return RedirectResponse(f"/customers?{urlencode({'q': words})}", 303)
