"""Logging in and out: sessions that end, logins that are slowed down, and tokens of other programs."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta

from tappetry.records.problems import BadInput, Ground, Refusal, Where
from tappetry.services.accounts import account_name
from tappetry.services.ledger import Ledger
from tappetry.services.links import mark_of, new_token
from tappetry.services.passwords import LONGEST, Passwords
from tappetry.services.roles import GRANTS, Permission, Role
from tappetry.store import accounts as store
from tappetry.store.accounts_models import ProgramToken

__all__ = ["ProgramToken"]

LOG = logging.getLogger("tappetry.access")
#: A session ends when nobody was there for so long, and after so long in any case.
IDLE, LONGEST_SESSION = timedelta(hours=2), timedelta(hours=12)
#: How much later a browser has to be there before that is noted again.
NOTED = timedelta(minutes=1)
#: Within this time so many logins may fail for one name, and from one address.
WINDOW = timedelta(minutes=15)
FOR_ONE_NAME, FROM_ONE_ADDRESS = 8, 24
#: How long a program's token may hold. [day]
MOST_DAYS = 400


@dataclass(frozen=True, slots=True)
class Seat:
    """Who asks: a person at a browser or a program, and what he may do."""

    name: str
    role: Role
    writes: bool = True
    must_change: bool = False

    def may(self, permission: Permission) -> bool:
        """Whether the role has a permission."""
        return permission in GRANTS[self.role]


def log_in(ledger: Ledger, passwords: Passwords, name: str, password: str, address: str) -> str:
    """Let somebody in; returns the token that the browser holds from now on.

    Raises
    ------
    Refusal
        Name and password do not belong together, which of them is not told; or it failed too often.
    """
    now = ledger.now()
    name, address = " ".join(name.split())[:60], address[:60]
    of_name, of_address = ledger.read(lambda session: store.failures(session, name, address, now - WINDOW))
    if of_name >= FOR_ONE_NAME or of_address >= FROM_ONE_ADDRESS:
        LOG.warning("a login was put off: %r from %r", name, address)
        minutes = int(WINDOW.total_seconds() // 60)
        if of_name >= FOR_ONE_NAME:
            what, most, other = "for this name", FOR_ONE_NAME, "let an owner set a new password"
        else:
            what, most, other = "from this address", FROM_ONE_ADDRESS, "log in at another machine"
        raise Refusal(
            f"Too many logins have failed {what}.",
            [Ground(f"{most} may fail {what} within {minutes} minutes", "login")],
            [f"Try again in {minutes} minutes, or {other}."],
        )
    account = next((each for each in ledger.read(store.accounts) if each.name == name), None)
    fits = passwords.fits(None if account is None else account.password, password[: LONGEST + 1])
    if account is None or not fits or account.disabled:
        with ledger.database.writing() as session:
            store.add_failure(session, name, address, now, now - WINDOW)
        LOG.warning("a login failed: %r from %r", name, address)
        raise Refusal("Name and password do not belong together, or the account is closed.")
    renewed = passwords.mark(password) if passwords.is_old(account.password) else ""
    token = new_token()
    with ledger.database.writing() as session:
        held = store.account_named(session, name, to_change=True)
        if held.disabled or held.password != account.password:
            raise Refusal("The account was changed this moment. Try again.")
        if renewed:
            held.password = renewed
        store.forget_failures(session, name)
        store.add_session(session, mark_of(token), held, now, now + LONGEST_SESSION)
    LOG.info("%r came in from %r", name, address)
    return token


def log_out(ledger: Ledger, token: str) -> None:
    """Let a browser out."""
    with ledger.database.writing() as session:
        store.end_session(session, mark_of(token))


def seat_of_session(ledger: Ledger, token: str) -> Seat | None:
    """Who sits at a browser; None where its session is over, or never was."""
    now, mark = ledger.now(), mark_of(token)
    found = ledger.read(lambda session: store.session_by_mark(session, mark))
    if found is None or found.account.disabled or found.ends_at <= now or found.seen_at + IDLE <= now:
        return None
    if found.seen_at + NOTED <= now:
        with ledger.database.writing() as session:
            store.see_session(session, mark, now)
    account = found.account
    return Seat(account.name, Role(account.role), must_change=account.must_change)


# ---- programs ----------------------------------------------------------------------------------------


def tokens(ledger: Ledger) -> list[ProgramToken]:
    """All tokens of programs."""
    return ledger.read(store.tokens)


def add_token(ledger: Ledger, name: str, role: Role, writes: bool, days: int, who: str) -> str:
    """Let a program ask with the rights of a role; returns its token, which is kept nowhere.

    Raises
    ------
    BadInput
        The name, the role or the time is not taken.
    NotKept
        There was a token of this name already.
    """
    name = account_name(name)
    if role is Role.OWNER:
        raise BadInput.at(Where("role"), "no program is an owner", role.value, "counter, bench or desk")
    if not 1 <= days <= MOST_DAYS:
        raise BadInput.at(Where("days"), "a token does not hold so long", days, f"1 to {MOST_DAYS}")
    token = new_token()
    ends_at: datetime = ledger.now() + timedelta(days=days)
    row = ProgramToken(
        name=name, mark=mark_of(token), role=role.value, writes=writes, ends_at=ends_at, ended=False
    )
    said = f"made the token {name}: {role.value}, {'reads and writes' if writes else 'reads'}, {days} days"
    with ledger.database.writing() as session:
        store.add_token(session, row, ledger.act(who, said))
    return token


def end_token(ledger: Ledger, name: str, who: str) -> None:
    """Take a program's token back.

    Raises
    ------
    NotKept
        There is no such token.
    """
    with ledger.database.writing() as session:
        store.end_token(session, name, ledger.act(who, f"took the token {name} back"))


def seat_of_token(ledger: Ledger, token: str) -> Seat | None:
    """Which program asks; None where its token holds no more, or never did."""
    found = ledger.read(lambda session: store.token_by_mark(session, mark_of(token)))
    if found is None or found.ended or found.ends_at <= ledger.now():
        return None
    return Seat(f"program {found.name}", Role(found.role), found.writes)
