"""Who may open which address: one table for all of them, asked on the server before anything is done."""

from __future__ import annotations

from fastapi import Request
from starlette.exceptions import HTTPException

from tappetry.services.roles import Permission
from tappetry.services.sessions import Seat

P = Permission
#: Open to everybody: the way in, and pages behind a link of their own.
EVERYBODY = "everybody"
#: Open to whoever is let in, even while a new password has to be chosen.
LET_IN = "let in"

#: The permission that each address asks for, by method and path; what does not stand here is open to nobody.
ASKED: dict[str, Permission | str] = {
    "GET /login": EVERYBODY,
    "POST /login": EVERYBODY,
    "GET /c/{link}": EVERYBODY,
    "GET /c/{link}/paper.pdf": EVERYBODY,
    "POST /c/{link}/accept": EVERYBODY,
    "POST /c/{link}/answer": EVERYBODY,
    "POST /c/{link}/photo": EVERYBODY,
    "GET /static/charts.js": EVERYBODY,
    "POST /logout": LET_IN,
    "GET /account": LET_IN,
    "POST /account/password": LET_IN,
    "GET /accounts": P.ACCOUNTS,
    "POST /accounts": P.ACCOUNTS,
    "POST /accounts/{name}/role": P.ACCOUNTS,
    "POST /accounts/{name}/password": P.ACCOUNTS,
    "POST /accounts/{name}/closed": P.ACCOUNTS,
    "GET /": P.SEE,
    "GET /search": P.SEE,
    "GET /jobs": P.SEE,
    "GET /jobs/new": P.PLAN,
    "POST /jobs": P.PLAN,
    "POST /jobs/from-file": P.PLAN,
    "GET /customers": P.SEE,
    "GET /customers/{customer}": P.SEE,
    "POST /customers/{customer}": P.PLAN,
    "GET /customers/{customer}/merge": P.PLAN,
    "POST /customers/{customer}/merge": P.PLAN,
    "GET /customers/{customer}/data": P.SELL,
    "GET /customers/{customer}/data.{ending}": P.SELL,
    "POST /customers/{customer}/delete": P.DELETE,
    "POST /vehicles/{vehicle}": P.PLAN,
    "GET /vehicles/{vehicle}/new-job": P.PLAN,
    "POST /vehicles/{vehicle}/new-job": P.PLAN,
    "GET /jobs/{number}": P.SEE,
    "GET /jobs/{number}/next": P.SEE,
    "GET /jobs/{number}/history": P.SEE,
    "GET /jobs/{number}/facts": P.SEE,
    "GET /jobs/{number}/ask": P.SEE,
    "POST /jobs/{number}/facts": P.FACTS,
    "GET /jobs/{number}/plan": P.SEE,
    "GET /jobs/{number}/plan/try": P.SEE,
    "POST /jobs/{number}/plan": P.PLAN,
    "POST /jobs/{number}/way-out": P.PLAN,
    "GET /jobs/{number}/cams": P.SEE,
    "POST /jobs/{number}/cams": P.SIMULATE,
    "POST /jobs/{number}/cams/stop": P.SIMULATE,
    "GET /jobs/{number}/cams/{name}.{ending}": P.SEE,
    "GET /jobs/{number}/days": P.SEE,
    "GET /jobs/{number}/days/cost.{ending}": P.SEE,
    "GET /jobs/{number}/kit": P.SEE,
    "GET /jobs/{number}/kit/why/{need}": P.SEE,
    "POST /jobs/{number}/kit": P.PLAN,
    "GET /jobs/{number}/proof": P.SEE,
    "GET /jobs/{number}/proof/{name}.{ending}": P.SEE,
    "POST /jobs/{number}/sign": P.PLAN,
    "GET /jobs/{number}/papers": P.SEE,
    "GET /jobs/{number}/papers/quote.pdf": P.SEE,
    "GET /jobs/{number}/papers/quote-{quote}.pdf": P.SEE,
    "GET /jobs/{number}/papers/change-{change}.pdf": P.SEE,
    "GET /jobs/{number}/papers/order-{supplier}.pdf": P.PURCHASE,
    "GET /jobs/{number}/papers/sent-order-{order}.pdf": P.PURCHASE,
    "POST /jobs/{number}/quotes": P.SELL,
    "GET /jobs/{number}/accept/{kind}/{paper}": P.SELL,
    "POST /jobs/{number}/accept/{kind}/{paper}": P.SELL,
    "POST /jobs/{number}/orders": P.BUY,
    "POST /jobs/{number}/prices-asked": P.BUY,
    "GET /jobs/{number}/change": P.SELL,
    "POST /jobs/{number}/changes": P.SELL,
    "GET /jobs/{number}/machine": P.SEE,
    "POST /jobs/{number}/machine": P.BUY,
    "POST /jobs/{number}/machine/{order}/back": P.FACTS,
    "GET /jobs/{number}/machine/{order}.pdf": P.PURCHASE,
    "GET /jobs/{number}/machine/{order}.json": P.PURCHASE,
    "GET /jobs/{number}/customer": P.SEE,
    "GET /jobs/{number}/customer/photo-{answer}": P.SEE,
    "POST /jobs/{number}/links": P.SELL,
    "POST /jobs/{number}/links/{link}/end": P.SELL,
    "POST /jobs/{number}/answers/{answer}": P.FACTS,
    "GET /jobs/{number}/money": P.BOOKS,
    "POST /jobs/{number}/money": P.BOOKS,
    "POST /jobs/{number}/money/{posting}/back": P.BOOKS,
    "GET /jobs/{number}/bill": P.TILL,
    "POST /jobs/{number}/bill/invoices": P.BOOKS,
    "GET /bills": P.TILL,
    "GET /bills/books.csv": P.BOOKS,
    "GET /jobs/{number}/statement": P.TILL,
    "GET /jobs/{number}/statement.pdf": P.TILL,
    "POST /jobs/{number}/bill/payments": P.TILL,
    "POST /jobs/{number}/bill/payments/{payment}/back": P.TILL,
    "POST /jobs/{number}/bill/refunds": P.BOOKS,
    "POST /jobs/{number}/bill/refunds/{refund}/back": P.BOOKS,
    "GET /jobs/{number}/bill/credit": P.BOOKS,
    "POST /jobs/{number}/bill/credits": P.BOOKS,
    "GET /jobs/{number}/papers/invoice-{invoice}.pdf": P.TILL,
    "GET /jobs/{number}/papers/credit-{credit}.pdf": P.TILL,
    "GET /prices": P.PURCHASE,
    "POST /prices": P.PURCHASE,
    "GET /prices/{mark}": P.PURCHASE,
    "GET /prices/{mark}/reading": P.PURCHASE,
    "POST /prices/{mark}/reading": P.PURCHASE,
    "POST /prices/{mark}/looks": P.PURCHASE,
    "GET /prices/{mark}/looks/{look}": P.PURCHASE,
    "POST /prices/{mark}/looks/{look}/stop": P.PURCHASE,
    "POST /prices/{mark}/looks/{look}/again": P.PURCHASE,
    "POST /prices/{mark}/looks/{look}/take": P.PURCHASE,
    "POST /prices/{mark}/stand": P.PURCHASE,
    "POST /prices/{mark}/leave": P.PURCHASE,
    "GET /parts": P.SEE,
    "GET /parts/{supplier}/{number:path}": P.SEE,
    "GET /families": P.SEE,
    "GET /families/{family}": P.SEE,
    "GET /families/{family}/curves": P.SEE,
    "POST /families/{family}/curves": P.SIMULATE,
    "POST /families/{family}/curves/stop": P.SIMULATE,
    "GET /families/{family}/curves/{name}.{ending}": P.SEE,
    "GET /cam-search": P.SEE,
    "POST /cam-search": P.SIMULATE,
    "GET /cam-search/{key}": P.SEE,
    "POST /cam-search/{key}/stop": P.SIMULATE,
    "POST /cam-search/{key}/go-on": P.SIMULATE,
    "GET /cam-search/{key}/found.json": P.SEE,
    "GET /cam-search/{key}/{name}.{ending}": P.SEE,
    "GET /calculators": P.SEE,
    "GET /calculators/{name}": P.SEE,
    "GET /shop": P.SEE,
    "GET /shop/text": P.TEXT,
    "GET /shop/text/look": P.TEXT,
    "POST /shop/text/look": P.TEXT,
    "POST /shop/text/look/stop": P.TEXT,
    "GET /shop/text/file": P.TEXT,
    "POST /shop/text/file": P.TEXT,
    "POST /shop/text/file/away": P.TEXT,
    "POST /shop/text/file/forget": P.TEXT,
    "POST /shop/text/effect": P.TEXT,
    "POST /shop/text/again": P.TEXT,
    "GET /shop/text/versions/{version}": P.TEXT,
    "POST /units": P.SEE,
    "POST /person": P.SEE,
    "GET /api/1/openapi.json": P.SEE,
    "GET /api/1/search": P.SEE,
    "GET /api/1/jobs": P.SEE,
    "POST /api/1/jobs": P.PLAN,
    "GET /api/1/jobs/{number}": P.SEE,
    "GET /api/1/jobs/{number}/history": P.SEE,
    "GET /api/1/jobs/{number}/facts": P.SEE,
    "POST /api/1/jobs/{number}/facts": P.FACTS,
    "GET /api/1/jobs/{number}/ask": P.SEE,
    "GET /api/1/jobs/{number}/plan": P.SEE,
    "PATCH /api/1/jobs/{number}/plan": P.PLAN,
    "GET /api/1/jobs/{number}/plan/try": P.SEE,
    "GET /api/1/jobs/{number}/kit": P.SEE,
    "POST /api/1/jobs/{number}/kit": P.PLAN,
    "GET /api/1/jobs/{number}/proof": P.SEE,
    "GET /api/1/jobs/{number}/quotes": P.SEE,
    "POST /api/1/jobs/{number}/quotes": P.SELL,
    "GET /api/1/jobs/{number}/invoices": P.TILL,
    "GET /api/1/jobs/{number}/payments": P.TILL,
    "POST /api/1/jobs/{number}/payments/{payment}/back": P.TILL,
    "GET /api/1/jobs/{number}/refunds": P.TILL,
    "POST /api/1/jobs/{number}/refunds/{refund}/back": P.BOOKS,
    "GET /api/1/jobs/{number}/suppliers": P.BOOKS,
    "POST /api/1/jobs/{number}/suppliers/{posting}/back": P.BOOKS,
    "GET /api/1/jobs/{number}/statement": P.TILL,
    "GET /api/1/bills": P.TILL,
    "GET /api/1/parts": P.SEE,
    "GET /api/1/parts/{supplier}/{number:path}": P.SEE,
    "GET /api/1/families": P.SEE,
    "GET /api/1/families/{family}": P.SEE,
    "GET /api/1/calculators": P.SEE,
    "GET /api/1/calculators/{name}": P.SEE,
    "GET /api/1/calculators/{name}/result": P.SEE,
}


class LoginWanted(Exception):
    """Nobody is let in at this browser, and the address is not open to everybody."""


def route_of(request: Request) -> str:
    """Method and path of an address, as the table names it."""
    method = "GET" if request.method == "HEAD" else request.method
    return f"{method} {getattr(request.scope.get('route'), 'path', '')}"


def must_be_allowed(request: Request, seat: Seat | None) -> None:
    """Refuse what whoever asks may not do.

    Raises
    ------
    LoginWanted
        Nobody is let in here.
    HTTPException
        The role has no permission for it, or a new password has to be chosen first.
    """
    asked = ASKED.get(route_of(request))
    if asked == EVERYBODY:
        return
    if seat is None:
        raise LoginWanted
    if asked == LET_IN:
        return
    if seat.must_change:
        raise HTTPException(403, "Choose a password of your own first, at /account.")
    if not isinstance(asked, Permission) or not seat.may(asked):
        said = asked.value if isinstance(asked, Permission) else "open this"
        raise HTTPException(403, f"The role {seat.role.value} may not {said}. Ask an owner.")
    if not seat.writes and request.method not in ("GET", "HEAD"):
        raise HTTPException(403, "This token reads and changes nothing.")


def may(request: Request, permission: Permission) -> bool:
    """Whether whoever asks has a permission; without accounts everybody who is here has all of them."""
    if not request.app.state.app.guard.accounts:
        return True
    seat: Seat | None = getattr(request.state, "seat", None)
    return seat is not None and seat.may(permission)
