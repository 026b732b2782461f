"""A customer's data: given out to read and as JSON, and deleted once that is confirmed by typing."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from tappetry.presentation.customer_data import as_text, removed_pdf
from tappetry.presentation.shops_side import without_shops_side
from tappetry.services import people, privacy
from tappetry.services.people import Customer
from tappetry.services.privacy import Deleted
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()


@dataclass(frozen=True, slots=True)
class DataPage:
    """What the shop holds of a customer, and how it is deleted."""

    customer: Customer
    in_work: tuple[str, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class DeletedPage:
    """What a deletion did."""

    deleted: Deleted


@router.get("/customers/{customer}/data")
def data(request: Request, customer: int) -> Response:
    """The data of a customer: to give out, or to delete."""
    ledger = app_of(request).ledger
    found = people.known(ledger, customer).customer
    page = DataPage(found, privacy.in_work(ledger, customer), privacy.sentence(found.name))
    return render(request, "customer_data.html", page, "jobs")


@router.get("/customers/{customer}/data.{ending}")
def data_file(request: Request, customer: int, ending: str) -> Response:
    """The data of a customer as a file: text to read, else JSON."""
    found = without_shops_side(privacy.data_of(app_of(request).ledger, customer))
    name = f"customer-{customer}.{'txt' if ending == 'txt' else 'json'}"
    text = as_text(found) if ending == "txt" else json.dumps(found, ensure_ascii=False, indent=1)
    media = "text/plain" if ending == "txt" else "application/json"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type=f"{media}; charset=utf-8", headers=headers)


@router.post("/customers/{customer}/delete")
def delete(request: Request, customer: int, typed: Annotated[str, Form()] = "") -> Response:
    """Delete the data of a customer."""
    ledger = app_of(request).ledger
    stand_in = removed_pdf(ledger.shop, privacy.mark_of(customer), ledger.today)
    page = DeletedPage(privacy.delete(ledger, customer, typed, stand_in, person(request)))
    return render(request, "deleted.html", page, "jobs")
