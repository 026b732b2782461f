"""Asks about many values in parts, for a statement takes no more than some ten thousand of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import TypeVar

#: How many values one statement names; SQLite takes 32,766 and PostgreSQL 65,535.
AT_ONCE = 10_000
T = TypeVar("T")


def parts(values: Iterable[T]) -> Iterator[list[T]]:
    """Values in their order, in lists of up to ``AT_ONCE``."""
    left = iter(values)
    while part := list(islice(left, AT_ONCE)):
        yield part
