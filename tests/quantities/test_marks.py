"""Check digits, year codes and checksums of printed numbers, beside general-purpose libraries."""

from __future__ import annotations

import pytest
from barcode import Code128
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from tappetry.quantities.marks import (
    MarkError,
    code_128_checksum,
    model_year,
    trade_check_digit,
    vin_check_digit,
)

#: Without digits, the library stays in the code set that it starts with.
LETTERS = st.characters(min_codepoint=58, max_codepoint=126)


@given(st.text("0123456789", min_size=1, max_size=20))
def test_trade_numbers_agree_with_a_general_library(body: str) -> None:
    assert trade_check_digit(body) == ean.calc_check_digit(body)


def test_published_checksum() -> None:
    """ISO/IEC 15417, the common example PJJ123C in code set A, from memory: 54; one more from start B."""
    assert code_128_checksum("PJJ123C", "A") == 54
    assert code_128_checksum("PJJ123C", "B") == 55


def checksum_of_the_library(text: str) -> tuple[int, int]:
    """The start symbol that a general-purpose library takes, and its checksum."""
    code = Code128(text)
    symbols = code.encoded
    return symbols[0], code._calculate_checksum(symbols)


@given(st.text(LETTERS, min_size=1, max_size=30))
def test_checksums_of_letters_agree_with_a_general_library(text: str) -> None:
    assert checksum_of_the_library(text) == (104, code_128_checksum(text, "B"))


@given(st.integers(1, 15).flatmap(lambda n: st.text("0123456789", min_size=2 * n, max_size=2 * n)))
def test_checksums_of_digits_agree_with_a_general_library(text: str) -> None:
    assert checksum_of_the_library(text) == (105, code_128_checksum(text, "C"))


@given(st.text("0123456789", min_size=1, max_size=9))
def test_pairs_of_digits_count_as_one_symbol(digits: str) -> None:
    pairs = "".join(f"0{digit}" for digit in digits)
    single = sum(place * int(digit) for place, digit in enumerate(digits, 1))
    assert code_128_checksum(pairs, "C") == (105 + single) % 103


def test_control_characters_follow_the_capitals() -> None:
    """In code set A the underline is 63 and the null character 64 (ISO/IEC 15417, from memory)."""
    assert code_128_checksum("\x00", "A") - code_128_checksum("_", "A") == 1


@pytest.mark.parametrize(
    ("code", "seventh", "year"),
    [
        ("A", "7", 1980),
        ("H", "7", 1987),
        ("J", "7", 1988),
        ("Y", "7", 2000),
        ("9", "7", 2009),
        ("A", "B", 2010),
    ],
)
def test_model_years(code: str, seventh: str, year: int) -> None:
    """49 CFR 565.15, year codes, from memory."""
    assert model_year(code, seventh) == year


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: vin_check_digit("123"), "'123' has 3 characters; a VIN has 17"),
        (
            lambda: vin_check_digit("1111111111111111O"),
            "'O' at position 17 of '1111111111111111O' is not used in a VIN: digits, and capital letters "
            "but I, O and Q",
        ),
        (lambda: model_year("U", "1"), "'U' is no model year code; one of ABCDEFGHJKLMNPRSTVWXY123456789"),
        (lambda: model_year("AB", "1"), "'AB' is no model year code; one of ABCDEFGHJKLMNPRSTVWXY123456789"),
        (lambda: model_year("A", ""), "'' is no single character of a VIN"),
        (lambda: trade_check_digit("12a"), "'12a' is not the digits that stand before a check digit"),
        (lambda: code_128_checksum("", "B"), "'' in code set 'B': say something, in A, B, C"),
        (lambda: code_128_checksum("123", "C"), "'123' is not pairs of digits, which code set C is made of"),
        (lambda: code_128_checksum("a", "A"), "'a' is no character of code set A"),
    ],
)
def test_what_cannot_be_read_is_told(call, message: str) -> None:
    with pytest.raises(MarkError) as refusal:
        call()
    assert str(refusal.value) == message
