"""More rows asked for at once than a statement may name, on either database."""

from __future__ import annotations

import pytest
from sqlalchemy import func, insert, select

from tappetry.services import privacy
from tappetry.services.invoices import write_invoice
from tappetry.services.ledger import Ledger
from tappetry.services.people import of_job
from tappetry.store.books import journal
from tappetry.store.database import Database
from tappetry.store.invoices import last_invoices
from tappetry.store.jobs import rows_of
from tappetry.store.many import AT_ONCE, parts
from tappetry.store.models import Entry
from tests.services.till import DAY, DUE, agreed, till

pytestmark = pytest.mark.slow

#: More than SQLite's 32,766 and PostgreSQL's 65,535 values of one statement.
MANY = 66_000


@pytest.fixture
def ledger(database: Database) -> Ledger:
    """Two jobs of one customer with an invoice each."""
    made = till(database)
    for number in ("J-1", "J-2"):
        agreed(made, number)
        write_invoice(made, number, DUE, DAY, "Wren")
    return made


@pytest.mark.parametrize("count", [0, 1, AT_ONCE, AT_ONCE + 1, 3 * AT_ONCE])
def test_parts_are_all_values_in_their_order_and_none_is_too_long(count: int) -> None:
    found = list(parts(range(count)))
    assert [each for part in found for each in part] == list(range(count))
    assert all(0 < len(part) <= AT_ONCE for part in found)


def test_jobs_invoices_and_postings_are_found_among_any_number(ledger: Ledger) -> None:
    # The two jobs lie at both ends, in other parts of what is asked.
    ids = [1, *range(1000, 1000 + MANY), 2]
    with ledger.database.reading() as session:
        assert [row.number for row in rows_of(session, ids)] == ["J-1", "J-2"]
        papers = last_invoices(session, ids)
        assert {job: paper.number for job, paper in papers.items()} == {1: 1, 2: 2}
        found = journal(session, ["J-2", *(f"K-{each}" for each in range(MANY)), "J-1"])
        assert [job for job, _ in found] == ["J-1", "J-2"], "by day and number, whichever part they were in"


def test_a_customer_with_more_acts_than_a_statement_names_gets_all_his_data(ledger: Ledger) -> None:
    copied = [Entry.at, Entry.who, Entry.what, Entry.why, Entry.job_id]
    again = insert(Entry).from_select([each.key for each in copied], select(*copied).where(Entry.job_id == 1))
    there = 0
    with ledger.database.writing() as session:
        while there <= MANY:
            session.execute(again)
            there = session.scalar(select(func.count(Entry.id)).where(Entry.job_id.in_((1, 2)))) or 0
    customer = of_job(ledger, "J-1")[0]
    assert customer is not None
    told = privacy.data_of(ledger, customer.id)["tables"]
    assert len(told["entries"]) == there
    assert [each["number"] for each in told["invoices"]] == [1, 2]
