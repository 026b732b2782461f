"""The units in which the person at a browser reads; the browser remembers what was chosen."""

from __future__ import annotations

from fastapi import Request, Response

from tappetry.presentation.measures import METRIC, SYSTEMS, Measures

UNITS = "tappetry-units"
#: How long a browser remembers. [s]
YEAR = 31_536_000


def chosen(request: Request) -> Measures | None:
    """What was chosen here, else by the shop; None where every value stands as the shop states it."""
    house = request.app.state.app.ledger.shop.knowledge.book.shop
    return SYSTEMS.get(request.cookies.get(UNITS, "") or house.get("units", ""))


def measures_of(request: Request) -> Measures:
    """In what is told that the shop states in no unit, such as what was simulated."""
    return chosen(request) or METRIC


def choose(response: Response, name: str) -> None:
    """Remember what was chosen; a name that is none of the systems takes the choice back."""
    value = name if name in SYSTEMS else ""
    response.set_cookie(UNITS, value, httponly=True, samesite="strict", path="/", max_age=YEAR)
