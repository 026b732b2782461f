"""Trade item numbers on labels (GTIN) and their check digit.

Source: GS1 General Specifications, section 7.9 (from memory; tested against a general library).
"""

from __future__ import annotations

import re

from tappetry.quantities.marks import trade_check_digit

LENGTHS = (8, 12, 13, 14)


class GtinError(ValueError):
    """A number that is no GTIN: what was read, and why."""


def check_digit(body: str) -> int:
    """The check digit that follows the other digits of a GTIN; see `trade_check_digit`.

    Parameters
    ----------
    body : str
        The digits before the check digit: 7, 11, 12 or 13.

    Raises
    ------
    GtinError
        Not so many digits, or a sign that is no digit.

    Examples
    --------
    >>> check_digit("629104150021")
    3
    """
    if not re.fullmatch(r"[0-9]+", body) or len(body) + 1 not in LENGTHS:
        raise GtinError(f"{body!r} is not the 7, 11, 12 or 13 digits that stand before a check digit")
    return int(trade_check_digit(body))


def read_gtin(text: str) -> str:
    """A GTIN-8, -12, -13 or -14 as its fourteen digits, with zeros in front; spaces are left out.

    Raises
    ------
    GtinError
        Another number of digits, another sign, or a check digit that is wrong.

    Examples
    --------
    >>> read_gtin("6 291041 500213")
    '06291041500213'
    """
    digits = text.replace(" ", "")
    if not re.fullmatch(r"[0-9]+", digits) or len(digits) not in LENGTHS:
        raise GtinError(f"{text!r} is no trade item number; it has 8, 12, 13 or 14 digits")
    wanted = check_digit(digits[:-1])
    if int(digits[-1]) != wanted:
        raise GtinError(
            f"{text!r} ends in {digits[-1]}, its check digit would be {wanted}: one digit is wrong"
        )
    return digits.zfill(14)
