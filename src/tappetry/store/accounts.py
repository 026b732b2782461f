"""Keeps accounts, sessions, failed logins and tokens; acts on accounts and tokens stand in the trail."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import delete, func, or_, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, joinedload

from tappetry.store.accounts_models import Account, FailedLogin, LoginSession, ProgramToken
from tappetry.store.jobs import Act, enter
from tappetry.store.problems import NotKept


def accounts(session: Session) -> list[Account]:
    """All accounts by name."""
    return list(session.scalars(select(Account).order_by(Account.name)))


def account_named(session: Session, name: str, to_change: bool = False) -> Account:
    """An account by its name; one that is to be changed waits until nobody else changes it.

    Raises
    ------
    NotKept
        There is no such account.
    """
    wanted = select(Account).where(Account.name == name)
    found = session.scalar(wanted.with_for_update() if to_change else wanted)
    if found is None:
        raise NotKept(f"There is no account {name}.")
    return found


def add_account(session: Session, account: Account, act: Act) -> None:
    """Keep a new account.

    Raises
    ------
    NotKept
        There is an account of this name already.
    """
    session.add(account)
    try:
        session.flush()
    except IntegrityError:
        raise NotKept(f"There is an account {account.name} already.") from None
    enter(session, act)


def owners(session: Session, role: str) -> int:
    """How many accounts of a role may enter; nobody else counts or changes them meanwhile."""
    wanted = select(Account.id).where(Account.role == role, Account.disabled.is_(False)).with_for_update()
    return len(session.scalars(wanted).all())


# ---- sessions ----------------------------------------------------------------------------------------


def add_session(session: Session, mark: str, account: Account, now: datetime, ends_at: datetime) -> None:
    """Let a browser in, and forget those whose time is over."""
    session.execute(delete(LoginSession).where(LoginSession.ends_at < now))
    session.add(LoginSession(mark=mark, account_id=account.id, seen_at=now, ends_at=ends_at))
    session.flush()


def session_by_mark(session: Session, mark: str) -> LoginSession | None:
    """The session of a mark, with its account."""
    wanted = select(LoginSession).options(joinedload(LoginSession.account)).where(LoginSession.mark == mark)
    return session.scalar(wanted)


def see_session(session: Session, mark: str, now: datetime) -> None:
    """Note that a browser was there."""
    found = session_by_mark(session, mark)
    if found is not None:
        found.seen_at = now


def end_session(session: Session, mark: str) -> None:
    """Let a browser out."""
    session.execute(delete(LoginSession).where(LoginSession.mark == mark))


def end_sessions(session: Session, account: Account) -> None:
    """Let every browser of an account out."""
    session.execute(delete(LoginSession).where(LoginSession.account_id == account.id))


# ---- failed logins -----------------------------------------------------------------------------------


def failures(session: Session, name: str, address: str, since: datetime) -> tuple[int, int]:
    """How many logins failed since a moment: for this name, and from this address."""
    counted = select(func.count()).select_from(FailedLogin).where(FailedLogin.at >= since)
    of_name = session.scalar(counted.where(FailedLogin.name == name)) or 0
    of_address = session.scalar(counted.where(FailedLogin.address == address)) or 0
    return of_name, of_address


def add_failure(session: Session, name: str, address: str, now: datetime, old: datetime) -> None:
    """Note a login that failed, and forget those before ``old``."""
    session.execute(delete(FailedLogin).where(FailedLogin.at < old))
    session.add(FailedLogin(name=name, address=address, at=now))
    session.flush()


def forget_failures(session: Session, name: str) -> None:
    """Forget the failed logins of a name."""
    session.execute(delete(FailedLogin).where(FailedLogin.name == name))


# ---- tokens ------------------------------------------------------------------------------------------


def tokens(session: Session) -> list[ProgramToken]:
    """All tokens by name."""
    return list(session.scalars(select(ProgramToken).order_by(ProgramToken.name)))


def add_token(session: Session, token: ProgramToken, act: Act) -> None:
    """Keep a new token.

    Raises
    ------
    NotKept
        There was a token of this name already.
    """
    taken = or_(ProgramToken.name == token.name, ProgramToken.mark == token.mark)
    if session.scalar(select(func.count()).select_from(ProgramToken).where(taken)):
        raise NotKept(f"There is or was a token {token.name} already. Take another name.")
    session.add(token)
    enter(session, act)


def end_token(session: Session, name: str, act: Act) -> None:
    """Take a token back; one that is taken back stays so.

    Raises
    ------
    NotKept
        There is no such token.
    """
    found = session.scalar(select(ProgramToken).where(ProgramToken.name == name).with_for_update())
    if found is None:
        raise NotKept(f"There is no token {name}.")
    if not found.ended:
        found.ended = True
        enter(session, act)


def token_by_mark(session: Session, mark: str) -> ProgramToken | None:
    """The token of a mark."""
    return session.scalar(select(ProgramToken).where(ProgramToken.mark == mark))
