"""Labour: once each, however many needs ask; no two that exclude each other, none without its base."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tappetry.knowledge.language import compile_expression
from tappetry.knowledge.model import Operation
from tappetry.pricing.labour import charge, hours
from tappetry.records.problems import BadInput, Where
from tests.pricing.jobs import rows, totals

ALWAYS = compile_expression("true", Where())


def operation(code: str, book_hours: str = "1.0", **more: tuple[str, ...]) -> Operation:
    return Operation(code, f"work {code}", Decimal(book_hours), ALWAYS, **more)


@pytest.mark.parametrize("job", ["J1", "J3", "J5"])
def test_the_hours_of_a_job_are_those_worked_out_by_hand(job: str) -> None:
    book = [operation(row["code"], row["hours"]) for row in rows("operations", job)]
    assert hours(charge(book)) == totals(job)["hours"]


def test_an_operation_is_charged_once_and_names_the_needs_that_ask_for_it() -> None:
    front = operation("A", "4.2", needs=("cover", "seal", "pump", "belt"))
    lines = charge([front, operation("B"), front], needs=("pump", "seal", "springs", "seal"))
    assert [(line.code, line.hours, line.needs) for line in lines] == [
        ("A", Decimal("4.2"), ("pump", "seal")),
        ("B", Decimal("1.0"), ()),
    ]


def test_two_that_exclude_each_other_are_told_once() -> None:
    with pytest.raises(BadInput) as told:
        charge([operation("ON", excludes=("OFF",)), operation("OFF", excludes=("ON",))])
    assert [str(complaint) for complaint in told.value.complaints] == [
        "operation ON: work ON excludes OFF: work OFF (read: ON and OFF); "
        "expected one of them; make their conditions exclude each other"
    ]


def test_one_without_what_it_requires_is_told_with_what_to_do() -> None:
    with pytest.raises(BadInput) as told:
        charge([operation("LIFTERS", requires=("HEADS",)), operation("FRONT")])
    assert [str(complaint) for complaint in told.value.complaints] == [
        "operation LIFTERS: work LIFTERS requires HEADS, which is not to be done (read: LIFTERS); "
        "expected HEADS too; make its condition hold whenever LIFTERS is done"
    ]


def test_what_is_required_may_come_later_in_the_book() -> None:
    lines = charge([operation("LIFTERS", requires=("HEADS",)), operation("HEADS")])
    assert [line.code for line in lines] == ["LIFTERS", "HEADS"]


def test_hours_of_nothing_are_refused() -> None:
    with pytest.raises(BadInput) as told:
        charge([operation("A", "0")])
    assert str(told.value) == "operation A: the book hours are not sound (read: 0); expected more than 0"
