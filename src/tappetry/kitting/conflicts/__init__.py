"""Why a request cannot be met: grounds that cannot hold together, whose they are, and the arithmetic."""

from tappetry.kitting.conflicts.changes import (
    Change,
    bought,
    changes_of,
    difference,
    instead_of_work,
    planned,
    questions_of,
    released,
    taken,
)
from tappetry.kitting.conflicts.core import Core, conflict_in, core_of

__all__ = [
    "Change",
    "Core",
    "bought",
    "changes_of",
    "conflict_in",
    "core_of",
    "difference",
    "instead_of_work",
    "planned",
    "questions_of",
    "released",
    "taken",
]
