"""The three ways a request can fail: bad input, a request that cannot be met, a fault of ours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Self


@dataclass(frozen=True, slots=True)
class Where:
    """A place in a person's file: file, line (1-based, 0 unknown) and field path."""

    file: str = ""
    line: int = 0
    field: str = ""

    def __str__(self) -> str:
        """``file:line, field`` with the unknown parts left out."""
        place = f"{self.file}:{self.line}" if self.line else self.file
        return ", ".join(part for part in (place, self.field) if part)


@dataclass(frozen=True, slots=True)
class Complaint:
    """One thing wrong with an input: where, the value read, what was expected, what to do."""

    where: Where
    message: str
    value: str = ""
    expected: str = ""

    def __str__(self) -> str:
        """One line that a person can act on."""
        place = f"{self.where}: " if str(self.where) else ""
        value = f" (read: {self.value})" if self.value else ""
        asks = self.expected.endswith("?")
        expected = f"; {'' if asks else 'expected '}{self.expected}" if self.expected else ""
        return f"{place}{self.message}{value}{expected}"


class TappetryError(Exception):
    """Base of every error the program raises on purpose."""

    kind = "error"
    exit_code = 70

    def as_data(self) -> dict[str, Any]:
        """The error as the plain data that ``--json`` prints."""
        return {"kind": self.kind, "message": str(self), "facts": [], "ways_out": [], "where": ""}


class BadInput(TappetryError):
    """An input cannot be read: every complaint names file, line, field, value and what was expected."""

    kind = "bad-input"
    exit_code = 3

    def __init__(self, complaints: list[Complaint]) -> None:
        self.complaints = complaints
        super().__init__("\n".join(str(complaint) for complaint in complaints))

    @classmethod
    def at(cls, where: Where, message: str, value: object = "", expected: str = "") -> Self:
        """One complaint as an error."""
        return cls([Complaint(where, message, str(value), expected)])

    def as_data(self) -> dict[str, Any]:
        """The complaints as data."""
        return {
            "kind": self.kind,
            "message": str(self),
            "facts": [],
            "ways_out": [],
            "where": str(self.complaints[0].where) if self.complaints else "",
            "complaints": [
                {"where": str(c.where), "message": c.message, "value": c.value, "expected": c.expected}
                for c in self.complaints
            ],
        }


@dataclass(frozen=True, slots=True)
class Ground:
    """One fact or rule that stands in a refusal, and whose it is."""

    text: str
    owner: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class WayOut:
    """A change of the job with which a kit was found, proved, checked and priced.

    ``change`` names the fields of the job file that differ, with their new values; ``changes`` counts the
    decisions that were changed. ``more`` is the customer's total against that of the first way named. Unless
    it is ``proved_optimal``, a cheaper kit may come of the same change.
    """

    text: str
    change: Mapping[str, Any]
    changes: int
    landed_cost: Decimal
    total: Decimal | None = None
    more: Decimal | None = None
    proved_optimal: bool = True

    @property
    def told(self) -> str:
        """One line without what the shop pays: what to change, and what the customer pays then."""
        return self.text if self.total is None else f"{self.text}, total {self.total:.2f}"

    def __str__(self) -> str:
        """One line: what to change, and what it comes to."""
        total = "" if self.total is None else f", total {self.total:.2f}"
        more = f" ({self.more:+.2f})" if self.more else ""
        at_most = "" if self.proved_optimal else " or a little less"
        return f"{self.text}{total}{more}, landed cost {self.landed_cost:.2f}{at_most}"

    def as_data(self) -> dict[str, Any]:
        """The way as plain data; money is a text with two digits."""
        return {
            "text": self.text,
            "told": self.told,
            "change": dict(self.change),
            "changes": self.changes,
            "landed_cost": f"{self.landed_cost:.2f}",
            "total": None if self.total is None else f"{self.total:.2f}",
            "more": None if self.more is None else f"{self.more:.2f}",
            "proved_optimal": self.proved_optimal,
        }


class Refusal(TappetryError):
    """The request cannot be met: the grounds, the arithmetic, and what would help.

    ``tried`` are the ways out with which a kit was found, the smallest change first; ``ways_out`` tells
    these and any other advice, a line each.
    """

    kind = "refused"
    exit_code = 2

    def __init__(
        self,
        message: str,
        grounds: Sequence[Ground] = (),
        ways_out: Sequence[str] = (),
        arithmetic: str = "",
        tried: Sequence[WayOut] = (),
    ) -> None:
        self.message = message
        self.grounds = list(grounds)
        self.ways_out = [*map(str, tried), *ways_out]
        self.arithmetic = arithmetic
        self.tried = tuple(tried)
        super().__init__(self._text())

    def _text(self) -> str:
        lines = [self.message]
        lines += [f"  {n}. {g.text}  [{g.owner}]" for n, g in enumerate(self.grounds, 1)]
        if self.arithmetic:
            lines.append(self.arithmetic)
        lines += [f"  - {way}" for way in self.ways_out]
        return "\n".join(lines)

    def as_data(self) -> dict[str, Any]:
        """The refusal as data: facts with owners, arithmetic, ways out and those of them that were tried."""
        return {
            "kind": self.kind,
            "message": self.message,
            "facts": [{"text": g.text, "owner": g.owner, "source": g.source} for g in self.grounds],
            "arithmetic": self.arithmetic,
            "ways_out": self.ways_out,
            "tried": [way.as_data() for way in self.tried],
            "where": "",
        }


class OurFault(TappetryError):
    """A fault of the program, never of the person: the problem is saved so that it can be studied."""

    kind = "our-fault"
    exit_code = 70

    def __init__(self, message: str, details: dict[str, Any] | None = None) -> None:
        self.details = details or {}
        super().__init__(message)


@dataclass(slots=True)
class Complaints:
    """Collects complaints so that a person sees them all at once."""

    items: list[Complaint] = field(default_factory=list)

    def add(self, where: Where, message: str, value: object = "", expected: str = "") -> None:
        """Note one complaint."""
        self.items.append(Complaint(where, message, str(value), expected))

    def raise_if_any(self) -> None:
        """Raise ``BadInput`` with all complaints, if there are any."""
        if self.items:
            raise BadInput(list(self.items))
