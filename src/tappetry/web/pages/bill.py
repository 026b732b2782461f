"""Bill: what a customer is to pay for a job, its invoices and credit notes, and what he paid."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request, Response
from starlette.exceptions import HTTPException

from tappetry.presentation.invoice import invoice_data, missing
from tappetry.presentation.papers import file_name, letterhead
from tappetry.records.problems import Refusal
from tappetry.services import agreements, books, invoices, payments
from tappetry.services.books import CORES_HELD, CREDITS, CUSTOMERS, DEPOSITS, KINDS, MEANS, PAID_IN
from tappetry.services.invoices import CREDIT, INVOICE, InvoiceRow, Standing
from tappetry.services.payments import Payment
from tappetry.services.supply import Proposed, proposals
from tappetry.web.pages.agreements import pdf_answer
from tappetry.web.pages.job import Head, head, opened, to_part
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()
NOTHING = Decimal("0.00")


@dataclass(frozen=True, slots=True)
class BillPage:
    """Where a customer stands with a job, its papers, and what the invoice would say or why there is none.

    ``seen`` goes with each form: a form that is sent twice moves money once.
    """

    head: Head
    stands: tuple[tuple[str, Decimal], ...]
    owes: Decimal
    credit: Decimal
    kinds: tuple[tuple[str, str], ...]
    means: tuple[tuple[str, str], ...]
    creditable: bool
    agreed: bool
    waiting: str
    seen: int
    draft: dict[str, object] | None
    missing: tuple[str, ...]
    supplied: tuple[Proposed, ...]
    refusal: Refusal | None
    papers: tuple[InvoiceRow, ...]
    payments: tuple[Payment, ...]
    refunds: tuple[Payment, ...]


@dataclass(frozen=True, slots=True)
class CreditPage:
    """An invoice line by line, with what is left of each line to credit."""

    head: Head
    standing: Standing
    seen: int
    lines: tuple[tuple[int, str, Decimal], ...]


async def amounts(request: Request) -> dict[int, str]:
    """What a form credits of each line, by its place; empty fields credit nothing."""
    form = await request.form()
    named = {
        name.removeprefix("line-"): str(value) for name, value in form.items() if name.startswith("line-")
    }
    return {
        int(place): said
        for place, said in named.items()
        if said.strip() and place.isdecimal() and len(place) < 5
    }


@router.get("/jobs/{number}/bill")
def bill(request: Request, number: str) -> Response:
    """What a customer is to pay."""
    ledger = app_of(request).ledger
    with ledger.one_view():
        job = opened(request, number)
        seen = books.last(ledger, number)
        agreed = bool(agreements.acceptances(ledger, number))
        papers = invoices.papers(ledger, number)
        draft, refusal = None, None
        standing = invoices.in_force(papers)
        if agreed and standing is None:
            try:
                draft = invoice_data(invoices.invoice_now(ledger, number), letterhead(ledger.shop))
            except Refusal as refused:
                refusal = refused
        stands = books.balances(ledger, number)
        owes, credit = stands.get(CUSTOMERS, NOTHING), -stands.get(CREDITS, NOTHING)
        # What a customer pays next is a deposit until there is something to pay.
        kinds = [kind for kind in PAID_IN if kind != ("payment" if standing is None else "deposit")]
        open_change = agreements.latest_open(ledger, number) if agreed else None
        page = BillPage(
            head=head(job, "bill"),
            stands=tuple(
                (title, amount)
                for title, amount in (
                    ("to be paid", owes),
                    ("deposit that was paid", -stands.get(DEPOSITS, NOTHING)),
                    ("to the customer's credit", credit),
                    ("core deposits that we hold", -stands.get(CORES_HELD, NOTHING)),
                )
                if amount
            ),
            owes=owes,
            credit=credit,
            kinds=tuple((kind, KINDS[kind].title) for kind in kinds),
            means=tuple(MEANS.items()),
            creditable=standing is not None,
            agreed=agreed,
            waiting="" if open_change is None else f"change order {open_change.number}",
            seen=seen,
            draft=draft,
            missing=tuple(missing(letterhead(ledger.shop))),
            supplied=proposals(ledger, number) if draft else (),
            refusal=refusal,
            papers=tuple(reversed(papers)),
            payments=payments.payments(ledger, number),
            refunds=payments.refunds(ledger, number),
        )
    return render(request, "bill.html", page, "jobs")


@router.post("/jobs/{number}/bill/invoices")
def write_invoice(
    request: Request,
    number: str,
    due: Annotated[str, Form()] = "",
    supplied: Annotated[str, Form()] = "",
) -> Response:
    """Write the invoice."""
    invoices.write_invoice(app_of(request).ledger, number, due, supplied, person(request))
    return to_part(number, "bill")


@router.post("/jobs/{number}/bill/payments")
def pay(
    request: Request,
    number: str,
    kind: Annotated[str, Form()] = "",
    amount: Annotated[str, Form()] = "",
    means: Annotated[str, Form()] = "",
    said: Annotated[str, Form()] = "",
    seen: Annotated[int | None, Form()] = None,
) -> Response:
    """Write down that the customer paid."""
    books.pay(app_of(request).ledger, number, kind, amount, means, said.strip(), person(request), seen)
    return to_part(number, "bill")


@router.post("/jobs/{number}/bill/payments/{payment}/back")
def take_back(request: Request, number: str, payment: int, why: Annotated[str, Form()] = "") -> Response:
    """Take a payment back that was typed wrongly."""
    payments.take_back(app_of(request).ledger, number, payment, why, person(request))
    return to_part(number, "bill")


@router.post("/jobs/{number}/bill/refunds")
def refund(
    request: Request,
    number: str,
    amount: Annotated[str, Form()] = "",
    means: Annotated[str, Form()] = "",
    said: Annotated[str, Form()] = "",
    seen: Annotated[int | None, Form()] = None,
) -> Response:
    """Write down that money went back to the customer."""
    ledger = app_of(request).ledger
    books.move(ledger, number, "refund", amount, means, "", said.strip(), person(request), seen)
    return to_part(number, "bill")


@router.post("/jobs/{number}/bill/refunds/{refund}/back")
def take_refund_back(
    request: Request, number: str, refund: int, why: Annotated[str, Form()] = ""
) -> Response:
    """Take back what went back to the customer, where it was typed wrongly."""
    payments.take_refund_back(app_of(request).ledger, number, refund, why, person(request))
    return to_part(number, "bill")


@router.get("/jobs/{number}/bill/credit")
def credit(request: Request, number: str) -> Response:
    """The invoice in force, line by line, to be credited."""
    ledger = app_of(request).ledger
    papers = invoices.papers(ledger, number)
    standing = invoices.in_force(papers)
    if standing is None:
        raise HTTPException(404)
    lines = tuple((place, line.text, line.net) for place, line in enumerate(standing.left.lines) if line.net)
    page = CreditPage(head(opened(request, number), "bill"), standing, len(papers), lines)
    return render(request, "credit.html", page, "jobs")


@router.post("/jobs/{number}/bill/credits")
def write_credit(
    request: Request,
    number: str,
    asked: Annotated[dict[int, str], Depends(amounts)],
    why: Annotated[str, Form()] = "",
    whole: Annotated[str, Form()] = "",
    seen: Annotated[int | None, Form()] = None,
) -> Response:
    """Write a credit note on the invoice in force."""
    chosen = None if whole == "yes" else asked
    invoices.write_credit(app_of(request).ledger, number, chosen, why, person(request), seen)
    return to_part(number, "bill")


@router.get("/jobs/{number}/papers/credit-{credit}.pdf")
def credit_paper(request: Request, number: str, credit: int) -> Response:
    """A credit note: the very paper."""
    pdf = invoices.pdf(app_of(request).ledger, number, CREDIT, credit)
    return pdf_answer(pdf, f"{file_name(number)}-credit-{credit}")


@router.get("/jobs/{number}/papers/invoice-{invoice}.pdf")
def invoice_paper(request: Request, number: str, invoice: int) -> Response:
    """An invoice: the very paper."""
    pdf = invoices.pdf(app_of(request).ledger, number, INVOICE, invoice)
    return pdf_answer(pdf, f"{file_name(number)}-invoice-{invoice}")
