"""Kits and quotes in the store: pinned to what they were made from, exact, and never changed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from sqlalchemy import func, select, text
from sqlalchemy.exc import DBAPIError, StatementError

from tappetry.store.database import Database
from tappetry.store.jobs import KeptJob, add_job, change_job, job_now
from tappetry.store.models import FACTS, PLAN, SHEET, Base, KitLine
from tappetry.store.problems import NotKept
from tappetry.store.quotes import keep_kit, keep_quote, kits_of, quote_paper, quotes_of
from tests.store.documents import act, document, kit, paper

pytestmark = pytest.mark.slow


def opened(database: Database) -> KeptJob:
    with database.writing() as session:
        return add_job(session, document(), act("opened the job"))


def quoted(database: Database, job: KeptJob, price: str = "19.99", says: str = "the quote") -> None:
    with database.writing() as session:
        kept = keep_kit(session, job, kit(price), {"price": price}, act("kept a kit"))
        keep_quote(session, job, kept, paper(says), act("sent a quote"))


def test_a_kit_is_pinned_to_the_versions_that_it_was_made_from(database: Database) -> None:
    job = opened(database)
    with database.writing() as session:
        job = change_job(session, document(cam="B3"), {PLAN: 1}, act())
        keep_kit(session, job, kit(), {"lines": []}, act("kept a kit"))
    with database.reading() as session:
        (kept,) = kits_of(session, "J-1")
        assert (kept.knowledge_version, kept.catalogue_version) == ("k1", "c1")
        assert (kept.sheet_version, kept.facts_version, kept.plan_version) == (1, 1, 2)
        assert (kept.total, kept.currency, kept.entry.what) == (Decimal("39.98"), "USD", "kept a kit")
        assert [(line.part, line.quantity, line.unit_price) for line in kept.lines] == [
            ("LX-1", 2, Decimal("19.99"))
        ]


def test_the_same_kit_is_kept_once_and_another_beside_it(database: Database) -> None:
    job = opened(database)
    with database.writing() as session:
        for price in ("19.99", "19.99", "20.49"):
            keep_kit(session, job, kit(price), {"price": price}, act())
    with database.reading() as session:
        assert [(each.number, each.total) for each in kits_of(session, "J-1")] == [
            (1, Decimal("39.98")),
            (2, Decimal("40.98")),
        ]


def test_a_later_price_makes_another_quote_and_the_first_stays(database: Database) -> None:
    job = opened(database)
    quoted(database, job)
    quoted(database, job, "25.00", "the second quote")
    with database.reading() as session:
        first, second = quotes_of(session, "J-1")
        assert (first.number, first.total, second.total) == (1, Decimal("39.98"), Decimal("50.00"))
        assert first.kit.document == {"price": "19.99"}
        assert quote_paper(session, "J-1", 1) == b"the quote"
        assert quote_paper(session, "J-1", 2) == b"the second quote"
        assert job_now(session, "J-1").state == "quoted"
        with pytest.raises(NotKept, match="Job J-1 has no quote 3"):
            quote_paper(session, "J-1", 3)


@pytest.mark.parametrize("table", ["entries", "versions", "kits", "kit_lines", "quotes"])
@pytest.mark.parametrize("change", ["DELETE FROM {table}", "UPDATE {table} SET {column} = {column}"])
def test_the_database_itself_refuses_to_change_what_is_kept(
    database: Database, table: str, change: str
) -> None:
    quoted(database, opened(database))
    column = list(Base.metadata.tables[table].columns)[-1].name
    with pytest.raises(DBAPIError, match="what is kept is never changed"), database.writing() as session:
        session.execute(text(change.format(table=table, column=column)))


def test_sums_over_many_lines_are_exact(database: Database) -> None:
    job = opened(database)
    with database.writing() as session:
        for cents in range(1, 101):
            keep_kit(session, job, kit(f"0.{cents:02d}" if cents < 100 else "1.00"), {"c": cents}, act())
    with database.reading() as session:
        total = session.scalar(select(func.sum(KitLine.line_total, type_=KitLine.line_total.type)))
    assert total == Decimal("101.00")


def test_an_amount_finer_than_a_cent_is_refused_rather_than_rounded(database: Database) -> None:
    job = opened(database)
    refused = r"an amount of 0\.125 is kept in whole cents or not at all"
    with pytest.raises(StatementError, match=refused), database.writing() as session:
        keep_kit(session, job, kit("0.125"), {}, act())
    with database.reading() as session:
        assert kits_of(session, "J-1") == []


def test_versions_of_a_job_are_those_of_its_parts(database: Database) -> None:
    assert opened(database).versions == {SHEET: 1, FACTS: 1, PLAN: 1}
