"""The day of supply of an invoice: what a job knows to propose for it, and what may be said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from tappetry.records.problems import BadInput, Where
from tappetry.services import machine
from tappetry.services.ledger import Ledger, day_of

#: So long before the work is handed over may its invoice be written. [day]
AHEAD = timedelta(days=31)


@dataclass(frozen=True, slots=True)
class Proposed:
    """A day that may be that of the supply, and why."""

    day: date
    why: str


def proposals(ledger: Ledger, number: str) -> tuple[Proposed, ...]:
    """Days that may be that of the supply, the likeliest first: nobody has said one yet.

    Raises
    ------
    NotKept
        There is no such job.
    """
    back = [day_of(each.back.entry.at) for each in machine.orders(ledger, number) if each.back]
    found = [Proposed(ledger.today, "where it is handed over today")]
    if back:
        found.append(Proposed(max(back), "the last work of a machine shop came back"))
    return tuple(found)


def read_supplied(ledger: Ledger, number: str, text: str) -> date:
    """The day of supply as somebody says it, ``2026-03-02``.

    Raises
    ------
    BadInput
        The day cannot be read, lies before the job, or further ahead than ``AHEAD``.
    NotKept
        There is no such job.
    """
    where = Where(field="supplied")
    try:
        said = date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput.at(where, "the day of supply cannot be read", text, "2026-03-02") from None
    today = ledger.today
    first, last = min(date.fromisoformat(ledger.job(number).kept.document["date"]), today), today + AHEAD
    if said < first:
        raise BadInput.at(where, "the day of supply is before the job", said, f"{first} to {last}")
    if said > last:
        raise BadInput.at(where, "the day of supply is too far ahead", said, f"{first} to {last}")
    return said
