"""Bills: the statement of a customer, and what is open and overdue in the whole shop."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request, Response

from tappetry.presentation.books_csv import books_csv
from tappetry.presentation.papers import file_name, letterhead
from tappetry.presentation.statement import statement_data, statement_pdf
from tappetry.services.journal import entries
from tappetry.services.statements import OpenBills, open_bills, statement
from tappetry.web.pages.agreements import pdf_answer
from tappetry.web.pages.job import Head, head, opened
from tappetry.web.render import app_of, render

router = APIRouter()


@dataclass(frozen=True, slots=True)
class StatementPage:
    """A statement as its paper says it, of one job or of all jobs of its customer."""

    head: Head
    whole: bool
    paper: dict[str, object]


@dataclass(frozen=True, slots=True)
class BillsPage:
    """What is open."""

    found: OpenBills


@router.get("/jobs/{number}/statement")
def one(request: Request, number: str, whole: bool = False) -> Response:
    """The statement of a job, or of its customer."""
    ledger = app_of(request).ledger
    paper = statement_data(statement(ledger, number, whole), letterhead(ledger.shop))
    return render(
        request, "statement.html", StatementPage(head(opened(request, number), "bill"), whole, paper), "jobs"
    )


@router.get("/jobs/{number}/statement.pdf")
def paper(request: Request, number: str, whole: bool = False) -> Response:
    """The statement as a paper of today."""
    ledger = app_of(request).ledger
    pdf = statement_pdf(statement(ledger, number, whole), letterhead(ledger.shop))
    return pdf_answer(pdf, f"{file_name(number)}-statement")


@router.get("/bills")
def bills(request: Request) -> Response:
    """What customers owe."""
    return render(request, "bills.html", BillsPage(open_bills(app_of(request).ledger)), "today")


@router.get("/bills/books.csv")
def books(request: Request, since: str = "", until: str = "") -> Response:
    """The books of the shop for its accountant."""
    content = books_csv(entries(app_of(request).ledger, since, until))
    return Response(
        content,
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="books.csv"'},
    )
