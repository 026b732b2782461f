"""What the customer agreed to: his yes with each option, supplier orders from it, and change orders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Form, Request, Response
from starlette.exceptions import HTTPException

from tappetry.presentation.change_order import change_data
from tappetry.presentation.papers import file_name, letterhead
from tappetry.records.problems import Refusal
from tappetry.services import agreements, price_age
from tappetry.services.agreements import HOW, Acceptance, ChangeRow, Due, Option, OrderRow, Signed
from tappetry.services.ledger import Ledger, QuoteRow
from tappetry.services.price_age import Aged
from tappetry.web.pages.job import Head, head, opened, to_part
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()

Kind = Literal["quote", "change"]
TITLES = {"quote": "Quote", "change": "Change order"}


@dataclass(frozen=True, slots=True)
class Agreed:
    """What was agreed on a job, what is left to order, what was ordered, and what waits for the customer."""

    acceptances: tuple[Acceptance, ...]
    changes: tuple[ChangeRow, ...]
    due: tuple[Due, ...]
    orders: tuple[OrderRow, ...]
    waiting: int | None
    old_prices: tuple[Aged, ...]
    rises: tuple[tuple[int, int, Decimal], ...]

    @property
    def names(self) -> tuple[str, ...]:
        """What was accepted, how and by whom, in the order of the acceptances."""
        return tuple(
            f"{agreements.title(each)}, accepted {HOW[each.how]} by {each.customer}"
            for each in self.acceptances
        )


@dataclass(frozen=True, slots=True)
class AcceptPage:
    """A quote or change order with its options, to be accepted in words."""

    head: Head
    kind: str
    title: str
    number: int
    total: Decimal
    currency: str
    options: tuple[Option, ...]
    legal_note: str
    ways: tuple[tuple[str, str], ...]
    old_prices: tuple[Aged, ...]


@dataclass(frozen=True, slots=True)
class ChangePage:
    """What a change order would say now, or why there is none."""

    head: Head
    paper: dict[str, object] | None
    refusal: Refusal | None


def agreed(ledger: Ledger, number: str, sent: Sequence[QuoteRow]) -> Agreed:
    """What was agreed on a job of which these quotes were sent."""
    acceptances = tuple(agreements.acceptances(ledger, number))
    changes = agreements.changes(ledger, number)
    waiting = agreements.waiting(sent, acceptances, changes)
    due = agreements.due(ledger, number) if acceptances else ()
    return Agreed(
        acceptances=acceptances,
        changes=tuple(reversed(changes)),
        due=due,
        orders=tuple(reversed(agreements.orders(ledger, number))),
        waiting=None if waiting is None else waiting.number,
        old_prices=price_age.to_ask(ledger, due, waiting),
        rises=tuple(agreements.quote_changes(sent)),
    )


async def answers(request: Request) -> dict[int, str]:
    """What a form answers to each option, by its place."""
    form = await request.form()
    named = {
        name.removeprefix("option-"): value for name, value in form.items() if name.startswith("option-")
    }
    return {int(place): str(value) for place, value in named.items() if place.isdecimal() and len(place) < 4}


@router.get("/jobs/{number}/accept/{kind}/{paper}")
def acceptance(request: Request, number: str, kind: Kind, paper: int) -> Response:
    """The options of a paper that was sent, each with what it means to go without."""
    ledger = app_of(request).ledger
    row = _row(ledger, number, kind, paper)
    page = AcceptPage(
        head=head(opened(request, number), "papers"),
        kind=kind,
        title=TITLES[kind],
        number=paper,
        total=row.total,
        currency=row.currency,
        options=agreements.options_of(row.document),
        legal_note=row.document.get("legal_note", ""),
        ways=tuple((name, said) for name, said in HOW.items() if name != agreements.BY_PAGE),
        old_prices=price_age.before_yes(ledger, row),
    )
    return render(request, "accept.html", page, "jobs")


@router.post("/jobs/{number}/accept/{kind}/{paper}")
def accept(
    request: Request,
    number: str,
    kind: Kind,
    paper: int,
    chosen: Annotated[dict[int, str], Depends(answers)],
    customer: Annotated[str, Form()] = "",
    how: Annotated[str, Form()] = "",
    read: Annotated[str, Form()] = "",
    note: Annotated[str, Form()] = "",
) -> Response:
    """Write down that the customer accepted."""
    act = agreements.accept_quote if kind == "quote" else agreements.accept_change
    signed = Signed(customer, how, chosen, read == "yes", note.strip())
    act(app_of(request).ledger, number, paper, signed, person(request))
    return to_part(number, "papers")


@router.post("/jobs/{number}/orders")
def order(request: Request, number: str) -> Response:
    """Send the orders that are due."""
    agreements.send_orders(app_of(request).ledger, number, person(request))
    return to_part(number, "papers")


@router.post("/jobs/{number}/prices-asked")
def asked(request: Request, number: str, supplier: Annotated[str, Form()] = "") -> Response:
    """Write down that a supplier was asked again, and that his prices stand."""
    price_age.ask_again(app_of(request).ledger, number, supplier, person(request))
    return to_part(number, "papers")


@router.get("/jobs/{number}/papers/sent-order-{order}.pdf")
def sent_order(request: Request, number: str, order: int) -> Response:
    """An order that was sent: the very paper."""
    ledger = app_of(request).ledger
    for each in agreements.orders(ledger, number):
        if each.number == order:
            name = f"{file_name(number)}-order-{order}-{file_name(each.supplier)}"
            return pdf_answer(agreements.paper(ledger, each), name)
    raise HTTPException(404)


@router.get("/jobs/{number}/change")
def change(request: Request, number: str) -> Response:
    """What a change order would say now."""
    ledger = app_of(request).ledger
    paper: dict[str, object] | None = None
    refusal = None
    try:
        paper = change_data(agreements.change_of(ledger, number), letterhead(ledger.shop))
    except Refusal as refused:
        refusal = refused
    page = ChangePage(head(opened(request, number), "papers"), paper, refusal)
    return render(request, "change.html", page, "jobs")


@router.post("/jobs/{number}/changes")
def send_change(request: Request, number: str, why: Annotated[str, Form()] = "") -> Response:
    """Send the change order."""
    agreements.send_change(app_of(request).ledger, number, why, person(request))
    return to_part(number, "papers")


@router.get("/jobs/{number}/papers/change-{change}.pdf")
def sent_change(request: Request, number: str, change: int) -> Response:
    """A change order that was sent: the very paper."""
    ledger = app_of(request).ledger
    row = _row(ledger, number, "change", change)
    return pdf_answer(agreements.paper(ledger, row), f"{file_name(number)}-change-{change}")


def pdf_answer(content: bytes, name: str) -> Response:
    """A PDF to look at, with a name to save it under."""
    return Response(
        content,
        media_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}.pdf"'},
    )


def _row(ledger: Ledger, number: str, kind: Kind, paper: int) -> QuoteRow | ChangeRow:
    rows = ledger.quotes(number) if kind == "quote" else agreements.changes(ledger, number)
    for row in rows:
        if row.number == paper:
            return row
    raise HTTPException(404)
