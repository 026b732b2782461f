"""The acts on accounts: make one, change role or password, let it in no more; each stands in the trail."""

from __future__ import annotations

import re

from tappetry.records.problems import BadInput, Ground, Refusal, Where
from tappetry.services.ledger import Ledger
from tappetry.services.passwords import Passwords, must_be_good
from tappetry.services.roles import Role
from tappetry.store import accounts as store
from tappetry.store.accounts_models import Account
from tappetry.store.jobs import enter

__all__ = ["Account"]

#: What a name may be: it stands in the history of jobs.
NAME = re.compile(r"[^\W_](?:[\w .'-]{0,58}[^\W_])?")


def every(ledger: Ledger) -> list[Account]:
    """All accounts."""
    return ledger.read(store.accounts)


def add(ledger: Ledger, passwords: Passwords, name: str, role: Role, password: str, who: str) -> None:
    """Make an account; whoever gets it has to choose another password first, unless it is the first one.

    Raises
    ------
    BadInput
        The name or the password is not taken.
    NotKept
        There is an account of this name already.
    """
    name = account_name(name)
    must_be_good(password, name, _shop(ledger))
    mark = passwords.mark(password)
    with ledger.database.writing() as session:
        first = not store.accounts(session)
        made = Account(name=name, role=role.value, password=mark, disabled=False, must_change=not first)
        store.add_account(session, made, ledger.act(who, f"made the account {name}: {role.value}"))


def set_role(ledger: Ledger, name: str, role: Role, who: str) -> None:
    """Give an account another role.

    Raises
    ------
    NotKept
        There is no such account.
    Refusal
        It is the last owner.
    """
    with ledger.database.writing() as session:
        account = store.account_named(session, name, to_change=True)
        if role is not Role.OWNER:
            _must_not_be_last(account, store.owners(session, Role.OWNER.value))
        was, account.role = account.role, role.value
        store.end_sessions(session, account)
        enter(session, ledger.act(who, f"changed the account {name}: {was} became {role.value}"))


def set_disabled(ledger: Ledger, name: str, disabled: bool, who: str) -> None:
    """Let an account in no more, or again; its browsers are let out at once.

    Raises
    ------
    NotKept
        There is no such account.
    Refusal
        It is the last owner.
    """
    with ledger.database.writing() as session:
        account = store.account_named(session, name, to_change=True)
        if disabled:
            _must_not_be_last(account, store.owners(session, Role.OWNER.value))
        account.disabled = disabled
        store.end_sessions(session, account)
        said = "closed" if disabled else "opened"
        enter(session, ledger.act(who, f"{said} the account {name}"))


def set_password(ledger: Ledger, passwords: Passwords, name: str, password: str, who: str) -> None:
    """Give an account another password; its browsers are let out at once.

    Set by somebody else, it has to be changed before anything is done with it.

    Raises
    ------
    BadInput
        The password is not taken.
    NotKept
        There is no such account.
    """
    must_be_good(password, name, _shop(ledger))
    mark = passwords.mark(password)
    with ledger.database.writing() as session:
        account = store.account_named(session, name, to_change=True)
        account.password = mark
        account.must_change = who != name
        store.end_sessions(session, account)
        store.forget_failures(session, name)
        enter(session, ledger.act(who, f"set a new password for the account {name}"))


def change_own_password(ledger: Ledger, passwords: Passwords, name: str, old: str, new: str) -> None:
    """Change the password of whoever sits at a browser.

    Raises
    ------
    BadInput
        The old password is wrong, or the new one is not taken or the same.
    """
    account = ledger.read(lambda session: store.account_named(session, name))
    if not passwords.fits(account.password, old):
        raise BadInput.at(Where("password"), "the old password is another one")
    if old == new:
        raise BadInput.at(Where("password"), "the new password is the old one", "", "another one")
    set_password(ledger, passwords, name, new, name)


def account_name(name: str) -> str:
    """A name as it is kept.

    Raises
    ------
    BadInput
        It is none.
    """
    found = " ".join(name.split())
    if not NAME.fullmatch(found):
        expected = "1 to 60 letters, digits, spaces, points, hyphens, with a letter or digit at both ends"
        raise BadInput.at(Where("account"), "this cannot be the name of an account", name, expected)
    return found


def role_named(name: str) -> Role:
    """A role by its name.

    Raises
    ------
    BadInput
        There is no such role.
    """
    for role in Role:
        if role.value == name:
            return role
    expected = "one of " + ", ".join(role.value for role in Role)
    raise BadInput.at(Where("role"), "there is no such role", name, expected)


def _must_not_be_last(account: Account, owners: int) -> None:
    if account.role == Role.OWNER.value and not account.disabled and owners < 2:
        raise Refusal(
            f"{account.name} is the last owner who may enter.",
            [Ground("somebody has to be able to make and end accounts", "accounts")],
            ["make another account an owner first"],
        )


def _shop(ledger: Ledger) -> str:
    return str(ledger.shop.knowledge.book.shop["name"])
