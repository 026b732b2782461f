"""The arithmetic of printed numbers: check digits, model year codes, the checksum of a bar code."""

from __future__ import annotations

import re

VIN_LENGTH = 17
#: What each character of a VIN counts; I, O and Q are not used. 49 CFR 565.15(c), assigned values.
VIN_VALUES = {str(digit): digit for digit in range(10)} | {
    letter: value
    for letters, first in (("ABCDEFGH", 1), ("JKLMN", 1), ("P", 7), ("R", 9), ("STUVWXYZ", 2))
    for value, letter in enumerate(letters, first)
}
#: Weight of each position; the check digit itself, at position 9, weighs nothing. 49 CFR 565.15(c).
VIN_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
VIN_CHECK_DIGITS = "0123456789X"
#: Codes of 30 model years in order, from 1980 and again from 2010; I, O, Q, U, Z and 0 are not used.
YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
FIRST_YEAR = 1980

#: The symbols that start the code sets of Code 128, and the number that its checksum is taken by.
CODE_128_STARTS = {"A": 103, "B": 104, "C": 105}
CODE_128_MODULUS = 103


class MarkError(ValueError):
    """A printed number that cannot be read: what was read, and why."""


def vin_check_digit(vin: str) -> str:
    """The check digit of a VIN: the weighted sum of its characters modulo 11, 10 written X.

    Parameters
    ----------
    vin : str
        17 legal characters; the one at position 9 does not count.

    Raises
    ------
    MarkError
        Another number of characters, or one that a VIN does not use.

    Examples
    --------
    >>> vin_check_digit("11111111111111111")
    '1'

    References
    ----------
    .. [1] 49 CFR 565.15(c)
    """
    if len(vin) != VIN_LENGTH:
        raise MarkError(f"{vin!r} has {len(vin)} characters; a VIN has {VIN_LENGTH}")
    for position, character in enumerate(vin, 1):
        if character not in VIN_VALUES:
            raise MarkError(
                f"{character!r} at position {position} of {vin!r} is not used in a VIN: digits, and "
                "capital letters but I, O and Q"
            )
    total = sum(VIN_VALUES[character] * weight for character, weight in zip(vin, VIN_WEIGHTS, strict=True))
    return VIN_CHECK_DIGITS[total % 11]


def model_year(year_code: str, seventh_character: str) -> int:
    """The model year of a passenger car or light truck by positions 10 and 7 of its VIN.

    Parameters
    ----------
    year_code : str
        Position 10.
    seventh_character : str
        Position 7: a digit is 1980 to 2009, a letter 2010 to 2039.

    Raises
    ------
    MarkError
        A character that stands for no year, or that a VIN does not use.

    Examples
    --------
    >>> model_year("4", "A"), model_year("4", "1")
    (2034, 2004)

    References
    ----------
    .. [1] 49 CFR 565.15(d), year codes of the 30-year cycle (from memory)
    """
    place = YEAR_CODES.find(year_code) if len(year_code) == 1 else -1
    if place < 0:
        raise MarkError(f"{year_code!r} is no model year code; one of {YEAR_CODES}")
    if seventh_character not in VIN_VALUES:
        raise MarkError(f"{seventh_character!r} is no single character of a VIN")
    return FIRST_YEAR + place + (0 if seventh_character.isdigit() else len(YEAR_CODES))


def trade_check_digit(body: str) -> str:
    """The check digit that follows the other digits of a trade item, location or shipping number.

    From the right, the digits weigh 3, 1, 3, 1 and so on; the check digit fills their sum up to the next
    multiple of ten.

    Parameters
    ----------
    body : str
        The digits before the check digit: 12 of a GTIN-13, 17 of a shipping container code.

    Raises
    ------
    MarkError
        No digits, or a sign that is none.

    Examples
    --------
    >>> trade_check_digit("629104150021")
    '3'

    References
    ----------
    .. [1] GS1 General Specifications, section 7.9 (from memory; tested against a general library)
    """
    if not re.fullmatch(r"[0-9]+", body):
        raise MarkError(f"{body!r} is not the digits that stand before a check digit")
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(body)))
    return str(-total % 10)


def code_128_checksum(text: str, code_set: str) -> int:
    """The checksum of a Code 128 symbol that stays in one code set.

    The start symbol weighs 1, the characters 1, 2, 3 and so on; the sum is taken modulo 103.

    Parameters
    ----------
    text : str
        What the symbol says; pairs of digits in code set C.
    code_set : str
        A: capitals, digits and control characters; B: all printable characters; C: pairs of digits.

    Raises
    ------
    MarkError
        Nothing to say, or a character that the code set does not have.

    Examples
    --------
    >>> code_128_checksum("PJJ123C", "A")
    54

    References
    ----------
    .. [1] ISO/IEC 15417 (from memory; tested against a general library)
    """
    if not text or code_set not in CODE_128_STARTS:
        raise MarkError(f"{text!r} in code set {code_set!r}: say something, in {', '.join(CODE_128_STARTS)}")
    symbols = _pairs(text) if code_set == "C" else [_symbol(sign, code_set) for sign in text]
    total = CODE_128_STARTS[code_set] + sum(place * symbol for place, symbol in enumerate(symbols, 1))
    return total % CODE_128_MODULUS


def _pairs(text: str) -> list[int]:
    if not re.fullmatch(r"(?:[0-9]{2})+", text):
        raise MarkError(f"{text!r} is not pairs of digits, which code set C is made of")
    return [int(text[place : place + 2]) for place in range(0, len(text), 2)]


def _symbol(sign: str, code_set: str) -> int:
    """Space is 0 in both sets; A ends in the control characters, B in the small letters."""
    code = ord(sign)
    if 32 <= code < (128 if code_set == "B" else 96):
        return code - 32
    if code_set == "A" and code < 32:
        return code + 64
    raise MarkError(f"{sign!r} is no character of code set {code_set}")
