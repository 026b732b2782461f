"""Who may do what: the roles of a shop, and the permissions of each."""

from __future__ import annotations

from enum import Enum


class Permission(Enum):
    """One thing that a role may do; the value says it in words."""

    SEE = "read jobs, parts, families and calculations"
    FACTS = "state facts and take a customer's answers"
    PLAN = "open jobs, change plans, keep kits, write reasons down"
    SELL = "send quotes and links, write acceptances down"
    BUY = "send orders to suppliers"
    PURCHASE = "see what the shop pays and what it earns"
    TILL = "take payments, take back what was typed wrongly, see what customers owe"
    BOOKS = "write invoices and credits, keep the books"
    SIMULATE = "have curves worked out, and stop it"
    TEXT = "edit the shop's own text and put it into effect"
    DELETE = "delete a customer's data"
    ACCOUNTS = "make, change and end accounts"


class Role(Enum):
    """The place at which a person works; the value says it in words."""

    OWNER = "owner"
    COUNTER = "counter"
    BENCH = "bench"
    DESK = "desk"


P = Permission
#: What each role may do.
GRANTS = {
    Role.OWNER: frozenset(Permission),
    Role.COUNTER: frozenset({P.SEE, P.FACTS, P.PLAN, P.SELL, P.TILL, P.SIMULATE}),
    Role.BENCH: frozenset({P.SEE, P.FACTS, P.SIMULATE}),
    Role.DESK: frozenset({P.SEE, P.FACTS, P.PLAN, P.SELL, P.TILL, P.BUY, P.PURCHASE, P.BOOKS, P.SIMULATE}),
}
