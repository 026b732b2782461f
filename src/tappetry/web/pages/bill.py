"""Bill: what a customer is to pay for a job, and its invoices."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from tappetry.presentation.invoice import invoice_data
from tappetry.presentation.papers import file_name, letterhead
from tappetry.records.problems import Refusal
from tappetry.services import agreements, invoices
from tappetry.services.invoices import INVOICE, InvoiceRow
from tappetry.web.pages.agreements import pdf_answer
from tappetry.web.pages.job import Head, head, opened, to_part
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()


@dataclass(frozen=True, slots=True)
class BillPage:
    """The invoices of a job; where there is none yet, what it would say, or why it cannot be written."""

    head: Head
    agreed: bool
    waiting: str
    draft: dict[str, object] | None
    refusal: Refusal | None
    papers: tuple[InvoiceRow, ...]


@router.get("/jobs/{number}/bill")
def bill(request: Request, number: str) -> Response:
    """What a customer is to pay."""
    ledger = app_of(request).ledger
    job = opened(request, number)
    agreed = bool(agreements.acceptances(ledger, number))
    papers = invoices.papers(ledger, number)
    draft, refusal = None, None
    if agreed and not papers:
        try:
            draft = invoice_data(invoices.invoice_now(ledger, number), letterhead(ledger.shop))
        except Refusal as refused:
            refusal = refused
    open_change = agreements.latest_open(ledger, number) if agreed else None
    page = BillPage(
        head=head(job, "bill"),
        agreed=agreed,
        waiting="" if open_change is None else f"change order {open_change.number}",
        draft=draft,
        refusal=refusal,
        papers=tuple(reversed(papers)),
    )
    return render(request, "bill.html", page, "jobs")


@router.post("/jobs/{number}/bill/invoices")
def write_invoice(request: Request, number: str, due: Annotated[str, Form()] = "") -> Response:
    """Write the invoice."""
    invoices.write_invoice(app_of(request).ledger, number, due, person(request))
    return to_part(number, "bill")


@router.get("/jobs/{number}/papers/invoice-{invoice}.pdf")
def invoice_paper(request: Request, number: str, invoice: int) -> Response:
    """An invoice: the very paper."""
    pdf = invoices.pdf(app_of(request).ledger, number, INVOICE, invoice)
    return pdf_answer(pdf, f"{file_name(number)}-invoice-{invoice}")
