"""Money: what came and went on a job, and what stands where."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from tappetry.services import agreements, books, payments
from tappetry.services.books import KINDS, MEANS, Posting
from tappetry.services.payments import Payment
from tappetry.web.pages.job import Head, head, opened, to_part
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()


@dataclass(frozen=True, slots=True)
class MoneyPage:
    """The accounts of a job, its postings, and the acts that there are.

    ``with_suppliers`` tells what moved with suppliers by the number of its posting: it is taken back here.
    """

    head: Head
    agreed: bool
    seen: int
    deposit: str
    balances: tuple[tuple[str, Decimal], ...]
    postings: tuple[tuple[str, str, Posting], ...]
    with_suppliers: Mapping[int, Payment]
    kinds: tuple[tuple[str, str], ...]
    means: tuple[tuple[str, str], ...]
    suppliers: tuple[tuple[str, str], ...]


@router.get("/jobs/{number}/money")
def money(request: Request, number: str) -> Response:
    """The money of a job."""
    ledger = app_of(request).ledger
    with ledger.one_view():
        seen = books.last(ledger, number)
        agreed = agreements.acceptances(ledger, number)
        page = MoneyPage(
            head=head(opened(request, number), "money"),
            agreed=bool(agreed),
            seen=seen,
            deposit=agreed[-1].kit.document["totals"]["deposit"] if agreed else "",
            balances=tuple(books.balances(ledger, number).items()),
            postings=tuple(
                (books.what(each), books.paper(each), each)
                for each in reversed(books.postings(ledger, number))
            ),
            with_suppliers={each.number: each for each in payments.with_suppliers(ledger, number)},
            kinds=tuple((name, kind.title) for name, kind in KINDS.items()),
            means=tuple(MEANS.items()),
            suppliers=tuple((code, each.name) for code, each in ledger.shop.catalogue.suppliers.items()),
        )
    return render(request, "money.html", page, "jobs")


@router.post("/jobs/{number}/money")
def move(
    request: Request,
    number: str,
    kind: Annotated[str, Form()] = "",
    amount: Annotated[str, Form()] = "",
    means: Annotated[str, Form()] = "",
    supplier: Annotated[str, Form()] = "",
    said: Annotated[str, Form()] = "",
    seen: Annotated[int | None, Form()] = None,
) -> Response:
    """Write down an act with money."""
    ledger = app_of(request).ledger
    books.move(ledger, number, kind, amount, means, supplier, said.strip(), person(request), seen)
    return to_part(number, "money")


@router.post("/jobs/{number}/money/{posting}/back")
def take_back(request: Request, number: str, posting: int, why: Annotated[str, Form()] = "") -> Response:
    """Take back what moved with a supplier, where it was typed wrongly."""
    payments.take_supplier_back(app_of(request).ledger, number, posting, why, person(request))
    return to_part(number, "money")
