"""How much is tried where all would take minutes: a part, the same on every run; by `make soak` all of it."""

from __future__ import annotations

import random
from collections.abc import Iterable
from typing import TypeVar

from hypothesis import settings

T = TypeVar("T")
SEED = 20260302


def soaks() -> bool:
    """Whether `make soak` runs."""
    return settings().max_examples > 1000


def some(things: Iterable[T], count: int) -> list[T]:
    """So many of them, drawn; all where they are no more, or where `make soak` runs."""
    every = list(things)
    return every if soaks() or len(every) <= count else random.Random(SEED).sample(every, count)
