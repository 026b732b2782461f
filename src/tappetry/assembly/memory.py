"""What expressions came to, kept for every request that is equal in what they read of it.

Two requests that differ in the mileage alone give the same answer to a condition on the bore. So each
result is kept under the fixed values that its expression reads, through named values; among the
requests of a shop most results are then known already.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Named

#: A root that is known before any part is chosen, and a member of it (empty for the whole root).
Fixed = tuple[str, str]
Flat = tuple[tuple[str, str], ...]
#: Beyond so many results of different requests all are forgotten, and the next requests begin anew.
MOST = 100_000


@dataclass(frozen=True, slots=True)
class Results:
    """What an expression reads of the slots, and its results: by that, and by the values it names."""

    expression: Expression
    reads: Flat
    results: dict[tuple[Any, ...], Any] = field(default_factory=dict)
    by_values: dict[tuple[Any, ...], Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Reading:
    """What an expression or a named value reads: of the slots, and of what is fixed.

    ``names`` are all members of both as conditions spell them, through named values.
    """

    of: Expression | Named
    slots: dict[str, frozenset[str]]
    flat: Flat
    fixed: tuple[Fixed, ...]
    names: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        """Spell what is read."""
        read = (*self.flat, *self.fixed)
        object.__setattr__(self, "names", frozenset(f"{root}.{member}" for root, member in read if member))


@dataclass(slots=True)
class Memory:
    """The readings of a shop's expressions, and results of requests to it.

    Expressions and named values are told apart by identity; each entry holds what it belongs to. ``reads``
    are the slots that several expressions read together; ``options`` holds what was made of each class of
    parts.
    """

    readings: dict[int, Reading] = field(default_factory=dict)
    expressions: dict[tuple[Any, ...], Results] = field(default_factory=dict)
    named: dict[tuple[Any, ...], dict[tuple[Any, ...], Any]] = field(default_factory=dict)
    reads: dict[tuple[int, ...], dict[str, frozenset[str]]] = field(default_factory=dict)
    options: dict[int, tuple[Any, Any]] = field(default_factory=dict)

    def tidy(self) -> None:
        """Forget the results if they have become too many."""
        if len(self.expressions) + len(self.named) > MOST:
            self.expressions.clear()
            self.named.clear()
            self.options.clear()
