"""The customer's own page, behind a link that only he has: read and accept, answer, send photos."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request, Response, UploadFile
from fastapi.responses import RedirectResponse

from tappetry.services import customer_pages
from tappetry.services.agreements import BY_PAGE, Option, Signed, options_of
from tappetry.services.customer_pages import LARGEST_PHOTO, CustomerPage
from tappetry.web.pages.agreements import answers, pdf_answer
from tappetry.web.render import app_of, render
from tappetry.web.security import CUSTOMERS

router = APIRouter(prefix=CUSTOMERS.rstrip("/"))


@dataclass(frozen=True, slots=True)
class TheirPage:
    """What the customer sees, with his link."""

    link: str
    shown: CustomerPage
    options: tuple[Option, ...]
    legal_note: str
    expired: bool
    done: str


DONE = {
    "answer": "Thank you, we have your answer.",
    "photo": "Thank you, the photo is here.",
    "yes": "Thank you.",
}


@router.get("/{link}")
def page(request: Request, link: str, done: str = "") -> Response:
    """The page behind a link."""
    ledger = app_of(request).ledger
    shown = customer_pages.page_of(ledger, link)
    document = {} if shown.paper is None else shown.paper.document
    made = TheirPage(
        link=f"{CUSTOMERS}{link}",
        shown=shown,
        options=options_of(document),
        legal_note=document.get("legal_note", ""),
        expired=shown.paper is not None and ledger.today > shown.paper.last_day,
        done=DONE.get(done, ""),
    )
    return render(request, "customer.html", made)


@router.get("/{link}/paper.pdf")
def paper(request: Request, link: str) -> Response:
    """The paper that waits or was accepted."""
    shown = customer_pages.page_of(app_of(request).ledger, link)
    return pdf_answer(customer_pages.paper_of(app_of(request).ledger, shown), "paper")


@router.post("/{link}/accept")
def accept(
    request: Request,
    link: str,
    chosen: Annotated[dict[int, str], Depends(answers)],
    what: Annotated[str, Form()] = "",
    customer: Annotated[str, Form()] = "",
    read: Annotated[str, Form()] = "",
    note: Annotated[str, Form()] = "",
) -> Response:
    """The customer says yes."""
    signed = Signed(customer, BY_PAGE, chosen, read == "yes", note.strip())
    customer_pages.accept(app_of(request).ledger, link, what, signed)
    return _back(link, "yes")


@router.post("/{link}/answer")
def answer(
    request: Request, link: str, attribute: Annotated[str, Form()] = "", value: Annotated[str, Form()] = ""
) -> Response:
    """The customer answers a question."""
    customer_pages.answer(app_of(request).ledger, link, attribute, value)
    return _back(link, "answer")


@router.post("/{link}/photo")
def photo(request: Request, link: str, wanted: Annotated[int, Form()], photo: UploadFile) -> Response:
    """The customer sends a photo."""
    content = photo.file.read(LARGEST_PHOTO + 1)
    customer_pages.send_photo(app_of(request).ledger, link, wanted, content)
    return _back(link, "photo")


def _back(link: str, done: str) -> Response:
    return RedirectResponse(f"{CUSTOMERS}{link}?done={done}", 303)
