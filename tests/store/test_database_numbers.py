"""A number that no column holds: there is nothing of such a number, on either database, and no fault."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from tappetry.store.database import Database
from tappetry.store.models import JobRow
from tappetry.store.problems import NotKept

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("number", [2**63, 10**40, -(10**40)])
def test_a_number_that_no_column_holds_is_of_nothing(database: Database, number: int) -> None:
    said = ""
    found = None
    try:
        with database.reading() as session:
            found = session.scalar(select(JobRow.id).where(JobRow.id == number))
    except NotKept as error:
        said = str(error)
    assert found is None
    assert said in ("", "There is nothing of such a number: it is larger than any that is kept.")
