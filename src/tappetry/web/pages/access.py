"""The way in and out, one's own password, and for owners the accounts of all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from tappetry.records.problems import BadInput, Refusal
from tappetry.services import accounts, sessions
from tappetry.services.accounts import Account, role_named
from tappetry.services.passwords import LONGEST, SHORTEST
from tappetry.services.roles import GRANTS, Permission, Role
from tappetry.services.sessions import ProgramToken
from tappetry.web.render import app_of, render
from tappetry.web.security import SESSION, person

router = APIRouter()


@dataclass(frozen=True, slots=True)
class LoginPage:
    """The way in, and why it stayed shut."""

    name: str = ""
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AccountPage:
    """Who is let in here, what the role may do, and one's own password."""

    name: str
    role: Role
    grants: tuple[str, ...]
    must_change: bool
    shortest: int
    longest: int
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AccountsPage:
    """All accounts, and the tokens of programs."""

    accounts: tuple[Account, ...]
    tokens: tuple[ProgramToken, ...]
    roles: tuple[tuple[Role, tuple[str, ...]], ...]
    shortest: int


@router.get("/login")
def login(request: Request) -> Response:
    """The way in."""
    if not app_of(request).guard.accounts:
        return RedirectResponse("/", 303)
    return render(request, "login.html", LoginPage())


@router.post("/login")
def log_in(
    request: Request, name: Annotated[str, Form()] = "", password: Annotated[str, Form()] = ""
) -> Response:
    """Let somebody in, or say why not; who has to choose a password comes to where that is done."""
    app = app_of(request)
    if not app.guard.accounts:
        return RedirectResponse("/", 303)
    address = request.client.host if request.client else ""
    try:
        token = sessions.log_in(app.ledger, app.passwords, name, password, address)
    except Refusal as refusal:
        page = LoginPage(name, (refusal.message, *refusal.ways_out))
        return render(request, "login.html", page, status=403)
    seat = sessions.seat_of_session(app.ledger, token)
    response = RedirectResponse("/account" if seat is not None and seat.must_change else "/", 303)
    app.guard.set_cookie(response, SESSION, token, seconds=None)
    return response


@router.post("/logout")
def log_out(request: Request) -> Response:
    """Let a browser out."""
    sessions.log_out(app_of(request).ledger, request.cookies.get(SESSION, ""))
    response = RedirectResponse("/login", 303)
    response.delete_cookie(SESSION, path="/", secure=True, httponly=True, samesite="strict")
    response.headers["Clear-Site-Data"] = '"cache", "storage"'
    return response


@router.get("/account")
def account(request: Request) -> Response:
    """Who is let in here."""
    return _account(request)


@router.post("/account/password")
def own_password(
    request: Request, old: Annotated[str, Form()] = "", new: Annotated[str, Form()] = ""
) -> Response:
    """Choose another password; every browser of the account has to log in anew."""
    app = app_of(request)
    if app.guard.accounts:
        try:
            accounts.change_own_password(app.ledger, app.passwords, person(request), old, new)
        except BadInput as error:
            return _account(request, tuple(map(str, error.complaints)))
    return RedirectResponse("/login", 303)


@router.get("/accounts")
def every(request: Request) -> Response:
    """All accounts."""
    ledger = app_of(request).ledger
    page = AccountsPage(
        accounts=tuple(accounts.every(ledger)),
        tokens=tuple(sessions.tokens(ledger)),
        roles=tuple((role, _grants(role)) for role in Role),
        shortest=SHORTEST,
    )
    return render(request, "accounts.html", page, "shop")


@router.post("/accounts")
def add(
    request: Request,
    name: Annotated[str, Form()] = "",
    role: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
) -> Response:
    """Make an account."""
    app = app_of(request)
    accounts.add(app.ledger, app.passwords, name, role_named(role), password, person(request))
    return RedirectResponse("/accounts", 303)


@router.post("/accounts/{name}/role")
def set_role(request: Request, name: str, role: Annotated[str, Form()] = "") -> Response:
    """Give an account another role."""
    accounts.set_role(app_of(request).ledger, name, role_named(role), person(request))
    return RedirectResponse("/accounts", 303)


@router.post("/accounts/{name}/password")
def set_password(request: Request, name: str, password: Annotated[str, Form()] = "") -> Response:
    """Give an account a password for its next login."""
    app = app_of(request)
    accounts.set_password(app.ledger, app.passwords, name, password, person(request))
    return RedirectResponse("/accounts", 303)


@router.post("/accounts/{name}/closed")
def set_closed(request: Request, name: str, closed: Annotated[str, Form()] = "") -> Response:
    """Let an account in no more, or again."""
    accounts.set_disabled(app_of(request).ledger, name, closed == "yes", person(request))
    return RedirectResponse("/accounts", 303)


def _account(request: Request, said: tuple[str, ...] = ()) -> Response:
    seat = request.state.seat
    if seat is None:
        return RedirectResponse("/shop", 303)
    page = AccountPage(
        name=seat.name,
        role=seat.role,
        grants=_grants(seat.role),
        must_change=seat.must_change,
        shortest=SHORTEST,
        longest=LONGEST,
        said=said,
    )
    return render(request, "account.html", page, "shop", status=400 if said else 200)


def _grants(role: Role) -> tuple[str, ...]:
    return tuple(each.value for each in Permission if each in GRANTS[role])
