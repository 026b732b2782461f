"""What makes two rows the same part: the supplier and the number without its punctuation."""

from __future__ import annotations

from typing import NamedTuple

#: Signs that people leave out or put in at will.
PUNCTUATION = str.maketrans("", "", " \t\u00a0.-\u2010\u2011\u2012\u2013_/")


class Identity(NamedTuple):
    """One part of one supplier; numbers of two suppliers are never the same part."""

    supplier: str
    number: str


def normal(number: str) -> str:
    """A number in capitals without spaces, dots and dashes; a leading zero stays.

    Examples
    --------
    >>> normal("pg 101-130"), normal("0825-3")
    ('PG101130', '08253')
    """
    return number.upper().translate(PUNCTUATION)


def identity(supplier: str, number: str) -> Identity:
    """The identity of a number of a supplier."""
    return Identity(supplier, normal(number))
