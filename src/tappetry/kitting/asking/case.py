"""One way in which the engine may be, with its kit: what is bought, what it comes to, what stays open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from tappetry.records.evidence import Grade, Value
from tappetry.records.verdict import Verdict

#: A part by supplier and number.
Identity = tuple[str, str]


#: The verdicts that hold papers back; the others are words.
HOLDING = frozenset({Verdict.STOP.value, Verdict.SIGN.value, Verdict.UNKNOWN.value})


@dataclass(frozen=True, slots=True)
class Bought:
    """One line of a case: how many units, when they are here, what they fill, what must be known how well.

    ``demands`` holds the lowest grade of evidence for each attribute that the line rests on.
    """

    quantity: int
    lead_days: int
    needs: tuple[str, ...]
    demands: Mapping[str, Grade] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a kit comes to.

    ``open`` are needs and operations that no fact of this case settles, ``checks`` the verdict of each gate
    and proof that is not passed. ``refused`` says why there is no kit; then there are no lines and no sums.
    """

    lines: Mapping[Identity, Bought] = field(default_factory=dict)
    total: Decimal | None = None
    landed: Decimal | None = None
    hours: Decimal | None = None
    days: int | None = None
    open: frozenset[str] = frozenset()
    checks: Mapping[str, str] = field(default_factory=dict)
    refused: str = ""


@dataclass(frozen=True, slots=True)
class Case:
    """A way in which the engine may be: its share among all, the values of what was unknown, its kit.

    ``grades`` say how well each fact would be known if what this case supposes were known. A case without
    an outcome was not solved.
    """

    share: Fraction
    values: Mapping[str, Value]
    outcome: Outcome | None
    grades: Mapping[str, Grade] = field(default_factory=dict)

    def units(self, identity: Identity) -> int | None:
        """Units of a part; None where the case was not solved."""
        if self.outcome is None:
            return None
        bought = self.outcome.lines.get(identity)
        return bought.quantity if bought is not None else 0

    @property
    def effect(self) -> object:
        """All that a fact could change: lines, money, hours, date, what is open, what the owner must sign.

        Equal for two cases between which nothing differs but words of advice.
        """
        if self.outcome is None:
            return None
        lines = frozenset((identity, bought.quantity) for identity, bought in self.outcome.lines.items())
        return (
            lines,
            self.outcome.total,
            self.outcome.landed,
            self.outcome.hours,
            self.outcome.days,
            self.outcome.open,
            frozenset(item for item in self.outcome.checks.items() if item[1] in HOLDING),
            self.outcome.refused,
        )
