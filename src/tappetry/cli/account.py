"""`tappetry account`: make, change and close accounts, and tokens for other programs."""

from __future__ import annotations

import argparse
import getpass
import sys
from typing import TYPE_CHECKING

from tappetry.cli.database import declare_database
from tappetry.cli.streams import answer

if TYPE_CHECKING:
    from tappetry.services.ledger import Ledger

ACTS = {
    "list": "say which accounts and tokens there are",
    "add": "make an account; its password is asked for, or read from the standard input",
    "password": "set a password for the next login",
    "role": "give an account another role",
    "close": "let an account in no more",
    "open": "let an account in again",
    "token": "let a program ask with the rights of a role; its token is shown this once",
    "end-token": "take a program's token back",
}
#: Who does it, as it stands in the trail.
WHO = "command line"


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    told = "; ".join(f"{name}: {what}" for name, what in ACTS.items())
    parser.add_argument("act", choices=ACTS, metavar="ACT", help=told)
    parser.add_argument("name", nargs="?", default="", metavar="NAME", help="the account or the program")
    parser.add_argument("--role", default="", help="owner, counter, bench or desk")
    parser.add_argument("--write", action="store_true", help="token: it may change things, not only read")
    parser.add_argument("--days", type=int, default=90, help="token: how long it holds (default: 90)")
    declare_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Do it, and say so."""
    from tappetry.presentation.kept import papers
    from tappetry.services.ledger import ledger_of
    from tappetry.services.shop import open_shop

    ledger = ledger_of(open_shop(), papers(), arguments.database)
    said = _done(ledger, arguments)
    if arguments.json:
        answer(said)
    else:
        _tell(said)
    return 0


def _done(ledger: Ledger, arguments: argparse.Namespace) -> dict[str, object]:
    from tappetry.services import accounts, sessions
    from tappetry.services.passwords import Passwords

    act, name = arguments.act, arguments.name
    if act == "list":
        return _listed(ledger)
    if act in ("add", "password"):
        role = accounts.role_named(arguments.role) if act == "add" else None
        password = _password()
        if role is not None:
            accounts.add(ledger, Passwords(), name, role, password, WHO)
        else:
            accounts.set_password(ledger, Passwords(), name, password, WHO)
    elif act == "role":
        accounts.set_role(ledger, name, accounts.role_named(arguments.role), WHO)
    elif act == "token":
        role = accounts.role_named(arguments.role)
        token = sessions.add_token(ledger, name, role, arguments.write, arguments.days, WHO)
        return {"act": act, "name": name, "token": token}
    elif act == "end-token":
        sessions.end_token(ledger, name, WHO)
    else:
        accounts.set_disabled(ledger, name, act == "close", WHO)
    return {"act": act, "name": name}


def _listed(ledger: Ledger) -> dict[str, object]:
    from tappetry.services import accounts, sessions

    return {
        "act": "list",
        "accounts": [
            {"name": each.name, "role": each.role, "closed": each.disabled} for each in accounts.every(ledger)
        ],
        "tokens": [
            {
                "name": each.name,
                "role": each.role,
                "writes": each.writes,
                "holds_to": each.ends_at.isoformat(),
                "ended": each.ended,
            }
            for each in sessions.tokens(ledger)
        ],
    }


def _tell(said: dict[str, object]) -> None:
    for kind in ("accounts", "tokens"):
        found = said.get(kind, [])
        assert isinstance(found, list)
        for each in found:
            print(", ".join(f"{key}: {value}" for key, value in each.items()))
    if "token" in said:
        print(said["token"])
    elif said["act"] != "list":
        print(f"{said['act']}: {said['name']}: done")


def _password() -> str:
    """The password, typed twice at a terminal, or the first line that is sent."""
    from tappetry.records.problems import BadInput, Where

    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    first = getpass.getpass("Password: ")
    if getpass.getpass("Once more: ") != first:
        raise BadInput.at(Where("password"), "the two are not the same")
    return first
