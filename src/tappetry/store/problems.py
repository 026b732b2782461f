"""What the store refuses, in words: somebody was quicker, no such job, the database does not answer."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from tappetry.records.problems import TappetryError
from tappetry.store.fields import Field


class NotKept(TappetryError):
    """There is no such thing in the store, or there is one already."""

    kind = "not-kept"
    exit_code = 3


class MovedMeanwhile(NotKept):
    """Since it was read somebody else took the number, moved money of the job, agreed or wrote something."""

    kind = "moved-meanwhile"


class ChangedMeanwhile(TappetryError):
    """Somebody else changed the same part of a job since it was read: who, when, and the difference."""

    kind = "changed-meanwhile"
    exit_code = 2

    def __init__(self, part: str, by: str, at: str, version: int, fields: Iterable[Field]) -> None:
        self.part, self.by, self.at, self.version = part, by, at, version
        self.fields = tuple(fields)
        said = "; ".join(map(str, self.fields)) or "it reads the same as before"
        self.told = f"The {part} changed meanwhile by {by} at {at}."
        super().__init__(f"{self.told} Here is the difference: {said}.")

    def as_data(self) -> dict[str, Any]:
        """The error with the difference, field by field."""
        ways = ["look at the difference, then make your change again on what stands there now"]
        facts = [str(field) for field in self.fields]
        return super().as_data() | {"message": self.told, "facts": facts, "ways_out": ways}


class StoreUnavailable(TappetryError):
    """The database cannot be read or written now; nothing of the act was kept.

    ``where`` names the database and ``advice`` says what to do, for whoever starts the program; pages, which
    customers read too, name none.
    """

    kind = "store-unavailable"
    exit_code = 2

    def __init__(self, reason: str, where: str = "", advice: str = "") -> None:
        self.reason = reason
        named = f"The shop's database {where}".rstrip()
        todo = advice or (
            "See that the disk has room and may be written to and that the database runs; then do it again."
        )
        super().__init__(f"{named} does not answer: {reason}. Nothing of this act was kept. {todo}")


class NotMigrated(TappetryError):
    """A database of an earlier version was not brought to this one: why, and where its backup lies."""

    kind = "not-migrated"
    exit_code = 2
