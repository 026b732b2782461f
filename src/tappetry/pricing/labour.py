"""Labour from the book: each operation once, however many needs ask for it, and none against another."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from tappetry.records.kit import OperationLine
from tappetry.records.problems import Complaints, Where

if TYPE_CHECKING:
    from tappetry.knowledge.model import Operation


def charge(operations: Iterable[Operation], needs: Iterable[str] = ()) -> tuple[OperationLine, ...]:
    """The labour lines of the operations whose conditions hold.

    Parameters
    ----------
    operations : iterable of Operation
        The operations that are to be done; one that comes twice is charged once.
    needs : iterable of str
        The needs that this job works on; each line names those of its own that are among them.

    Returns
    -------
    tuple of OperationLine
        In the order given.

    Raises
    ------
    BadInput
        Two operations that exclude each other, an operation without one it requires, or hours
        that are not positive; all of them at once.
    """
    wanted = {operation.code: operation for operation in operations}
    worked_on = tuple(dict.fromkeys(needs))
    complaints = Complaints()
    told: set[frozenset[str]] = set()
    for code, operation in wanted.items():
        where = Where(field=f"operation {code}")
        if not operation.hours > 0:
            complaints.add(where, "the book hours are not sound", operation.hours, "more than 0")
        for other in operation.excludes:
            if other in wanted and frozenset((code, other)) not in told:
                told.add(frozenset((code, other)))
                complaints.add(
                    where,
                    f"{operation.what} excludes {other}: {wanted[other].what}",
                    f"{code} and {other}",
                    "one of them; make their conditions exclude each other",
                )
        for other in operation.requires:
            if other not in wanted:
                complaints.add(
                    where,
                    f"{operation.what} requires {other}, which is not to be done",
                    code,
                    f"{other} too; make its condition hold whenever {code} is done",
                )
    complaints.raise_if_any()
    return tuple(
        OperationLine(
            code=operation.code,
            what=operation.what,
            hours=operation.hours,
            needs=tuple(need for need in worked_on if need in operation.needs),
            why=operation.note,
        )
        for operation in wanted.values()
    )


def hours(lines: Iterable[OperationLine]) -> Decimal:
    """The book hours of all lines."""
    return sum((line.hours for line in lines), Decimal(0))
