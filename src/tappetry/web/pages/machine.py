"""Machine shop: work orders out with their targets, and what came back, judged at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request, Response
from fastapi.responses import JSONResponse

from tappetry.presentation.machine_order import machine_pdf
from tappetry.presentation.papers import file_name
from tappetry.services import machine
from tappetry.services.machine import Judged, MachineOrder, Target, Work
from tappetry.web.pages.agreements import pdf_answer
from tappetry.web.pages.job import Head, head, opened, to_part
from tappetry.web.pages.plan import stated_form
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()

#: How fields of values, and marks that they are wanted, are called in a form: this, then the attribute.
VALUE, ASK = "value-", "ask-"
Fields = Annotated[dict[str, str], Depends(stated_form)]


@dataclass(frozen=True, slots=True)
class MachinePage:
    """The work orders of a job with what came back, and what a new one may ask for."""

    head: Head
    orders: tuple[tuple[MachineOrder, tuple[Judged, ...]], ...]
    targets: tuple[Target, ...]
    services: tuple[str, ...]
    misses: tuple[str, ...]
    today: date


@router.get("/jobs/{number}/machine")
def work(request: Request, number: str) -> Response:
    """The work orders of a job."""
    ledger = app_of(request).ledger
    with ledger.one_view():
        found = machine.orders(ledger, number)
        page = MachinePage(
            head=head(opened(request, number), "machine"),
            orders=tuple((each, machine.judged(ledger, each)) for each in reversed(found)),
            targets=machine.targets(ledger, number),
            services=machine.services(ledger, number),
            misses=machine.misses(ledger, number) if any(each.back for each in found) else (),
            today=ledger.today,
        )
    return render(request, "machine.html", page, "jobs")


@router.post("/jobs/{number}/machine")
def send(request: Request, number: str, form: Fields, seen: Annotated[int | None, Form()] = None) -> Response:
    """Write a work order down as it goes out."""
    asked = [name.removeprefix(ASK) for name in form if name.startswith(ASK)]
    ledger = app_of(request).ledger
    ordered = Work(
        machinist=form.get("machinist", ""),
        promised=form.get("promised", ""),
        parts=form.get("parts", "").splitlines(),
        work=form.get("work", "").splitlines(),
        targets={name: form.get(VALUE + name, "") for name in asked},
        price=form.get("price", ""),
    )
    machine.send(ledger, number, ordered, partial(machine_pdf, ledger.shop), person(request), seen)
    return to_part(number, "machine")


@router.post("/jobs/{number}/machine/{order}/back")
def back(request: Request, number: str, order: int, form: Fields) -> Response:
    """Take in what came back."""
    values = {name.removeprefix(VALUE): value for name, value in form.items() if name.startswith(VALUE)}
    machine.take_back(app_of(request).ledger, number, order, values, person(request))
    return to_part(number, "machine")


@router.get("/jobs/{number}/machine/{order}.pdf")
def paper(request: Request, number: str, order: int) -> Response:
    """A work order as it went out: the very paper."""
    found = machine.order_of(app_of(request).ledger, number, order)
    return pdf_answer(found.pdf, f"{file_name(number)}-work-order-{order}")


@router.get("/jobs/{number}/machine/{order}.json")
def as_json(request: Request, number: str, order: int) -> Response:
    """A work order as data."""
    found = machine.order_of(app_of(request).ledger, number, order)
    price = None if found.price is None else f"{found.price:.2f}"
    back = None if found.back is None else found.back.document["values"]
    return JSONResponse({**found.document, "price": price, "currency": found.currency, "back": back})
