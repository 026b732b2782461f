"""VIN arithmetic against the regulation's worked example, the punched-card code, and its own algebra."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tappetry.identification.vin import model_years, read_vin
from tappetry.quantities.marks import VIN_VALUES, YEAR_CODES, vin_check_digit

LEGAL = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"
vins = st.text(LEGAL, min_size=17, max_size=17)
places = st.integers(0, 16)


def repaired(vin: str) -> str:
    """The number with the check digit that the rest of it asks for."""
    return vin[:8] + vin_check_digit(vin) + vin[9:]


def test_worked_example_of_the_regulation() -> None:
    # 49 CFR 565.15(c), example, from memory: 1G4AH59H45G118341, products sum to 411 = 37 x 11 + 4.
    reading = read_vin("1G4AH59H45G118341")
    assert reading.ok_form
    assert reading.check_digit_expected == reading.check_digit_read == "4"
    assert (reading.wmi, reading.vds, reading.vis) == ("1G4", "AH59H4", "5G118341")
    assert 411 % 11 == 4


def test_seventeen_ones() -> None:
    # The well-known test number, from memory: the weights sum to 89 = 8 x 11 + 1.
    reading = read_vin("1" * 17)
    assert reading.check_digit_fits
    assert reading.check_digit_expected == "1"


def test_check_digit_ten_is_written_x() -> None:
    # Another well-known test number, from memory: 1M8GDM9AXKP042788 carries X.
    assert read_vin("1M8GDM9AXKP042788").check_digit_fits
    assert vin_check_digit("1M8GDM9AXKP042788") == "X"


def test_letters_count_what_their_punched_card_digit_counts() -> None:
    # The regulation's table of assigned values is the digit zone of the EBCDIC code (code page 037).
    assert {c: c.encode("cp037")[0] & 0x0F for c in LEGAL} == VIN_VALUES


def test_every_year_code_and_only_those() -> None:
    # 49 CFR 565.15(d), year code table, from memory: 2001 is 1, 2005 is 5, 2010 is A, 2019 is K, 2024 is R.
    letters = {years: code for code in YEAR_CODES for years in model_years("1" * 9 + code + "1" * 7)}
    known = {
        1981: "B",
        1999: "X",
        2000: "Y",
        2001: "1",
        2005: "5",
        2009: "9",
        2010: "A",
        2019: "K",
        2024: "R",
    }
    assert {year: letters[year] for year in known} == known
    assert sorted(letters) == list(range(1980, 2040))
    assert not set("IOQUZ0") & set(YEAR_CODES)


def test_position_seven_settles_the_cycle_of_light_vehicles_only() -> None:
    digit, letter = "9ZZT1L4A64H014820", "9ZZW2SSE6CK051209"
    assert model_years(digit, light=True) == (2004,)
    assert model_years(letter, light=True) == (2012,)
    assert model_years(letter) == model_years(letter, light=False) == (1982, 2012)
    assert read_vin(letter).model_years == (1982, 2012)


@given(vins)
def test_a_repaired_number_fits_and_stays(vin: str) -> None:
    once = repaired(vin)
    assert read_vin(once).check_digit_fits
    assert repaired(once) == once


@given(vins, places, st.sampled_from(LEGAL))
def test_one_changed_character_is_caught_unless_it_counts_the_same(vin: str, place: int, other: str) -> None:
    vin = repaired(vin)
    changed = vin[:place] + other + vin[place + 1 :]
    fits = read_vin(changed).check_digit_fits
    if place == 8:
        assert fits == (other == vin[8])
    else:  # every weight but the check digit's own is coprime to 11, so only equal counts go unseen
        assert fits == (VIN_VALUES[other] == VIN_VALUES[vin[place]])


@given(vins)
def test_spelling_does_not_matter(vin: str) -> None:
    assert read_vin(f" {vin[:3].lower()}-{vin[3:9]} {vin[9:].lower()}\n") == read_vin(vin)


@given(st.text(max_size=40))
def test_no_text_breaks_the_reader(text: str) -> None:
    reading = read_vin(text)
    assert reading.ok_form or reading.complaints
    assert reading.ok_form or not reading.model_years


def test_wrong_check_digit_is_told_and_not_refused() -> None:
    reading = read_vin("9ZZT1L4A44H014820")
    assert reading.ok_form
    assert [str(complaint) for complaint in reading.complaints] == [
        "vin position 9: the check digit does not fit; mistyped, or from a region where the check digit is "
        "not compulsory (read: 4); expected 3"
    ]


def test_wrong_check_digit_of_a_north_american_number_is_likely_a_typing_error() -> None:
    (complaint,) = read_vin("1G4AH59H95G118341").complaints
    assert str(complaint) == (
        "vin position 9: the check digit does not fit; one character is likely mistyped: read it again "
        "(read: 9); expected 4"
    )


def test_older_serial_is_no_vin_and_kept_as_text() -> None:
    reading = read_vin("ml 55-113402")
    assert not reading.ok_form
    assert reading.vin == "ML55113402"
    assert (reading.wmi, reading.model_years, reading.check_digit_expected) == ("", (), "")
    assert [str(complaint) for complaint in reading.complaints] == [
        "vin: a VIN has 17 characters, this has 10; serials of vehicles before model year 1981 follow each "
        "maker's own pattern and are kept as text (read: ML55113402); expected 17 characters, or "
        "identification by casting and things seen"
    ]


def test_letters_that_are_not_used_are_named_with_what_they_look_like() -> None:
    messages = [str(complaint) for complaint in read_vin("9ZZTIL4A34HO14820").complaints]
    assert messages == [
        "vin position 5: the character is not used in a VIN (read: I); expected 1, which it is often "
        "mistaken for",
        "vin position 12: the character is not used in a VIN (read: O); expected 0, which it is often "
        "mistaken for",
    ]


def test_bad_year_code_and_serial() -> None:
    messages = [str(complaint) for complaint in read_vin(repaired("9ZZT1L4A3UH01482B")).complaints]
    assert messages == [
        "vin position 10: the character is no model year code (read: U); expected one of "
        "ABCDEFGHJKLMNPRSTVWXY123456789",
        "vin positions 14 to 17: the last four characters are digits (read: 482B); expected digits",
    ]
