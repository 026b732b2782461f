"""Acceptances, change orders and supplier orders in the store: kept once, in order, and never changed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from tappetry.store.accepted import (
    acceptances_of,
    changes_of,
    keep_acceptance,
    keep_change,
    keep_orders,
    orders_of,
)
from tappetry.store.database import Database
from tappetry.store.jobs import add_job, job_now
from tappetry.store.models import Base
from tappetry.store.problems import NotKept
from tappetry.store.quotes import keep_kit, keep_quote
from tests.store.documents import act, document, kit, order_paper, paper, yes

pytestmark = pytest.mark.slow


def agreed(database: Database) -> None:
    """A job with a quote accepted, an order sent, and a change order out."""
    with database.writing() as session:
        job = add_job(session, document(), act("opened the job"))
        first = keep_kit(session, job, kit(), {"lines": []}, act("kept a kit"))
        quote = keep_quote(session, job, first, paper(), act("sent a quote"))
        said = keep_acceptance(session, "J-1", quote, yes(), act("accepted"))
        keep_orders(session, "J-1", said, [order_paper()], 0, act("sent orders"))
        second = keep_kit(session, job, kit("21.00"), {"lines": [1]}, act("kept a kit"))
        keep_change(session, "J-1", first, second, paper("the change"), act("sent a change order"))


def test_what_was_agreed_is_read_back(database: Database) -> None:
    agreed(database)
    with database.reading() as session:
        (said,) = acceptances_of(session, "J-1")
        (change,) = changes_of(session, "J-1")
        (order,) = orders_of(session, "J-1")
        assert (said.customer, said.how, said.kit.total) == ("A. Pellow", "letter", Decimal("39.98"))
        assert (change.number, change.total, change.pdf) == (1, Decimal("2.02"), b"the change")
        assert (order.number, order.total, order.lines[0].quantity) == (1, Decimal("19.00"), 2)
        assert job_now(session, "J-1").state == "accepted"


def test_a_change_starts_from_what_is_agreed(database: Database) -> None:
    agreed(database)
    with database.writing() as session:
        (change,) = changes_of(session, "J-1")
        keep_acceptance(session, "J-1", change, yes(), act("accepted"))
        with pytest.raises(NotKept, match="changed meanwhile"):
            keep_change(session, "J-1", change.before, change.kit, paper(), act())


@pytest.mark.parametrize("table", ["acceptances", "changes", "orders", "order_lines"])
@pytest.mark.parametrize("change", ["DELETE FROM {table}", "UPDATE {table} SET {column} = {column}"])
def test_the_database_itself_refuses_to_change_what_was_agreed(
    database: Database, table: str, change: str
) -> None:
    agreed(database)
    column = list(Base.metadata.tables[table].columns)[-1].name
    with pytest.raises(DBAPIError, match="what is kept is never changed"), database.writing() as session:
        session.execute(text(change.format(table=table, column=column)))
