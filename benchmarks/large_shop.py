"""A shop with five years of work: jobs with kits, quotes, orders, bills, and a price list each quarter."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Table, insert, select, text
from sqlalchemy.orm import Session

from benchmarks.large_catalogue import large_catalogue
from benchmarks.pairs import SEED
from tappetry.catalogue.writer import write_parts
from tappetry.presentation.kept import papers
from tappetry.services import agreements, books, invoices
from tappetry.services.agreements import IN_PERSON, Signed
from tappetry.services.ledger import Ledger
from tappetry.services.people import Visitor
from tappetry.services.shop import Shop, make_demo_shop
from tappetry.services.text_files import read_files, whole_mark
from tappetry.services.text_in_effect import marks_of
from tappetry.store import texts
from tappetry.store.database import Database
from tappetry.store.models import Base, JobRow

PARTS = "parts.csv"
YEARS, LISTS = 5, 20
TODAY = datetime(2026, 3, 2, 12, tzinfo=UTC)
#: How many of the latest jobs still wait for their quote, and for the customer's yes; the others are done.
OPEN, QUOTED = 3, 3
#: Numbers of rows that one job may take up, and how many rows are written at once.
STRIDE, AT_ONCE = 1_000, 20_000
#: The papers of how many of the latest jobs are there; nobody reads the others.
WITH_PAPERS = 200
WHO = "the desk"
Row = dict[str, Any]


def make_large_shop(folder: Path, parts: int) -> Shop:
    """The folder of the invented shop with a large list of parts."""
    small = make_demo_shop(folder)
    many = large_catalogue(small.catalogue, parts, SEED)
    (folder / PARTS).write_text(write_parts(many.parts), encoding="utf-8")
    return Shop(folder)


def fill(database: Database, shop: Shop, small: Shop, jobs: int) -> tuple[list[str], list[str]]:
    """Let the shop work for years; the numbers of the jobs in work, and of some that nobody looks at now."""
    ledger = Ledger(small, database, papers(), lambda: TODAY)
    waiting = OPEN + QUOTED
    with_jobs = (
        (_done(ledger), range(jobs - waiting)),
        (_quoted(ledger), range(jobs - waiting, jobs - OPEN)),
        (_begun(ledger), range(jobs - OPEN, jobs)),
    )
    with database.writing() as session:
        for number, places in with_jobs:
            for table, rows in _rows(session, number).items():
                many = (_copy(table, row, place, jobs) for place in places for row in rows)
                while batch := list(islice(many, AT_ONCE)):
                    session.execute(insert(table), batch)
    _lists(database, shop)
    if not database.is_sqlite:
        with database.writing() as session:
            session.execute(text("ANALYZE"))
    return (
        [f"N{place}" for place in range(jobs - waiting, jobs)],
        [f"N{place}" for place in range(max(0, jobs - WITH_PAPERS), jobs - waiting)],
    )


def _lists(database: Database, shop: Shop) -> None:
    """Every price list of the years, the one in effect last."""
    files = read_files(shop.folder)
    now = files[PARTS]
    marks = marks_of(shop, whole_mark(files))
    for place in range(LISTS):
        content = now.replace(b".00,", b".%02d," % (LISTS - 1 - place))  # in the end it is that of now
        whole = marks.whole if content == now else hashlib.sha256(content).hexdigest()
        kept = {**files, PARTS: content}
        at = TODAY - timedelta(days=365 * YEARS * (LISTS - place) / LISTS)
        act = texts.Act(WHO, f"took a price list: version {place + 1}", at)
        with database.writing() as session:
            texts.keep(session, place, kept, texts.Marks(whole, marks.knowledge, marks.catalogue), act)


def _begun(ledger: Ledger, name: str = "J5") -> str:
    file = ledger.shop.jobs / f"{name}.yaml"
    visitor = Visitor(reach=("0151 555 0100",), plate=f"MC {name} 1")
    ledger.new_job(file.read_text(encoding="utf-8"), WHO, visitor=visitor)
    return name


def _quoted(ledger: Ledger, name: str = "J1") -> str:
    ledger.send_quote(_begun(ledger, name), WHO)
    return name


def _done(ledger: Ledger, name: str = "J3") -> str:
    """A job that went all the way: quote, yes, deposit, orders, invoice, payment."""
    _quoted(ledger, name)
    agreements.accept_quote(ledger, name, 1, Signed("M. Tresk", IN_PERSON, {}, read=False), WHO)
    agreements.send_orders(ledger, name, WHO)
    paper = invoices.write_invoice(ledger, name, "2026-03-16", "2026-03-02", WHO)
    books.pay(ledger, name, "payment", str(paper.total), "card", "", WHO)
    return name


def _rows(session: Session, number: str) -> dict[Table, list[Row]]:
    """All rows that belong to a job, by their tables, those first that others refer to."""
    job = session.scalars(select(JobRow).where(JobRow.number == number)).one()
    mine = {"customers": job.customer_id, "vehicles": job.vehicle_id, "jobs": job.id}
    found: dict[Table, list[Row]] = {}
    for table in Base.metadata.sorted_tables:
        if table.name in mine:
            rows = session.execute(select(table).where(table.c.id == mine[table.name])).mappings()
            found[table] = [dict(row) for row in rows]
        elif any(key.column.table in found for key in table.foreign_keys):
            every = session.execute(select(table)).mappings()
            found[table] = [dict(row) for row in every if _belongs(table, row, found)]
    return {table: rows for table, rows in found.items() if rows}


def _belongs(table: Table, row: Mapping[str, Any], found: Mapping[Table, list[Row]]) -> bool:
    """Whether a row refers to one of those that were found."""
    return any(
        row[key.parent.name] == other[key.column.name]
        for key in table.foreign_keys
        for other in found.get(key.column.table, ())
    )


def _copy(table: Table, row: Row, place: int, jobs: int) -> Row:
    """A row of a job as that of the job at another place."""
    moment = TODAY - (jobs - place) * timedelta(days=365 * YEARS) / jobs
    copy = dict(row)
    for column in table.columns:
        name = column.name
        if copy[name] is None:
            continue
        if name == "id" or column.foreign_keys:
            copy[name] += (place + 1) * STRIDE
        elif name in ("at", "changed_at"):
            copy[name] = moment
        elif name in ("pdf", "document") and "currency" in copy and place < jobs - WITH_PAPERS:
            copy[name] = type(copy[name])()
    if table.name == "jobs":
        copy |= {"number": f"N{place}", "customer": _customer(place)}
        copy["words"] = f"n{place} {copy['title']} {_customer(place)}".lower()
    elif table.name == "customers":
        copy |= {"name": _customer(place), "key": _customer(place), "words": _customer(place)}
    elif table.name == "vehicles":
        copy |= {"plate": f"MC {place}", "words": f"mc {place} mc{place}"}
    elif table.name == "invoices":
        copy["number"] += place + 1
    return copy


def _customer(place: int) -> str:
    return f"customer {place // 2}"
