"""Numbers in the cells of a list: money, counts and days, read strictly."""

from __future__ import annotations

import re
from decimal import Decimal

from tappetry.catalogue.attributes import ValueProblem
from tappetry.quantities.numerals import NumeralError, read_numeral

WHOLE = re.compile(r"[0-9]{1,9}")
AMOUNT = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,2})?")


def read_amount(text: str) -> Decimal:
    """Money of at least 0 with at most two decimals, such as 1,234.50.

    Raises
    ------
    ValueProblem
        The text is anything else, with the likely cause: a decimal comma, a sign, a third decimal.
    """
    if AMOUNT.fullmatch(text):
        return Decimal(text)
    expected = "an amount such as 12.50"
    if text.startswith(("-", "−")):
        raise ValueProblem("the amount is negative", "an amount of at least 0")
    try:
        numeral = read_numeral(text)
    except NumeralError as error:
        raise ValueProblem(f"the amount cannot be read: {error.cause}", expected) from None
    if numeral.end < len(text):
        raise ValueProblem(f"the amount cannot be read: {text[numeral.end :]!r} is no part of it", expected)
    exponent = numeral.value.as_tuple().exponent
    if isinstance(exponent, int) and exponent < -2:
        raise ValueProblem("the amount has more than two decimals", expected)
    return numeral.value


def read_whole(text: str, least: int) -> int:
    """A whole number of at least a certain size.

    Raises
    ------
    ValueProblem
        The text is anything else.
    """
    if WHOLE.fullmatch(text) and int(text) >= least:
        return int(text)
    raise ValueProblem("the number cannot be taken", f"a whole number of at least {least}")
