"""Papers: the quote and the orders as they would be now, and the quotes that were sent."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from starlette.exceptions import HTTPException

from tappetry.presentation.order_list import order_pdf
from tappetry.presentation.papers import file_name, orders_of, quote_of
from tappetry.presentation.quote import quote_pdf
from tappetry.records.problems import Refusal
from tappetry.services.kits import must_be_complete
from tappetry.services.ledger import QuoteRow
from tappetry.services.payments import Payment, payments
from tappetry.services.roles import Permission
from tappetry.web.access import may
from tappetry.web.pages.agreements import Agreed, agreed, pdf_answer
from tappetry.web.pages.job import Head, head, opened, to_part
from tappetry.web.render import app_of, render
from tappetry.web.security import person

router = APIRouter()


@dataclass(frozen=True, slots=True)
class PapersPage:
    """The papers of a job: those of today, or what stands in their way, and those that were sent.

    ``payments`` are told to whoever may take some.
    """

    head: Head
    refusal: Refusal | None
    suppliers: tuple[tuple[str, str, int], ...]
    quotes: tuple[QuoteRow, ...]
    agreed: Agreed
    payments: tuple[Payment, ...]
    version: int
    sheet: int


@router.get("/jobs/{number}/papers")
def papers(request: Request, number: str) -> Response:
    """The papers of a job."""
    ledger = app_of(request).ledger
    with ledger.one_view():
        job = opened(request, number)
        refusal = None
        suppliers: dict[str, int] = {}
        try:
            result = ledger.kit(job.job)
            must_be_complete(ledger.shop, result)
            for line in result.kit.lines:
                suppliers[line.supplier] = suppliers.get(line.supplier, 0) + 1
        except Refusal as refused:
            refusal = refused
        sent = ledger.quotes(number)
        names = ledger.shop.catalogue.suppliers
        page = PapersPage(
            head=head(job, "papers"),
            refusal=refusal,
            suppliers=tuple((code, names[code].name, count) for code, count in suppliers.items()),
            quotes=tuple(reversed(sent)),
            agreed=agreed(ledger, number, sent),
            payments=payments(ledger, number) if may(request, Permission.TILL) else (),
            version=job.kept.versions["plan"],
            sheet=job.kept.versions["sheet"],
        )
    return render(request, "papers.html", page, "jobs")


@router.get("/jobs/{number}/papers/quote.pdf")
def quote(request: Request, number: str) -> Response:
    """The quote as it would be sent now."""
    ledger = app_of(request).ledger
    job = opened(request, number).job
    result = ledger.kit(job)
    must_be_complete(ledger.shop, result)
    on = ledger.today
    pdf = ledger.remembered(f"quote of {on}", job, lambda: quote_pdf(quote_of(ledger.shop, result, on)))
    return pdf_answer(pdf, f"{file_name(number)}-quote")


@router.get("/jobs/{number}/papers/quote-{quote}.pdf")
def sent(request: Request, number: str, quote: int) -> Response:
    """A quote that was sent: the very paper."""
    return pdf_answer(app_of(request).ledger.quote_paper(number, quote), f"{file_name(number)}-quote-{quote}")


@router.get("/jobs/{number}/papers/order-{supplier}.pdf")
def order(request: Request, number: str, supplier: str) -> Response:
    """The order to one supplier as it would be now."""
    ledger = app_of(request).ledger
    result = ledger.kit(opened(request, number).job)
    must_be_complete(ledger.shop, result)
    for each in orders_of(ledger.shop, result, ledger.today):
        if each.supplier.code == supplier:
            return pdf_answer(order_pdf(each), f"{file_name(number)}-order-{file_name(supplier)}")
    raise HTTPException(404)


@router.post("/jobs/{number}/quotes")
def send(request: Request, number: str) -> Response:
    """Send the quote: it is kept as it is, and never changes."""
    app_of(request).ledger.send_quote(number, person(request))
    return to_part(number, "papers")
