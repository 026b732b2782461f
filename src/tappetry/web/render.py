"""Turns a typed page into HTML; what a template may say of numbers, money and states."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from fastapi import Request, Response
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from tappetry.presentation import words
from tappetry.presentation.measures import figure_in_both, figure_in_first
from tappetry.quantities.calendar import moment
from tappetry.records.problems import WayOut
from tappetry.services.ledger import Ledger, plain
from tappetry.services.passwords import Passwords
from tappetry.services.roles import Permission
from tappetry.web.access import may
from tappetry.web.security import CUSTOMERS, NOBODY, Guard, fragment, person
from tappetry.web.units import chosen

#: The rooms of the app, in the order of the day.
SPINE = (
    ("today", "/", "Today"),
    ("jobs", "/jobs", "Jobs"),
    ("parts", "/parts", "Parts"),
    ("families", "/families", "Families"),
    ("cam-search", "/cam-search", "Cam search"),
    ("calculators", "/calculators", "Calculators"),
    ("shop", "/shop", "Shop"),
)


@dataclass(frozen=True, slots=True)
class App:
    """What every page needs: the shop with its database, the guard, and how passwords are checked."""

    ledger: Ledger
    guard: Guard
    passwords: Passwords


@dataclass(frozen=True, slots=True)
class ProblemPage:
    """What could not be done, why, what would help, what was typed, and a customer's way back to his page."""

    title: str
    said: str
    facts: tuple[str, ...] = ()
    arithmetic: str = ""
    ways_out: tuple[str, ...] = ()
    typed: tuple[tuple[str, str], ...] = ()
    back: str = ""


@dataclass(frozen=True, slots=True)
class WorkingPage:
    """What stands in the place of a page, or ``within`` a page, until it is worked out."""

    address: str
    within: bool
    seconds: int


def app_of(request: Request) -> App:
    """The app that a request came to."""
    found = request.app.state.app
    assert isinstance(found, App)
    return found


def render(request: Request, template: str, page: object, room: str = "", status: int = 200) -> Response:
    """A page; ``page`` holds all that its template speaks of."""
    app = app_of(request)
    who = person(request)
    html = (
        templates()
        .get_template(template)
        .render(
            page=page,
            layout=_layout(request),
            room=room,
            spine=SPINE,
            person="" if who == NOBODY else who,
            shop=str(app.ledger.shop.knowledge.book.shop["name"]),
            token=app.guard.token(request),
            accounts=app.guard.accounts,
            may=lambda name: may(request, Permission[name]),
            units=chosen(request),
        )
    )
    return HTMLResponse(html, status)


def render_problem(request: Request, page: ProblemPage, status: int) -> Response:
    """A page that says what could not be done, with what was typed before it."""
    typed = getattr(request.state, "typed", ())
    path = request.url.path
    back = "/".join(path.split("/")[:3]) if request.method == "POST" and path.startswith(CUSTOMERS) else ""
    return render(request, "problem.html", replace(page, typed=typed, back=back), status=status)


@lru_cache(maxsize=1)
def templates() -> Environment:
    """The templates of all pages."""
    made = Environment(
        loader=PackageLoader("tappetry.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {
        "amount": _amount,
        "more": _more,
        "hours": words.hours,
        "day": words.day,
        "moment": moment,
        "figure": words.figure,
        "signed": words.signed_figure,
        "sign": words.unit,
        "working_days": words.working_days,
        "quantity": words.quantity,
        "in_both": figure_in_both,
        "in_first": figure_in_first,
        "state": words.state,
        "words": words.title,
        "outcome": lambda outcome: words.OUTCOMES[outcome],
        "importance": lambda name: words.IMPORTANCE.get(name, name),
        "chance": words.chance,
        "fields": _fields,
    }
    return made


def _amount(value: Decimal | str) -> str:
    """Money, also as a paper that was kept writes it."""
    return words.amount(Decimal(value))


def _more(value: Decimal) -> str:
    """An amount as a difference, its sign always written."""
    return f"{'−' if value < 0 else '+'}{words.amount(abs(value))}"


def _fields(way: WayOut) -> str:
    return plain(way.change)


def _layout(request: Request) -> str:
    """What stands around a page: nothing, the shop's head for a customer, or the rooms of the app."""
    if fragment(request):
        return "bare.html"
    outside = request.url.path.startswith(CUSTOMERS) or (
        app_of(request).guard.accounts and getattr(request.state, "seat", None) is None
    )
    return "customer_base.html" if outside else "base.html"
