"""What the audit reports: one finding names kind, file, line, field, value read and what was expected."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum

from tappetry.records.problems import BadInput, Complaint, Where


class AuditKind(StrEnum):
    """What is wrong; a NOTE is nothing wrong, only worth a look."""

    UNREADABLE = "unreadable"
    UNKNOWN_NAME = "unknown-name"
    UNKNOWN_VALUE = "unknown-value"
    UNKNOWN_ID = "unknown-id"
    NEVER_FIRES = "never-fires"
    NO_PART = "no-part"
    CONTRADICTION = "contradiction"
    MISSING_REASON = "missing-reason"
    MISSING_SOURCE = "missing-source"
    USED_TWICE = "used-twice"
    UNIT_MISMATCH = "unit-mismatch"
    UNCOVERED_BREAK = "uncovered-break"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class AuditFinding:
    """One thing that the audit found in a shop's text."""

    kind: AuditKind
    file: str
    line: int
    field: str
    value: str
    expected: str
    message: str

    def __str__(self) -> str:
        """One line that a person can act on."""
        where = Where(self.file, self.line, self.field)
        return f"{self.kind}: {Complaint(where, self.message, self.value, self.expected)}"

    @property
    def is_note(self) -> bool:
        """Whether nothing is wrong."""
        return self.kind is AuditKind.NOTE


def finding(
    kind: AuditKind, where: Where, message: str, value: object = "", expected: str = ""
) -> AuditFinding:
    """A finding at a place."""
    return AuditFinding(kind, where.file, where.line, where.field, str(value), expected, message)


def unreadable(error: BadInput) -> tuple[AuditFinding, ...]:
    """The complaints of an input that cannot be read, as findings."""
    return tuple(
        finding(AuditKind.UNREADABLE, c.where, c.message, c.value, c.expected) for c in error.complaints
    )


def closest(word: str, words: Iterable[str], otherwise: str) -> str:
    """The nearest spelling as a question, else a plain description of what is expected."""
    near = get_close_matches(word, sorted(words), 1)
    return f"did you mean {near[0]}?" if near else otherwise


def one_of(values: Iterable[object]) -> str:
    """The values that are possible, as far as they fit on a line."""
    texts = sorted({show_value(value) for value in values})
    shown = ", ".join(texts[:12])
    return f"one of {shown}" + (f" and {len(texts) - 12} more" if len(texts) > 12 else "")


def show_value(value: object) -> str:
    """A value as a condition writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:g}"
    return f"'{value}'"
