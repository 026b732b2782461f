"""Check digits of trade item numbers, against GS1's own example and a general-purpose library."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from tappetry.catalogue.gtin import GtinError, check_digit, read_gtin

BODY = st.sampled_from((7, 11, 12, 13)).flatmap(lambda n: st.text("0123456789", min_size=n, max_size=n))


def test_the_worked_example_of_gs1() -> None:
    # GS1, "How to calculate a check digit manually": 629104150021 gives 3; from memory
    assert check_digit("629104150021") == 3
    assert read_gtin("6291041500213") == "06291041500213"


@given(BODY)
def test_check_digits_agree_with_a_general_library(body: str) -> None:
    assert str(check_digit(body)) == ean.calc_check_digit(body)
    assert ean.is_valid(body + str(check_digit(body)))


@given(BODY, st.data())
def test_one_wrong_digit_is_always_noticed(body: str, data: st.DataObject) -> None:
    number = body + str(check_digit(body))
    place = data.draw(st.integers(0, len(number) - 1))
    wrong = data.draw(st.sampled_from([digit for digit in "0123456789" if digit != number[place]]))
    with pytest.raises(GtinError, match="one digit is wrong"):
        read_gtin(number[:place] + wrong + number[place + 1 :])


@given(BODY)
def test_zeros_in_front_change_nothing(body: str) -> None:
    number = body + str(check_digit(body))
    assert read_gtin(number) == read_gtin(number.zfill(14))


def test_what_is_no_trade_item_number_is_told() -> None:
    with pytest.raises(GtinError) as caught:
        read_gtin("6291041500214")
    assert str(caught.value) == "'6291041500214' ends in 4, its check digit would be 3: one digit is wrong"
    with pytest.raises(GtinError) as caught:
        read_gtin("629104150")
    assert str(caught.value) == "'629104150' is no trade item number; it has 8, 12, 13 or 14 digits"
    with pytest.raises(GtinError) as caught:
        check_digit("62910415002x")
    assert (
        str(caught.value)
        == "'62910415002x' is not the 7, 11, 12 or 13 digits that stand before a check digit"
    )
