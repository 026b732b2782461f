"""How old suppliers' prices are: known on the day of a list that was taken, or on which somebody asked again.

A customer's price holds as his quote says; what the shop pays may have risen meanwhile. So prices older than
the house book allows are named where a yes is written down, and before orders are sent.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tappetry.pricing.policy import read_policy
from tappetry.pricing.validity import stale_prices
from tappetry.records.kit import Kit, Line
from tappetry.records.problems import Refusal
from tappetry.services import agreements
from tappetry.services.agreements import ChangeRow, Due
from tappetry.services.ledger import Ledger, QuoteRow
from tappetry.store import price_days
from tappetry.store.jobs import enter, row_of
from tappetry.store.price_days import Known


@dataclass(frozen=True, slots=True)
class Aged:
    """Prices of one supplier that are to be asked again.

    Attributes
    ----------
    supplier, name : str
        His code, and what he is called.
    lines : tuple of Line
        What is bought at these prices.
    oldest : int or None
        Days since the oldest of them was known; None where the day of one is not known.
    limit : int
        Days that the house book allows.
    """

    supplier: str
    name: str
    lines: tuple[Line, ...]
    oldest: int | None
    limit: int


def aged(ledger: Ledger, lines: Iterable[Line]) -> tuple[Aged, ...]:
    """The prices of some lines that are older than the house book allows, by supplier."""
    kit = Kit("", tuple(lines))
    policy = read_policy(ledger.shop.knowledge.book.money)
    parts = [(line.supplier, line.part) for line in kit.lines]
    days = ledger.read(lambda session: price_days.days_of(session, parts))
    # A day that is still to come was written by a clock that has been set back since.
    known = {part: min(day, ledger.today) for part, day in days.items()}
    old = {(each.supplier, each.part): each.days for each in stale_prices(kit, known, ledger.today, policy)}
    names = ledger.shop.catalogue.suppliers
    found = []
    for code in dict.fromkeys(supplier for supplier, _ in old):
        ages = [age for (supplier, _), age in old.items() if supplier == code]
        certain = [age for age in ages if age is not None]
        found.append(
            Aged(
                supplier=code,
                name=names[code].name if code in names else code,
                lines=tuple(line for line in kit.lines if line.supplier == code and (code, line.part) in old),
                oldest=max(certain) if len(certain) == len(ages) else None,
                limit=policy.price_check_days,
            )
        )
    return tuple(found)


def before_yes(ledger: Ledger, paper: QuoteRow | ChangeRow) -> tuple[Aged, ...]:
    """The prices to be asked again of what a quote buys, or a change order beyond what is agreed."""
    agreed = agreements.agreed_kit(paper.before).lines if isinstance(paper, ChangeRow) else ()
    known = {(line.supplier, line.part) for line in agreed}
    lines = agreements.agreed_kit(paper.kit).lines
    return aged(ledger, [line for line in lines if (line.supplier, line.part) not in known])


def to_ask(ledger: Ledger, due: Iterable[Due], waits: QuoteRow | ChangeRow | None) -> tuple[Aged, ...]:
    """The prices to be asked again of a job: of what is left to order, or of a quote that waits."""
    if isinstance(waits, QuoteRow):
        return before_yes(ledger, waits)
    return aged(ledger, [each.line for each in due])


def ask_again(ledger: Ledger, number: str, supplier: str, who: str) -> None:
    """Write down that a supplier was asked today, and that his prices for a job stand as they are listed.

    Raises
    ------
    Refusal
        None of his prices is to be asked again.
    """
    waits = agreements.latest_open(ledger, number)
    due = agreements.due(ledger, number) if agreements.acceptances(ledger, number) else ()
    asked = next((each for each in to_ask(ledger, due, waits) if each.supplier == supplier), None)
    if asked is None:
        raise Refusal(
            f"No price of {supplier} for job {number} is to be asked again.",
            ways_out=["look at the papers of the job: somebody may have asked meanwhile"],
        )
    parts = frozenset(line.part for line in asked.lines)
    count = f"{len(parts)} price" + ("s stand" if len(parts) > 1 else " stands")
    said = f"asked {asked.name} again: {count} as listed"
    act = ledger.act(who, said, ", ".join(sorted(parts)))
    with ledger.database.writing() as session:
        entry = enter(session, act, row_of(session, number))
        price_days.keep_day(session, Known(supplier, ledger.today, parts), entry.id)
