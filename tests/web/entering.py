"""An app that asks for accounts, with one account for each role, and browsers that log in."""

from __future__ import annotations

import re

from argon2 import PasswordHasher
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response

from tappetry.services import accounts
from tappetry.services.ledger import Ledger
from tappetry.services.passwords import Passwords
from tappetry.services.roles import Role
from tappetry.web.app import make_app
from tappetry.web.security import Entrance

NAME = "tappetry.test"
#: As quick as Argon2id goes: what a mark is worth is not asked here.
QUICK = Passwords(PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
WORDS = "seven lamps on a quiet pond"


def name_of(role: Role) -> str:
    """The name of the account of a role."""
    return f"Any {role.value}"


def opened_to_others(ledger: Ledger) -> FastAPI:
    """The app of a shop with an account for each role, none of which has to change its password."""
    for role in Role:
        accounts.add(ledger, QUICK, name_of(role), role, WORDS, "test")
        accounts.set_password(ledger, QUICK, name_of(role), WORDS, name_of(role))
    return make_app(ledger, Entrance((NAME,), accounts=True), QUICK)


class Visitor:
    """A browser at an app that asks for accounts."""

    def __init__(self, app: FastAPI) -> None:
        self.client = TestClient(
            app, base_url=f"https://{NAME}", raise_server_exceptions=False, follow_redirects=False
        )

    def token(self, page: str = "/login") -> str:
        """The token that the forms of a page carry."""
        found = re.search(r'name="token" value="(\w+)"', self.client.get(page).text)
        assert found is not None
        return found[1]

    def log_in(self, name: str, password: str = WORDS) -> Response:
        """Send the form of the way in."""
        return self.post("/login", page="/login", name=name, password=password)

    def post(self, address: str, page: str = "/account", **fields: str) -> Response:
        """Send a form with the token of a page."""
        return self.client.post(address, data={"token": self.token(page), **fields})


def let_in(app: FastAPI, role: Role) -> Visitor:
    """A browser at which somebody of a role is let in."""
    visitor = Visitor(app)
    assert visitor.log_in(name_of(role)).status_code == 303
    return visitor
