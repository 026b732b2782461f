"""What the shop holds of one customer: given out whole, and taken away when he asks for it."""

from __future__ import annotations

import base64
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from tappetry.records.problems import BadInput, Where
from tappetry.services.ledger import Ledger
from tappetry.store import erasure, jobs, people
from tappetry.store.erasure import Erased
from tappetry.store.jobs import ACCEPTED
from tappetry.store.problems import NotKept

#: Tables that say what the shop buys, and from whom; they are its own business.
OF_THE_SHOP = ("orders", "order_lines", "machine_orders", "machine_returns")
#: The field, in a line of a kit and wherever else, that says from whom the shop buys.
SUPPLIER = "supplier"
#: What goes of every customer, whatever else there was.
ALWAYS_GONE = "his name, ways to reach him and notes; names and words in his jobs; the papers themselves"
#: What each table is called in words, where something of it stays.
CALLED = {
    "entries": "lines of the audit trail: who of the shop did what and when, without the words of it",
    "versions": "versions of jobs, emptied of all facts, words and names",
    "kits": "kits with parts and prices",
    "kit_lines": "lines of kits",
    "quotes": "quotes with their sums",
    "changes": "change orders with their sums",
    "acceptances": "acceptances: when and how something was agreed",
    "orders": "orders to suppliers",
    "order_lines": "lines of orders to suppliers",
    "invoices": "invoices and credit notes with their sums",
    "machine_orders": "work orders to machine shops",
    "machine_returns": "values that came back from machine shops",
    "postings": "movements of money, and the words of each without his",
    "posting_lines": "lines of movements of money",
}


@dataclass(frozen=True, slots=True)
class Deleted:
    """What a deletion did, in words: what went, what stays and why, and what lies out of its reach."""

    mark: str
    gone: tuple[str, ...]
    kept: tuple[str, ...]
    by_hand: tuple[str, ...]


def data_of(ledger: Ledger, customer: int) -> dict[str, Any]:
    """Everything about a customer as plain data: each row of each table, papers and photos in base64.

    What the shop buys and from whom is left out, with the lines of the trail that tell of it, and so are the
    marks by which links are known. Numbers of parts stay, for they stand on quotes.

    Raises
    ------
    NotKept
        There is no such customer.
    """
    with ledger.database.reading() as session:
        people.customer_of(session, customer)
        found = erasure.rows_of(session, customer)
    bought = {row["id"] for row in found.get("postings", ()) if row[SUPPLIER]}
    of_bought = {"postings": "id", "posting_lines": "posting_id"}
    shown = {
        name: [row for row in rows if name not in of_bought or row[of_bought[name]] not in bought]
        for name, rows in found.items()
        if name not in OF_THE_SHOP
    }
    untold = _acts(found) - _acts(shown)
    shown["entries"] = [row for row in shown.get("entries", ()) if row["id"] not in untold]
    told = {
        name: [_plain({key: value for key, value in row.items() if key != "mark"}) for row in rows]
        for name, rows in shown.items()
        if rows
    }
    return {
        "what": f"all data about customer {customer} at {ledger.shop.knowledge.book.shop['name']}",
        "on": ledger.today.isoformat(),
        "left_out": "what the shop buys, from whom and at what cost",
        "tables": told,
    }


def _acts(tables: erasure.Rows) -> set[int]:
    """The lines of the trail to which rows of other tables refer."""
    return {row["entry_id"] for rows in tables.values() for row in rows if "entry_id" in row}


def sentence(name: str) -> str:
    """What somebody types who means to delete a customer's data."""
    return f"delete {name}"


def mark_of(customer: int) -> str:
    """What stands in the place of a customer's name once his data were deleted."""
    return f"[deleted customer {customer}]"


def in_work(ledger: Ledger, customer: int) -> tuple[str, ...]:
    """The jobs of a customer that were agreed and are not invoiced."""
    with ledger.database.reading() as session:
        return tuple(row.number for row in people.jobs_of(session, customer) if row.state == ACCEPTED)


def delete(ledger: Ledger, customer: int, typed: str, stand_in: bytes, who: str) -> Deleted:
    """Take the words of a customer out of the whole database; ``stand_in`` takes the place of kept papers.

    Raises
    ------
    BadInput
        The sentence that confirms it is not typed as it has to be.
    NotKept
        There is no such customer, or his data were deleted already.
    """
    mark = mark_of(customer)
    with ledger.database.writing() as session:
        found = people.customer_of(session, customer)
        if found.deleted_at is not None:
            raise NotKept(f"The data of customer {customer} were deleted already.")
        if typed.strip() != sentence(found.name):
            raise BadInput.at(Where(field="typed"), "this does not confirm it", typed, sentence(found.name))
        act = ledger.act(who, f"deleted the data of customer {customer}")
        erased = erasure.erase(session, found, mark, stand_in, act.at)
        jobs.enter(session, act)
    ledger.forget()
    erasure.compact(ledger.database, (*erased.gone, *erased.kept, "customers", "jobs"))
    return Deleted(
        mark,
        (ALWAYS_GONE, *_counted(erased.gone, {})),
        _counted(erased.kept, CALLED),
        _by_hand(ledger, erased),
    )


def _plain(value: Any) -> Any:
    """A value as JSON holds it, without suppliers."""
    if isinstance(value, Mapping):
        return {key: _plain(each) for key, each in value.items() if key != SUPPLIER}
    if isinstance(value, list):
        return [_plain(each) for each in value]
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, date):  # a moment is one as well
        return value.isoformat()
    return base64.b64encode(value).decode() if isinstance(value, bytes) else value


def _counted(rows: Mapping[str, int], called: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(
        f"{count} {called.get(name, name.replace('_', ' '))}" for name, count in rows.items() if count
    )


def _by_hand(ledger: Ledger, erased: Erased) -> tuple[str, ...]:
    """What no act of the program reaches: files beside the database, copies, and what left the house."""
    files = [
        f"the job file {file.name} in the shop's folder of jobs: take it away"
        for file in sorted(ledger.shop.jobs.glob("*.yaml"))
        if file.stem in erased.jobs
    ]
    return (
        *files,
        "backups that were made before hold the data until the last of them is taken away: those of each "
        "day after a year at the latest, those made by hand or before a new version only by hand",
        "papers, mail and pictures that left the database, and what suppliers were told",
        "words about him in jobs of other customers",
    )
